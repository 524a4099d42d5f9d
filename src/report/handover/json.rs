//! A hand-over in JSON.

use serde::{Serialize, Serializer};

use super::report::HandoverReport;
use super::term::term;
use super::words::{cautions, reminders};
use crate::check::json::{PanelRow, RoamRow};
use crate::json::{members, object, rows};
use forecast::DeviceResult;
use job::schedule::{EntryDelay, PanelDelays, Requirement, TestRow, Zone};
use words::Words;

impl Serialize for HandoverReport {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let zones = self.zones.iter().map(|zone| ZoneRow { report: self, zone });
        let others = self.others.iter().map(|result| OtherRow { report: self, result });
        let requirements = self.requirements.iter().map(|(required, needed_ah)| RequirementRow {
            words: &self.words,
            required,
            needed_ah: *needed_ah,
        });
        members!(to;
            "plan": self.plan.name,
            "date": self.date,
            "model": self.model,
            "panel": PanelRow(&self.panel),
            "panel_name": self.panel.name,
            "panel_level": self.level(&self.panel),
            "zones": zones.collect::<Vec<_>>(),
            "others": others.collect::<Vec<_>>(),
            "portables": rows(&self.portables, RoamRow),
            "numbered": self.numbered,
            "free_numbers": self.free_numbers,
            "delays": DelaysRow(&self.delays),
            "battery": self.battery,
            "requirements": requirements.collect::<Vec<_>>(),
            "tests": rows(&self.tests, TestSheetRow),
            "warnings": self.warnings,
            "reminders": reminders(&self.words),
            "cautions": cautions(&self.words),
        )
    }
}

/// One zone.
pub(super) struct ZoneRow<'a> {
    pub(super) report: &'a HandoverReport,
    pub(super) zone: &'a Zone,
}

impl Serialize for ZoneRow<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let (zone, result) = (self.zone, &self.zone.result);
        members!(to;
            "number": result.device.number,
            "id": result.device.id,
            "name": result.device.name,
            "level": self.report.level(&result.device),
            "room": result.device.room,
            "device": result.device.device,
            "role": zone.role,
            // Whether the role is proposed and not the plan's.
            "role_is_proposed": zone.role_is_proposed,
            "response": zone.response,
            "supervised": result.device.supervised,
            "active": zone.active,
            "entry_delay_s": zone.entry_delay_s,
            "link": result.link.name,
            "margin_db": result.hop.ledger.margin_db,
            "fault_per_year": result.fault_per_year,
            "finding": result.finding,
            "via": result.via,
        )
    }
}

/// A device that is no sensor.
struct OtherRow<'a> {
    report: &'a HandoverReport,
    result: &'a DeviceResult,
}

impl Serialize for OtherRow<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let result = self.result;
        members!(to;
            "number": result.device.number,
            "id": result.device.id,
            "name": result.device.name,
            "level": self.report.level(&result.device),
            "room": result.device.room,
            "kind": result.device.kind.word(),
            "supervised": result.device.supervised,
            "link": result.link.name,
            "margin_db": result.hop.ledger.margin_db,
            "fault_per_year": result.fault_per_year,
            "finding": result.finding,
            "via": result.via,
        )
    }
}

object! {
    /// Walks and delays.
    DelaysRow(delays: PanelDelays) {
        // To set: the longest; null without a walk.
        "entry_s": delays.entry_s,
        // To set: never less than that.
        "exit_s": delays.exit_s,
        "entries": rows(&delays.entries, EntryRow),
        // Entries from which the panel cannot be reached.
        "unreached": rows(&delays.unreached, |one| &one.entry),
        "entry_limits_s": [delays.limits.limits.entry_least_s, delays.limits.limits.entry_most_s],
        "exit_limits_s": [delays.limits.limits.exit_least_s, delays.limits.limits.exit_most_s],
        "source": PanelDelays::source(),
    }
}

object! {
    /// The walk from one entry and the delay of this entry.
    EntryRow(one: EntryDelay) {
        "entry": one.walk.entry,
        "length_m": one.walk.length_m,
        "walk_s": one.walk.time_s,
        "needed_s": one.delay.needed_s,
        "entry_delay_s": one.delay.proposed_s,
    }
}

/// One published requirement.
struct RequirementRow<'a> {
    words: &'a Words,
    required: &'a Requirement,
    needed_ah: Option<f64>,
}

impl Serialize for RequirementRow<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let required = self.required;
        members!(to;
            "document": required.document,
            "for_what": term(self.words, "code", required.code),
            "standby_h": required.standby_h,
            "alarm_min": required.alarm_min,
            "factor": required.factor,
            "needed_ah": self.needed_ah,
            "source": term(self.words, "source", required.code),
        )
    }
}

object! {
    /// One device on the test sheet; nine readings in ten lie between low and high.
    TestSheetRow(row: TestRow) {
        "number": row.result.device.number,
        "id": row.result.device.id,
        "name": row.result.device.name,
        // The repeater where the reading is taken; null for the panel.
        "at": row.result.via,
        "expected_dbm": row.expected.level,
        "low_dbm": row.expected.low,
        "high_dbm": row.expected.high,
        "finding": row.result.finding,
    }
}
