//! CSV and `GeoJSON` say what the JSON report says.

use geojson::{FeatureCollection, GeometryValue};
use serde_json::Value;

use super::PLANS;
use crate::run::{devices, number, numbers, on, report, text};

/// Checks that a cell of CSV says what a member of JSON says.
#[track_caller]
pub fn same_cell(column: &str, cell: &str, told: &Value) {
    match told {
        Value::Null => assert_eq!(cell, "", "{column}"),
        Value::String(word) => assert_eq!(cell, word, "{column}"),
        Value::Array(crossings) => assert_eq!(cell, crossings.len().to_string(), "{column}"),
        Value::Bool(truth) => assert_eq!(cell, truth.to_string(), "{column}"),
        _ => assert_eq!(cell.parse().ok(), told.as_f64(), "{column}"),
    }
}

#[test]
fn csv_has_the_same_numbers() {
    for plan in PLANS {
        let report = report(plan, &[]);
        let rows = on(plan, "check", &["--format", "csv"]).rows();
        assert_eq!(rows.len(), devices(&report).count());
        for (row, device) in rows.iter().zip(devices(&report)) {
            row.iter().for_each(|(column, cell)| same_cell(column, cell, &device[column]));
            let margin = row.iter().find(|(column, _)| column == "margin_db");
            let margin = margin.map(|(_, cell)| cell.clone());
            assert_eq!(margin, Some(number(device, "margin_db").to_string()));
        }
    }
}

#[test]
fn geojson_has_a_point_for_every_device() {
    for plan in PLANS {
        let report = report(plan, &[]);
        let printed = on(plan, "check", &["--format", "geojson"]).out;
        let collection: FeatureCollection = printed.parse().unwrap();
        let point = |id: &str| -> Vec<f64> {
            let feature = collection
                .features
                .iter()
                .find(|feature| feature.id == Some(geojson::feature::Id::String(id.to_owned())))
                .unwrap_or_else(|| panic!("no feature {id}"));
            match feature.geometry.as_ref().map(|geometry| &geometry.value) {
                Some(GeometryValue::Point { coordinates }) => coordinates.as_slice().to_vec(),
                other => panic!("{id} is {other:?}"),
            }
        };
        let place = |device: &Value| numbers(device, "position_m");
        assert_eq!(point(text(&report["panel"], "id")), place(&report["panel"]));
        for device in devices(&report) {
            assert_eq!(point(text(device, "id")), place(device));
        }
        // One more point for the panel, one line for every device's way to it.
        assert_eq!(collection.features.len(), 2 * devices(&report).count() + 1);
    }
}
