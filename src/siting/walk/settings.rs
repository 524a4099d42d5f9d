//! How a person walks, and why no map of walks can be made.

use thiserror::Error;

/// Most sides of walls and obstacles on all levels together (our own choice): beyond it a map of
/// walks is refused, because its cost grows with the square of the corners.
pub const MAX_SIDES: usize = 30_000;

/// Most corners that a person may walk round, on all levels together (our own choice, see
/// [`MAX_SIDES`]). An office of 250 walls has about 1,700.
pub const MAX_CORNERS: usize = 12_000;

/// Most entries (our own choice): each costs a search of its own.
pub const MAX_ENTRIES: usize = 64;

/// A person on foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WalkSettings {
    /// Half the width of the person, who is a disc in plan; metres, 0.01 to 1.
    pub half_width_m: f64,
    /// How far in front of the person's edge a spot may be, metres, 0 to 2: the disc's centre is at
    /// most `half_width_m + reach_m` from the spot.
    pub reach_m: f64,
    /// What ends at or below this height over a level's floor is stepped over, metres.
    pub lowest_m: f64,
    /// What begins at or above this height over a level's floor is walked under, metres.
    pub highest_m: f64,
    /// Speed on the flat, m/s, above 0.
    pub speed_m_per_s: f64,
    /// Speed along the slope of a flight of stairs, m/s, above 0.
    pub stairs_speed_m_per_s: f64,
}

impl WalkSettings {
    /// Half width 0.2 m, reach 0.5 m, 0.1 to 1.9 m over the floor (all four: common practice, no
    /// source); 3.5 ft/s on the flat (MUTCD 2009, as a thesis abstract gives it,
    /// scholarsarchive.byu.edu/etd/7130; the Manual itself not opened); 0.85 m/s on stairs (SFPE
    /// Handbook, unimpeded speed along the steepest stairs of its table; from memory).
    pub const USUAL: Self = Self {
        half_width_m: 0.2,
        reach_m: 0.5,
        lowest_m: 0.1,
        highest_m: 1.9,
        speed_m_per_s: 3.5 * 0.3048,
        stairs_speed_m_per_s: 0.85,
    };
}

impl Default for WalkSettings {
    fn default() -> Self {
        Self::USUAL
    }
}

/// Why there is no map of walks: more than the search can take in a sensible time.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("the plan is too large for walks: {count} {what}, at most {most}")]
pub struct WalkError {
    what: &'static str,
    count: usize,
    most: usize,
}

impl WalkError {
    /// An error if there is too much of something.
    ///
    /// # Errors
    /// That one.
    pub const fn unless_at_most(what: &'static str, count: usize, most: usize) -> Result<(), Self> {
        if count > most { Err(Self { what, count, most }) } else { Ok(()) }
    }
}
