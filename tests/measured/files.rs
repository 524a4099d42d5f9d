//! The rows of the data files. Columns that are not named here are not read.

use std::path::Path;

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::Diagnostic;

/// A corner of the flat's outline, metres.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct Corner {
    pub x: f64,
    pub y: f64,
}

/// A receiver of the flat; metres, `z` above the floor.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct Anchor {
    pub id: u32,
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

/// The mean level of one receiver over one cell of the flat.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct Cell {
    /// Receiver.
    pub a: u32,
    /// Mean place of the transmitter, metres.
    pub x: f64,
    pub y: f64,
    /// Mean level, dB to an unknown power.
    pub rssi: f64,
    /// Distance in space, metres.
    pub d: f64,
    /// Walls that the straight line crosses: stretches of it outside rooms.
    pub w: f64,
    /// Their length, metres.
    pub out: f64,
}

/// The level of one receiver of the room for one place of the transmitter.
#[derive(Debug, Clone, Deserialize)]
pub struct Place {
    pub set: u32,
    pub sensor: String,
    /// Place of the transmitter, metres.
    pub x: f64,
    pub y: f64,
    pub z: f64,
    /// Distance in space, metres.
    pub d: f64,
    /// Mean of the readings in dB, to an unknown power. The file also gives the mean of the power,
    /// but some readings are impossible (tens of dBm): in 59 of 1,512 links they lift that mean
    /// above −30 dBm, while they hardly move this one.
    pub rssi_mean: f64,
}

/// A link of the building.
#[derive(Debug, Clone, Deserialize)]
pub struct Indoor {
    pub device: String,
    pub distance_m: f64,
    pub concrete_or_brick_walls: u32,
    pub wood_walls: u32,
    /// Path loss, mean of six months, dB.
    pub mean_pl_db_6mo: f64,
    /// Path loss, mean of a year, dB.
    pub mean_pl_db_1yr_read_off_figure: f64,
}

/// All rows of a file.
pub fn rows<T: DeserializeOwned>(path: &Path) -> Result<Vec<T>, Diagnostic> {
    let named = |fault: csv::Error| format!("{}: {fault}", path.display());
    let mut reader = csv::Reader::from_path(path).map_err(named)?;
    let rows: Result<Vec<T>, csv::Error> = reader.deserialize().collect();
    let rows = rows.map_err(named)?;
    if rows.is_empty() {
        return Err(format!("{}: no rows", path.display()).into());
    }
    Ok(rows)
}
