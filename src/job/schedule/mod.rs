//! What is programmed into the panel and tested at the end: zones, delays, battery, test readings.
//!
//! Everything here is figures and choices; the words for people stand in `report`.

mod battery;
mod concern;
mod delays;
mod mounting;
mod role;
mod round;
mod test_sheet;
mod zones;

pub use battery::{
    AgeYears, AmpereHours, Battery, BatteryError, CAPACITY_AT_END, CellTemperature, Code, Hours,
    Load, MilliAmperes, RATED_HOURS, REQUIREMENTS, Requirement, SERVICE_LIFE_YEARS, StandbyTime,
    cell_size_factor,
};
pub use concern::{Concern, Matter, concerns};
pub use delays::{EntryDelay, PanelDelays, facing, panel_delays};
pub use mounting::{Fixing, fixing};
pub use role::{
    Active, ENTRY_REACH_M, NearEntry, Response, Role, Sort, contact_at, is_contact, near_entry,
    proposed_role, sort_of,
};
pub use round::{MOST_STOPS, Round, Stop, round};
pub use test_sheet::{Expected, NINE_IN_TEN_Z, TestRow, TestStep, expected_reading, test_rows};
pub use zones::{Numbering, Zone, free_numbers, missing_numbers, with_numbers, zones};
