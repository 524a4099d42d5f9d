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

    /// Whether all values are in their ranges.
    ///
    /// # Errors
    /// [`WalkError::Setting`] with the first that is not.
    pub fn check(&self) -> Result<(), WalkError> {
        let ranges = [
            ("half width, m", self.half_width_m, 0.01, 1.0),
            ("reach, m", self.reach_m, 0.0, 2.0),
            ("lowest walking height, m", self.lowest_m, 0.0, 1.0),
            ("highest walking height, m", self.highest_m, 1.0, 3.0),
            ("walking speed, m/s", self.speed_m_per_s, 0.05, 10.0),
            ("speed on stairs, m/s", self.stairs_speed_m_per_s, 0.05, 10.0),
        ];
        for (what, value, least, most) in ranges {
            if !(least..=most).contains(&value) {
                return Err(WalkError::Setting { what, value, least, most });
            }
        }
        Ok(())
    }
}

impl Default for WalkSettings {
    fn default() -> Self {
        Self::USUAL
    }
}

/// Why there is no map of walks.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WalkError {
    /// A setting out of its range.
    #[error("{what}: {value} is not between {least} and {most}")]
    Setting {
        /// Which, with its unit.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least that is allowed.
        least: f64,
        /// Most that is allowed.
        most: f64,
    },
    /// More than the search can take in a sensible time.
    #[error("the plan is too large for walks: {count} {what}, at most {most}")]
    TooLarge {
        /// What there is too much of.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
}

impl WalkError {
    /// An error if there is too much of something.
    pub(super) const fn unless_at_most(
        what: &'static str,
        count: usize,
        most: usize,
    ) -> Result<(), Self> {
        if count > most {
            return Err(Self::TooLarge { what, count, most });
        }
        Ok(())
    }
}
