//! A plan that is being made: pieces in metres, before it is text.

use std::collections::BTreeMap;

use geo::Geometry;

use super::{Ground, Guess, Original};
use plan::{Construction, DeviceKind, Level};
use units::Lengths;

/// The unit in which a draft is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DraftUnit {
    /// Metres, to a millimetre.
    #[default]
    Metre,
    /// Feet, to a thousandth.
    Foot,
}

impl DraftUnit {
    /// How many metres it has.
    #[must_use]
    pub const fn metres(self) -> f64 {
        self.lengths().metres()
    }

    /// The unit in messages.
    #[must_use]
    pub const fn lengths(self) -> Lengths {
        match self {
            Self::Metre => Lengths::Metric,
            Self::Foot => Lengths::Feet,
        }
    }

    /// Its symbol, as a plan's `units` has it.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        self.lengths().sign()
    }
}

/// A plan that is being made.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Draft {
    /// The plan's title; empty for the file's name.
    pub name: String,
    /// The unit in which it is written; all lengths here are in metres whatever it is.
    pub unit: DraftUnit,
    /// Name of the link, where the file gives one.
    pub link: Option<String>,
    /// Levels; written in ascending order of their number. Without any, one from 0 to 2.4 m.
    pub levels: Vec<Level>,
    /// Constructions of the plan's own.
    pub constructions: BTreeMap<String, Construction>,
    /// Everything drawn, in the order in which it is written.
    pub pieces: Vec<Piece>,
    /// What was assumed and what was not read, most important first.
    pub guesses: Vec<Guess>,
    /// The lines of the drawing in and round the plan, where the file is a drawing.
    pub original: Vec<Original>,
    /// The picture of which it was made, if it was one.
    pub ground: Option<Ground>,
    /// Where the walls close off less than half of what their outline holds: how much, and where
    /// they end. Nothing can be said of inside and outside then.
    pub not_closed: Option<String>,
}

/// One feature of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The id that it should have, such as `kitchen-window`: put into the small letters, digits and
    /// hyphens of an id when it is written, with `-2`, `-3`, … behind it where it is taken. Empty
    /// for its kind and number.
    pub id: String,
    /// Its name for people, where it has one.
    pub name: Option<String>,
    /// Number of its level.
    pub level: i32,
    /// Where it is, metres: a line for walls, openings and stairs, a polygon for slabs and
    /// obstacles, a point for devices and outlets, a point or polygon for rooms.
    pub shape: Geometry<f64>,
    /// What it stands for.
    pub what: What,
}

impl Piece {
    pub(crate) fn new(
        id: impl Into<String>,
        level: i32,
        shape: impl Into<Geometry<f64>>,
        what: What,
    ) -> Self {
        Self { id: id.into(), name: None, level, shape: shape.into(), what }
    }

    /// The same with a name for people, or without one.
    pub(crate) fn named(self, name: Option<String>) -> Self {
        Self { name, ..self }
    }
}

/// What a piece stands for. Heights called base and top are measured from the plan's zero, other
/// heights from the level's floor, all in metres.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A wall on its centre line.
    Wall {
        /// Name of its construction.
        construction: String,
        /// How thick it was drawn, millimetres, where that is known.
        thickness_mm: Option<f64>,
        /// Lower edge, where it is not the level's floor.
        base_m: Option<f64>,
        /// Upper edge, where it is not the level's ceiling.
        top_m: Option<f64>,
    },
    /// A door or window on the centre line of its wall.
    Opening {
        /// Name of the construction of the leaf.
        construction: String,
        /// Whether people come in by it from outside.
        entry: bool,
        /// Whether nothing fills it.
        open: bool,
        /// Sill.
        base_m: Option<f64>,
        /// Head.
        top_m: Option<f64>,
    },
    /// The floor of the level.
    Slab {
        /// Name of its construction.
        construction: String,
    },
    /// A solid thing.
    Obstacle {
        /// Name of the construction of its faces.
        construction: String,
        /// Foot.
        base_m: Option<f64>,
        /// Top.
        top_m: Option<f64>,
    },
    /// The name of a room: of the space round the point, or round the middle of the polygon.
    Room,
    /// A mains outlet.
    Outlet {
        /// Height above the floor.
        height_m: Option<f64>,
    },
    /// A flight of stairs from `level`.
    Stairs {
        /// The level that it leads to, where that is not the next above.
        to: Option<i32>,
    },
    /// A device.
    Device {
        /// What it is.
        kind: DeviceKind,
        /// Height above the floor.
        height_m: Option<f64>,
        /// What sort it is: contact, motion, smoke…
        device: Option<String>,
        /// What the panel does when it trips.
        role: Option<String>,
        /// Its number in the panel.
        number: Option<u32>,
        /// The room it is in.
        room: Option<String>,
        /// How it is mounted, as a plan says it.
        mount: Option<String>,
        /// Whether the panel watches that it checks in; `None` leaves it to the plan's default.
        supervised: Option<bool>,
    },
}

impl What {
    /// A wall of a construction from floor to ceiling.
    pub fn wall(construction: impl Into<String>) -> Self {
        Self::Wall {
            construction: construction.into(),
            thickness_mm: None,
            base_m: None,
            top_m: None,
        }
    }

    /// The `kind` of its feature.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Wall { .. } => "wall",
            Self::Opening { .. } => "opening",
            Self::Slab { .. } => "slab",
            Self::Obstacle { .. } => "obstacle",
            Self::Room => "room",
            Self::Outlet { .. } => "outlet",
            Self::Stairs { .. } => "stairs",
            Self::Device { kind, .. } => kind.word(),
        }
    }
}
