//! Whether an answer fulfils its problem, worked out anew from the problem's own tables.

use super::answer::{CoverAnswer, Way};
use super::local::Local;
use super::oracle::{Oracle, Verdict};
use super::problem::{CoverProblem, Hops};
use thiserror::Error;

/// What an answer does wrong. Sites and sensors are numbered as in the problem.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Broken {
    /// The answer does not have one way for each sensor, or names a place that there is not.
    #[error("the answer does not fit the problem")]
    Shape,
    /// The sensor's way uses a hop that is not sound, a closed site, or too many sites.
    #[error("the way of sensor {sensor} may not be used")]
    Way {
        /// The sensor.
        sensor: usize,
    },
    /// The site passes on more sensors than its capacity.
    #[error("the repeater at site {site} passes on too many sensors")]
    Capacity {
        /// The site.
        site: usize,
    },
    /// The site sends onward in two ways.
    #[error("the repeater at site {site} sends onward in two ways")]
    TwoOnward {
        /// The site.
        site: usize,
    },
    /// Not every sensor reaches the panel when this site's repeater fails.
    #[error("the repeater at site {site} cannot be lost")]
    Loss {
        /// The site.
        site: usize,
    },
    /// The chance of any fault is not that of the ways.
    #[error("the chance of any fault is not that of the ways")]
    Chance,
}

impl CoverAnswer {
    /// Checks the answer against the problem: every hop sound, every capacity kept, one onward hop
    /// for each repeater, the chance right, and every loss survived where that is asked.
    ///
    /// Not checked is that the answer is the best: that is what [`Proof`](super::Proof) says.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong.
    pub fn check(&self, problem: &CoverProblem) -> Result<(), Broken> {
        let sites = problem.sites.len();
        let mut open = vec![false; sites];
        for &site in &self.open {
            *open.get_mut(site).ok_or(Broken::Shape)? = true;
        }
        let given = |site: usize| problem.sites[site].given;
        let new: Vec<usize> = (0..sites).filter(|&s| open[s] && !given(s)).collect();
        let all_given = (0..sites).all(|site| open[site] || !given(site));
        let fits = self.ways.len() == problem.sensors && self.panel < problem.panels;
        if !fits || !all_given || new != self.new {
            return Err(Broken::Shape);
        }
        let mut onward: Vec<Option<Option<usize>>> = vec![None; sites];
        let mut carried = vec![0_u64; sites];
        let mut weight = 0.0;
        for (sensor, way) in self.ways.iter().enumerate() {
            let over: &[usize] = match way {
                Way::Direct => &[],
                Way::Over(over) => over,
            };
            let most = match problem.hops {
                Hops::One => 1,
                Hops::Two => 2,
            };
            let known = over.iter().all(|&site| open.get(site) == Some(&true));
            let empty = over.is_empty() && *way != Way::Direct;
            if over.len() > most || !known || empty || (over.len() == 2 && over[0] == over[1]) {
                return Err(Broken::Way { sensor });
            }
            weight += problem.weight(over.first().map_or_else(
                || problem.sensor_panel.get(sensor, self.panel),
                |&site| problem.sensor_site.get(sensor, site),
            ));
            for (place, &site) in over.iter().enumerate() {
                let next = over.get(place + 1).copied();
                carried[site] += 1;
                match onward[site] {
                    None => {
                        onward[site] = Some(next);
                        weight += problem.weight(next.map_or_else(
                            || problem.site_panel.get(site, self.panel),
                            |next| problem.site_site.get(site, next),
                        ));
                    }
                    Some(before) if before != next => return Err(Broken::TwoOnward { site }),
                    Some(_) => {}
                }
            }
            if weight.is_infinite() {
                return Err(Broken::Way { sensor });
            }
        }
        for (site, &carried) in carried.iter().enumerate() {
            let capacity = problem.sites[site].capacity;
            if capacity.is_some_and(|most| carried > u64::from(most)) {
                return Err(Broken::Capacity { site });
            }
        }
        let off = (chance(weight) - self.chance_of_any_fault).abs();
        if off.is_nan() || off > super::ROUNDING {
            return Err(Broken::Chance);
        }
        if problem.lose_one {
            self.survives(problem, &open)?;
        }
        Ok(())
    }

    fn survives(&self, problem: &CoverProblem, open: &[bool]) -> Result<(), Broken> {
        let local = Local::new(problem, self.panel);
        let oracle = Oracle { local: &local, stop: &|| false };
        let open: Vec<bool> = local.name.iter().map(|&site| open[site]).collect();
        let Verdict::Fits(whole) = oracle.fits(&open, None) else {
            return Err(Broken::Shape);
        };
        for lost in (0..local.sites()).filter(|&site| open[site]) {
            if !matches!(oracle.fits_from(&open, Some(lost), Some(&whole)), Verdict::Fits(_)) {
                return Err(Broken::Loss { site: local.name[lost] });
            }
        }
        Ok(())
    }
}

/// The chance of any fault whose −ln(1 − chance) is `weight`, 0 to 1.
pub(super) fn chance(weight: f64) -> f64 {
    -(-weight).exp_m1()
}
