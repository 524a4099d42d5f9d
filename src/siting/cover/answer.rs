//! What is answered: the choice, the ways, how far it is proven; and its check against the problem,
//! worked out anew from the problem's own tables.

use super::problem::CoverProblem;
use super::routing::{Router, Verdict};
use super::view::View;
use thiserror::Error;

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
    /// The way of each sensor: the sites that it goes over, none to two, from it to the panel.
    pub ways: Vec<Vec<usize>>,
    /// The chance of at least one supervision fault in a year on any hop in use, 0 to 1.
    pub chance_of_any_fault: f64,
    /// Whether the choice is proven best.
    pub proof: Proof,
}

/// Why there is no answer. Where the panel is free, the place that comes nearest is named: the one
/// that fails latest in the order of these variants, then the one with the fewest sensors named,
/// then the first.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[allow(missing_docs, reason = "the messages say it; sensors are ascending")]
pub enum CoverError {
    #[error("there is no place for the panel")]
    NoPanel,
    /// These have no way that is sound from end to end, even with a repeater at every site.
    #[error("no repeater brings {} of the sensors to the panel", .sensors.len())]
    Unreachable { panel: usize, sensors: Vec<usize> },
    /// Each sensor has a way, but the repeaters cannot pass on all of them together.
    #[error("repeaters at all the places together could not pass on all sensors")]
    CapacityTooSmall { panel: usize },
    /// All sensors are heard, but every way of these leads over one and the same site.
    #[error("{} of the sensors depend on one single place", .sensors.len())]
    NotTwice { panel: usize, sensors: Vec<usize> },
    /// Each sensor has a way when any one repeater fails; `lost` is the first site without which
    /// the others cannot pass on all of them together.
    #[error("when one repeater fails the others could not pass on all sensors")]
    CapacityTooSmallAfterLoss { panel: usize, lost: usize },
    /// The caller said stop.
    #[error("no choice of repeaters was found in the time given")]
    OutOfTime,
    /// A fault of the search.
    #[error("the choice of repeaters did not pass its check: {0}")]
    NotVerified(String),
}

impl CoverAnswer {
    /// Checks the answer against the problem: every hop sound, every capacity kept, one onward hop
    /// for each repeater, the chance right, and every loss survived where that is asked; not that
    /// it is the best. The error is the first thing that is wrong.
    pub fn check(&self, problem: &CoverProblem) -> Result<(), String> {
        let sites = problem.sites.len();
        let shape = || "the answer does not fit the problem".to_owned();
        let mut open = vec![false; sites];
        for &site in &self.open {
            *open.get_mut(site).ok_or_else(shape)? = true;
        }
        let given = |site: usize| problem.sites[site].given;
        let new: Vec<usize> = (0..sites).filter(|&s| open[s] && !given(s)).collect();
        let all_given = (0..sites).all(|site| open[site] || !given(site));
        let fits = self.ways.len() == problem.sensors && self.panel < problem.panels;
        if !fits || !all_given || new != self.new {
            return Err(shape());
        }
        let mut onward: Vec<Option<Option<usize>>> = vec![None; sites];
        let mut carried = vec![0_u64; sites];
        let mut weight = 0.0;
        for (sensor, over) in self.ways.iter().enumerate() {
            let way = || format!("the way of sensor {sensor} may not be used");
            let known = over.iter().all(|&site| open.get(site) == Some(&true));
            let is_loop = over.len() == 2 && over[0] == over[1];
            if over.len() > problem.hops as usize + 1 || !known || is_loop {
                return Err(way());
            }
            let first = over.first().map_or_else(
                || problem.sensor_panel.get(sensor, self.panel),
                |&site| problem.sensor_site.get(sensor, site),
            );
            weight += problem.first_weight(sensor, first);
            for (place, &site) in over.iter().enumerate() {
                let next = over.get(place + 1).copied();
                carried[site] += 1;
                if onward[site].is_some_and(|before| before != next) {
                    return Err(format!("the repeater at site {site} sends onward in two ways"));
                }
                if onward[site].replace(next).is_none() {
                    weight += problem.weight(next.map_or_else(
                        || problem.site_panel.get(site, self.panel),
                        |next| problem.site_site.get(site, next),
                    ));
                }
            }
            if weight.is_infinite() {
                return Err(way());
            }
        }
        for (site, &carried) in carried.iter().enumerate() {
            let capacity = problem.sites[site].capacity;
            if capacity.is_some_and(|most| carried > u64::from(most)) {
                return Err(format!("the repeater at site {site} passes on too many sensors"));
            }
        }
        let off = (chance(weight) - self.chance_of_any_fault).abs();
        if off.is_nan() || off > super::ROUNDING {
            return Err("the chance of any fault is not that of the ways".to_owned());
        }
        let view = View::new(problem, self.panel);
        let router = Router { view: &view, stop: &|| false };
        let is_needed = |&site: &usize| !matches!(router.fits(&open, Some(site)), Verdict::Fits(_));
        let lost = (0..sites).filter(|&site| problem.lose_one && open[site]).find(is_needed);
        lost.map_or(Ok(()), |site| Err(format!("the repeater at site {site} cannot be lost")))
    }
}

/// The chance of any fault whose −ln(1 − chance) is `weight`, 0 to 1.
pub(super) fn chance(weight: f64) -> f64 {
    -(-weight).exp_m1()
}
