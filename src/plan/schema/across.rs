//! What one part of the file asks of another, as far as a schema can say it.

use serde_json::{Value, json};

use super::{is_of_kind, plain};
use crate::limits::{MAX_COORDINATE_M, MAX_HEIGHT_M};
use crate::members::{Holds, KINDS, kinds_with};

/// The conditions that hold for the file as a whole.
pub(super) fn conditions(constructions: &[String]) -> Value {
    let need_level = kinds_with(|member| member.holds == Holds::OwnLevel);
    let built = kinds_with(|member| member.name == "construction");
    let mut conditions = vec![
        json!({
            "description": "With several levels most features must say on which they are.",
            "if": several_levels(),
            "then": {
                "properties": {
                    "features": features_of(&need_level, &json!({
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
        in_metres(),
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
                    "features": features_of(&built, &json!({
                        "properties": {"construction": {"enum": constructions}},
                    })),
                },
            },
        }));
    }
    Value::Array(conditions)
}

/// The bounds of lengths in a plan in metres; those that stand with each length are for feet.
fn in_metres() -> Value {
    let within = |most: f64| json!({"minimum": plain(-most), "maximum": plain(most)});
    let (height, position) = (within(MAX_HEIGHT_M), within(MAX_COORDINATE_M));
    // A bound says nothing of a list: so one rule holds for points, lines and areas.
    let mut coordinates = position.clone();
    for _ in 0..3 {
        let mut list = position.clone();
        list["items"] = coordinates;
        coordinates = list;
    }
    let drawn = json!({
        "if": is_of_kind(&KINDS.each_ref().map(|row| row.name)),
        "then": {"properties": {"geometry": {"properties": {"coordinates": coordinates}}}},
    });
    let hung = kinds_with(|member| member.name == "height");
    let upright = kinds_with(|member| member.name == "base");
    let span = json!({"properties": {"base": height, "top": height}});
    json!({
        "description": "Heights of a plan in metres lie within 1000 m, its coordinates within \
                        100 km.",
        "if": {"not": {"required": ["units"], "properties": {"units": {"const": "ft"}}}},
        "then": {
            "properties": {
                "levels": {"items": {"properties": {"floor": height, "ceiling": height}}},
                "calibration": {
                    "properties": {"height": height, "panel_at": {"items": position}},
                },
                "features": {
                    "items": {
                        "allOf": [
                            when_of(&hung, &json!({"properties": {"height": height}})),
                            when_of(&upright, &span),
                            drawn,
                        ],
                    },
                },
            },
        },
    })
}

fn several_levels() -> Value {
    json!({
        "required": ["levels"],
        "properties": {"levels": {"type": "array", "minItems": 2}},
    })
}

/// What holds for the properties of features of some kinds.
fn features_of(kinds: &[&str], properties: &Value) -> Value {
    json!({"items": when_of(kinds, properties)})
}

/// What holds for the properties of a feature if it is of some kinds.
fn when_of(kinds: &[&str], properties: &Value) -> Value {
    json!({
        "if": is_of_kind(kinds),
        "then": {"properties": {"properties": properties}},
    })
}
