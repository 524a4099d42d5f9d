//! What the format's categories mean for radio.
//!
//! The names are those of OGC 20-094, page "Categories"; that page itself could not be seen, only its names
//! as libraries repeat them (anchors `#unit`, `#opening`, `#fixture`, `#door`). What follows from a
//! category is our own choice, told as a guess.

use super::member::plain_name;

/// What a space is to the walls around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Space {
    /// A room with walls all round.
    Enclosed,
    /// A way or hall that runs on into the next one without a wall.
    Open,
    /// No floor: one looks down to the level below. As open as a way.
    Void,
    /// Under the sky: no wall of its own.
    Outdoor,
    /// The outline of a level or building about whose rooms nothing is known.
    Shell,
    /// Not a space but what stands between spaces.
    Solid(Matter),
}

/// What a solid unit or fixture is built of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Matter {
    /// Walls, shafts and pillars whose matter is not told.
    Structure,
    /// A pillar.
    Column,
    /// Brickwork.
    Brick,
    /// Concrete.
    Concrete,
    /// Boards on studs.
    Drywall,
    /// Glass.
    Glass,
    /// Timber.
    Wood,
    /// A wall that is furniture.
    FixtureWall,
}

/// What a unit of a category is.
pub(super) fn space(category: &str) -> Space {
    match category {
        "walkway" | "walkway.island" | "movingwalkway" | "escalator" | "ramp" | "steps"
        | "footbridge" | "platform" => Space::Open,
        "opentobelow" => Space::Void,
        "road" | "terrace" | "unenclosedarea" | "vegetation" => Space::Outdoor,
        "structure" => Space::Solid(Matter::Structure),
        "column" => Space::Solid(Matter::Column),
        "brick" => Space::Solid(Matter::Brick),
        "concrete" => Space::Solid(Matter::Concrete),
        "drywall" => Space::Solid(Matter::Drywall),
        "glass" => Space::Solid(Matter::Glass),
        "wood" => Space::Solid(Matter::Wood),
        _ => Space::Enclosed,
    }
}

impl Matter {
    /// The category's name.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Structure => "structure",
            Self::Column => "column",
            Self::Brick => "brick",
            Self::Concrete => "concrete",
            Self::Drywall => "drywall",
            Self::Glass => "glass",
            Self::Wood => "wood",
            Self::FixtureWall => "fixture wall",
        }
    }

    /// What the user calls it to map it to a construction.
    pub(super) fn key(self) -> String {
        match self {
            Self::FixtureWall => "fixture.wall".to_owned(),
            matter => format!("unit.{}", matter.name()),
        }
    }

    /// The construction of a wall of this matter, of a thickness in metres. Where several would do, a heavy
    /// one, so that the forecast errs to the safe side (our own choice, no source).
    pub(super) fn wall(self, thickness_m: f64) -> &'static str {
        match self {
            Self::Brick if thickness_m < 0.16 => "brick-half",
            Self::Brick => "brick-solid",
            Self::Concrete | Self::Structure | Self::Column if thickness_m < 0.15 => "concrete-100",
            Self::Concrete | Self::Structure | Self::Column => "concrete-200",
            Self::Drywall | Self::Wood | Self::FixtureWall => "stud-partition",
            Self::Glass => "glass-double",
        }
    }

    /// The construction of one face of a block of this matter: a path goes through two of them.
    pub(super) const fn face(self) -> &'static str {
        match self {
            Self::Brick => "brick-half",
            Self::Concrete | Self::Structure | Self::Column => "concrete-100",
            Self::Drywall | Self::Wood | Self::FixtureWall => "stud-partition",
            Self::Glass => "glass-single",
        }
    }
}

/// What a room is called that has no name: its category in words.
pub(super) fn room_name(category: &str) -> String {
    let known = [
        ("conferenceroom", "conference room"),
        ("fieldofplay", "field of play"),
        ("firstaid", "first aid"),
        ("fitnessroom", "fitness room"),
        ("foodservice", "food service"),
        ("huddleroom", "huddle room"),
        ("mailroom", "mail room"),
        ("mothersroom", "mothers' room"),
        ("movietheater", "cinema"),
        ("movingwalkway", "moving walkway"),
        ("nonpublic", "not public"),
        ("phoneroom", "phone room"),
        ("privatelounge", "private lounge"),
        ("serverroom", "server room"),
        ("smokingarea", "smoking area"),
        ("unspecified", "room"),
        ("waitingroom", "waiting room"),
    ];
    let words = known.iter().find(|(name, _)| *name == category);
    let name = words
        .map_or_else(|| plain_name(&category.replace('.', " ")), |(_, words)| (*words).to_owned());
    if name.is_empty() {
        return "room".to_owned();
    }
    name
}

/// How the leaf of an opening is built, and whether there is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Leaf {
    /// Nothing fills it.
    None,
    /// A leaf of this construction.
    Of(&'static str),
    /// A leaf about which nothing is said.
    Unknown,
}

/// The leaf of a door of a type and material (OGC 20-094, page "Reference", "Door"; the values are as
/// libraries repeat them). Timber is taken for solid, and a gate for sheet steel though it may be bars:
/// both err to the safe side.
pub(super) fn leaf(kind: Option<&str>, material: Option<&str>) -> Leaf {
    match (kind, material) {
        (Some("open" | "turnstile" | "turnstile.waistheight"), _) => Leaf::None,
        (_, Some("wood")) => Leaf::Of("door-solid"),
        (_, Some("glass")) => Leaf::Of("door-glazed"),
        (_, Some("metal")) => Leaf::Of("door-steel"),
        (_, Some("gate")) => Leaf::Of("garage-door-steel"),
        _ => Leaf::Unknown,
    }
}
