//! What one part of the file asks of another, as far as a schema can say it.

use serde_json::{Value, json};

use super::features::is_of_kind;

/// Kinds that must name their level where there are several.
const NEED_LEVEL: &[&str] = &[
    "wall", "slab", "obstacle", "panel", "sensor", "repeater", "keypad", "siren", "roam", "stairs",
];

/// Kinds that are built of something.
const BUILT: &[&str] = &["wall", "opening", "slab", "obstacle"];

/// The conditions that hold for the file as a whole.
pub(super) fn conditions(constructions: &[String]) -> Value {
    let mut conditions = vec![
        json!({
            "description": "With several levels most features must say on which they are.",
            "if": several_levels(),
            "then": {
                "properties": {
                    "features": features_of(NEED_LEVEL, &json!({
                        "required": ["level"],
                        "properties": {"level": {"type": "number"}},
                    })),
                    "calibration": {
                        "required": ["level"],
                        "properties": {"level": {"type": "number"}},
                    },
                },
            },
        }),
        json!({
            "description": "Stairs need two levels.",
            "if": {"not": several_levels()},
            "then": {
                "properties": {"features": {"items": {"not": is_of_kind(&["stairs"])}}},
            },
        }),
    ];
    if !constructions.is_empty() {
        conditions.push(json!({
            "description": "Without constructions of its own a plan has the built-in ones only.",
            "if": {
                "not": {
                    "required": ["constructions"],
                    "properties": {"constructions": {"type": "object", "minProperties": 1}},
                },
            },
            "then": {
                "properties": {
                    "features": features_of(BUILT, &json!({
                        "properties": {"construction": {"enum": constructions}},
                    })),
                },
            },
        }));
    }
    Value::Array(conditions)
}

fn several_levels() -> Value {
    json!({
        "required": ["levels"],
        "properties": {"levels": {"type": "array", "minItems": 2}},
    })
}

/// What holds for the properties of features of some kinds.
fn features_of(kinds: &[&str], properties: &Value) -> Value {
    json!({
        "items": {
            "if": is_of_kind(kinds),
            "then": {"properties": {"properties": properties}},
        },
    })
}
