//! The forecast as the live page says it: the finding line on top, and each device in words.

use serde_json::{Value, json};

use crate::check::{CheckReport, heaviest};
use crate::json::rounded;
use crate::table::{margin_words, numbered, works_in};
use forecast::{DeviceResult, Finding, Site, finding_margins};
use words::{Language, Words};

/// What people read of a forecast, in each language: `line`, the count of each finding; `worst`,
/// the device most likely to fail; for each device id in `devices` its `chance` of a supervision
/// fault in a year, its `reserve` and `why`, what costs most on its way; for each roam area id in
/// `roams` the share in which it works; and in `thresholds` the reserves of a clear path at which
/// the finding changes.
#[must_use]
pub fn live_words(report: &CheckReport, site: &Site<'_>, languages: &[Language]) -> Vec<Value> {
    let whys: Vec<Option<String>> = report.rows().map(|row| heaviest(site, row)).collect();
    let thresholds = finding_margins(site).ok().map(|(failing_below, sound_from)| {
        json!({
            "failing_below_db": rounded(failing_below.0),
            "sound_from_db": rounded(sound_from.0),
        })
    });
    let said = |language: &Language| {
        let mut said = in_words(report, &whys, &Words { language: *language });
        said["thresholds"] = json!(thresholds);
        said
    };
    languages.iter().map(said).collect()
}

fn in_words(report: &CheckReport, whys: &[Option<String>], words: &Words) -> Value {
    let count = |finding| report.rows().filter(|row| row.finding == finding).count();
    let [sound, thin, failing] =
        [Finding::Sound, Finding::Thin, Finding::Failing].map(|it| count(it).to_string());
    let worst = report.rows().min_by(|a, b| {
        let margin = |row: &DeviceResult| row.hop.ledger.margin_db.0;
        let by_chance = b.fault_per_year.total_cmp(&a.fault_per_year);
        by_chance.then(margin(a).total_cmp(&margin(b)))
    });
    let reserve = |row: &DeviceResult| margin_words(words, row.hop.ledger.margin_db.0);
    let device = |(row, why): (&DeviceResult, &Option<String>)| {
        let said = json!({
            "chance": words.chance(row.fault_per_year),
            "reserve": reserve(row),
            "why": why.clone().unwrap_or_else(|| words.way_clear()),
        });
        (row.device.id.clone(), said)
    };
    let roams = report.forecast.roams.iter().map(|roam| {
        (roam.roam.id.clone(), Value::from(works_in(words, false, roam, report.lengths)))
    });
    json!({
        "line": words.handover_state_counts(&sound, &thin, &failing),
        "worst": worst.map(|row| format!("{}, {}", numbered(&row.device), reserve(row))),
        "devices": report.rows().zip(whys).map(device).collect::<serde_json::Map<_, _>>(),
        "roams": roams.collect::<serde_json::Map<_, _>>(),
    })
}
