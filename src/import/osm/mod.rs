//! To be written.

use super::{Draft, Settings};
use crate::plan::Fault;

/// To be written.
///
/// # Errors
/// Faults.
pub fn draft_geojson(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Fault>> {
    let _ = (name, bytes, settings);
    Ok(Draft::default())
}

/// To be written.
///
/// # Errors
/// Faults.
pub fn draft_xml(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Fault>> {
    let _ = (name, bytes, settings);
    Ok(Draft::default())
}
