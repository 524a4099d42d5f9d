//! What one part of the file asks of another, as far as a schema can say it.

use serde_json::{Value, json};

use super::{is_of_kind, plain};
use crate::limits::{MAX_COORDINATE_M, MAX_HEIGHT_M};
use crate::members::{Holds, KINDS, kinds_with};

pub(super) fn conditions(constructions: &[String]) -> Value {
    let need_level = kinds_with(|member| member.holds == Holds::OwnLevel);
    let built = kinds_with(|member| member.name == "construction");
    let several_levels = json!({
        "required": ["levels"], "properties": {"levels": {"type": "array", "minItems": 2}},
    });
    let a_level = json!({"required": ["level"], "properties": {"level": {"type": "number"}}});
    let features = features_of(&need_level, &a_level);
    let no_stairs = json!({"items": {"not": is_of_kind(&["stairs"])}});
    let mut conditions = vec![
        json!({
            "description": "With several levels most features must say on which they are.",
            "if": several_levels,
            "then": {"properties": {"features": features, "calibration": a_level}},
        }),
        json!({
            "description": "Stairs need two levels.",
            "if": {"not": several_levels},
            "then": {"properties": {"features": no_stairs}},
        }),
        in_metres(),
    ];
    if !constructions.is_empty() {
        let own = json!({
            "required": ["constructions"],
            "properties": {"constructions": {"type": "object", "minProperties": 1}},
        });
        let known = json!({"properties": {"construction": {"enum": constructions}}});
        conditions.push(json!({
            "description": "Without constructions of its own a plan has the built-in ones only.",
            "if": {"not": own},
            "then": {"properties": {"features": features_of(&built, &known)}},
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
    let at_height = when_of(&hung, &json!({"properties": {"height": height}}));
    let span = when_of(&upright, &json!({"properties": {"base": height, "top": height}}));
    let levels = json!({"items": {"properties": {"floor": height, "ceiling": height}}});
    let calibration = json!({"properties": {"height": height, "panel_at": {"items": position}}});
    let features = json!({"items": {"allOf": [at_height, span, drawn]}});
    let all = json!({"levels": levels, "calibration": calibration, "features": features});
    json!({
        "description": "Heights of a plan in metres are within 1000 m, its coordinates within \
                        100 km.",
        "if": {"not": {"required": ["units"], "properties": {"units": {"const": "ft"}}}},
        "then": {"properties": all},
    })
}

/// What holds for the properties of features of some kinds.
fn features_of(kinds: &[&str], properties: &Value) -> Value {
    json!({"items": when_of(kinds, properties)})
}

/// What holds for the properties of a feature if it is of some kinds.
fn when_of(kinds: &[&str], properties: &Value) -> Value {
    json!({"if": is_of_kind(kinds), "then": {"properties": {"properties": properties}}})
}
