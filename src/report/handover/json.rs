//! A hand-over in JSON.

use serde::{Serialize, Serializer};

use super::report::HandoverReport;
use super::term::term;
use super::words::{cautions, reminders};
use crate::check::json::{PanelRow, RoamRow};
use crate::json::{members, object, rows};
use forecast::DeviceResult;
use job::schedule::{EntryDelay, PanelDelays, Requirement, TestRow, Zone};
use siting::delay::DelayLimits;
use words::Words;

impl Serialize for HandoverReport {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        members!(to;
            "plan": self.plan.name,
            "date": self.date,
            "model": self.model,
            "panel": PanelRow(&self.panel),
            "panel_name": self.panel.name,
            "panel_level": self.level(&self.panel),
            "zones": rows(&self.zones, |zone| ZoneRow(self, zone)),
            "others": rows(&self.others, |result| OtherRow(self, result)),
            "portables": rows(&self.portables, RoamRow),
            "numbered": self.numbered,
            "free_numbers": self.free_numbers,
            "delays": DelaysRow(&self.delays),
            "battery": self.battery,
            "requirements": rows(&self.requirements, |one| RequirementRow(&self.words, one)),
            "tests": rows(&self.tests, TestSheetRow),
            "warnings": self.warnings,
            "reminders": reminders(&self.words),
            "cautions": cautions(&self.words),
        )
    }
}

object! {
    /// One zone.
    ZoneRow(report: HandoverReport, zone: Zone) {
        "number": zone.result.device.number,
        "id": zone.result.device.id,
        "name": zone.result.device.name,
        "level": report.level(&zone.result.device),
        "room": zone.result.device.room,
        "device": zone.result.device.device,
        "role": zone.role,
        // Whether the role is proposed and not the plan's.
        "role_is_proposed": zone.role_is_proposed,
        "response": zone.response,
        "supervised": zone.result.device.supervised,
        "active": zone.active,
        "entry_delay_s": zone.entry_delay_s,
        "link": zone.result.link.name,
        "margin_db": zone.result.hop.ledger.margin_db,
        "fault_per_year": zone.result.fault_per_year,
        "finding": zone.result.finding,
        "via": zone.result.via,
    }
}

object! {
    /// A device that is no sensor.
    OtherRow(report: HandoverReport, result: DeviceResult) {
        "number": result.device.number,
        "id": result.device.id,
        "name": result.device.name,
        "level": report.level(&result.device),
        "room": result.device.room,
        "kind": result.device.kind.word(),
        "supervised": result.device.supervised,
        "link": result.link.name,
        "margin_db": result.hop.ledger.margin_db,
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        "via": result.via,
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
        "source": DelayLimits::SOURCE,
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

object! {
    /// One published requirement, with the capacity that it asks for.
    RequirementRow(words: Words, required: (Requirement, Option<f64>)) {
        "document": required.0.document,
        "for_what": term(words, "code", required.0.code),
        "standby_h": required.0.standby_h,
        "alarm_min": required.0.alarm_min,
        "factor": required.0.factor,
        "needed_ah": required.1,
        "source": term(words, "source", required.0.code),
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
