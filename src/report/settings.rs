//! The settings of a run, as every report has them.

use serde::Serialize;

use super::json::rounded;
use super::table::counted;
use forecast::{Model, Site, Walls};
use plan::Calibration;

/// The settings of a run: what reproduces it, and what follows from that.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Settings {
    /// Version of the program.
    drillonce: &'static str,
    /// The plan's link after the options.
    pub(crate) link: String,
    pub(crate) frequency_mhz: f64,
    #[serde(flatten)]
    pub(crate) model: Model,
    /// Standard deviation of the static spread of a clear path.
    static_sigma_db: f64,
    /// Where readings calibrated the forecast, what they told, for people.
    #[serde(skip_serializing_if = "Option::is_none")]
    calibration: Option<String>,
}

impl Settings {
    /// Where a calibration is in use, the line that says so, with its line end.
    pub(crate) fn calibration_line(&self) -> String {
        self.calibration.as_ref().map_or_else(String::new, |line| format!("{line}\n"))
    }

    pub(crate) fn new(site: &Site<'_>) -> Self {
        let link = site.link(None).ok();
        Self {
            drillonce: env!("CARGO_PKG_VERSION"),
            link: link.as_ref().map(|link| link.name.clone()).unwrap_or_default(),
            frequency_mhz: link.map_or(0.0, |link| rounded(link.frequency.mhz())),
            model: site.model,
            static_sigma_db: rounded(site.clear_sigma().0),
            calibration: (site.plan.calibration.as_ref()).map(|read| calibrated(site, read)),
        }
    }
}

/// A line that says that a calibration is in use, and what of it.
fn calibrated(site: &Site<'_>, calibration: &Calibration) -> String {
    let mut parts = vec![counted(calibration.devices.len(), "device")];
    if site.model.walls == Walls::Typical {
        parts.insert(0, counted(calibration.constructions.len(), "construction"));
    }
    if site.model.site_offset_db == calibration.site_offset
        && site.model.site_sigma_db == calibration.site_sigma
    {
        parts.insert(0, "site offset".to_owned());
    }
    format!("Calibrated by readings: {}.", parts.join(", "))
}
