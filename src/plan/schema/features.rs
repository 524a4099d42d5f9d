//! A feature, and what follows from its kind.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Value, json};

use super::Anything;
use super::geometry::{
    AnyGeometry, AreaGeometry, LineGeometry, PointGeometry, PointOrAreaGeometry,
};
use super::properties::{
    KeypadProperties, MountableProperties, ObstacleProperties, OpeningProperties, OutletProperties,
    PanelProperties, RepeaterProperties, RoamProperties, RoomProperties, SensorProperties,
    SirenProperties, SlabProperties, StairsProperties, WallProperties,
};
use crate::feature::kind_rows;

/// A character that is no space in any dialect of regular expressions.
const NOT_BLANK: &str = "[^ \\t\\n\\r]";

/// A feature of whatever kind. Its kind decides how it is drawn and which properties it has.
#[derive(JsonSchema)]
#[schemars(rename = "Feature")]
struct Frame {
    /// Always `Feature`.
    r#type: FeatureType,
    /// A short name by which messages and other parts of the plan call the feature; no two have the same.
    /// Left out, it is the kind and a number in file order: `wall-1`.
    #[schemars(extend("pattern" = NOT_BLANK))]
    id: Option<Id>,
    /// How the feature is drawn; its kind says which types may draw it.
    geometry: Option<Anything>,
    /// What the feature is.
    properties: CommonProperties,
    /// The bounding box that some programs write. Not used.
    bbox: Option<Anything>,
}

#[derive(JsonSchema)]
#[schemars(inline)]
enum FeatureType {
    Feature,
}

#[derive(JsonSchema)]
#[schemars(inline, extend("type" = ["string", "number"]))]
struct Id(String);

#[derive(JsonSchema)]
#[schemars(inline)]
struct CommonProperties {
    /// What the feature stands for. Features of other kinds are allowed, warned of and not used.
    kind: String,
}

/// Declares each kind: its type, its word, what draws it and what properties it has. The type's docstring
/// becomes the description.
macro_rules! kinds {
    ($($(#[$doc:meta])+ $name:ident = $word:literal: $geometry:ty, $properties:ty;)+) => {
        $(
            $(#[$doc])+
            #[derive(JsonSchema)]
            struct $name {
                /// How it is drawn.
                geometry: $geometry,
                /// What it is.
                properties: $properties,
            }
        )+

        /// The word of every kind that is declared here.
        const DECLARED: &[&str] = &[$($word),+];

        /// What follows from each kind.
        fn consequences(generator: &mut SchemaGenerator) -> Vec<Value> {
            let words = words();
            let mut found = Vec::new();
            $(
                if words.contains(&$word) {
                    found.push(consequence($word, &generator.subschema_for::<$name>()));
                }
            )+
            found
        }
    };
}

kinds! {
    /// A wall, drawn as a line along its middle.
    Wall = "wall": LineGeometry, WallProperties;
    /// A door or window, drawn as a line on its wall.
    Opening = "opening": LineGeometry, OpeningProperties;
    /// The floor of a level, drawn as an area.
    Slab = "slab": AreaGeometry, SlabProperties;
    /// A solid thing in a room, drawn as an area.
    Obstacle = "obstacle": AreaGeometry, ObstacleProperties;
    /// The control panel, drawn as a point.
    Panel = "panel": PointGeometry, PanelProperties;
    /// A sensor, drawn as a point.
    Sensor = "sensor": PointGeometry, SensorProperties;
    /// A repeater, drawn as a point.
    Repeater = "repeater": PointGeometry, RepeaterProperties;
    /// A keypad, drawn as a point.
    Keypad = "keypad": PointGeometry, KeypadProperties;
    /// A siren, drawn as a point.
    Siren = "siren": PointGeometry, SirenProperties;
    /// An area in which a portable transmitter must work.
    Roam = "roam": AreaGeometry, RoamProperties;
    /// A place where the panel may hang, drawn as a point, a line or an area.
    Mountable = "mountable": AnyGeometry, MountableProperties;
    /// A mains outlet, drawn as a point.
    Outlet = "outlet": PointGeometry, OutletProperties;
    /// A flight of stairs, drawn as the line that a person walks.
    Stairs = "stairs": LineGeometry, StairsProperties;
    /// A room, drawn as a point in it or as its outline.
    Room = "room": PointOrAreaGeometry, RoomProperties;
}

/// The word of every kind in the schema: of those declared here the ones that the reader knows. From any other
/// kind nothing may follow, for the reader only warns of it.
pub(super) fn words() -> Vec<&'static str> {
    let known: Vec<&str> = kind_rows().map(|(name, _, _)| name).collect();
    let declared = DECLARED.iter().copied();
    declared.filter(|word| known.contains(word)).collect()
}

/// Asks of a feature whether its kind is among some.
pub(super) fn is_of_kind(words: &[&str]) -> Value {
    let kind = match words {
        [word] => json!({"const": word}),
        _ => json!({"enum": words}),
    };
    json!({
        "required": ["properties"],
        "properties": {
            "properties": {"required": ["kind"], "properties": {"kind": kind}}
        }
    })
}

fn consequence(word: &str, then: &Schema) -> Value {
    json!({"if": is_of_kind(&[word]), "then": then})
}

/// A feature: what all have, and for each kind what follows from it. Conditions in place of a choice
/// between types make an editor say what is wrong with the wall, not that it is no siren either.
pub(super) struct AnyFeature;

impl JsonSchema for AnyFeature {
    fn schema_name() -> Cow<'static, str> {
        "Feature".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut schema = Frame::json_schema(generator);
        if let Some(kind) = schema
            .pointer_mut("/properties/properties/properties/kind")
            .and_then(Value::as_object_mut)
        {
            kind.insert("examples".to_owned(), json!(words()));
        }
        schema.insert("allOf".to_owned(), Value::Array(consequences(generator)));
        schema
    }
}
