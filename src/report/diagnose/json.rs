//! The parts of a diagnosis in JSON.

use serde::{Serialize, Serializer};

use super::report::DiagnoseReport;
use crate::CAUTIONS;
use crate::check::json::PanelRow;
use crate::json::{members, object, position, rows};
use crate::settings::Settings;
use diagnose::cause::{Cause, CauseChance, NextTest, Outcome, SensorCauses};
use diagnose::readings::UnusedNote;
use diagnose::{ConstructionEstimate, DeviceEstimate, DeviceForecast, Estimate, Tally};
use plan::Device;

impl Serialize for DiagnoseReport<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let calibration = self.calibration;
        members!(to;
            "plan": self.site.plan.name,
            "model": Settings::new(self.site),
            "panel": PanelRow(&self.site.panel.device),
            "readings": ReadingsRow(self),
            // Mean loss of the site that no wall explains.
            "site_offset_db": ChangeRow(&calibration.site_before, &calibration.site_after),
            // What each construction in use seems to lose in this house.
            "constructions": rows(&calibration.constructions, ConstructionRow),
            // Every device but the panel, in plan order.
            "devices": self.devices().map(|(device, one)| DiagnosedRow(device, one)).collect::<Vec<_>>(),
            "causes": self.causes()
                .map(|(device, causes)| CausesRow(self, device, causes))
                .collect::<Vec<_>>(),
            "warnings": self.warnings,
            "cautions": CAUTIONS,
        )
    }
}

object! {
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
}

object! {
    /// A row that is wrong or doubtful: its line from 1, 0 for the whole file, and its column, null
    /// for the whole row.
    RowFaultRow(fault: plan::Diagnostic) {
        "line": fault.line,
        "column": fault.feature,
        "what": fault.what,
        "mend": fault.mend,
    }
}

object! {
    /// A note of which nothing, or not all, was understood.
    NoteRow(note: UnusedNote) {
        "line": note.line,
        "note": note.text,
    }
}

object! {
    /// A mean with its standard deviation.
    EstimateRow(one: Estimate) {
        "mean": one.mean,
        "sigma": one.sigma,
    }
}

object! {
    /// Something before the readings and after them.
    ChangeRow(before: Estimate, after: Estimate) {
        "before": EstimateRow(before),
        "after": EstimateRow(after),
    }
}

object! {
    /// One construction: its loss at normal incidence, and the factor on it.
    ConstructionRow(one: ConstructionEstimate) {
        "construction": one.name,
        "loss_db": ChangeRow(&one.loss_before(), &one.loss_after()),
        "scale": ChangeRow(&one.scale_before, &one.scale_after),
    }
}

object! {
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
}

object! {
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
}

object! {
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
    }
}

object! {
    /// What may be the matter with one device.
    CausesRow(report: DiagnoseReport<'a>, device: Device, causes: SensorCauses) {
        "id": device.id,
        "name": device.name,
        "number": device.number,
        // The likeliest first; chances add to one.
        "causes": rows(&causes.causes, CauseRow),
        // Sets of causes.
        "not_told_apart": rows(&causes.undistinguished, |set| rows(set, |cause| cause.name())),
        "quarter_wavelength_m": report.quarter_wavelength_m(device),
        // The one that tells most first.
        "next_tests": rows(&causes.next_tests, |next| TestRow(report, next)),
    }
}

object! {
    /// A cause.
    CauseRow(one: CauseChance) {
        "cause": one.cause.name(),
        "chance": one.chance,
        "first_step": one.cause.first_step(),
    }
}

object! {
    /// A test.
    TestRow(report: DiagnoseReport<'a>, next: NextTest) {
        "test": next.test.sentence(),
        // For the column `note` beside what is then read; null where nothing is changed.
        "note": next.test.note(),
        // The other devices to read, if it is they that are read.
        "devices": next.sensors.iter().filter_map(|number| Some(&report.device(*number)?.id))
            .collect::<Vec<_>>(),
        // Expected information about the cause.
        "bits": next.bits,
        "minutes": next.test.minutes(),
        "outcomes": rows(&next.bands, OutcomeRow),
    }
}

object! {
    /// An outcome of a test, with each cause's chance after it, the likeliest first.
    OutcomeRow(band: Outcome) {
        "outcome": band.outcome,
        "chance": band.chance,
        "causes": rows(&band.causes, ShareRow),
    }
}

object! {
    /// A cause after an outcome.
    ShareRow(share: (Cause, f64)) {
        "cause": share.0.name(),
        "chance": share.1,
    }
}
