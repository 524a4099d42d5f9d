//! Which repeaters are needed: the answer against every choice there is, with hops traced from the
//! other end, and the report against the answer.

mod case;
mod hops;
mod random;
mod shipped;
mod unheard;

use forecast::vocabulary;
use plan::{Plan, read};
use serde_json::Value;

/// The plan of a `GeoJSON` text without faults.
fn plan_of(text: &str) -> Plan {
    match read("plan.geojson", text.as_bytes(), &vocabulary()) {
        Ok(reading) => reading.plan,
        Err(faults) => panic!("{faults:#?}"),
    }
}

/// A shipped plan as JSON.
fn shipped_json(name: &str) -> Value {
    let path = fixtures::floorplan(&name);
    let text = std::fs::read_to_string(path).expect("the plan is there");
    serde_json::from_str(&text).expect("the plan is JSON")
}
