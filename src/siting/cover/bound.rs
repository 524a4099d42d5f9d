//! A lower bound on the weight: Lagrangian relaxation.
//!
//! Relaxed, each with a multiplier, are "each sensor has a way" (price of a sensor), the cuts
//! (price of a cut) and "who is sent to sends to the panel" (toll of an onward hop). What remains
//! falls apart into the sites: each takes the sensors that are worth more than they weigh, its room
//! permitting, and the best sites are taken, no more than may be opened. The sum is at most the
//! least weight for any prices and tolls of 0 or more (weak duality); subgradient steps make it
//! larger. General method: Held and Karp, 1971 (from memory).

use super::count::Cuts;
use super::domain::Domain;
use super::local::{Local, Onward};

/// Prices and tolls.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    sensor: Vec<f64>,
    cut: Vec<f64>,
    /// One for each option of each site; that of the panel stays 0.
    toll: Vec<Vec<f64>>,
}

/// The solution of the relaxed problem.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// No choice within the domain weighs less.
    pub bound: f64,
    /// The sites that are open in it.
    pub open: Vec<bool>,
    /// The option that a site uses in it.
    pub uses: Vec<Option<usize>>,
    /// What opening the site adds to the bound.
    pub worth: Vec<f64>,
    /// Worth of the worst new site taken by choice, when no more may be taken.
    pub last: Option<f64>,
    /// Worth of the best new site left out although it would lower the bound.
    pub next: Option<f64>,
}

impl Prices {
    pub fn new(local: &Local) -> Self {
        let mut sensor: Vec<f64> = local.direct.clone();
        for site in 0..local.sites() {
            let onward = local.options[site].iter().map(|(_, weight)| *weight);
            let onward = onward.fold(f64::INFINITY, f64::min);
            for &(who, weight) in &local.heard[site] {
                sensor[who] = sensor[who].min(weight + onward);
            }
        }
        for price in &mut sensor {
            if price.is_infinite() {
                *price = 0.0;
            }
        }
        Self {
            sensor,
            cut: Vec::new(),
            toll: local.options.iter().map(|options| vec![0.0; options.len()]).collect(),
        }
    }

    /// Prices found for another panel place, fitted to this one.
    pub fn fit(&mut self, local: &Local, from: &[f64]) {
        for (sensor, price) in self.sensor.iter_mut().enumerate() {
            *price = from[sensor].min(local.direct[sensor]);
        }
    }

    /// The prices of the sensors.
    pub fn sensors(&self) -> &[f64] {
        &self.sensor
    }

    /// The relaxed problem under these prices.
    pub fn relax(&self, local: &Local, cuts: &Cuts, domain: &Domain) -> Relaxed {
        let sites = local.sites();
        let mut relief = vec![0.0; sites];
        let mut bound = 0.0;
        for (cut, price) in cuts.all.iter().zip(&self.cut) {
            if *price > 0.0 {
                let each = price / f64::from(cut.need);
                bound += price;
                for (relief, value) in relief.iter_mut().zip(&cut.coefficient) {
                    *relief += each * f64::from(*value);
                }
            }
        }
        let mut rebate = vec![0.0; sites];
        for (options, tolls) in local.options.iter().zip(&self.toll) {
            for ((onward, _), toll) in options.iter().zip(tolls) {
                if let Onward::Site(next) = onward {
                    rebate[*next] += toll;
                }
            }
        }
        for (price, direct) in self.sensor.iter().zip(&local.direct) {
            bound += price.min(*direct);
        }
        let mut relaxed = Relaxed {
            bound: 0.0,
            open: vec![false; sites],
            uses: vec![None; sites],
            worth: vec![f64::INFINITY; sites],
            last: None,
            next: None,
        };
        let mut wanted: Vec<(f64, usize)> = Vec::new();
        let mut gains: Vec<f64> = Vec::new();
        for site in 0..sites {
            let mut best = if domain.spare[site] { 0.0 } else { f64::INFINITY };
            let mut option = None;
            for (number, (onward, weight)) in local.options[site].iter().enumerate() {
                if !domain.option[site][number] {
                    continue;
                }
                let weight = match onward {
                    Onward::Site(_) => weight + self.toll[site][number],
                    _ => weight - rebate[site],
                };
                if option.is_none_or(|(_, least)| weight < least) {
                    option = Some((number, weight));
                }
            }
            if let Some((number, weight)) = option {
                let gain = self.gain(local, site, &mut gains);
                if weight + gain < best {
                    best = weight + gain;
                    relaxed.uses[site] = Some(number);
                }
            }
            relaxed.worth[site] = best - relief[site];
            if !domain.close[site] {
                bound += relaxed.worth[site];
                relaxed.open[site] = true;
            } else if relaxed.worth[site] < 0.0 {
                wanted.push((relaxed.worth[site], site));
            }
        }
        wanted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(worth, site) in wanted.iter().take(domain.left) {
            bound += worth;
            relaxed.open[site] = true;
        }
        if wanted.len() >= domain.left {
            relaxed.last = domain
                .left
                .checked_sub(1)
                .and_then(|last| wanted.get(last))
                .map(|(worth, _)| *worth);
        }
        relaxed.next = wanted.get(domain.left).map(|(worth, _)| *worth);
        for site in 0..sites {
            if !relaxed.open[site] {
                relaxed.uses[site] = None;
            }
        }
        relaxed.bound = bound;
        relaxed
    }

    /// Σ of what the sensors that the site takes weigh above their price: at most 0.
    fn gain(&self, local: &Local, site: usize, gains: &mut Vec<f64>) -> f64 {
        gains.clear();
        for &(sensor, weight) in &local.heard[site] {
            let gain = weight - self.sensor[sensor];
            if gain < 0.0 {
                gains.push(gain);
            }
        }
        let room = local.room[site];
        if gains.len() > room {
            gains.select_nth_unstable_by(room, f64::total_cmp);
            gains.truncate(room);
        }
        gains.iter().sum()
    }

    /// The sensors that the site takes.
    fn taken(&self, local: &Local, site: usize, taken: &mut Vec<(f64, usize)>) {
        taken.clear();
        for &(sensor, weight) in &local.heard[site] {
            let gain = weight - self.sensor[sensor];
            if gain < 0.0 {
                taken.push((gain, sensor));
            }
        }
        let room = local.room[site];
        if taken.len() > room {
            taken.select_nth_unstable_by(room, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            taken.truncate(room);
        }
    }

    /// Steps up the slope from these prices, `rounds` times or until the bound reaches `goal`.
    /// These become the best prices met; what they give is returned, with how often each site was
    /// used, 0 to 1, late steps counting more.
    pub fn height_profile(
        &mut self,
        local: &Local,
        cuts: &Cuts,
        domain: &Domain,
        goal: f64,
        rounds: usize,
        stop: &dyn Fn() -> bool,
    ) -> (Relaxed, Vec<f64>) {
        self.cut.resize(cuts.all.len(), 0.0);
        let mut relaxed = self.relax(local, cuts, domain);
        let mut best = (relaxed.clone(), self.clone());
        let mut often: Vec<f64> =
            relaxed.uses.iter().map(|uses| f64::from(u8::from(uses.is_some()))).collect();
        let (mut pace, mut idle) = (1.0, 0);
        let mut taken = Vec::new();
        for round in 0..rounds {
            if best.0.bound >= goal || (round % 8 == 7 && stop()) {
                break;
            }
            let mut slope: Vec<f64> = (self.sensor.iter().zip(&local.direct))
                .map(|(price, direct)| if price >= direct { 0.0 } else { 1.0 })
                .collect();
            for site in 0..local.sites() {
                if relaxed.uses[site].is_some() {
                    self.taken(local, site, &mut taken);
                    for &(_, sensor) in &taken {
                        slope[sensor] -= 1.0;
                    }
                }
            }
            let mut norm: f64 = slope.iter().map(|value| value * value).sum();
            let cut_slope: Vec<f64> = (cuts.all.iter().zip(&self.cut))
                .map(|(cut, price)| {
                    let have: f64 = (cut.coefficient.iter().zip(&relaxed.open))
                        .filter(|(_, open)| **open)
                        .map(|(value, _)| f64::from(*value))
                        .sum();
                    let slope = 1.0 - have / f64::from(cut.need);
                    if *price <= 0.0 { slope.max(0.0) } else { slope }
                })
                .collect();
            norm += cut_slope.iter().map(|value| value * value).sum::<f64>();
            let toll_slope = |site: usize, number: usize, toll: f64| {
                let Onward::Site(next) = local.options[site][number].0 else {
                    return 0.0;
                };
                let sent = f64::from(u8::from(relaxed.uses[site] == Some(number)));
                let slope = sent - f64::from(u8::from(relaxed.uses[next] == Some(0)));
                if toll <= 0.0 { slope.max(0.0) } else { slope }
            };
            for (site, tolls) in self.toll.iter().enumerate() {
                for (number, toll) in tolls.iter().enumerate() {
                    norm += toll_slope(site, number, *toll).powi(2);
                }
            }
            if norm <= 0.0 {
                break;
            }
            let gap = (goal - relaxed.bound).max(1e-3 * goal.abs());
            let step = pace * gap / norm;
            for (sensor, price) in self.sensor.iter_mut().enumerate() {
                *price = (*price + step * slope[sensor]).clamp(0.0, local.direct[sensor]);
            }
            for (price, slope) in self.cut.iter_mut().zip(&cut_slope) {
                *price = (*price + step * slope).max(0.0);
            }
            for (site, tolls) in self.toll.iter_mut().enumerate() {
                for (number, toll) in tolls.iter_mut().enumerate() {
                    *toll = (*toll + step * toll_slope(site, number, *toll)).max(0.0);
                }
            }
            relaxed = self.relax(local, cuts, domain);
            for (often, uses) in often.iter_mut().zip(&relaxed.uses) {
                *often = 0.85 * *often + 0.15 * f64::from(u8::from(uses.is_some()));
            }
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
        (best.0, often)
    }
}
