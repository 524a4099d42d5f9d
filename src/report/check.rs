//! The machine-readable form of a forecast.

use serde::Serialize;

use forecast::{Assessment, DeviceResult, Direction, Finding, Model, RoamResult, Site, Walls};
use plan::{Calibration, Device, DeviceKind};

/// A number with four digits after the point: finer than anything here is known, coarse enough to
/// hide the order in which sums were taken.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    let scaled = (value * 1e4).round() / 1e4;
    // No negative zero in a report.
    if scaled == 0.0 { 0.0 } else { scaled }
}

/// A chance with six significant digits: small ones keep their size.
pub(super) fn chance(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digits = 5 - value.abs().log10().floor() as i32;
    let scale = 10f64.powi(digits.clamp(0, 300));
    (value * scale).round() / scale
}

pub(super) fn position(device: &Device) -> [f64; 3] {
    [rounded(device.position.x), rounded(device.position.y), rounded(device.height_m)]
}

/// One run of `check`.
#[derive(Debug, Clone, Serialize)]
pub struct CheckReport {
    /// Name of the plan.
    pub plan: String,
    /// Settings that reproduce the run.
    pub model: Settings,
    /// The panel.
    pub panel: PanelRow,
    /// One row for every sensor.
    pub sensors: Vec<DeviceRow>,
    /// One row for every keypad, siren and repeater.
    pub devices: Vec<DeviceRow>,
    /// One row for every roam area.
    pub roams: Vec<RoamRow>,
    /// What is doubtful.
    pub warnings: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<&'static str>,
}

/// The settings of a run.
#[derive(Debug, Clone, Serialize)]
pub struct Settings {
    /// Version of the program.
    pub drillonce: &'static str,
    /// The plan's link after the options.
    pub link: String,
    /// Its frequency, MHz.
    pub frequency_mhz: f64,
    /// Everything else.
    #[serde(flatten)]
    pub model: Model,
    /// Standard deviation of the static spread of a clear path, dB.
    pub static_sigma_db: f64,
    /// Where readings calibrated the forecast, what they told, for people.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calibration: Option<String>,
}

impl Settings {
    /// Where a calibration is in use, the line that says so, with its line end.
    pub(super) fn calibration_line(&self) -> String {
        self.calibration.as_ref().map_or_else(String::new, |line| format!("{line}\n"))
    }

    /// The settings of a site.
    #[must_use]
    pub fn new(site: &Site<'_>) -> Self {
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
    let count = |number: usize, thing: &str| match number {
        1 => format!("1 {thing}"),
        more => format!("{more} {thing}s"),
    };
    let mut parts = vec![count(calibration.devices.len(), "device")];
    if site.model.walls == Walls::Typical {
        parts.insert(0, count(calibration.constructions.len(), "construction"));
    }
    if site.model.site_offset_db == calibration.site_offset
        && site.model.site_sigma_db == calibration.site_sigma
    {
        parts.insert(0, "site offset".to_owned());
    }
    format!("Calibrated by readings: {}.", parts.join(", "))
}

/// The panel.
#[derive(Debug, Clone, Serialize)]
pub struct PanelRow {
    /// Its id.
    pub id: String,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
}

/// One wall or floor on the direct path.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingRow {
    /// Id of the feature.
    pub feature: String,
    /// Its construction.
    pub construction: String,
    /// Angle of incidence, degrees from the normal.
    pub incidence_deg: f64,
    /// Loss of the ideal slab, dB.
    pub slab_db: f64,
    /// Excess of the typical construction, dB.
    pub excess_db: f64,
    /// Both, dB.
    pub loss_db: f64,
}

/// One device.
#[derive(Debug, Clone, Serialize)]
pub struct DeviceRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The room it is in, where the plan or its walls tell.
    pub room: Option<String>,
    /// Its number in the panel.
    pub number: Option<u32>,
    /// What it is.
    pub kind: &'static str,
    /// Its role.
    pub role: Option<String>,
    /// Whether the panel watches that it checks in.
    pub supervised: bool,
    /// Name of its link.
    pub link: String,
    /// Frequency of the link, MHz.
    pub frequency_mhz: f64,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
    /// Distance to the panel or repeater, metres.
    pub distance_m: f64,
    /// Free-space loss of the direct path, dB.
    pub free_space_db: f64,
    /// What the direct path crosses, from the panel or repeater to the device.
    pub crossings: Vec<CrossingRow>,
    /// Free space and crossings, dB.
    pub direct_loss_db: f64,
    /// All paths together, dB.
    pub path_loss_db: f64,
    /// Radiated power, dBm EIRP.
    pub eirp_dbm: f64,
    /// Gain of the panel's antenna, dB.
    pub antenna_gain_db: f64,
    /// Loss of the mount, dB.
    pub mount_loss_db: f64,
    /// Mean loss of the site that no wall explains, dB.
    pub site_offset_db: f64,
    /// Loss of this very device that readings told of, dB; left out where there is none.
    #[serde(skip_serializing_if = "is_nothing")]
    pub calibrated_loss_db: f64,
    /// The direction that these hold for: of two-way devices the worse.
    pub direction: Direction,
    /// Level received, dBm.
    pub received_dbm: f64,
    /// Level needed, dBm.
    pub level_needed_dbm: f64,
    /// Level received less level needed, dB.
    pub margin_db: f64,
    /// Margin that nine of ten such devices exceed, dB.
    pub margin_p10_db: f64,
    /// Standard deviation of the static spread, dB.
    pub sigma_db: f64,
    /// Chance of at least one supervision fault in a year, 0 to 1, on the whole way to the panel.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
    /// The repeater that it takes, or null for the panel.
    pub via: Option<String>,
}

/// One roam area.
#[derive(Debug, Clone, Serialize)]
pub struct RoamRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Name of its link.
    pub link: String,
    /// Whether the transmitter is worn on the body.
    pub worn: bool,
    /// Area, square metres.
    pub area_m2: f64,
    /// Share of the area that works, 0 to 1.
    pub share: f64,
}

impl CheckReport {
    /// Puts a forecast into its machine-readable form.
    #[must_use]
    pub fn new(site: &Site<'_>, assessment: &Assessment, warnings: Vec<String>) -> Self {
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            panel: PanelRow {
                id: site.panel.device.id.clone(),
                position_m: position(&site.panel.device),
            },
            sensors: assessment.sensors.iter().map(DeviceRow::new).collect(),
            devices: assessment.two_way.iter().map(DeviceRow::new).collect(),
            roams: assessment.roams.iter().map(RoamRow::new).collect(),
            warnings,
            cautions: super::CAUTIONS.to_vec(),
        }
    }

    /// The report as JSON, with a line feed at its end.
    ///
    /// # Errors
    /// What `serde_json` answers; a report holds nothing that it refuses.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        super::pretty(self)
    }

    /// Sensors and two-way devices.
    pub fn rows(&self) -> impl Iterator<Item = &DeviceRow> {
        self.sensors.iter().chain(&self.devices)
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
fn is_nothing(loss_db: &f64) -> bool {
    *loss_db == 0.0
}

const fn kind_word(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::Panel => "panel",
        DeviceKind::Sensor => "sensor",
        DeviceKind::Repeater => "repeater",
        DeviceKind::Keypad => "keypad",
        DeviceKind::Siren => "siren",
    }
}

impl DeviceRow {
    pub(super) fn new(result: &DeviceResult) -> Self {
        let (device, hop, ledger) = (&result.device, &result.hop, &result.hop.ledger);
        let crossings = hop.crossings.iter().map(|crossing| {
            let (slab_db, excess_db) = (rounded(crossing.slab.0), rounded(crossing.excess.0));
            CrossingRow {
                feature: crossing.feature.clone(),
                construction: crossing.construction.clone(),
                incidence_deg: rounded(crossing.incidence_deg),
                slab_db,
                excess_db,
                loss_db: rounded((crossing.slab + crossing.excess).0),
            }
        });
        Self {
            id: device.id.clone(),
            name: device.name.clone(),
            room: device.room.clone(),
            number: device.number,
            kind: kind_word(device.kind),
            role: device.role.clone(),
            supervised: device.supervised,
            link: result.link.name.clone(),
            frequency_mhz: rounded(result.link.frequency.mhz()),
            position_m: position(device),
            distance_m: rounded(hop.distance.0),
            free_space_db: rounded(hop.free_space.0),
            crossings: crossings.collect(),
            direct_loss_db: rounded(hop.direct_loss.0),
            path_loss_db: rounded(hop.path_loss.0),
            eirp_dbm: rounded(ledger.eirp_dbm.0),
            antenna_gain_db: rounded(ledger.antenna_gain_db.0),
            mount_loss_db: rounded(ledger.mount_loss_db.0),
            site_offset_db: rounded(ledger.site_offset_db.0),
            calibrated_loss_db: rounded(ledger.calibrated_loss_db.0),
            direction: ledger.direction,
            received_dbm: rounded(ledger.received_dbm.0),
            level_needed_dbm: rounded(ledger.level_needed_dbm.0),
            margin_db: rounded(ledger.margin_db.0),
            margin_p10_db: rounded(hop.margin_p10.0),
            sigma_db: rounded(hop.sigma.0),
            fault_per_year: chance(result.fault_per_year),
            finding: result.finding,
            via: result.via.clone(),
        }
    }
}

impl RoamRow {
    pub(super) fn new(result: &RoamResult) -> Self {
        Self {
            id: result.roam.id.clone(),
            name: result.roam.name.clone(),
            link: result.link.name.clone(),
            worn: result.roam.worn,
            area_m2: rounded(result.area_m2),
            share: rounded(result.share),
        }
    }
}
