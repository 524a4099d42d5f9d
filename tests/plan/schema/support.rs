//! The schema in the validator, and a house with every kind of feature and every member.

use boon::{Compiler, SchemaIndex, Schemas};
use forecast::vocabulary;
use plan::read_house;
use plan::schema::plan_schema;
use serde_json::{Value, json};

/// The schema with the program's own names.
pub fn schema() -> Value {
    plan_schema(&vocabulary())
}

/// A schema that the validator has taken in; it checks it against its meta-schema first.
pub struct Judge {
    schemas: Schemas,
    index: SchemaIndex,
}

impl Judge {
    pub fn of(schema: Value) -> Self {
        let mut schemas = Schemas::new();
        let mut compiler = Compiler::new();
        let address = "urn:drillonce:plan";
        compiler.add_resource(address, schema).unwrap();
        let index =
            compiler.compile(address, &mut schemas).unwrap_or_else(|error| panic!("{error:#}"));
        Self { schemas, index }
    }

    pub fn new() -> Self {
        Self::of(schema())
    }

    /// What the schema has against a plan.
    pub fn verdict(&self, plan: &Value) -> Result<(), String> {
        self.schemas.validate(plan, self.index).map_err(|error| error.to_string())
    }
}

/// What the reader has against a plan.
pub fn reader_verdict(plan: &Value) -> Result<(), String> {
    let text = plan.to_string();
    match read_house("plan.geojson", text.as_bytes(), &vocabulary()) {
        Ok(_) => Ok(()),
        Err(faults) => Err(faults.iter().map(|fault| format!("{fault}\n")).collect::<String>()),
    }
}

/// Where a path leads in a plan: names and numbers between slashes, and under `features` an id. The
/// last part may be new.
pub fn spot<'v>(plan: &'v mut Value, path: &str) -> (&'v mut Value, String) {
    let (parent, last) = path.rsplit_once('/').unwrap_or(("", path));
    let mut here = plan;
    for part in parent.split('/').filter(|part| !part.is_empty()) {
        here = if let Value::Array(items) = here {
            let index =
                part.parse().ok().or_else(|| items.iter().position(|item| item["id"] == part));
            let index: usize = index.unwrap_or_else(|| panic!("no {part} in {path}"));
            &mut items[index]
        } else {
            here.get_mut(part).unwrap_or_else(|| panic!("no {part} in {path}"))
        };
    }
    (here, last.to_owned())
}

/// Puts a value at a path.
pub fn put(plan: &mut Value, path: &str, value: Value) {
    match spot(plan, path) {
        (Value::Array(items), last) => {
            let by_id = items.iter().position(|item| item["id"] == last.as_str());
            match last.parse().ok().or(by_id) {
                Some(index) if index < items.len() => items[index] = value,
                _ => items.push(value),
            }
        }
        (here, last) => here[last] = value,
    }
}

/// Takes out the member at a path.
pub fn take(plan: &mut Value, path: &str) {
    let (here, last) = spot(plan, path);
    here.as_object_mut().unwrap().remove(&last).unwrap();
}

/// A feature.
pub fn feature(id: &str, shape: &str, coordinates: Value, properties: Value) -> Value {
    json!({
        "type": "Feature",
        "id": id,
        "geometry": {"type": shape, "coordinates": coordinates},
        "properties": properties,
    })
}

/// A house of two levels with every kind of feature, nearly every property, and every top-level
/// member.
pub fn house() -> Value {
    let square = json!([[[1, 3], [2, 3], [2, 4], [1, 4], [1, 3]]]);
    let device = |kind: &str| {
        json!({
            "kind": kind, "level": 0, "height": 1.4, "name": "Thing", "room": "Hall",
            "role": "interior", "device": "contact", "link": "us-345", "mount": "wall",
            "aerial": "upright", "supervised": true,
        })
    };
    let mut repeater = device("repeater");
    repeater["capacity"] = json!(8);
    let mut sensor = device("sensor");
    sensor["number"] = json!(3);
    sensor["link"] = json!({"like": "us-345", "checkin_min": 20, "bursts": 4});
    let ring = json!([[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]);
    json!({
        "$schema": "plan.schema.json",
        "type": "FeatureCollection",
        "name": "House",
        "units": "m",
        "bbox": [0, 0, 10, 8],
        "levels": [
            {"level": 0, "name": "Ground", "floor": 0.0, "ceiling": 2.4},
            {"level": 1, "name": "Upstairs", "floor": 2.7, "ceiling": 5.1},
        ],
        "link": {"like": "eu-868.65", "sensitivity_dbm": -105.5},
        "constructions": {
            "board": {"layers": [
                {"material": "plasterboard", "thickness_mm": 12.5},
                {"sheet_resistance_ohm": 0.5},
            ], "name": "With foil"},
            "old": {"loss_db": {"868.3": 9.5, "319.5": 4}},
        },
        "calibration": {
            "panel": "panel", "panel_at": [1, 1], "level": 0, "height": 1.5,
            "site_offset_db": 7.9, "site_sigma_db": 1.5,
            "constructions": {"old": {"scale": 0.8, "sigma": 0.1}},
            "devices": {"sensor": {"loss_db": 3.1, "own_db": -1.2, "sigma_db": 2.2}},
        },
        "backdrop": {
            "file": "house-picture.png", "transform": [0.02, 0, -1, 0, -0.02, 9], "opacity": 0.4,
            "level": 0,
        },
        "features": [
            feature("wall", "LineString", ring.clone(), json!({
                "kind": "wall", "name": "Outside", "level": 0, "construction": "old",
                "thickness_mm": 240, "base": 0, "top": 2.7,
            })),
            feature("opening", "LineString", json!([[2, 0], [3, 0]]), json!({
                "kind": "opening", "name": "Front door", "level": 0, "construction": "board",
                "state": "open", "entry": true, "base": 0.1, "top": 2.1,
            })),
            feature("slab", "Polygon", json!([ring]), json!({
                "kind": "slab", "name": "Floor", "level": 1, "construction": "brick-half",
            })),
            feature("obstacle", "Polygon", square.clone(), json!({
                "kind": "obstacle", "name": "Tank", "level": 0, "construction": "brick-half",
                "base": 0, "top": 1.8,
            })),
            feature("panel", "Point", json!([1, 1]), device("panel")),
            feature("sensor", "Point", json!([9, 7]), sensor),
            feature("repeater", "Point", json!([5, 7]), repeater),
            feature("keypad", "Point", json!([2, 1]), device("keypad")),
            feature("siren", "Point", json!([2, 7]), device("siren")),
            feature("roam", "Polygon", square.clone(), json!({
                "kind": "roam", "name": "Yard", "level": 0, "height": 1.1,
                "link": {"like": "us-345", "eirp_dbm": 5}, "worn": true,
            })),
            feature("mountable", "LineString", json!([[0, 1], [0, 7]]), json!({
                "kind": "mountable", "name": "West wall", "level": 0,
            })),
            feature("outlet", "Point", json!([0.1, 3]), json!({
                "kind": "outlet", "name": "By the door", "level": 0, "height": 0.4,
            })),
            feature("stairs", "LineString", json!([[5, 1], [5, 4]]), json!({
                "kind": "stairs", "name": "Main stairs", "level": 0, "to": 1,
            })),
            feature("room", "Point", json!([4, 4]), json!({
                "kind": "room", "name": "Hall", "level": 0,
            })),
        ],
    })
}
