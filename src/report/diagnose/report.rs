//! The report of a diagnosis.

use diagnose::cause::SensorCauses;
use diagnose::readings::ReadingsFile;
use diagnose::{Calibration, DeviceEstimate};
use forecast::Site;
use plan::Device;

/// One run of `diagnose`.
#[derive(Debug, Clone)]
pub struct DiagnoseReport<'a> {
    pub(super) site: &'a Site<'a>,
    pub(super) file: &'a ReadingsFile,
    pub(super) calibration: &'a Calibration,
    /// The causes of each flaky sensor, and of those asked for.
    pub(super) causes: &'a [SensorCauses],
    pub(super) warnings: Vec<String>,
}

impl<'a> DiagnoseReport<'a> {
    /// The report of a diagnosis.
    #[must_use]
    pub const fn new(
        site: &'a Site<'a>,
        file: &'a ReadingsFile,
        calibration: &'a Calibration,
        causes: &'a [SensorCauses],
        warnings: Vec<String>,
    ) -> Self {
        Self { site, file, calibration, causes, warnings }
    }

    crate::json::as_json!(&["model"]);

    /// A device of the plan.
    pub(super) fn device(&self, number: usize) -> Option<&'a Device> {
        self.site.plan.devices.get(number)
    }

    /// Every device with what the readings say of it.
    pub(super) fn devices(&self) -> impl Iterator<Item = (&'a Device, &'a DeviceEstimate)> {
        let all = self.calibration.devices.iter();
        all.filter_map(|one| Some((self.device(one.device)?, one)))
    }

    /// Every device that was asked about with what may be the matter with it.
    pub(super) fn causes(&self) -> impl Iterator<Item = (&'a Device, &'a SensorCauses)> {
        self.causes.iter().filter_map(|one| Some((self.device(one.device)?, one)))
    }

    /// Readings that are used.
    pub(super) fn used(&self) -> usize {
        let all = self.file.readings.len();
        all - self.calibration.unused.len().min(all)
    }

    /// Devices that were read.
    pub(super) fn read(&self) -> usize {
        self.calibration.devices.iter().filter(|device| !device.read.is_empty()).count()
    }

    /// A quarter of the wavelength of a device's link, metres.
    pub(super) fn quarter_wavelength_m(&self, device: &Device) -> f64 {
        let link = self.site.link(device.link.as_ref());
        link.map_or(0.0, |link| link.frequency.wavelength().0 / 4.0)
    }
}
