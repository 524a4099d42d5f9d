//! Which repeaters are needed: the answer against every choice there is, with hops traced from the
//! other end, and the report against the answer.

mod case;
mod hops;
mod random;
mod shipped;
mod unheard;

use serde_json::Value;

/// A shipped plan as JSON.
fn shipped_json(name: &str) -> Value {
    let text = std::fs::read_to_string(fixtures::floorplan(name)).unwrap();
    serde_json::from_str(&text).unwrap()
}
