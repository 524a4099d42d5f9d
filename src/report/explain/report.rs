//! The report of an explanation.

use explain::{ExplainSettings, Explanation, null_distance, standing_wave_distance};
use forecast::Site;
use units::Metres;

/// One run of `explain`.
#[derive(Debug, Clone)]
pub struct ExplainReport<'a> {
    pub(super) site: &'a Site<'a>,
    pub(super) told: &'a Explanation,
    /// How far the device was moved and raised in the search for what helps.
    pub(super) search: ExplainSettings,
    pub(super) warnings: Vec<String>,
}

/// How far a null reaches at a link.
#[derive(Debug, Clone, Copy, serde::Serialize)]
pub(super) struct NullReach {
    /// The wavelength.
    #[serde(rename = "wavelength_m")]
    pub(super) wavelength: Metres,
    /// A move of so much leaves a null behind.
    #[serde(rename = "leave_null_m")]
    pub(super) leave_null: Metres,
    /// Before a wall that reflects the best spot lies so far from the worst.
    #[serde(rename = "standing_wave_m")]
    pub(super) standing_wave: Metres,
}

impl<'a> ExplainReport<'a> {
    /// The report of an explanation.
    #[must_use]
    pub const fn new(
        site: &'a Site<'a>,
        told: &'a Explanation,
        settings: &ExplainSettings,
        warnings: Vec<String>,
    ) -> Self {
        Self { site, told, search: *settings, warnings }
    }

    crate::json::as_json!(&["model"]);

    pub(super) fn null(&self) -> NullReach {
        let wavelength = self.told.budget.link.frequency.wavelength();
        NullReach {
            wavelength,
            leave_null: null_distance(wavelength),
            standing_wave: standing_wave_distance(wavelength),
        }
    }
}
