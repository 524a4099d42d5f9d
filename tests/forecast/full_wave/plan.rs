//! A house as the text of a floor plan.

use serde_json::{Value, json};

use super::house::{Build, House};

impl House {
    /// The plan of the house as `GeoJSON`, with one panel and one sensor. Walls reach from floor to
    /// ceiling, and so do doors and windows: the solver knows no height.
    pub fn plan_text(&self, panel: [f64; 2], sensor: [f64; 2]) -> String {
        let mut features = Vec::new();
        for wall in &self.walls {
            features.push(line("wall", [wall.a, wall.b], wall.build, json!({})));
        }
        for (wall, opening) in
            self.walls.iter().flat_map(|w| w.openings.iter().map(move |o| (w, o)))
        {
            let ends = [wall.point(opening.from), wall.point(opening.to)];
            let open = opening.build == Build::Open;
            let leaf = if open { Build::Leaf } else { opening.build };
            features.push(line(
                "opening",
                ends,
                leaf,
                json!({ "state": if open { "open" } else { "closed" } }),
            ));
        }
        for (kind, position) in [("panel", panel), ("sensor", sensor)] {
            features.push(json!({
                "type": "Feature",
                "properties": { "kind": kind, "level": 0, "height": 1.2 },
                "geometry": { "type": "Point", "coordinates": position },
            }));
        }
        let constructions: serde_json::Map<String, Value> = Build::SOLID
            .iter()
            .map(|build| {
                let layers: Vec<Value> = build
                    .sheets()
                    .iter()
                    .map(|&(material, mm)| json!({ "material": material.unwrap_or("air"), "thickness_mm": mm }))
                    .collect();
                (build.name().to_owned(), json!({ "layers": layers }))
            })
            .collect();
        json!({
            "type": "FeatureCollection",
            "units": "m",
            "constructions": constructions,
            "features": features,
        })
        .to_string()
    }
}

fn line(kind: &str, ends: [[f64; 2]; 2], build: Build, more: Value) -> Value {
    let mut properties = json!({ "kind": kind, "level": 0, "construction": build.name() });
    if let (Some(properties), Value::Object(more)) = (properties.as_object_mut(), more) {
        properties.extend(more);
    }
    json!({
        "type": "Feature",
        "properties": properties,
        "geometry": { "type": "LineString", "coordinates": ends },
    })
}
