//! What is programmed and tested: zones, numbers, delays, battery, test sheet, and the command.

mod battery;
mod concerns;
mod delays;
mod document;
mod files;
mod numbers;
mod program;
mod roles;
mod sheet;
mod sheets;
mod write_back;

use fixtures::{plan_of as plan, plan_texts as shipped};

/// A house of one room with a front door that is an entry, a back door that is none, a window and a
/// panel, and the sensors given: id, x, y and more properties.
fn house(sensors: &[(&str, f64, f64, &str)]) -> String {
    let mut features = vec![
        r#"{"type":"Feature","id":"shell","properties":{"kind":"wall","construction":"brick-cavity"},"geometry":{"type":"LineString","coordinates":[[0,0],[10,0],[10,8],[0,8],[0,0]]}}"#.to_owned(),
        r#"{"type":"Feature","id":"front-door","properties":{"kind":"opening","construction":"door-solid","base":0,"top":2.0,"entry":true},"geometry":{"type":"LineString","coordinates":[[4,0],[5,0]]}}"#.to_owned(),
        r#"{"type":"Feature","id":"back-door","properties":{"kind":"opening","construction":"door-solid","base":0,"top":2.0},"geometry":{"type":"LineString","coordinates":[[4,8],[5,8]]}}"#.to_owned(),
        r#"{"type":"Feature","id":"window","properties":{"kind":"opening","construction":"glass-double","base":1.0,"top":2.0},"geometry":{"type":"LineString","coordinates":[[10,3],[10,5]]}}"#.to_owned(),
        r#"{"type":"Feature","id":"panel","properties":{"kind":"panel","name":"Panel"},"geometry":{"type":"Point","coordinates":[0.2,4]}}"#.to_owned(),
    ];
    for (id, x, y, more) in sensors {
        let kind = if more.contains("\"kind\"") {
            String::new()
        } else {
            let comma = if more.is_empty() { "" } else { "," };
            format!("\"kind\":\"sensor\"{comma}")
        };
        features.push(format!(
            r#"{{"type":"Feature","id":"{id}","properties":{{{kind}{more}}},"geometry":{{"type":"Point","coordinates":[{x},{y}]}}}}"#
        ));
    }
    format!(
        "{{\"type\":\"FeatureCollection\",\"name\":\"House\",\"units\":\"m\",\"features\":[\n{}\n]}}\n",
        features.join(",\n")
    )
}
