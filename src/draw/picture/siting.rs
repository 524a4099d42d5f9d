//! Spots for the panel, where it may not hang, and the ways to it.

/// A place on a wall's face where the panel may hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SpotMark {
    /// Where the panel would hang, metres.
    pub position: [f64; 2],
    /// Direction from the wall into the room, of any length; zero if there is none.
    pub facing: [f64; 2],
    /// Its place in the order of merit, the best being 1: drawn as a numbered pin. A spot without
    /// one, or with one beyond [`MOST_PINS`], is drawn as a small tick.
    pub rank: Option<u32>,
    /// Short text beside a ranked spot. Parts that are divided by " · " may come to stand under one
    /// another.
    pub label: String,
}

impl SpotMark {
    /// The number in its pin, if it has one.
    pub(crate) fn pin(&self) -> Option<u32> {
        self.rank.filter(|&rank| rank <= MOST_PINS)
    }
}

/// Spots of a worse rank get no pin: so many would hide the plan.
pub const MOST_PINS: u32 = 40;

/// A piece of wall face where the panel may not hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ForbiddenMark {
    /// The line of the face, metres; fewer than two points are not drawn.
    pub line: Vec<[f64; 2]>,
    /// Direction from the wall into the room, of any length: the strip is hatched on that side.
    /// Zero for a strip across the line.
    pub facing: [f64; 2],
    /// Why, in a few words; each reason is listed once in the legend.
    pub reason: String,
}

/// What a line on the plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LineKind {
    /// The way of a person, from an entry to a spot.
    #[default]
    Walk,
    /// The wire from an outlet to a spot.
    Wire,
}

/// A line on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineMark {
    /// Its corners in order, metres; fewer than two are not drawn.
    pub points: Vec<[f64; 2]>,
    /// What it is.
    pub kind: LineKind,
    /// Short text beside it; may be empty.
    pub label: String,
}
