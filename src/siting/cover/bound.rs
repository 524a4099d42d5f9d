//! Lower bounds on the count and on the weight: Lagrangian relaxation.
//!
//! Relaxed, each with a multiplier, are "each sensor has a way" (price of a sensor; for the weight
//! only) and the cuts (price of a cut). What remains falls apart into the sites: each takes the
//! sensors that are worth more than they weigh, its room permitting, and the best sites are taken,
//! no more than may be opened. The sum is at most the least count or weight for any prices of 0 or
//! more (weak duality); subgradient steps make it larger. General method: Held and Karp, 1971 (from
//! memory).

use super::cut::Cut;
use super::view::View;

/// A place in the search.
#[derive(Clone)]
pub(super) struct Branch {
    pub open: Vec<bool>,
    pub closed: Vec<bool>,
    /// New repeaters that may still be opened.
    pub left: usize,
    /// Nothing below here weighs less.
    pub weight: f64,
}

/// What a bound is of.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Goal {
    /// New repeaters that are still to be opened.
    Count,
    Weight,
}

/// The multipliers; kept from one place of the search to the next, since any are valid.
#[derive(Clone)]
pub(super) struct Prices {
    goal: Goal,
    /// Of the sensors, for the weight only.
    sensor: Vec<f64>,
    cut: Vec<f64>,
}

/// The solution of the relaxed problem.
#[derive(Clone, Default)]
pub(super) struct Relaxed {
    /// Nothing within the branch has less.
    pub bound: f64,
    /// What opening a site that is free adds.
    pub worth: Vec<f64>,
    /// The sites that are open in it.
    open: Vec<bool>,
    /// Worth of the worst site taken when no more may be taken; 0 otherwise.
    pub last: f64,
    /// Sensors by which each sensor is taken too little; then the same of the cuts.
    slope: Vec<f64>,
}

impl Prices {
    /// Prices of 0.
    pub fn of_count() -> Self {
        Self { goal: Goal::Count, sensor: Vec::new(), cut: Vec::new() }
    }

    /// Each sensor at what its way weighs by itself.
    pub fn of_weight(view: &View) -> Self {
        let mut sensor = view.direct.clone();
        for site in 0..view.sites() {
            let onward = view.lightest_option(site);
            for &(who, weight) in &view.heard[site] {
                sensor[who] = sensor[who].min(weight + onward);
            }
        }
        for price in sensor.iter_mut().filter(|price| price.is_infinite()) {
            *price = 0.0;
        }
        Self { goal: Goal::Weight, sensor, cut: Vec::new() }
    }

    /// Prices found for another panel option, fitted to this one.
    pub fn fit(&mut self, view: &View, other: &Self) {
        for (sensor, price) in self.sensor.iter_mut().enumerate() {
            *price = other.sensor[sensor].min(view.direct[sensor]);
        }
    }

    /// The relaxed problem, with the share that each free site has in what each cut lacks.
    fn relax(
        &self,
        view: &View,
        branch: &Branch,
        active: &[(usize, Vec<(usize, f64)>)],
        taken: &mut Vec<(f64, usize)>,
    ) -> Relaxed {
        let sites = view.sites();
        let direct = self.sensor.iter().zip(&view.direct);
        let mut relaxed = Relaxed {
            bound: direct.clone().map(|(price, direct)| price.min(*direct)).sum(),
            worth: vec![0.0; sites],
            open: branch.open.clone(),
            last: 0.0,
            slope: direct.map(|(price, direct)| f64::from(u8::from(price < direct))).collect(),
        };
        for (cut, shares) in active {
            relaxed.bound += self.cut[*cut];
            for (site, share) in shares {
                relaxed.worth[*site] -= self.cut[*cut] * share;
            }
        }
        let mut wanted: Vec<(f64, usize)> = Vec::new();
        let mut value = vec![0.0; sites];
        for site in (0..sites).filter(|&site| !branch.closed[site]) {
            value[site] = match self.goal {
                Goal::Count => f64::from(u8::from(!branch.open[site])),
                Goal::Weight => self.value(view, site, taken),
            };
            relaxed.worth[site] += value[site];
            if branch.open[site] {
                relaxed.bound += relaxed.worth[site];
            } else if relaxed.worth[site] < 0.0 {
                wanted.push((relaxed.worth[site], site));
            }
        }
        wanted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(worth, site) in wanted.iter().take(branch.left) {
            relaxed.bound += worth;
            relaxed.open[site] = true;
        }
        if let Some((worth, _)) = branch.left.checked_sub(1).and_then(|last| wanted.get(last)) {
            relaxed.last = *worth;
        }
        if self.goal == Goal::Weight {
            let idle = |site: usize| view.may_idle(site) && value[site] >= 0.0;
            for site in (0..sites).filter(|&site| relaxed.open[site] && !idle(site)) {
                self.takes(view, site, taken);
                for (_, sensor) in &*taken {
                    relaxed.slope[*sensor] -= 1.0;
                }
            }
        }
        for (cut, shares) in active {
            let open = shares.iter().filter(|(site, _)| relaxed.open[*site]);
            let slope = 1.0 - open.map(|(_, share)| share).sum::<f64>();
            relaxed.slope.push(if self.cut[*cut] <= 0.0 { slope.max(0.0) } else { slope });
        }
        relaxed
    }

    /// The sensors that a site takes, with what each weighs above its price.
    fn takes(&self, view: &View, site: usize, taken: &mut Vec<(f64, usize)>) {
        taken.clear();
        let gains = view.heard[site].iter().map(|&(who, weight)| (weight - self.sensor[who], who));
        taken.extend(gains.filter(|(gain, _)| *gain < 0.0));
        let room = view.room[site];
        if taken.len() > room {
            taken.select_nth_unstable_by(room, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            taken.truncate(room);
        }
    }

    /// What a site weighs: its onward hop and the sensors that it takes; 0 at most where it may
    /// stand idle.
    fn value(&self, view: &View, site: usize, taken: &mut Vec<(f64, usize)>) -> f64 {
        self.takes(view, site, taken);
        let value = view.lightest_option(site) + taken.iter().map(|(gain, _)| gain).sum::<f64>();
        if view.may_idle(site) { value.min(0.0) } else { value }
    }

    /// Steps up the slope from these prices, `rounds` times or until the bound reaches `enough`.
    /// These become the best prices met; what they give is returned.
    pub fn climb(
        &mut self,
        view: &View,
        cuts: &[Cut],
        branch: &Branch,
        enough: f64,
        rounds: usize,
    ) -> Relaxed {
        self.cut.resize(cuts.len(), 0.0);
        let free = |site: usize| !branch.open[site] && !branch.closed[site];
        let mut active = Vec::new();
        for (number, cut) in cuts.iter().enumerate() {
            let lack = cut.lack(&branch.open);
            if lack > 0 {
                let free = cut.sites.iter().filter(|(site, _)| free(*site));
                let share =
                    |&(site, value): &(usize, usize)| (site, value.min(lack) as f64 / lack as f64);
                active.push((number, free.map(share).collect::<Vec<_>>()));
            }
        }
        let mut taken = Vec::new();
        let mut relaxed = self.relax(view, branch, &active, &mut taken);
        let mut best = (relaxed.clone(), self.clone());
        let (mut pace, mut idle) = (1.0, 0);
        for _ in 0..rounds {
            let norm: f64 = relaxed.slope.iter().map(|value| value * value).sum();
            if best.0.bound >= enough || norm <= 0.0 {
                break;
            }
            let gap = match self.goal {
                Goal::Count => (relaxed.bound.max(1.0) * 1.2).min(enough) - relaxed.bound,
                Goal::Weight => (enough - relaxed.bound).max(1e-3 * enough.abs()),
            };
            let step = pace * gap / norm;
            let (sensors, of_cuts) = relaxed.slope.split_at(self.sensor.len());
            for ((price, slope), direct) in self.sensor.iter_mut().zip(sensors).zip(&view.direct) {
                *price = (*price + step * slope).clamp(0.0, *direct);
            }
            for ((cut, _), slope) in active.iter().zip(of_cuts) {
                self.cut[*cut] = (self.cut[*cut] + step * slope).max(0.0);
            }
            relaxed = self.relax(view, branch, &active, &mut taken);
            if relaxed.bound > best.0.bound {
                best = (relaxed.clone(), self.clone());
                idle = 0;
            } else {
                idle += 1;
                if idle >= 6 {
                    pace *= 0.6;
                    idle = 0;
                }
            }
        }
        *self = best.1;
        best.0
    }
}
