//! The properties of each kind of feature.

use schemars::{JsonSchema, Schema};
use serde_json::{Value, json};

use super::constructions::ConstructionName;
use super::link::LinkEntry;
use super::{Anything, Height, LevelNumber};
use crate::build::MIN_WALL_MM;
use crate::constructions::MAX_THICKNESS_MM;
use crate::devices::{LIFE_SAFETY, MAX_CAPACITY, MAX_NUMBER, ROLES};
use crate::openings::STATES;

/// How to mount a device: on what, which decides how much its antenna suffers.
#[derive(JsonSchema)]
pub(super) struct MountName(String);

/// Properties of a wall.
#[derive(JsonSchema)]
pub(super) struct WallProperties {
    /// A wall, drawn along its middle.
    #[schemars(extend("const" = "wall"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// What the wall is built of.
    construction: ConstructionName,
    /// How thick the wall is, millimetres, 1 to 5000, where it was drawn or measured: rooms end at its
    /// faces. The forecast goes by the construction alone.
    #[schemars(range(min = MIN_WALL_MM, max = MAX_THICKNESS_MM))]
    thickness_mm: Option<f64>,
    /// Height of the lower edge above the plan's zero, in the plan's unit. Left out, the level's floor.
    base: Option<Height>,
    /// Height of the upper edge above the plan's zero, in the plan's unit. Left out, the level's ceiling;
    /// let outer walls reach the floor above.
    top: Option<Height>,
}

/// Properties of a door or window.
#[derive(JsonSchema)]
pub(super) struct OpeningProperties {
    /// A door or window, drawn from jamb to jamb on the middle of its wall, to within 5 cm. It stands in
    /// place of its wall.
    #[schemars(extend("const" = "opening"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level. Left out, it is that of the wall on which the opening lies.
    level: Option<LevelNumber>,
    /// What the leaf or pane is built of.
    construction: ConstructionName,
    /// Whether it stands open; closed where it is left out.
    #[schemars(extend("enum" = allowed_or_null(&STATES)))]
    state: Option<String>,
    /// Whether people come into the building by it.
    entry: Option<bool>,
    /// Height of the sill above the plan's zero, in the plan's unit. Left out, the wall's base.
    base: Option<Height>,
    /// Height of the head above the plan's zero, in the plan's unit. Left out, the wall's top.
    top: Option<Height>,
}

/// Properties of a floor.
#[derive(JsonSchema)]
pub(super) struct SlabProperties {
    /// The floor of a level, drawn as an area with holes where stairs go through.
    #[schemars(extend("const" = "slab"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level whose floor it is; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// What the floor is built of.
    construction: ConstructionName,
}

/// Properties of a solid thing.
#[derive(JsonSchema)]
pub(super) struct ObstacleProperties {
    /// A solid thing in a room: tank, fridge, chimney breast, shelving. Drawn as an area.
    #[schemars(extend("const" = "obstacle"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// What its faces are built of.
    construction: ConstructionName,
    /// Height of its foot above the plan's zero, in the plan's unit. Left out, the level's floor.
    base: Option<Height>,
    /// Height of its top above the plan's zero, in the plan's unit. Left out, the level's ceiling.
    top: Option<Height>,
}

/// Properties of the control panel.
#[derive(JsonSchema)]
pub(super) struct PanelProperties {
    /// The control panel with the receiver. The first in the file counts.
    #[schemars(extend("const" = "panel"))]
    kind: String,
    #[schemars(flatten)]
    hung: Hung,
}

/// Properties of a sensor.
#[derive(JsonSchema)]
pub(super) struct SensorProperties {
    /// A sensor: a transmitter that only talks.
    #[schemars(extend("const" = "sensor"))]
    kind: String,
    #[schemars(flatten)]
    hung: Hung,
}

/// Properties of a repeater.
#[derive(JsonSchema)]
pub(super) struct RepeaterProperties {
    /// A repeater: it hears sensors and passes on what they say.
    #[schemars(extend("const" = "repeater"))]
    kind: String,
    #[schemars(flatten)]
    hung: Hung,
    /// How many sensors it can pass on, 1 to 1000.
    #[schemars(range(min = 1, max = MAX_CAPACITY))]
    capacity: Option<u32>,
}

/// Properties of a keypad.
#[derive(JsonSchema)]
pub(super) struct KeypadProperties {
    /// A keypad: it talks and listens.
    #[schemars(extend("const" = "keypad"))]
    kind: String,
    #[schemars(flatten)]
    hung: Hung,
}

/// Properties of a siren.
#[derive(JsonSchema)]
pub(super) struct SirenProperties {
    /// A siren: it talks and listens.
    #[schemars(extend("const" = "siren"))]
    kind: String,
    #[schemars(flatten)]
    hung: Hung,
}

/// What every device has.
#[derive(JsonSchema)]
#[schemars(inline, transform = watch_life_safety)]
struct Hung {
    /// The number of the level; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// Height above the level's floor, in the plan's unit; 1.5 m where it is left out.
    height: Option<Height>,
    /// What people call the device; its id where it is left out.
    name: Option<String>,
    /// The room it is in, as people call it.
    room: Option<String>,
    /// Its number in the panel, 0 to 999999; no two devices have the same.
    #[schemars(range(min = 0, max = MAX_NUMBER))]
    number: Option<u32>,
    /// What the panel does when the device trips. Other words are allowed and warned of.
    #[schemars(extend("examples" = ROLES))]
    role: Option<String>,
    /// What sort of device it is: contact, motion, smoke and so on.
    device: Option<String>,
    /// A link of its own in place of the plan's.
    link: Option<LinkEntry>,
    /// How it is mounted.
    mount: Option<MountName>,
    /// Whether the panel watches that it checks in; true where it is left out, and never false for fire and
    /// carbon monoxide.
    supervised: Option<bool>,
}

/// Properties of an area for a portable transmitter.
#[derive(JsonSchema)]
pub(super) struct RoamProperties {
    /// An area in which a portable transmitter must work.
    #[schemars(extend("const" = "roam"))]
    kind: String,
    /// What people call the area; its id where it is left out.
    name: Option<String>,
    /// The number of the level; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// Height of the transmitter above the level's floor, in the plan's unit; 1.5 m where it is left out.
    height: Option<Height>,
    /// The link of the transmitter, in place of the plan's.
    link: Option<LinkEntry>,
    /// Whether it is worn on the body; false where it is left out.
    worn: Option<bool>,
}

/// Properties of a place for the panel.
#[derive(JsonSchema)]
pub(super) struct MountableProperties {
    /// A place where the panel may hang: a point, a line along a wall, or an area.
    #[schemars(extend("const" = "mountable"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level; the lowest where it is left out.
    level: Option<LevelNumber>,
}

/// Properties of a mains outlet.
#[derive(JsonSchema)]
pub(super) struct OutletProperties {
    /// A mains outlet.
    #[schemars(extend("const" = "outlet"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level; the lowest where it is left out.
    level: Option<LevelNumber>,
    /// Height above the level's floor, in the plan's unit; 0.3 m where it is left out.
    height: Option<Height>,
}

/// Properties of a flight of stairs.
#[derive(JsonSchema)]
pub(super) struct StairsProperties {
    /// A flight of stairs: the line that a person walks, from the first step to the last.
    #[schemars(extend("const" = "stairs"))]
    kind: String,
    /// A remark. Not used.
    name: Option<Anything>,
    /// The number of the level at which the line begins.
    level: Option<LevelNumber>,
    /// The number of the level at which the line ends. Left out, the next above.
    to: Option<LevelNumber>,
}

/// Properties of a room.
#[derive(JsonSchema)]
pub(super) struct RoomProperties {
    /// A room: a point somewhere in it, or its outline.
    #[schemars(extend("const" = "room"))]
    kind: String,
    /// What people call the room.
    name: Option<String>,
    /// The number of the level; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
}

/// The words, and `null` for an absent member.
fn allowed_or_null(words: &[&str]) -> Value {
    words.iter().map(|word| json!(word)).chain([Value::Null]).collect()
}

/// A device on which a life hangs must be supervised.
fn watch_life_safety(schema: &mut Schema) {
    schema.insert(
        "if".to_owned(),
        json!({"required": ["role"], "properties": {"role": {"enum": LIFE_SAFETY}}}),
    );
    schema.insert("then".to_owned(), json!({"properties": {"supervised": {"enum": [true, null]}}}));
}
