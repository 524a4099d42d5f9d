//! The machine-readable form of a diagnosis.

use serde::Serialize;

use super::check::{PanelRow, Settings, chance, position, rounded};
use diagnose::cause::{NextTest, SensorCauses};
use diagnose::readings::ReadingsFile;
use diagnose::{Calibration, DeviceEstimate, DeviceForecast, Estimate, Tally};
use forecast::{Finding, Site};
use plan::Device;

/// One run of `diagnose`.
#[derive(Debug, Clone, Serialize)]
pub struct DiagnoseReport {
    /// Name of the plan.
    pub plan: String,
    /// Settings that reproduce the run.
    pub model: Settings,
    /// The panel.
    pub panel: PanelRow,
    /// What was read.
    pub readings: ReadingsRow,
    /// Mean loss of the site that no wall explains, dB.
    pub site_offset_db: ChangeRow,
    /// What each construction in use seems to lose in this house.
    pub constructions: Vec<ConstructionRow>,
    /// Every device but the panel, in plan order.
    pub devices: Vec<DiagnosedRow>,
    /// What may be the matter with each flaky sensor, and with those asked for.
    pub causes: Vec<CausesRow>,
    /// What is doubtful.
    pub warnings: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<&'static str>,
}

/// What a file of readings came to.
#[derive(Debug, Clone, Serialize)]
pub struct ReadingsRow {
    /// Rows that hold something.
    pub rows: usize,
    /// Readings in them that are used.
    pub used: usize,
    /// Devices that were read.
    pub devices: usize,
    /// What is wrong with rows that are not used.
    pub faults: Vec<RowFaultRow>,
    /// What is doubtful about rows that are used.
    pub doubts: Vec<RowFaultRow>,
    /// Notes of which nothing, or not all, was understood, with their lines.
    pub notes_not_understood: Vec<NoteRow>,
}

/// A row that is wrong or doubtful.
#[derive(Debug, Clone, Serialize)]
pub struct RowFaultRow {
    /// Line in the file, from 1; 0 for the whole file.
    pub line: usize,
    /// The column, or null for the whole row.
    pub column: Option<String>,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

/// A note that was not understood.
#[derive(Debug, Clone, Serialize)]
pub struct NoteRow {
    /// Its line.
    pub line: usize,
    /// The note.
    pub note: String,
}

/// A mean with its standard deviation.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct EstimateRow {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sigma: f64,
}

/// Something before the readings and after them.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ChangeRow {
    /// Before.
    pub before: EstimateRow,
    /// After.
    pub after: EstimateRow,
}

/// One construction.
#[derive(Debug, Clone, Serialize)]
pub struct ConstructionRow {
    /// Its name.
    pub construction: String,
    /// Loss at normal incidence, dB.
    pub loss_db: ChangeRow,
    /// Factor on its loss in decibels.
    pub scale: ChangeRow,
}

/// One device before or after the readings.
#[derive(Debug, Clone, Serialize)]
pub struct OutlookRow {
    /// Level received, dBm.
    pub received_dbm: f64,
    /// Level received less level needed, dB.
    pub margin_db: f64,
    /// Margin that nine of ten such devices exceed, dB.
    pub margin_p10_db: f64,
    /// Standard deviation of level and margin, dB.
    pub sigma_db: f64,
    /// Chance of at least one supervision fault in a year, 0 to 1.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
    /// The repeater that it takes, or null for the panel.
    pub via: Option<String>,
}

/// What was read of a device at one listener, all as found.
#[derive(Debug, Clone, Serialize)]
pub struct TallyRow {
    /// The repeater, or null for the panel.
    pub at: Option<String>,
    /// Number of levels.
    pub levels: usize,
    /// Their mean, dBm.
    pub mean_dbm: Option<f64>,
    /// Number of levels known between two ends only.
    pub between: usize,
    /// Mean of their lower ends, dBm.
    pub mean_low_dbm: Option<f64>,
    /// Mean of their upper ends, dBm.
    pub mean_high_dbm: Option<f64>,
    /// Check-ins heard.
    pub heard: usize,
    /// Check-ins missed.
    pub missed: usize,
    /// Whole supervision windows lost.
    pub lost: usize,
}

/// One device.
#[derive(Debug, Clone, Serialize)]
pub struct DiagnosedRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its number in the panel.
    pub number: Option<u32>,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
    /// What was read of it; empty if nothing was.
    pub read: Vec<TallyRow>,
    /// The forecast without readings.
    pub before: OutlookRow,
    /// The forecast with them.
    pub after: OutlookRow,
    /// What the device itself seems to lose more than another at its place, dB.
    pub own_db: EstimateRow,
}

/// What may be the matter with one device.
#[derive(Debug, Clone, Serialize)]
pub struct CausesRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its number in the panel.
    pub number: Option<u32>,
    /// All causes, the likeliest first; chances add to one.
    pub causes: Vec<CauseRow>,
    /// Sets of causes that these readings cannot tell apart.
    pub not_told_apart: Vec<Vec<&'static str>>,
    /// A quarter of the wavelength of its link, metres.
    pub quarter_wavelength_m: f64,
    /// Tests, the one that tells most first.
    pub next_tests: Vec<TestRow>,
}

/// A cause.
#[derive(Debug, Clone, Serialize)]
pub struct CauseRow {
    /// Its name.
    pub cause: &'static str,
    /// Its chance, 0 to 1.
    pub chance: f64,
    /// What to do about it first.
    pub first_step: &'static str,
}

/// A test.
#[derive(Debug, Clone, Serialize)]
pub struct TestRow {
    /// What to do.
    pub test: &'static str,
    /// Word to write into the column `note` beside what is then read; null where nothing is changed.
    pub note: Option<&'static str>,
    /// Ids of the other devices to read, if it is they that are read.
    pub devices: Vec<String>,
    /// Expected information about the cause, bits.
    pub bits: f64,
    /// Work, minutes, roughly.
    pub minutes: f64,
    /// What each outcome would mean.
    pub outcomes: Vec<OutcomeRow>,
}

/// An outcome of a test.
#[derive(Debug, Clone, Serialize)]
pub struct OutcomeRow {
    /// The outcome.
    pub outcome: &'static str,
    /// Its chance, 0 to 1.
    pub chance: f64,
    /// Each cause's chance after it, the likeliest first.
    pub causes: Vec<CauseShareRow>,
}

/// A cause after an outcome.
#[derive(Debug, Clone, Serialize)]
pub struct CauseShareRow {
    /// Its name.
    pub cause: &'static str,
    /// Its chance, 0 to 1.
    pub chance: f64,
}

impl DiagnoseReport {
    /// Puts a diagnosis into its machine-readable form.
    #[must_use]
    pub fn new(
        site: &Site<'_>,
        file: &ReadingsFile,
        calibration: &Calibration,
        causes: &[SensorCauses],
        warnings: Vec<String>,
    ) -> Self {
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            panel: PanelRow {
                id: site.panel.device.id.clone(),
                position_m: position(&site.panel.device),
            },
            readings: ReadingsRow {
                rows: file.rows,
                used: file.readings.len() - calibration.unused.len().min(file.readings.len()),
                devices: calibration
                    .devices
                    .iter()
                    .filter(|device| !device.read.is_empty())
                    .count(),
                faults: file.faults.iter().map(fault_row).collect(),
                doubts: file.warnings.iter().map(fault_row).collect(),
                notes_not_understood: file
                    .unused
                    .iter()
                    .map(|note| NoteRow { line: note.line, note: note.text.clone() })
                    .collect(),
            },
            site_offset_db: ChangeRow {
                before: estimate(calibration.site_before),
                after: estimate(calibration.site_after),
            },
            constructions: calibration
                .constructions
                .iter()
                .map(|one| ConstructionRow {
                    construction: one.name.clone(),
                    loss_db: ChangeRow {
                        before: estimate(one.loss_before()),
                        after: estimate(one.loss_after()),
                    },
                    scale: ChangeRow {
                        before: estimate(one.scale_before),
                        after: estimate(one.scale_after),
                    },
                })
                .collect(),
            devices: calibration
                .devices
                .iter()
                .filter_map(|one| Some(diagnosed(site.plan.devices.get(one.device)?, one)))
                .collect(),
            causes: causes
                .iter()
                .filter_map(|one| Some(causes_row(site, site.plan.devices.get(one.device)?, one)))
                .collect(),
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
}

fn fault_row(fault: &plan::Diagnostic) -> RowFaultRow {
    RowFaultRow {
        line: fault.line,
        column: fault.feature.clone(),
        what: fault.what.clone(),
        mend: fault.mend.clone(),
    }
}

fn estimate(of: Estimate) -> EstimateRow {
    EstimateRow { mean: rounded(of.mean), sigma: rounded(of.sigma) }
}

fn outlook(of: &DeviceForecast) -> OutlookRow {
    OutlookRow {
        received_dbm: rounded(of.shown.level.0),
        margin_db: rounded(of.shown.margin.0),
        margin_p10_db: rounded(of.margin_p10.0),
        sigma_db: rounded(of.shown.sigma.0),
        fault_per_year: chance(of.fault_per_year),
        finding: of.finding,
        via: of.via.clone(),
    }
}

fn tally(of: &Tally) -> TallyRow {
    let level = |level: units::Dbm| rounded(level.0);
    TallyRow {
        at: of.listener.clone(),
        levels: of.levels,
        mean_dbm: of.mean_level.map(level),
        between: of.between,
        mean_low_dbm: of.mean_low.map(level),
        mean_high_dbm: of.mean_high.map(level),
        heard: of.heard,
        missed: of.missed,
        lost: of.lost,
    }
}

fn diagnosed(device: &Device, one: &DeviceEstimate) -> DiagnosedRow {
    DiagnosedRow {
        id: one.id.clone(),
        name: device.name.clone(),
        number: device.number,
        position_m: position(device),
        read: one.read.iter().map(tally).collect(),
        before: outlook(&one.before),
        after: outlook(&one.after),
        own_db: estimate(one.own),
    }
}

fn causes_row(site: &Site<'_>, device: &Device, one: &SensorCauses) -> CausesRow {
    let link = site.link(device.link.as_ref()).ok();
    let id = |number: &usize| Some(site.plan.devices.get(*number)?.id.clone());
    let test = |next: &NextTest| TestRow {
        test: next.test.sentence(),
        note: next.test.note(),
        devices: next.sensors.iter().filter_map(id).collect(),
        bits: rounded(next.bits),
        minutes: next.test.minutes(),
        outcomes: next
            .bands
            .iter()
            .map(|band| OutcomeRow {
                outcome: band.outcome,
                chance: chance(band.chance),
                causes: band
                    .causes
                    .iter()
                    .map(|(cause, share)| CauseShareRow {
                        cause: cause.name(),
                        chance: chance(*share),
                    })
                    .collect(),
            })
            .collect(),
    };
    CausesRow {
        id: device.id.clone(),
        name: device.name.clone(),
        number: device.number,
        causes: one
            .causes
            .iter()
            .map(|one| CauseRow {
                cause: one.cause.name(),
                chance: chance(one.chance),
                first_step: one.cause.first_step(),
            })
            .collect(),
        not_told_apart: one
            .undistinguished
            .iter()
            .map(|set| set.iter().map(|cause| cause.name()).collect())
            .collect(),
        quarter_wavelength_m: link.map_or(0.0, |link| rounded(link.frequency.wavelength().0 / 4.0)),
        next_tests: one.next_tests.iter().map(test).collect(),
    }
}
