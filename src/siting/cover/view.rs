//! The problem seen from one panel option: weights instead of chances, useless sites left out.

use super::problem::{CoverProblem, Hops};

/// Where a repeater sends what it carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Onward {
    /// It carries nothing.
    Unused,
    Panel,
    /// To another site, which sends to the panel.
    Site(usize),
}

impl Onward {
    pub fn site(self) -> Option<usize> {
        if let Self::Site(next) = self { Some(next) } else { None }
    }
}

/// Who hears whom: the first hop of each sensor and the onward hop of each site.
#[derive(Clone, Debug)]
pub(super) struct Routing {
    /// The site that hears the sensor; `None`: the panel does.
    pub first: Vec<Option<usize>>,
    /// The onward hop of each site.
    pub onward: Vec<Onward>,
}

/// The problem for one panel option. A site that can pass nothing on hears nobody here and has no
/// onward hop.
#[derive(Debug)]
pub(super) struct View {
    pub sensors: usize,
    /// Weight of sensor → panel, infinite when not sound.
    pub direct: Vec<f64>,
    /// Sensors without a sound direct hop.
    pub needy: Vec<usize>,
    /// Weight of sensor → site, `hear[site * sensors + sensor]`.
    hear: Vec<f64>,
    /// For each site the sensors that it hears, with the weight.
    pub heard: Vec<Vec<(usize, f64)>>,
    /// The onward hops worth considering at each site, with their weight; the panel first.
    pub options: Vec<Vec<(Onward, f64)>>,
    /// The most sensors that a site passes on, at most the number of sensors.
    pub room: Vec<usize>,
    pub given: Vec<bool>,
    pub lose_one: bool,
}

impl View {
    /// The problem for panel option `panel`.
    ///
    /// An onward hop to another site is left out where the hop to the panel is sound and weighs no
    /// more: the panel then serves as well, and takes nobody's room.
    pub fn new(problem: &CoverProblem, panel: usize) -> Self {
        let sensors = problem.sensors;
        let sites = problem.sites.len();
        let room = problem.sites.iter().map(|site| {
            let capacity = site.capacity.and_then(|most| usize::try_from(most).ok());
            capacity.map_or(sensors, |most| most.min(sensors))
        });
        let room: Vec<usize> = room.collect();
        let home = |site: usize| {
            let weight = problem.weight(problem.site_panel.get(site, panel));
            if room[site] > 0 { weight } else { f64::INFINITY }
        };
        let home: Vec<f64> = (0..sites).map(home).collect();
        let options = (0..sites).map(|site| {
            let mut options = Vec::new();
            if home[site].is_finite() {
                options.push((Onward::Panel, home[site]));
            }
            if problem.hops == Hops::Two && room[site] > 0 {
                for next in (0..sites).filter(|&next| next != site && home[next].is_finite()) {
                    let weight = problem.weight(problem.site_site.get(site, next));
                    if weight < home[site] {
                        options.push((Onward::Site(next), weight));
                    }
                }
            }
            options
        });
        let options: Vec<Vec<(Onward, f64)>> = options.collect();
        let hear = |site: usize, sensor: usize| {
            let weight = problem.first_weight(sensor, problem.sensor_site.get(sensor, site));
            if options[site].is_empty() { f64::INFINITY } else { weight }
        };
        let hear: Vec<f64> =
            (0..sites * sensors).map(|at| hear(at / sensors, at % sensors)).collect();
        let heard = (0..sites).map(|site| {
            let row = hear[site * sensors..(site + 1) * sensors].iter().copied().enumerate();
            row.filter(|(_, weight)| weight.is_finite()).collect()
        });
        let direct: Vec<f64> = (0..sensors)
            .map(|sensor| problem.first_weight(sensor, problem.sensor_panel.get(sensor, panel)))
            .collect();
        Self {
            sensors,
            needy: (0..sensors).filter(|&s| direct[s].is_infinite()).collect(),
            direct,
            heard: heard.collect(),
            hear,
            options,
            room,
            given: problem.sites.iter().map(|site| site.given).collect(),
            lose_one: problem.lose_one,
        }
    }

    pub fn is_home(&self, site: usize) -> bool {
        matches!(self.options[site].first(), Some((Onward::Panel, _)))
    }

    pub fn sites(&self) -> usize {
        self.given.len()
    }

    /// The weight of the hop from a sensor to a site, infinite when not sound.
    pub fn hear(&self, sensor: usize, site: usize) -> f64 {
        self.hear[site * self.sensors + sensor]
    }

    /// The least weight of the onward hops of a site.
    pub fn lightest_option(&self, site: usize) -> f64 {
        self.options[site].iter().map(|(_, weight)| *weight).fold(f64::INFINITY, f64::min)
    }

    /// Whether an open site may carry nothing: elsewhere a repeater that carries nothing is one
    /// too many.
    pub fn may_idle(&self, site: usize) -> bool {
        self.lose_one || self.given[site]
    }

    /// The number of new repeaters among the open.
    pub fn new_count(&self, open: &[bool]) -> usize {
        (0..self.sites()).filter(|&site| open[site] && !self.given[site]).count()
    }

    /// The weight of a routing: each first hop, and the onward hop of each site that carries
    /// something.
    pub fn weight_of(&self, routing: &Routing) -> f64 {
        let mut carries = vec![false; self.sites()];
        let mut total = 0.0;
        for (sensor, first) in routing.first.iter().enumerate() {
            match first {
                None => total += self.direct[sensor],
                Some(site) => {
                    total += self.hear(sensor, *site);
                    carries[*site] = true;
                    if let Onward::Site(next) = routing.onward[*site] {
                        carries[next] = true;
                    }
                }
            }
        }
        for (site, _) in carries.iter().enumerate().filter(|(_, carries)| **carries) {
            let onward = routing.onward[site];
            let hop = self.options[site].iter().find(|(to, _)| *to == onward);
            total += hop.map_or(f64::INFINITY, |(_, weight)| *weight);
        }
        total
    }

    /// The sensors that no way brings to the panel when every site but `lost` is open.
    pub fn cut_off(&self, lost: Option<usize>) -> Vec<usize> {
        let open = |site: usize| Some(site) != lost;
        let passes = |site: usize| {
            open(site)
                && self.options[site].iter().any(|(onward, _)| onward.site().is_none_or(open))
        };
        let mut heard = vec![false; self.sensors];
        for site in (0..self.sites()).filter(|&site| passes(site)) {
            for &(sensor, _) in &self.heard[site] {
                heard[sensor] = true;
            }
        }
        let needy = self.needy.iter().copied();
        needy.filter(|&sensor| !heard[sensor]).collect()
    }
}
