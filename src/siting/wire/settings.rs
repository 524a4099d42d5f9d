//! How wires may be led, and why no network can be made.

use plan::ON_WALL_TOLERANCE_M;

/// How wires may be led, and how much more than the run is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireSettings {
    /// How far an outlet or a spot may be from the centre line of the wall to which it belongs,
    /// metres; default 0.5 (common sense, no source: a thick wall and a careless hand). 0 to 10.
    pub reach_m: f64,
    /// Walls of one level that come this near to one another touch, metres; default
    /// [`ON_WALL_TOLERANCE_M`]. 0 to 1.
    pub touch_m: f64,
    /// Walls of neighbouring levels whose centre lines lie this near to one another in plan stand
    /// over one another, metres; default 0.15 (common sense, no source: walls of different
    /// thickness with one face flush). 0 to 1.
    pub stacked_m: f64,
    /// Cable beyond the run's length, as a share of it; default 0.1 (common practice, no source).
    /// 0 to 10.
    pub slack_share: f64,
    /// Cable beyond the run's length for both ends together, metres; default 0.5 (common practice,
    /// no source). 0 to 100.
    pub slack_m: f64,
}

impl Default for WireSettings {
    fn default() -> Self {
        Self {
            reach_m: 0.5,
            touch_m: ON_WALL_TOLERANCE_M,
            stacked_m: 0.15,
            slack_share: 0.1,
            slack_m: 0.5,
        }
    }
}

impl WireSettings {
    /// Checks that every value is in its range.
    ///
    /// # Errors
    /// [`WireFault::Setting`] with the name of the first that is not.
    pub fn check(&self) -> Result<(), WireFault> {
        let ranges = [
            ("reach_m", self.reach_m, 10.0),
            ("touch_m", self.touch_m, 1.0),
            ("stacked_m", self.stacked_m, 1.0),
            ("slack_share", self.slack_share, 10.0),
            ("slack_m", self.slack_m, 100.0),
        ];
        for (name, value, most) in ranges {
            if !(0.0..=most).contains(&value) {
                return Err(WireFault::Setting { name, value, most });
            }
        }
        Ok(())
    }
}

/// Why there is no wire network.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum WireFault {
    /// A value of [`WireSettings`] is out of its range.
    #[error("{name} is {value}: it must be from 0 to {most}")]
    Setting {
        /// Name of the setting.
        name: &'static str,
        /// What it was.
        value: f64,
        /// Its largest value.
        most: f64,
    },
    /// More walls lie together than any site has.
    #[error(
        "too many walls touch one another for wires to be led along them: see whether walls are drawn many times over"
    )]
    TooDense,
}
