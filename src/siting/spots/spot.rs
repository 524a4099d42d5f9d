//! A spot, what is asked of it, and why one is left out.

use geo::Coord;
use thiserror::Error;

use units::Length;

/// Most spots of one plan.
pub const MAX_SPOTS: usize = 50_000;

/// Where spots are sought, and what keeps a panel from hanging there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotSettings {
    /// Height of the panel's middle above the floor of its level, metres (common practice, no
    /// source: the display at eye level).
    pub height_m: f64,
    /// Distance between two spots along a face, metres.
    pub spacing_m: f64,
    /// Least distance from a metal obstacle, a steel door or a foil-backed or metal-faced wall,
    /// metres. Metal nearer than about half a wavelength shapes the antenna's pattern; half a
    /// metre is common practice, no source.
    pub clear_of_metal_m: f64,
    /// Least distance from a door or window in an outside wall of the same room, metres: an
    /// intruder should not reach the panel in a step (common practice, no source).
    pub clear_of_ways_in_m: f64,
    /// Whether the panel may hang on an outside wall.
    pub outside_walls: bool,
    /// Whether spots are sought on every wall face, even where the plan marks what is mountable.
    pub every_wall: bool,
    /// Half the width and height of the panel's box, metres (common practice, no source).
    pub half_size_m: f64,
    /// Distance of the antenna from the wall's face, metres (common practice, no source).
    pub stand_off_m: f64,
}

impl Default for SpotSettings {
    fn default() -> Self {
        Self {
            height_m: 1.5,
            spacing_m: 0.25,
            clear_of_metal_m: 0.5,
            clear_of_ways_in_m: 1.0,
            outside_walls: true,
            every_wall: false,
            half_size_m: 0.15,
            stand_off_m: 0.03,
        }
    }
}

/// A place where a panel or repeater could hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Level number.
    pub level: i32,
    /// Where the antenna is, metres.
    pub position: Coord<f64>,
    /// Height above the plan's zero, metres.
    pub height_m: f64,
    /// Unit vector away from the wall's face; `None` where no wall is near.
    pub facing: Option<Coord<f64>>,
    /// The wall that it hangs on, an index of `Plan::walls`.
    pub wall: Option<usize>,
}

/// What keeps a panel away, in a few words.
pub(super) const BLOCKED: &str = "behind an obstacle";
pub(super) const OVER_OPENING: &str = "over an opening";
pub(super) const OUTSIDE_WALL: &str = "outside wall";
pub(super) const NEAR_METAL: &str = "near metal";
pub(super) const NEAR_WAY_IN: &str = "near a way in";

/// Why a spot is left out: it is in or behind an obstacle, over a door or window, on an outside
/// wall that is not wanted, or too near to metal or to a door or window of an outside wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    word: &'static str,
    feature: String,
}

impl Reason {
    pub(super) fn of(word: &'static str, feature: &str) -> Self {
        Self { word, feature: feature.to_owned() }
    }

    /// The reason in a few words, without its feature.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        self.word
    }

    /// The id of the feature that is in the way.
    #[must_use]
    pub fn feature(&self) -> &str {
        &self.feature
    }
}

/// The spots of a plan.
#[derive(Debug, Clone, Default)]
pub struct Spots {
    /// Where the panel may hang, level by level, wall by wall.
    pub allowed: Vec<Spot>,
    /// Where it may not, and why.
    pub left_out: Vec<(Spot, Reason)>,
    /// What is doubtful, for people.
    pub warnings: Vec<String>,
}

/// Why there are no spots.
#[derive(Debug, Error, Clone, PartialEq)]
#[allow(missing_docs, reason = "the messages say it")]
pub enum SpotError {
    #[error("more than {MAX_SPOTS} spots; give a larger --spacing")]
    TooMany,
    #[error(
        "no wall inside the building and no mountable feature can carry a panel {height} above the \
         floor; draw one, or give another --height"
    )]
    NoFace { height: Length },
    #[error("no spot is left for the panel: {why}; {fix}")]
    NoneAllowed { why: String, fix: &'static str },
}
