//! The report of a forecast.

use forecast::{Assessment, DeviceResult, RoamResult, Site};
use plan::Device;

use super::json::{DeviceRow, PanelRow, RoamRow};
use crate::CAUTIONS;
use crate::json::{members, rows};
use crate::settings::Settings;

/// One run of `check`.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// Name of the plan.
    pub plan: String,
    /// Settings that reproduce the run.
    pub model: Settings,
    /// The panel.
    pub panel: Device,
    /// Every sensor.
    pub sensors: Vec<DeviceResult>,
    /// Every keypad, siren and repeater.
    pub devices: Vec<DeviceResult>,
    /// Every roam area.
    pub roams: Vec<RoamResult>,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

impl serde::Serialize for CheckReport {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        members!(to;
            "plan": self.plan,
            "model": self.model,
            "panel": PanelRow(&self.panel),
            "sensors": rows(&self.sensors, DeviceRow),
            "devices": rows(&self.devices, DeviceRow),
            "roams": rows(&self.roams, RoamRow),
            "warnings": self.warnings,
            "cautions": CAUTIONS,
        )
    }
}

impl CheckReport {
    /// The report of a forecast.
    #[must_use]
    pub fn new(site: &Site<'_>, assessment: &Assessment, warnings: Vec<String>) -> Self {
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            panel: site.panel.device.clone(),
            sensors: assessment.sensors.clone(),
            devices: assessment.two_way.clone(),
            roams: assessment.roams.clone(),
            warnings,
        }
    }

    crate::json::as_json!(&["model"]);

    /// Sensors and two-way devices.
    pub fn rows(&self) -> impl Iterator<Item = &DeviceResult> {
        self.sensors.iter().chain(&self.devices)
    }
}
