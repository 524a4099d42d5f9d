//! Whether every sensor of a wireless alarm will be heard, before a hole is drilled.
//!
//! A plan file goes in, the margin and the finding of every device come out:
//!
//! ```
//! for heard in drillonce::forecast_file("floorplans/bungalow.geojson")? {
//!     println!("{}: {}, {}", heard.device.name, heard.hop.ledger.margin_db, heard.finding.word());
//! #   assert_eq!(heard.finding.word(), "sound");
//! }
//! # Ok::<(), drillonce::ForecastError>(())
//! ```
//!
//! Data goes one way: [`input`] (bytes to text, numbers, tables, what is wrong with a file),
//! [`import`] (drawings, maps, tape measure) → [`plan`] (the site as drawn) →
//! [`trace`] (which paths there are) → [`radio`] (what air, walls and edges do to a wave) →
//! [`mod@forecast`] (margin, chance of a supervision fault, finding) → [`siting`] (where to hang
//! it), [`explain`] (one link in full), [`diagnose`] (readings against the forecast), [`job`] (what
//! is programmed and tested) → [`draw`]; [`words`] (words in each language), `job::pricing` (exact
//! sums), [`document`] (HTML and PDF) → [`report`]. [`cli`] wires them together for the program.
//!
//! Where to find a formula: free space `radio::free_space_loss`; layered walls
//! `radio::slab_response`; edges `radio::edge_field` and `forecast::soft`; noise
//! `radio::noise_floor`; fading `radio::rician_miss`; runs of missed check-ins
//! `forecast::run_of_misses`; the link budget `forecast::Ledger`.

#![warn(missing_docs)]

pub use ::cli;
pub use ::diagnose;
pub use ::document;
pub use ::draw;
pub use ::explain;
pub use ::forecast;
pub use ::import;
pub use ::input;
pub use ::job;
pub use ::plan;
pub use ::radio;
pub use ::report;
pub use ::siting;
pub use ::trace;
pub use ::units;
pub use ::words;

use std::path::Path;

use ::forecast::{Assessment, DeviceResult, LinkOverride, Model, Site, SiteError, vocabulary};
use ::plan::{Diagnostic, read_file};

/// Why [`forecast_file`] gives no forecast.
#[derive(Debug, thiserror::Error)]
pub enum ForecastError {
    /// The plan has faults: a line each, with what would fix it.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Plan(Vec<Diagnostic>),
    /// The plan is sound, but cannot be assessed.
    #[error(transparent)]
    Site(#[from] SiteError),
}

/// What `drillonce check` forecasts without further options for every device of a plan file: its
/// sensors, then its keypads, sirens and repeaters, each in the plan's order.
///
/// # Errors
/// [`ForecastError`]: a file that is no plan, or a plan without a panel or with an unknown link.
pub fn forecast_file(path: impl AsRef<Path>) -> Result<Vec<DeviceResult>, ForecastError> {
    let plan = read_file(path.as_ref(), &vocabulary()).map_err(ForecastError::Plan)?.plan;
    let model = Model::default().calibrated(&plan);
    let site = Site::new(&plan, model, LinkOverride::default(), None)?;
    let Assessment { sensors, two_way, .. } = Assessment::new(&site)?;
    Ok(sensors.into_iter().chain(two_way).collect())
}
