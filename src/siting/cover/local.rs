//! The problem seen from one panel place: weights instead of chances, useless sites left out.

use super::problem::{CoverProblem, Hops};

/// Where a repeater sends what it carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Onward {
    /// It carries nothing.
    Unused,
    /// To the panel.
    Panel,
    /// To another site, which sends to the panel.
    Site(usize),
}

/// Who hears whom: the first hop of each sensor and the onward hop of each site.
#[derive(Clone, Debug)]
pub(super) struct Routing {
    /// The site that hears the sensor; `None`: the panel does.
    pub first: Vec<Option<usize>>,
    /// The onward hop of each site.
    pub onward: Vec<Onward>,
}

/// The problem for one panel place. Sites are numbered anew.
#[derive(Debug)]
pub(super) struct Local {
    pub panel: usize,
    pub sensors: usize,
    /// The number of each site in the problem, ascending.
    pub name: Vec<usize>,
    /// Weight of sensor → panel, infinite when not sound.
    pub direct: Vec<f64>,
    /// Sensors without a sound direct hop.
    pub needy: Vec<usize>,
    /// Weight of sensor → site, `hear[site * sensors + sensor]`.
    hear: Vec<f64>,
    /// For each site the sensors that it hears, with the weight.
    pub heard: Vec<Vec<(usize, f64)>>,
    /// Weight of site → panel.
    pub home: Vec<f64>,
    /// The onward hops worth considering at each site, with their weight; the panel first.
    pub options: Vec<Vec<(Onward, f64)>>,
    /// The most sensors that a site passes on, at most the number of sensors.
    pub room: Vec<usize>,
    pub given: Vec<bool>,
    pub lose_one: bool,
}

impl Local {
    /// The problem for panel place `panel`, without the sites that can carry nothing.
    ///
    /// An onward hop to another site is left out where the hop to the panel is sound and weighs no
    /// more: the panel then serves as well, and takes nobody's room.
    pub fn new(problem: &CoverProblem, panel: usize) -> Self {
        let sensors = problem.sensors;
        let all = problem.sites.len();
        let home: Vec<f64> =
            (0..all).map(|site| problem.weight(problem.site_panel.get(site, panel))).collect();
        let hear = |sensor, site| problem.weight(problem.sensor_site.get(sensor, site));
        let room: Vec<usize> = problem
            .sites
            .iter()
            .map(|site| {
                site.capacity.map_or(sensors, |capacity| {
                    usize::try_from(capacity).unwrap_or(usize::MAX).min(sensors)
                })
            })
            .collect();
        let hears: Vec<bool> = (0..all)
            .map(|site| (0..sensors).any(|sensor| hear(sensor, site).is_finite()))
            .collect();
        let options: Vec<Vec<(Onward, f64)>> = (0..all)
            .map(|site| {
                let mut options = Vec::new();
                if room[site] == 0 {
                    return options;
                }
                if home[site].is_finite() {
                    options.push((Onward::Panel, home[site]));
                }
                if problem.hops == Hops::Two && hears[site] {
                    for next in 0..all {
                        let weight = problem.weight(problem.site_site.get(site, next));
                        if next != site
                            && room[next] > 0
                            && home[next].is_finite()
                            && weight < home[site]
                        {
                            options.push((Onward::Site(next), weight));
                        }
                    }
                }
                options
            })
            .collect();
        let passes_on =
            |site: usize| options.iter().flatten().any(|(onward, _)| *onward == Onward::Site(site));
        let name: Vec<usize> = (0..all)
            .filter(|&site| !options[site].is_empty() && (hears[site] || passes_on(site)))
            .collect();
        let mut number = vec![usize::MAX; all];
        for (new, &old) in name.iter().enumerate() {
            number[old] = new;
        }
        let direct: Vec<f64> = (0..sensors)
            .map(|sensor| problem.weight(problem.sensor_panel.get(sensor, panel)))
            .collect();
        let hear: Vec<f64> = name
            .iter()
            .flat_map(|&site| (0..sensors).map(move |sensor| (sensor, site)))
            .map(|(sensor, site)| hear(sensor, site))
            .collect();
        let heard = (0..name.len())
            .map(|site| {
                let row = &hear[site * sensors..(site + 1) * sensors];
                let finite = row.iter().copied().enumerate();
                finite.filter(|(_, weight)| weight.is_finite()).collect()
            })
            .collect();
        Self {
            panel,
            sensors,
            needy: (0..sensors).filter(|&s| direct[s].is_infinite()).collect(),
            direct,
            hear,
            heard,
            home: name.iter().map(|&site| home[site]).collect(),
            options: name
                .iter()
                .map(|&site| {
                    let renamed = options[site].iter().map(|&(onward, weight)| match onward {
                        Onward::Site(next) => (Onward::Site(number[next]), weight),
                        other => (other, weight),
                    });
                    renamed.collect()
                })
                .collect(),
            room: name.iter().map(|&site| room[site]).collect(),
            given: name.iter().map(|&site| problem.sites[site].given).collect(),
            lose_one: problem.lose_one,
            name,
        }
    }

    /// The number of sites.
    pub fn sites(&self) -> usize {
        self.name.len()
    }

    /// The weight of the hop from a sensor to a site, infinite when not sound.
    pub fn hear(&self, sensor: usize, site: usize) -> f64 {
        self.hear[site * self.sensors + sensor]
    }

    /// The sites that are open at least.
    pub fn given_open(&self) -> Vec<bool> {
        self.given.clone()
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
                && self.options[site].iter().any(|(onward, _)| match onward {
                    Onward::Site(next) => open(*next),
                    _ => true,
                })
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
