//! What the format's categories mean for radio.
//!
//! The names are those of OGC 20-094, page "Categories"; that page itself could not be seen, only
//! its names as libraries repeat them (anchors `#unit`, `#opening`, `#fixture`, `#door`). What
//! follows from a category is our own choice, and a guess in the report.

use super::member::plain_name;

/// What a space is to the walls around it.
#[derive(Clone, Copy, PartialEq, Eq)]
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

/// What solid units and fixtures are built of: the category, what the user calls it to map it to a
/// construction, and the constructions of a wall of it: below a thickness in metres, and above;
/// last that of one face of a block, for a path goes through two of them. Where several would do, a
/// heavy one, so that the forecast errs to the safe side (our own choice, no source).
const MATTERS: [(&str, &str, &str, f64, &str, &str); 8] = [
    ("structure", "unit.structure", "concrete-100", 0.15, "concrete-200", "concrete-100"),
    ("column", "unit.column", "concrete-100", 0.15, "concrete-200", "concrete-100"),
    ("brick", "unit.brick", "brick-half", 0.16, "brick-solid", "brick-half"),
    ("concrete", "unit.concrete", "concrete-100", 0.15, "concrete-200", "concrete-100"),
    ("drywall", "unit.drywall", "stud-partition", 0.0, "stud-partition", "stud-partition"),
    ("glass", "unit.glass", "glass-double", 0.0, "glass-double", "glass-single"),
    ("wood", "unit.wood", "stud-partition", 0.0, "stud-partition", "stud-partition"),
    ("fixture wall", "fixture.wall", "stud-partition", 0.0, "stud-partition", "stud-partition"),
];

/// What a solid unit or fixture is built of: its place in the table.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Matter(usize);

pub(super) fn space(category: &str) -> Space {
    match category {
        "walkway" | "walkway.island" | "movingwalkway" | "escalator" | "ramp" | "steps"
        | "footbridge" | "platform" => Space::Open,
        "opentobelow" => Space::Void,
        "road" | "terrace" | "unenclosedarea" | "vegetation" => Space::Outdoor,
        _ => Matter::of(category).map_or(Space::Enclosed, Space::Solid),
    }
}

impl Matter {
    /// A pillar, which is never a wall.
    pub(super) const COLUMN: Self = Self(1);
    /// A wall that is furniture.
    pub(super) const FIXTURE_WALL: Self = Self(7);

    fn of(category: &str) -> Option<Self> {
        MATTERS.iter().position(|it| it.0 == category && it.1.starts_with("unit.")).map(Self)
    }

    pub(super) const fn name(self) -> &'static str {
        MATTERS[self.0].0
    }

    /// What the user calls it to map it to a construction.
    pub(super) const fn key(self) -> &'static str {
        MATTERS[self.0].1
    }

    /// The construction of a wall of this matter, of a thickness in metres.
    pub(super) fn wall(self, thickness_m: f64) -> &'static str {
        let (_, _, thin, below_m, thick, _) = MATTERS[self.0];
        if thickness_m < below_m { thin } else { thick }
    }

    /// The construction of one face of a block of this matter.
    pub(super) const fn face(self) -> &'static str {
        MATTERS[self.0].5
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
    let words = known.iter().find(|(name, _)| *name == category).map(|(_, words)| *words);
    let name = words.map_or_else(|| plain_name(&category.replace('.', " ")), str::to_owned);
    Some(name).filter(|name| !name.is_empty()).unwrap_or_else(|| "room".to_owned())
}

/// How the leaf of an opening is built, and whether there is one.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Leaf {
    None,
    Of(&'static str),
    /// A leaf about which nothing is said.
    Unknown,
}

/// The leaf of a door of a type and material (OGC 20-094, page "Reference", "Door"; the values are
/// as libraries repeat them). Timber is taken for solid, and a gate for sheet steel though it may
/// be bars: both err to the safe side.
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
