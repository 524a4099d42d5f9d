//! CSV and `GeoJSON` say what the JSON report says.

use geojson::{FeatureCollection, GeometryValue};
use serde_json::Value;

use super::{PLANS, check, list, number, report, text};

/// Sensors and two-way devices of a report.
fn devices(report: &Value) -> Vec<&Value> {
    list(report, "sensors").iter().chain(list(report, "devices")).collect()
}

#[test]
fn csv_has_the_same_numbers() {
    for plan in PLANS {
        let report = report(plan, &[]);
        let printed = check(plan, &["--format", "csv"]).out;
        let mut reader = csv::Reader::from_reader(printed.as_bytes());
        let header = reader.headers().expect("a header").clone();
        let rows: Vec<csv::StringRecord> =
            reader.records().collect::<Result<_, _>>().expect("rows");
        let devices = devices(&report);
        assert_eq!(rows.len(), devices.len());
        for (row, device) in rows.iter().zip(devices) {
            for (column, cell) in header.iter().zip(row) {
                let told = &device[column];
                match told {
                    Value::Null => assert_eq!(cell, "", "{column}"),
                    Value::String(word) => assert_eq!(cell, word, "{column}"),
                    Value::Array(crossings) => assert_eq!(cell, crossings.len().to_string()),
                    Value::Bool(truth) => assert_eq!(cell, truth.to_string()),
                    _ => {
                        let cell: f64 = cell.parse().expect("a number");
                        assert_eq!(Some(cell), told.as_f64(), "{column}");
                    }
                }
            }
            let margin = header.iter().position(|name| name == "margin_db");
            let margin = margin.and_then(|column| row.get(column));
            assert_eq!(margin, Some(&*number(device, "margin_db").to_string()));
        }
    }
}

#[test]
fn geojson_has_a_point_for_every_device() {
    for plan in PLANS {
        let report = report(plan, &[]);
        let printed = check(plan, &["--format", "geojson"]).out;
        let collection: FeatureCollection = printed.parse().expect("a feature collection");
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
        let place = |device: &Value| -> Vec<f64> {
            list(device, "position_m").iter().filter_map(Value::as_f64).collect()
        };
        assert_eq!(point(text(&report["panel"], "id")), place(&report["panel"]));
        let devices = devices(&report);
        for device in &devices {
            assert_eq!(point(text(device, "id")), place(device));
        }
        // One more point for the panel, one line for every device's way to it.
        assert_eq!(collection.features.len(), 2 * devices.len() + 1);
    }
}
