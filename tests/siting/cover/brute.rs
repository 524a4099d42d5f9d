//! Every subset of the sites, every onward hop, every first hop: written from the statement of the
//! problem, with nothing of the search in it.

use siting::cover::{CoverProblem, Hops};

/// What brute force finds.
#[derive(Debug, PartialEq)]
pub enum Truth {
    /// The fewest new repeaters and the lowest chance of any fault with so many.
    Best { count: usize, chance: f64 },
    /// For each panel place, why not.
    Not(Vec<Why>),
}

#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    Unreachable(Vec<usize>),
    Capacity,
    NotTwice(Vec<usize>),
    CapacityAfterLoss,
}

fn sound(problem: &CoverProblem, chance: f64) -> bool {
    (0.0..1.0).contains(&chance) && chance < problem.sound_below
}

/// Whether the first hop of a sensor may be used.
fn usable(problem: &CoverProblem, sensor: usize, chance: f64) -> bool {
    let below = problem.sensor_below.get(sensor).unwrap_or(&problem.sound_below);
    (0.0..1.0).contains(&chance) && chance < *below
}

/// One panel place under brute force.
struct Place<'a> {
    problem: &'a CoverProblem,
    panel: usize,
}

/// The onward hop of a site: none, the panel, another site.
#[derive(Clone, Copy, PartialEq)]
enum To {
    Nowhere,
    Panel,
    RepeaterOption(usize),
}

impl Place<'_> {
    /// Every lawful choice of onward hops under which just these sites send onward.
    fn onwards(&self, open: u32) -> Vec<Vec<To>> {
        let problem = self.problem;
        let sites = problem.sites.len();
        let mut all = vec![vec![]];
        for site in 0..sites {
            let mut choices = Vec::new();
            if open >> site & 1 == 0 {
                choices.push(To::Nowhere);
            } else {
                if sound(problem, problem.site_panel.get(site, self.panel)) {
                    choices.push(To::Panel);
                }
                for next in 0..sites {
                    if problem.hops == Hops::Two
                        && next != site
                        && open >> next & 1 == 1
                        && sound(problem, problem.site_site.get(site, next))
                    {
                        choices.push(To::RepeaterOption(next));
                    }
                }
            }
            all = all
                .into_iter()
                .flat_map(|head: Vec<To>| {
                    choices.iter().map(move |&choice| {
                        let mut longer = head.clone();
                        longer.push(choice);
                        longer
                    })
                })
                .collect();
        }
        all.retain(|onward| {
            onward
                .iter()
                .all(|to| !matches!(to, To::RepeaterOption(next) if onward[*next] != To::Panel))
        });
        all
    }

    /// The highest product of (1 − chance) over the hops in use, over all first hops; `None` when
    /// some sensor finds no way. Memory of one step: how many sensors each site hears.
    fn best_for(&self, onward: &[To]) -> Option<f64> {
        let problem = self.problem;
        let sites = problem.sites.len();
        // How many sensors each site hears itself → the best product so far.
        let mut states: Vec<(Vec<u32>, f64)> = vec![(vec![0; sites], 1.0)];
        for sensor in 0..problem.sensors {
            let mut next: Vec<(Vec<u32>, f64)> = Vec::new();
            let mut put = |heard: Vec<u32>, product: f64| match next
                .iter_mut()
                .find(|(other, _)| *other == heard)
            {
                Some((_, best)) => *best = best.max(product),
                None => next.push((heard, product)),
            };
            for (heard, product) in &states {
                let direct = problem.sensor_panel.get(sensor, self.panel);
                if usable(problem, sensor, direct) {
                    put(heard.clone(), product * (1.0 - direct));
                }
                for site in 0..sites {
                    let chance = problem.sensor_site.get(sensor, site);
                    if onward[site] == To::Nowhere || !usable(problem, sensor, chance) {
                        continue;
                    }
                    let mut more = heard.clone();
                    more[site] += 1;
                    put(more, product * (1.0 - chance));
                }
            }
            states = next;
        }
        let mut best: Option<f64> = None;
        for (heard, product) in states {
            let mut passed = heard.clone();
            for site in 0..sites {
                if let To::RepeaterOption(next) = onward[site] {
                    passed[next] += heard[site];
                }
            }
            let within = (0..sites)
                .all(|site| problem.sites[site].capacity.is_none_or(|most| passed[site] <= most));
            if !within {
                continue;
            }
            let mut product = product;
            for site in (0..sites).filter(|&site| passed[site] > 0) {
                product *= 1.0
                    - match onward[site] {
                        To::Panel => problem.site_panel.get(site, self.panel),
                        To::RepeaterOption(next) => problem.site_site.get(site, next),
                        To::Nowhere => unreachable!("carries without a way on"),
                    };
            }
            best = Some(best.map_or(product, |best| best.max(product)));
        }
        best
    }

    /// The highest product for every set of open sites, nothing lost: over all its subsets, the
    /// others standing idle.
    fn values(&self, full: u32) -> Vec<Option<f64>> {
        let exact: Vec<Option<f64>> = (0..=full).map(|open| self.exactly(open)).collect();
        let best = |open: u32| {
            let parts = (0..=open).filter(|part| part & open == *part);
            let products = parts.filter_map(|part| exact[part as usize]);
            products.reduce(f64::max)
        };
        (0..=full).map(best).collect()
    }

    /// The highest product when just these sites send onward.
    fn exactly(&self, open: u32) -> Option<f64> {
        let products = self.onwards(open).into_iter();
        products.filter_map(|onward| self.best_for(&onward)).reduce(f64::max)
    }

    fn reaches(&self, sensor: usize, open: u32) -> bool {
        let problem = self.problem;
        let sites = problem.sites.len();
        let passes = |site: usize| open >> site & 1 == 1 && problem.sites[site].capacity != Some(0);
        let home =
            |site: usize| passes(site) && sound(problem, problem.site_panel.get(site, self.panel));
        usable(problem, sensor, problem.sensor_panel.get(sensor, self.panel))
            || (0..sites).any(|site| {
                passes(site)
                    && usable(problem, sensor, problem.sensor_site.get(sensor, site))
                    && (home(site)
                        || problem.hops == Hops::Two
                            && (0..sites).any(|next| {
                                next != site
                                    && home(next)
                                    && sound(problem, problem.site_site.get(site, next))
                            }))
            })
    }

    fn why(&self, full: u32, fits: bool) -> Why {
        let problem = self.problem;
        let none = |open: u32| -> Vec<usize> {
            (0..problem.sensors).filter(|&sensor| !self.reaches(sensor, open)).collect()
        };
        if !none(full).is_empty() {
            return Why::Unreachable(none(full));
        }
        if !fits {
            return Why::Capacity;
        }
        let mut alone: Vec<usize> =
            (0..problem.sites.len()).flat_map(|lost| none(full & !(1 << lost))).collect();
        alone.sort_unstable();
        alone.dedup();
        if alone.is_empty() { Why::CapacityAfterLoss } else { Why::NotTwice(alone) }
    }
}

/// The truth about a small problem.
pub fn truth(problem: &CoverProblem) -> Truth {
    let sites = problem.sites.len();
    let full = (1_u32 << sites) - 1;
    let given = (0..sites)
        .filter(|&site| problem.sites[site].given)
        .fold(0_u32, |set, site| set | 1 << site);
    let mut best: Option<(u32, f64)> = None;
    let mut whys = Vec::new();
    for panel in 0..problem.panels {
        let place = Place { problem, panel };
        let value = place.values(full);
        let mut any = false;
        for open in (0..=full).filter(|open| open & given == given) {
            let survives = !problem.lose_one
                || (0..sites)
                    .filter(|&lost| open >> lost & 1 == 1)
                    .all(|lost| value[(open & !(1 << lost)) as usize].is_some());
            if let (Some(product), true) = (value[open as usize], survives) {
                any = true;
                let count = (open & !given).count_ones();
                let better = best.is_none_or(|(least, most)| {
                    count < least || (count == least && product > most)
                });
                if better {
                    best = Some((count, product));
                }
            }
        }
        if !any {
            whys.push(place.why(full, value[full as usize].is_some()));
        }
    }
    match best {
        Some((count, product)) => Truth::Best { count: count as usize, chance: 1.0 - product },
        None => Truth::Not(whys),
    }
}
