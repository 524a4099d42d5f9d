//! A search for the panel's spot as CSV, one row a spot, and as `GeoJSON`.

use geojson::{Feature, FeatureCollection, GeometryValue, JsonValue};

use super::geojson::{feature, object};
use super::place::{PlaceReport, SpotRow};

const HEADER: [&str; 25] = [
    "spot",
    "rank",
    "level",
    "wall",
    "x_m",
    "y_m",
    "z_m",
    "keeps_all",
    "unbeaten",
    "any_fault_per_year",
    "not_sound",
    "failing",
    "worst_device",
    "worst_margin_db",
    "least_roam_share",
    "walk_from",
    "walk_m",
    "walk_s",
    "entry_delay_s",
    "exit_delay_s",
    "outlet",
    "wire_m",
    "cable_m",
    "gauge",
    "volts_at_panel",
];

/// All spots as CSV with a header line, best first.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn place_csv(report: &PlaceReport) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for row in &report.all {
        writer.write_record(cells(row))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cells(row: &SpotRow) -> [String; HEADER.len()] {
    let worst = row.worst.as_ref();
    let walk = row.walk.as_ref();
    let wire = row.wire.as_ref();
    let shares = row.roams.iter().map(|roam| roam.share);
    let least = shares.min_by(f64::total_cmp);
    let number = |value: Option<f64>| value.map(|v| v.to_string()).unwrap_or_default();
    let [x, y, z] = row.position_m;
    [
        row.spot.map(|spot| spot.to_string()).unwrap_or_default(),
        row.rank.to_string(),
        row.level.to_string(),
        row.wall.clone().unwrap_or_default(),
        x.to_string(),
        y.to_string(),
        z.to_string(),
        row.keeps_all.to_string(),
        row.unbeaten.to_string(),
        row.any_fault_per_year.to_string(),
        row.not_sound.to_string(),
        row.failing.to_string(),
        worst.map(|w| w.id.clone()).unwrap_or_default(),
        number(worst.map(|w| w.margin_db)),
        number(least),
        walk.map(|w| w.entry.clone()).unwrap_or_default(),
        number(walk.map(|w| w.length_m)),
        number(walk.map(|w| w.time_s)),
        number(walk.map(|w| w.entry_delay_s)),
        number(walk.map(|w| w.exit_delay_s)),
        wire.map(|w| w.outlet.clone()).unwrap_or_default(),
        number(wire.map(|w| w.length_m)),
        number(wire.map(|w| w.cable_m)),
        wire.and_then(|w| w.gauge.clone()).unwrap_or_default(),
        number(wire.map(|w| w.volts_at_panel)),
    ]
}

/// The spots as a `GeoJSON` feature collection in the plan's local frame, metres: a point for every
/// spot and every place left out, and for those offered the walk and the wire as lines.
///
/// # Errors
/// What `serde_json` answers; a report holds nothing that it refuses.
pub fn place_geojson(report: &PlaceReport) -> Result<String, serde_json::Error> {
    let mut features = Vec::new();
    for row in &report.best {
        features.push(spot(row, "offered")?);
        features.extend(lines(row));
    }
    for row in report.all.iter().filter(|row| row.spot.is_none()) {
        features.push(spot(row, "spot")?);
    }
    for (number, place) in report.left_out_places.iter().enumerate() {
        let properties = object(&[
            ("kind", "left-out".into()),
            ("level", place.level.into()),
            ("reason", place.reason.into()),
            ("feature", place.feature.clone().into()),
        ]);
        let point = GeometryValue::new_point(place.position_m);
        features.push(feature(&format!("left-out-{}", number + 1), point, properties));
    }
    let collection = FeatureCollection { bbox: None, features, foreign_members: None };
    super::pretty(&collection)
}

fn spot(row: &SpotRow, kind: &str) -> Result<Feature, serde_json::Error> {
    let mut properties = match serde_json::to_value(row)? {
        JsonValue::Object(properties) => properties,
        _ => object(&[]),
    };
    // The lines have features of their own.
    for (member, line) in [("walk", "line"), ("wire", "route")] {
        if let Some(JsonValue::Object(inner)) = properties.get_mut(member) {
            inner.remove(line);
        }
    }
    properties.insert("kind".to_owned(), kind.into());
    let id = format!("{kind}-{}", row.spot.unwrap_or(row.rank));
    Ok(feature(&id, GeometryValue::new_point(row.position_m), properties))
}

fn lines(row: &SpotRow) -> Vec<Feature> {
    let mut found = Vec::new();
    let of = |kind: &str, length_m: f64| {
        object(&[("kind", kind.into()), ("spot", row.spot.into()), ("length_m", length_m.into())])
    };
    if let Some(walk) = row.walk.as_ref().filter(|walk| walk.line.len() > 1) {
        let line: Vec<[f64; 2]> = walk.line.iter().map(|(_, p)| *p).collect();
        let line = GeometryValue::new_line_string(line);
        found.push(feature(
            &format!("walk-{}", row.spot.unwrap_or(row.rank)),
            line,
            of("walk", walk.length_m),
        ));
    }
    if let Some(wire) = row.wire.as_ref().filter(|wire| wire.route.len() > 1) {
        let line: Vec<[f64; 3]> = wire.route.iter().map(|(_, p)| *p).collect();
        let line = GeometryValue::new_line_string(line);
        found.push(feature(
            &format!("wire-{}", row.spot.unwrap_or(row.rank)),
            line,
            of("wire", wire.length_m),
        ));
    }
    found
}
