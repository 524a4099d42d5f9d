//! Readings against the forecast: `diagnose`.

mod causes;
mod table;

pub use causes::{cause_name, diagnose_words};
pub use table::diagnose_table;

use self::causes::{first_step, sentence};
use crate::check::PanelRow;
use crate::json::{as_json, objects, position, rows};
use crate::settings::Settings;
use crate::table::cautions;
use diagnose::cause::{Cause, CauseChance, NextTest, Outcome, SensorCauses};
use diagnose::readings::{ReadingsFile, UnusedNote};
use diagnose::{
    Calibration, ConstructionEstimate, DeviceEstimate, DeviceForecast, Estimate, MOST_READ,
    ReadingsByChannel, Tally,
};
use forecast::Site;
use plan::Device;
use words::{Language, Words};

/// The language of the JSON.
const ENGLISH: Words = Words { language: Language::English };

/// What is doubtful where a plan was calibrated before: no reading counts twice.
pub const EARLIER_NOT_USED: &str = "the plan's calibration from earlier readings is not used here; \
                                    put all readings into one file";

/// What is wrong, and how to fix it, where a file has more readings than can be weighed together.
#[must_use]
pub fn too_many_read(site: &Site<'_>, file: &ReadingsFile) -> Option<(String, &'static str)> {
    let read = ReadingsByChannel::new(site, &file.readings).channels.len();
    let what = || {
        format!(
            "it has readings of {read} pairs of device and listener, and at most {MOST_READ} can \
             be weighed together"
        )
    };
    let fix = "keep the devices that give trouble and some of their neighbours";
    (read > MOST_READ).then(|| (what(), fix))
}

/// The note on readings that count for nothing.
#[must_use]
pub fn readings_not_used(file: &ReadingsFile, calibration: &Calibration) -> Option<String> {
    let lines = &calibration.unused;
    let shown: Vec<String> = lines.iter().take(5).map(ToString::to_string).collect();
    let more = if lines.len() > shown.len() { " …" } else { "" };
    (!lines.is_empty()).then(|| {
        format!(
            "{} of {} readings fit no device of the plan at the panel or a repeater, so they are \
             not used (line {}{more})",
            lines.len(),
            file.readings.len(),
            shown.join(", ")
        )
    })
}

/// One run of `diagnose`.
#[derive(Debug, Clone)]
pub struct DiagnoseReport<'a> {
    site: &'a Site<'a>,
    file: &'a ReadingsFile,
    calibration: &'a Calibration,
    /// The causes of each flaky sensor, and of those asked for.
    causes: &'a [SensorCauses],
    warnings: Vec<String>,
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

    as_json!(DiagnosisRow, "model");

    fn device(&self, number: usize) -> Option<&'a Device> {
        self.site.plan.devices.get(number)
    }

    /// Every device with what the readings say of it.
    fn devices(&self) -> impl Iterator<Item = (&'a Device, &'a DeviceEstimate)> {
        let all = self.calibration.devices.iter();
        all.filter_map(|one| Some((self.device(one.device)?, one)))
    }

    /// Every device that was asked about with what may be wrong with it.
    fn causes(&self) -> impl Iterator<Item = (&'a Device, &'a SensorCauses)> {
        self.causes.iter().filter_map(|one| Some((self.device(one.device)?, one)))
    }

    /// What the readings say of a device.
    fn estimate(&self, device: &Device) -> Option<&'a DeviceEstimate> {
        self.devices().find(|(other, _)| other.id == device.id).map(|(_, one)| one)
    }

    /// Readings that are used.
    fn used(&self) -> usize {
        let all = self.file.readings.len();
        all - self.calibration.unused.len().min(all)
    }

    /// Devices that were read.
    fn read(&self) -> usize {
        self.calibration.devices.iter().filter(|device| !device.read.is_empty()).count()
    }

    /// A quarter of the wavelength of a device's link, metres.
    fn quarter_wavelength_m(&self, device: &Device) -> f64 {
        let link = self.site.link(device.link.as_ref());
        link.map_or(0.0, |link| link.frequency.wavelength().0 / 4.0)
    }
}

objects! {
    /// The whole report.
    DiagnosisRow(report: DiagnoseReport<'a>) {
        "plan": report.site.plan.name,
        "model": Settings::new(report.site),
        "panel": PanelRow(&report.site.panel.device),
        "readings": ReadingsRow(report),
        // Mean loss of the site that no wall explains.
        "site_offset_db":
            ChangeRow(&report.calibration.site_before, &report.calibration.site_after),
        // What each construction in use seems to lose in this house.
        "constructions": rows(&report.calibration.constructions, ConstructionRow),
        // Every device but the panel, in plan order.
        "devices": report.devices().map(|(device, one)| DiagnosedRow(device, one))
            .collect::<Vec<_>>(),
        "causes": report.causes().map(|(device, causes)| CausesRow(report, device, causes))
            .collect::<Vec<_>>(),
        "warnings": report.warnings,
        "cautions": cautions(&Words::default()),
    }

    /// What a file of readings came to.
    ReadingsRow(report: DiagnoseReport<'a>) {
        "rows": report.file.rows,
        "used": report.used(),
        "devices": report.read(),
        // Rows that are not used.
        "faults": rows(&report.file.faults, RowFaultRow),
        // Rows that are used.
        "doubts": rows(&report.file.warnings, RowFaultRow),
        "notes_not_understood": rows(&report.file.unused, NoteRow),
    }

    /// A row that is wrong or doubtful: its line from 1, 0 for the whole file, and its column, null
    /// for the whole row.
    RowFaultRow(fault: plan::Diagnostic) {
        "line": fault.line,
        "column": fault.feature,
        "what": fault.what,
        "mend": fault.fix,
    }

    /// A note of which nothing, or not all, was understood.
    NoteRow(note: UnusedNote) {
        "line": note.line,
        "note": note.text,
    }

    /// A mean with its standard deviation.
    EstimateRow(one: Estimate) {
        "mean": one.mean,
        "sigma": one.sigma,
    }

    /// Something before the readings and after them.
    ChangeRow(before: Estimate, after: Estimate) {
        "before": EstimateRow(before),
        "after": EstimateRow(after),
    }

    /// One construction: its loss at normal incidence, and the factor on it.
    ConstructionRow(one: ConstructionEstimate) {
        "construction": one.name,
        "loss_db": ChangeRow(&one.loss_before(), &one.loss_after()),
        "scale": ChangeRow(&one.scale_before, &one.scale_after),
    }

    /// One device before or after the readings.
    OutlookRow(outlook: DeviceForecast) {
        "received_dbm": outlook.shown.level,
        "margin_db": outlook.shown.margin,
        "margin_p10_db": outlook.margin_p10,
        // Of level and margin.
        "sigma_db": outlook.shown.sigma,
        "fault_per_year": outlook.fault_per_year,
        "finding": outlook.finding,
        "via": outlook.via,
    }

    /// What was read of a device at one listener, null for the panel, all as found.
    TallyRow(tally: Tally) {
        "at": tally.listener,
        "levels": tally.levels,
        "mean_dbm": tally.mean_level,
        // Levels known between two ends only.
        "between": tally.between,
        "mean_low_dbm": tally.mean_low,
        "mean_high_dbm": tally.mean_high,
        // Check-ins.
        "heard": tally.heard,
        "missed": tally.missed,
        // Whole supervision windows.
        "lost": tally.lost,
    }

    /// One device.
    DiagnosedRow(device: Device, one: DeviceEstimate) {
        "id": one.id,
        "name": device.name,
        "number": device.number,
        "position_m": position(device),
        "read": rows(&one.read, TallyRow),
        "before": OutlookRow(&one.before),
        "after": OutlookRow(&one.after),
        // What it seems to lose more than another at its place.
        "own_db": EstimateRow(&one.own),
        // What its check-ins say without any forecast; null without check-ins.
        "finding_by_readings": one.by_readings(),
    }

    /// What may be wrong with one device.
    CausesRow(report: DiagnoseReport<'a>, device: Device, causes: SensorCauses) {
        "id": device.id,
        "name": device.name,
        "number": device.number,
        // Whether nothing is heard of it and the forecast had it failing as drawn.
        "out_of_reach": report.estimate(device).is_some_and(|one| one.is_out_of_reach(causes)),
        // The likeliest first; chances add to one.
        "causes": rows(&causes.causes, CauseRow),
        // Sets of causes.
        "not_told_apart": rows(&causes.undistinguished, |set| rows(set, |cause| cause_name(&ENGLISH, *cause))),
        "quarter_wavelength_m": report.quarter_wavelength_m(device),
        // The one that tells most first.
        "next_tests": rows(&causes.next_tests, |next| TestRow(report, next)),
    }

    /// A cause.
    CauseRow(one: CauseChance) {
        "cause": cause_name(&ENGLISH, one.cause),
        "chance": one.chance,
        "first_step": first_step(&ENGLISH, one.cause, &ENGLISH.quarter_wavelength_long()),
        "effort": one.cause.effort().word(),
    }

    /// A test.
    TestRow(report: DiagnoseReport<'a>, next: NextTest) {
        "test": sentence(&ENGLISH, next.test, &ENGLISH.quarter_wavelength_long()),
        // For the column `note` beside what is then read; null where nothing is changed.
        "note": next.test.note(),
        // The other devices to read, if it is they that are read.
        "devices": next.sensors.iter().filter_map(|number| Some(&report.device(*number)?.id))
            .collect::<Vec<_>>(),
        // Expected information about the cause.
        "bits": next.bits,
        "minutes": next.test.minutes(),
        "effort": next.test.effort().word(),
        "outcomes": rows(&next.bands, OutcomeRow),
    }

    /// An outcome of a test, with each cause's chance after it, the likeliest first.
    OutcomeRow(band: Outcome) {
        "outcome": band.outcome,
        "chance": band.chance,
        "causes": rows(&band.causes, ShareRow),
    }

    /// A cause after an outcome.
    ShareRow(share: (Cause, f64)) {
        "cause": cause_name(&ENGLISH, share.0),
        "chance": share.1,
    }
}
