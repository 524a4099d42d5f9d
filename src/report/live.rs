//! The forecast as the live page says it: the finding line on top, and each device in words.

use serde_json::{Value, json};

use crate::check::{CheckReport, heaviest};
use crate::json::rounded;
use crate::table::{margin_words, numbered, works_in};
use forecast::{DeviceResult, Finding, Site, finding_margins};
use units::Chance;

/// What people read of a forecast: `line`, the count of each finding; `worst`, the device most
/// likely to fail; for each device id in `devices` its `chance` of a supervision fault in a year,
/// its `reserve` and `why`, what costs most on its way; for each roam area id in `roams` the share
/// in which it works; and in `thresholds` the reserves of a clear path at which the finding
/// changes.
#[must_use]
pub fn live_words(report: &CheckReport, site: &Site<'_>) -> Value {
    let count = |finding| report.rows().filter(|row| row.finding == finding).count();
    let [sound, thin, failing] = [Finding::Sound, Finding::Thin, Finding::Failing].map(count);
    let worst = report.rows().min_by(|a, b| {
        let margin = |row: &DeviceResult| row.hop.ledger.margin_db.0;
        let by_chance = b.fault_per_year.total_cmp(&a.fault_per_year);
        by_chance.then(margin(a).total_cmp(&margin(b)))
    });
    let reserve = |row: &DeviceResult| margin_words(row.hop.ledger.margin_db.0);
    let device = |row: &DeviceResult| {
        let words = json!({
            "chance": Chance(row.fault_per_year).to_string(),
            "reserve": reserve(row),
            "why": heaviest(site, row),
        });
        (row.device.id.clone(), words)
    };
    let roams = report.forecast.roams.iter().map(|roam| {
        (roam.roam.id.clone(), Value::from(works_in("works in", roam, report.lengths)))
    });
    json!({
        "line": format!("{sound} sound, {thin} thin, {failing} failing"),
        "worst": worst.map(|row| format!("{}, {}", numbered(&row.device), reserve(row))),
        "devices": report.rows().map(device).collect::<serde_json::Map<_, _>>(),
        "roams": roams.collect::<serde_json::Map<_, _>>(),
        "thresholds": finding_margins(site).ok().map(|(failing_below, sound_from)| json!({
            "failing_below_db": rounded(failing_below.0),
            "sound_from_db": rounded(sound_from.0),
        })),
    })
}
