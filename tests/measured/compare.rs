//! Compares the model with open measurements and prints tables in Markdown.
//!
//! `cargo run --release --example measured -- FOLDER`
//!
//! FOLDER holds, as CSV with a heading line:
//! * `flat-2400/layout.csv` (x, y), `flat-2400/anchors.csv` (id, x, y, z) and
//!   `flat-2400/cell_means.csv` (a, x, y, rssi, w, … : receiver, mean place of the transmitter,
//!   mean level in dB, walls crossed). Levels of a furnished flat at 2.4 GHz averaged over cells;
//!   the measurements are doi 10.5281/zenodo.5457591, CC BY 4.0, the averaging is ours.
//! * `room-2400/links.csv` (set, sensor, x, y, z, d, `rssi_mean`, …). Levels in one large room at
//!   2.4 GHz, from the position-annotated BLE RSSI data (Pervasive and Mobile Computing 81, 2022),
//!   CC0.
//! * `building-868/links.csv`. Six links of one building at 868 MHz, doi 10.5281/zenodo.19089760,
//!   CC BY 4.0; the geometry was partly decoded from a figure.
//! * `full-wave-3d/cases.csv`, `reference.csv` and `reference_on_walls.csv` (case, x, y, z,
//!   `excess_db`, …): full-wave solutions of three houses, ours.
//!
//! What no data set holds (transmit power, construction of walls, height of ceilings) was chosen
//! before the comparison and is named where it is chosen; only the constants that a table names
//! were fitted. "Scale" multiplies, in dB, all that the model makes of the plan beside free space;
//! "exponent: change" is what must be added to the exponent 2 of free space.

mod building;
mod files;
mod fit;
mod flat;
mod full_wave;
mod layout;
mod readings;
mod room;
mod scene;

use std::io::{self, Write};
use std::path::PathBuf;

/// Anything that stops the comparison, for people.
type Diagnostic = Box<dyn std::error::Error + Send + Sync>;

fn main() -> Result<(), Diagnostic> {
    let folder: PathBuf = std::env::args_os()
        .nth(1)
        .ok_or("say which folder holds flat-2400, room-2400, building-868 and full-wave-3d")?
        .into();
    let mut out = io::stdout().lock();
    flat::compare(&folder.join("flat-2400"), &mut out)?;
    room::compare(&folder.join("room-2400"), &mut out)?;
    building::compare(&folder.join("building-868"), &mut out)?;
    full_wave::compare(&folder.join("full-wave-3d"), &mut out)?;
    out.flush()?;
    Ok(())
}
