//! The forecast of every device: `check`, as JSON, as CSV, as `GeoJSON` with a point for every
//! device and a line for the way that its message takes, and as a table for the terminal.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use geojson::GeometryValue;
use serde_json::json;

use crate::csv;
use crate::geojson::{collection, feature};
use crate::json::{as_json, objects, position, rounded, rows, value};
use crate::settings::Settings;
use crate::table::{
    caution_lines, cautions, fitted, fixed, notes, optional, table, tenths, via, works_in,
};
use crate::whereabouts::place_words;
use forecast::{Assessment, Crossing, DeviceResult, Finding, RoamResult, Site, way_of};
use plan::Device;
use units::{Chance, Lengths};
use words::Words;

/// One run of `check`.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// Name of the plan.
    pub(crate) plan: String,
    pub(crate) model: Settings,
    pub(crate) panel: Device,
    /// Where the panel is, in words.
    pub(crate) panel_place: String,
    pub(crate) lengths: Lengths,
    /// What is forecast.
    pub forecast: Assessment,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

impl CheckReport {
    /// The report of a forecast.
    #[must_use]
    pub fn new(site: &Site<'_>, assessment: &Assessment, warnings: Vec<String>) -> Self {
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            panel: site.panel.device.clone(),
            panel_place: place_words(&Words::default(), site.plan, &site.panel.device),
            lengths: site.plan.lengths(),
            forecast: assessment.clone(),
            warnings,
        }
    }

    as_json!(CheckRow, "model");

    /// Sensors and two-way devices.
    pub fn rows(&self) -> impl Iterator<Item = &DeviceResult> {
        self.forecast.sensors.iter().chain(&self.forecast.two_way)
    }
}

objects! {
    /// The whole report.
    CheckRow(report: CheckReport) {
        "plan": report.plan,
        "model": report.model,
        "panel": PanelRow(&report.panel),
        "sensors": rows(&report.forecast.sensors, DeviceRow),
        "devices": rows(&report.forecast.two_way, DeviceRow),
        "roams": rows(&report.forecast.roams, RoamRow),
        "warnings": report.warnings,
        "cautions": cautions(&Words::default()),
    }

    /// The panel.
    PanelRow(panel: Device) {
        "id": panel.id,
        "position_m": position(panel),
    }

    /// One wall or floor on the direct path.
    CrossingRow(crossing: Crossing) {
        "feature": crossing.feature,
        "construction": crossing.construction,
        "incidence_deg": crossing.incidence_deg,
        "slab_db": crossing.slab,
        "excess_db": crossing.excess,
        "loss_db": crossing.slab + crossing.excess,
    }

    /// One device, with the hop that it takes.
    DeviceRow(result: DeviceResult) {
        "id": result.device.id,
        "name": result.device.name,
        "room": result.device.room,
        "number": result.device.number,
        "kind": result.device.kind.word(),
        "role": result.device.role,
        "supervised": result.device.supervised,
        "link": result.link.name,
        "frequency_mhz": result.link.frequency.mhz(),
        "position_m": position(&result.device),
        "distance_m": result.hop.distance,
        "free_space_db": result.hop.free_space,
        // From the panel or repeater to the device.
        "crossings": rows(&result.hop.crossings, CrossingRow),
        "direct_loss_db": result.hop.direct_loss,
        "path_loss_db": result.hop.path_loss,
        "eirp_dbm": result.hop.ledger.eirp_dbm,
        "antenna_gain_db": result.hop.ledger.antenna_gain_db,
        "mount_loss_db": result.hop.ledger.mount_loss_db,
        if result.hop.ledger.aerial_loss_db.0 != 0.0 =>
            "aerial_loss_db": result.hop.ledger.aerial_loss_db,
        "site_offset_db": result.hop.ledger.site_offset_db,
        if rounded(result.hop.ledger.calibrated_loss_db.0) != 0.0 =>
            "calibrated_loss_db": result.hop.ledger.calibrated_loss_db,
        // The direction that these hold for: of two-way devices the worse.
        "direction": result.hop.ledger.direction,
        "received_dbm": result.hop.ledger.received_dbm,
        "level_needed_dbm": result.hop.ledger.level_needed_dbm,
        "margin_db": result.hop.ledger.margin_db,
        "margin_p10_db": result.hop.margin_p10,
        "sigma_db": result.hop.sigma,
        // On the whole way to the panel.
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        // The share of alarm messages that arrive at the first try.
        "first_try": result.first_try,
        // Null for the panel.
        "via": result.via,
    }

    /// How a device stands, in short.
    StateRow(result: DeviceResult) {
        "id": result.device.id,
        "name": result.device.name,
        "number": result.device.number,
        "margin_db": result.hop.ledger.margin_db,
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        "via": result.via,
    }

    /// One roam area.
    RoamRow(result: RoamResult) {
        "id": result.roam.id,
        "name": result.roam.name,
        "link": result.link.name,
        "worn": result.roam.worn,
        "area_m2": result.area_m2,
        "share": result.share,
    }
}

const CSV_COLUMNS: &str = concat!(
    "id number name kind role link via distance_m crossings free_space_db direct_loss_db ",
    "path_loss_db received_dbm level_needed_dbm margin_db margin_p10_db fault_per_year ",
    "finding supervised room",
);

/// The forecast as CSV with a header line.
#[must_use]
pub fn check_csv(report: &CheckReport) -> String {
    csv::written(CSV_COLUMNS, report.rows().map(|row| value(&DeviceRow(row))))
}

/// The forecast as a `GeoJSON` feature collection in the plan's local frame, metres.
#[must_use]
pub fn check_geojson(report: &CheckReport) -> String {
    let listeners: BTreeMap<&str, [f64; 3]> =
        report.rows().map(|row| (row.device.id.as_str(), position(&row.device))).collect();
    let panel = position(&report.panel);
    let mut features =
        vec![feature(&report.panel.id, GeometryValue::new_point(panel), &json!({"kind": "panel"}))];
    for row in report.rows() {
        let (id, at) = (&row.device.id, position(&row.device));
        features.push(feature(id, GeometryValue::new_point(at), &value(&DeviceRow(row))));
        let heard_at = row.via.as_deref().and_then(|via| listeners.get(via).copied());
        let hop = json!({
            "kind": "hop",
            "device": id,
            "margin_db": rounded(row.hop.ledger.margin_db.0),
            "finding": row.finding.word(),
        });
        let line = GeometryValue::new_line_string([heard_at.unwrap_or(panel), at]);
        features.push(feature(&format!("{id}-hop"), line, &hop));
    }
    collection(features)
}

/// What costs most on the way that carries most of a device's power, for the column that says why.
/// Nothing where the way is clear.
pub(crate) fn heaviest(site: &Site<'_>, row: &DeviceResult) -> Option<String> {
    let way = way_of(site, row)?;
    let (wall, loss) = way.heaviest()?;
    Some(format!("{} {} dB", wall.feature, fixed(loss.0, 0)))
}

/// A column of the table: its head, with the digit by which it goes where there is no room (see
/// [`table`]); whether it holds numbers; its cells.
struct Column(&'static str, bool, fn(&Site<'_>, &DeviceResult) -> String);

/// The column that is shown where some device's room is known.
const ROOM: &str = "room:7";

/// The column that is kept where messages go over repeaters.
const VIA: &str = "via:5";

const COLUMNS: [Column; 13] = [
    Column("no", true, |_, row| optional(row.device.number)),
    Column("name", false, |_, row| row.device.name.clone()),
    Column(ROOM, false, |_, row| optional(row.device.room.as_ref())),
    Column("fault/year", true, |_, row| Chance(row.fault_per_year).to_string()),
    Column("first try:2", true, |_, row| Chance(row.first_try).percent()),
    Column("finding", false, |_, row| row.finding.mark()),
    Column("reserve dB", true, |_, row| tenths(row.hop.ledger.margin_db.0)),
    Column("9 in 10 dB:3", true, |_, row| tenths(row.hop.margin_p10.0)),
    Column(VIA, false, |_, row| via(row.via.as_ref())),
    Column("heaviest wall:4", false, |site, row| {
        heaviest(site, row).unwrap_or_else(|| Words::default().way_clear())
    }),
    Column("far:8", true, |site, row| site.plan.lengths().run(row.hop.distance.0).to_string()),
    Column("loss dB:6", true, |_, row| tenths(row.hop.path_loss.0)),
    Column("level dBm:6", true, |_, row| tenths(row.hop.ledger.received_dbm.0)),
];

/// The table of a site's report, with the roam areas, the doubts and the cautions below it. `width`
/// is the terminal's, if it is one: columns that find no room there are left out, the least needed
/// first.
#[must_use]
pub fn check_table(report: &CheckReport, site: &Site<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let model = &report.model;
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel: {}",
        report.plan, model.link, model.frequency_mhz, report.panel_place
    );
    text.push_str(&model.calibration_line());
    let no_rooms = report.rows().all(|row| row.device.room.is_none());
    let columns: Vec<&Column> =
        COLUMNS.iter().filter(|column| column.0 != ROOM || !no_rooms).collect();
    let right: Vec<usize> = (0..columns.len()).filter(|number| columns[*number].1).collect();
    let cells = |row| columns.iter().map(move |column| (column.2)(site, row));
    let over_repeaters = report.rows().any(|row| row.via.is_some());
    let head = |column: &&Column| if column.0 == VIA && over_repeaters { "via" } else { column.0 };
    let heads: Vec<&str> = columns.iter().map(head).collect();
    let rows = report.rows().map(|row| cells(row).collect::<Vec<_>>());
    let _ = writeln!(text, "\n{}", table(width, &heads.join("|"), &right, rows));
    summary(report, &mut text);
    fitted(text, width)
}

fn summary(report: &CheckReport, text: &mut String) {
    let count = |finding| report.rows().filter(|row| row.finding == finding).count();
    let _ = writeln!(
        text,
        "\n{} sound, {} thin, {} failing.",
        count(Finding::Sound),
        count(Finding::Thin),
        count(Finding::Failing)
    );
    for result in &report.forecast.roams {
        let worn = if result.roam.worn { ", worn" } else { "" };
        let _ = writeln!(
            text,
            "{} ({}{worn}): {}.",
            result.roam.name,
            result.link.name,
            works_in(&Words::default(), false, result, report.lengths)
        );
    }
    notes(&report.warnings, text);
    text.push('\n');
    caution_lines(&Words::default(), text);
}
