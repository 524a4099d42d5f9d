//! What is answered: the choice, the ways, and how far it is proven.

use thiserror::Error;

/// How a sensor reaches the panel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Way {
    /// The panel hears it.
    Direct,
    /// Over these sites, one or two, from the sensor to the panel.
    Over(Vec<usize>),
}

/// How far an answer is proven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Proof {
    /// No choice has fewer new repeaters, and none of equally many a lower chance (to 1e-11).
    /// What that rests on: see the [module](super).
    Best,
    /// The caller said stop before the end.
    Gap {
        /// New repeaters in the answer.
        found: usize,
        /// Proven: no choice has fewer new repeaters than this.
        at_least: usize,
        /// The chance of any fault in a year of the answer, 0 to 1.
        chance_found: f64,
        /// Proven: no choice of `found` new repeaters or fewer has a lower chance than this.
        chance_at_least: f64,
    },
}

/// A choice of panel place and repeaters under which every sensor is heard.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverAnswer {
    /// The panel place.
    pub panel: usize,
    /// The sites with a repeater, ascending: all the given ones and the new ones.
    pub open: Vec<usize>,
    /// Those of `open` that are new, ascending.
    pub new: Vec<usize>,
    /// The way of each sensor.
    pub ways: Vec<Way>,
    /// The chance of at least one supervision fault in a year on any hop in use, 0 to 1.
    pub chance_of_any_fault: f64,
    /// Whether the choice is proven best.
    pub proof: Proof,
}

/// Why there is no answer. Where the panel is free, the place that comes nearest is named: the one
/// that fails latest in the order of these variants, then the one with the fewest sensors named,
/// then the first.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CoverError {
    /// There is no place for the panel.
    #[error("there is no place for the panel")]
    NoPanel,
    /// No number of repeaters brings these sensors to the panel: no way is sound from end to end
    /// over sites that pass anything on.
    #[error("no repeater brings {} of the sensors to the panel", .sensors.len())]
    Unreachable {
        /// The panel place.
        panel: usize,
        /// All sensors that have no way with a repeater at every site, ascending.
        sensors: Vec<usize>,
    },
    /// Each sensor has a way, but the repeaters cannot pass on all of them together.
    #[error("repeaters at all the places together could not pass on all sensors")]
    CapacityTooSmall {
        /// The panel place.
        panel: usize,
    },
    /// All sensors are heard, but these have no way left when a certain repeater fails.
    #[error("{} of the sensors depend on one single place", .sensors.len())]
    NotTwice {
        /// The panel place.
        panel: usize,
        /// All sensors whose every way leads over one and the same site, ascending.
        sensors: Vec<usize>,
    },
    /// Each sensor has a way when any one repeater fails, but then the others cannot pass on all
    /// of them together.
    #[error("when one repeater fails the others could not pass on all sensors")]
    CapacityTooSmallAfterLoss {
        /// The panel place.
        panel: usize,
        /// The site that cannot be done without: the first such.
        lost: usize,
    },
    /// The caller said stop before any choice was found.
    #[error("no choice of repeaters was found in the time given")]
    OutOfTime,
    /// The answer did not pass the check against the problem: a fault of the search.
    #[error("the choice of repeaters did not pass its check: {0}")]
    NotVerified(super::Broken),
}
