//! Readings that a panel shows, held against the forecast: what this house really loses, what is
//! wrong with a flaky sensor, and which test would tell most.

mod calibrate;
pub mod cause;
mod channel;
mod factor;
mod network;
mod outlook;
mod propagation;
mod reading;
pub mod readings;
mod receiver;
mod suspects;
mod tally;
mod visits;
mod write_back;

pub use calibrate::{
    Calibration, ConstructionEstimate, DeviceEstimate, Estimate, Fit, ListenerLevel, Sorted,
    calibrate, fit, noise,
};
pub use channel::{Channel, DECORRELATION, Layout, Prior};
pub use factor::{Factor, Tilted};
pub use network::{
    CLASS_CORRELATION, ChannelKey, Line, Network, OWN_SIGMA, SCALE_SIGMA, WALLS_MOST, Way,
};
pub use outlook::{Outlook, Shown, outlooks};
pub use propagation::{Joint, Posterior, StandIn, posterior};
pub use reading::{Circumstance, Reading, Remark, Seen};
pub use receiver::{Air, LAPSE, METER_SIGMA, Receiver, WILD_SHARE};
pub use suspects::causes;
pub use tally::{Tally, tally};
pub use visits::{VISIT_MIN, weighted};
