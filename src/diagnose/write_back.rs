//! A calibration in the form in which a plan keeps it.

use super::calibrate::{Calibration, DeviceEstimate};
use forecast::Site;
use plan::calibration::{LOSS_DB, SCALE, SCALE_SIGMA, SIGMA_DB};
use plan::{Calibration as Kept, ConstructionScale, DeviceCalibration};
use units::Db;

impl Calibration {
    /// The calibration as a plan keeps it, for the panel where the site has it. Factors and losses
    /// beyond what a plan may hold are brought to its limits.
    #[must_use]
    pub fn for_plan(&self, site: &Site<'_>) -> Kept {
        let panel = &site.panel.device;
        let loss = |loss: f64| Db(loss.clamp(LOSS_DB.0, LOSS_DB.1));
        let device = |one: &DeviceEstimate| {
            let level = one.levels.first().map_or(0.0, |level| level.after.sigma.0);
            DeviceCalibration {
                loss: loss(one.loss.0),
                own: loss(one.own.mean),
                sigma: Db(level.clamp(SIGMA_DB.0, SIGMA_DB.1)),
            }
        };
        Kept {
            panel: panel.id.clone(),
            level: panel.level,
            position: panel.position,
            height_m: panel.height_m,
            site_offset: loss(self.site_after.mean),
            site_sigma: Db(self.site_after.sigma.clamp(SIGMA_DB.0, SIGMA_DB.1)),
            constructions: self
                .constructions
                .iter()
                .map(|one| {
                    let scale = ConstructionScale {
                        scale: one.scale_after.mean.clamp(SCALE.0, SCALE.1),
                        sigma: one.scale_after.sigma.clamp(SCALE_SIGMA.0, SCALE_SIGMA.1),
                    };
                    (one.name.clone(), scale)
                })
                .collect(),
            devices: self.devices.iter().map(|one| (one.id.clone(), device(one))).collect(),
        }
    }
}
