//! Every kind of feature and its properties.

use serde::Serialize;

use super::Holds::{
    A, Anything, Flag, Height, Kind as KindWord, Known, Level, Number, OneOf, OwnLevel, Text, Whole,
};
use super::{Member, Members, members, rows};
use crate::DeviceKind::{self, Keypad, Panel, Repeater, Sensor, Siren};
use crate::limits::{MAX_THICKNESS_MM, MIN_WALL_MM};

/// What a panel may do when a device trips, as the plan format's words say it.
pub const ROLES: [&str; 8] = [
    "perimeter",
    "entry-exit",
    "interior",
    "24-hour",
    "fire",
    "carbon-monoxide",
    "medical",
    "panic",
];

/// Roles on which a life hangs: whether such a device still works must be watched.
pub(crate) const LIFE_SAFETY: [&str; 2] = ["fire", "carbon-monoxide"];

/// What an opening's `state` can be; the first where none is given.
pub(crate) const STATES: [&str; 2] = ["closed", "open"];

/// Most sensors that a repeater passes on (our own choice: so that a slip of the pen stands out).
pub const MAX_CAPACITY: u32 = 1_000;

/// Largest number of a device in the panel (our own choice, no source: beyond any panel).
pub const MAX_NUMBER: u32 = 999_999;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Wall,
    Opening,
    Slab,
    Obstacle,
    Device(DeviceKind),
    Roam,
    Mountable,
    Outlet,
    Stairs,
    Room,
}

pub(crate) struct KindRow {
    pub(crate) kind: Kind,
    /// Its word, the property `kind`.
    pub(crate) name: &'static str,
    /// What it is, with its article.
    pub(crate) what: &'static str,
    /// What it is and how it is drawn, in a sentence.
    pub(crate) says: &'static str,
    /// What its property `kind` says.
    pub(crate) stands_for: &'static str,
    pub(crate) types: &'static [&'static str],
    pub(crate) members: Members,
}

pub(crate) fn is_device(word: &str) -> bool {
    KINDS.iter().any(|row| row.name == word && matches!(row.kind, Kind::Device(_)))
}

/// The words of the kinds with a property that holds something of a sort.
pub(crate) fn kinds_with(suits: impl Fn(&Member) -> bool) -> Vec<&'static str> {
    KINDS.iter().filter(|row| rows(row.members).any(&suits)).map(|row| row.name).collect()
}

const LINE: &[&str] = &["LineString"];
const AREA: &[&str] = &["Polygon"];
const POINT: &[&str] = &["Point"];
const POINT_OR_AREA: &[&str] = &["Point", "Polygon"];
const ANY: &[&str] = &["Point", "LineString", "Polygon"];

/// Declares kinds: the sentence of each as a comment, its word, what it is with its article, the
/// geometry types that draw it, its properties, and what its property `kind` says.
macro_rules! kinds {
    ($($(#[doc = $says:literal])+ $kind:expr, $name:expr, $what:literal, $types:expr, $members:expr,
        $stands_for:literal;)+) => {
        [$(KindRow {
            kind: $kind,
            name: $name,
            what: $what,
            says: concat!($($says),+),
            stands_for: $stands_for,
            types: $types,
            members: &$members,
        }),+]
    };
}

/// Every kind, in the order in which messages list them.
pub(crate) static KINDS: [KindRow; 14] = kinds! {
    /// A wall, drawn as a line along its middle.
    Kind::Wall, "wall", "a wall", LINE, [KIND, REMARK, LEVEL, WALL],
    "A wall, drawn along its middle.";
    /// A door or window, drawn as a line on its wall.
    Kind::Opening, "opening", "a door or window", LINE, [KIND, REMARK, OPENING],
    "A door or window, drawn from jamb to jamb on the middle of its wall, to within 5 cm. It \
     stands in place of its wall.";
    /// The floor of a level, drawn as an area.
    Kind::Slab, "slab", "a floor", AREA, [KIND, REMARK, SLAB],
    "The floor of a level, drawn as an area with holes where stairs go through.";
    /// A solid thing in a room, drawn as an area.
    Kind::Obstacle, "obstacle", "a solid thing", AREA, [KIND, REMARK, LEVEL, OBSTACLE],
    "A solid thing in a room: tank, fridge, chimney breast, shelving. Drawn as an area.";
    /// The control panel, drawn as a point.
    Kind::Device(Panel), Panel.word(), "the control panel", POINT, [KIND, LEVEL, DEVICE],
    "The control panel with the receiver. The first in the file counts.";
    /// A sensor, drawn as a point.
    Kind::Device(Sensor), Sensor.word(), "a sensor", POINT, [KIND, LEVEL, DEVICE],
    "A sensor: a transmitter that only talks.";
    /// A repeater, drawn as a point.
    Kind::Device(Repeater), Repeater.word(), "a repeater", POINT, [KIND, LEVEL, DEVICE, REPEATER],
    "A repeater: it hears sensors and passes on what they say.";
    /// A keypad, drawn as a point.
    Kind::Device(Keypad), Keypad.word(), "a keypad", POINT, [KIND, LEVEL, DEVICE],
    "A keypad: it talks and listens.";
    /// A siren, drawn as a point.
    Kind::Device(Siren), Siren.word(), "a siren", POINT, [KIND, LEVEL, DEVICE],
    "A siren: it talks and listens.";
    /// An area in which a portable transmitter must work.
    Kind::Roam, "roam", "an area for a portable transmitter", AREA, [KIND, ROAM],
    "An area in which a portable transmitter must work.";
    /// A place where the panel may hang, drawn as a point, a line or an area.
    Kind::Mountable, "mountable", "a place for the panel", ANY, [KIND, REMARK, ANY_LEVEL],
    "A place where the panel may hang: a point, a line along a wall, or an area.";
    /// A mains outlet, drawn as a point.
    Kind::Outlet, "outlet", "a mains outlet", POINT, [KIND, REMARK, ANY_LEVEL, OUTLET],
    "A mains outlet.";
    /// A flight of stairs, drawn as the line that a person walks.
    Kind::Stairs, "stairs", "a flight of stairs", LINE, [KIND, REMARK, STAIRS],
    "A flight of stairs: the line that a person walks, from the first step to the last.";
    /// A room, drawn as a point in it or as its outline.
    Kind::Room, "room", "a room", POINT_OR_AREA, [KIND, ROOM, LEVEL],
    "A room: a point somewhere in it, or its outline. Outlines divide a space that has no walls \
     between its rooms.";
};

/// The property that every feature has.
pub(crate) const KIND: &[Member] = members! {
    /// What the feature stands for. Features of other kinds are allowed, warned of and not used.
    must "kind": KindWord;
};

const REMARK: &[Member] = members! {
    /// A remark. Not used.
    may "name": Anything;
};

const LEVEL: &[Member] = members! {
    /// The number of the level; may be left out if the plan has one level only.
    may "level": OwnLevel;
};

const ANY_LEVEL: &[Member] = members! {
    /// The number of the level; the lowest where it is left out.
    may "level": Level;
};

const WALL: &[Member] = members! {
    /// What the wall is built of.
    must "construction": A("ConstructionName");
    /// How thick the wall is, millimetres, 1 to 5000, where it was drawn or measured: rooms end at
    /// its faces. The forecast goes by the construction alone.
    may "thickness_mm": Number(MIN_WALL_MM, MAX_THICKNESS_MM);
    /// Height of the lower edge above the plan's zero, in the plan's unit. Left out, the level's
    /// floor.
    may "base": Height;
    /// Height of the upper edge above the plan's zero, in the plan's unit. Left out, the level's
    /// ceiling; let outer walls reach the floor above.
    may "top": Height;
};

const OPENING: &[Member] = members! {
    /// The number of the level. Left out, it is that of the wall on which the opening lies.
    may "level": Level;
    /// What the leaf or pane is built of.
    must "construction": A("ConstructionName");
    /// Whether it stands open; closed where it is left out.
    may "state": OneOf(&STATES);
    /// Whether people come into the building by it.
    may "entry": Flag;
    /// Height of the sill above the plan's zero, in the plan's unit. Left out, the wall's base.
    may "base": Height;
    /// Height of the head above the plan's zero, in the plan's unit. Left out, the wall's top.
    may "top": Height;
};

const SLAB: &[Member] = members! {
    /// The number of the level whose floor it is; may be left out if the plan has one level only.
    may "level": OwnLevel;
    /// What the floor is built of.
    must "construction": A("ConstructionName");
    /// How a metal floor or ceiling meets metal walls: `seam`, a gap or a lapped edge through which
    /// waves leak, or `tight`, one sheet joined to the other all round, as in a cold room. Left
    /// out, a seam.
    may "joint": OneOf(&JOINTS);
};

/// How a metal slab can meet metal walls.
pub(crate) const JOINTS: [&str; 2] = ["seam", "tight"];

const OBSTACLE: &[Member] = members! {
    /// What its faces are built of.
    must "construction": A("ConstructionName");
    /// Height of its foot above the plan's zero, in the plan's unit. Left out, the level's floor.
    may "base": Height;
    /// Height of its top above the plan's zero, in the plan's unit. Left out, the level's ceiling.
    may "top": Height;
};

const DEVICE: &[Member] = members! {
    /// Height above the level's floor, in the plan's unit; 1.5 m where it is left out.
    may "height": Height;
    /// What people call the device; its id where it is left out.
    may "name": Text;
    /// The room it is in, as people call it.
    may "room": Text;
    /// Its number in the panel, 0 to 999999; no two devices have the same.
    may "number": Whole(0.0, MAX_NUMBER as f64);
    /// The number printed on its transmitter, which the panel learns; no two devices have the same.
    may "serial": Text;
    /// What the panel does when the device trips. Other words are allowed and warned of.
    may "role": Known(&ROLES);
    /// What sort of device it is: contact, motion, smoke and so on.
    may "device": Text;
    /// A link of its own in place of the plan's.
    may "link": A("Link");
    /// How it is mounted.
    may "mount": A("MountName");
    /// How its aerial stands in the case as it hangs: `upright` or `level`. One upright and one
    /// level hear little of each other, and an upright one little of what is above or below it.
    /// Left out, it may stand either way.
    may "aerial": OneOf(&AERIALS);
    /// Whether the panel watches that it checks in; true where it is left out, and never false for
    /// fire and carbon monoxide.
    may "supervised": Flag;
};

/// How the aerial of a device stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Aerial {
    /// Upright.
    Upright,
    /// Level, to whatever side.
    Level,
}

impl Aerial {
    /// How it stands when it is turned.
    #[must_use]
    pub const fn turned(self) -> Self {
        match self {
            Self::Upright => Self::Level,
            Self::Level => Self::Upright,
        }
    }

    /// The word for it in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Upright => "upright",
            Self::Level => "level",
        }
    }
}

/// How an aerial can stand.
pub(crate) const AERIALS: [&str; 2] = [Aerial::Upright.word(), Aerial::Level.word()];

const REPEATER: &[Member] = members! {
    /// How many sensors it can pass on, 1 to 1000.
    may "capacity": Whole(1.0, MAX_CAPACITY as f64);
};

const ROAM: &[Member] = members! {
    /// What people call the area; its id where it is left out.
    may "name": Text;
    /// The number of the level; may be left out if the plan has one level only.
    may "level": OwnLevel;
    /// Height of the transmitter above the level's floor, in the plan's unit; 1.5 m where it is
    /// left out.
    may "height": Height;
    /// The link of the transmitter, in place of the plan's.
    may "link": A("Link");
    /// Whether it is worn on the body; false where it is left out.
    may "worn": Flag;
};

const OUTLET: &[Member] = members! {
    /// Height above the level's floor, in the plan's unit; 0.3 m where it is left out.
    may "height": Height;
};

const STAIRS: &[Member] = members! {
    /// The number of the level at which the line begins.
    may "level": OwnLevel;
    /// The number of the level at which the line ends. Left out, the next above.
    may "to": Level;
};

const ROOM: &[Member] = members! {
    /// What people call the room.
    may "name": Text;
};
