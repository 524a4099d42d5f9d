//! The fewest new repeaters: a search over the cuts, which asks the oracle when all are fulfilled
//! and gets more cuts when that does not suffice.

use super::local::{Local, Routing};
use super::oracle::{Cut, Oracle, Verdict};

/// The cuts known of one panel place.
#[derive(Debug, Default)]
pub(super) struct Cuts {
    pub all: Vec<Cut>,
    /// Multipliers of the cuts, at least 0: any are valid, good ones bound the count sharply.
    prices: Vec<f64>,
}

/// What a search for a sufficient set says.
pub(super) enum Found {
    /// These sites, and a way to do it.
    Yes(Vec<bool>, Routing),
    /// Proven: there is none.
    No,
    /// The caller said stop.
    Stopped,
}

/// A place in the search.
struct Branch {
    open: Vec<bool>,
    closed: Vec<bool>,
    /// New repeaters that may still be opened.
    left: usize,
}

impl Cuts {
    /// Adds cuts that are not known yet.
    pub fn extend(&mut self, cuts: Vec<Cut>) {
        for cut in cuts {
            if !self.all.contains(&cut) {
                self.all.push(cut);
                self.prices.push(0.0);
            }
        }
    }

    /// What each cut still lacks with these sites open.
    fn lack(cut: &Cut, open: &[bool]) -> u64 {
        let have: u64 = cut
            .coefficient
            .iter()
            .zip(open)
            .filter(|(_, open)| **open)
            .map(|(value, _)| u64::from(*value))
            .sum();
        u64::from(cut.need).saturating_sub(have)
    }

    /// The fewest free sites that fulfil one cut; `None` when all together do not.
    fn fewest(cut: &Cut, lack: u64, free: impl Fn(usize) -> bool) -> Option<usize> {
        let mut values: Vec<u32> = cut
            .coefficient
            .iter()
            .enumerate()
            .filter(|(site, value)| **value > 0 && free(*site))
            .map(|(_, value)| *value)
            .collect();
        values.sort_unstable_by(|a, b| b.cmp(a));
        let mut sum = 0;
        for (count, value) in values.iter().enumerate() {
            if sum >= lack {
                return Some(count);
            }
            sum += u64::from(*value);
        }
        (sum >= lack).then_some(values.len())
    }

    /// Whether the cuts can be fulfilled with the sites that may be open.
    pub fn possible(&self, may_open: impl Fn(usize) -> bool) -> bool {
        self.all.iter().all(|cut| {
            let sum: u64 = (cut.coefficient.iter().enumerate())
                .filter(|(site, _)| may_open(*site))
                .map(|(_, value)| u64::from(*value))
                .sum();
            sum >= u64::from(cut.need)
        })
    }

    /// A lower bound on the new repeaters that `branch` still needs: the Lagrangian of the cuts,
    /// after `rounds` steps up its slope.
    fn bound(&mut self, branch: &Branch, rounds: usize) -> f64 {
        let sites = branch.open.len();
        let lack: Vec<u64> = self.all.iter().map(|cut| Self::lack(cut, &branch.open)).collect();
        let active: Vec<usize> = (0..lack.len()).filter(|&cut| lack[cut] > 0).collect();
        let share = |cut: usize, site: usize, all: &[Cut]| {
            let value = u64::from(all[cut].coefficient[site]).min(lack[cut]);
            value as f64 / lack[cut] as f64
        };
        let mut best = 0.0_f64;
        let mut step = 0.3;
        for _ in 0..=rounds {
            let mut reduced: Vec<(f64, usize)> = Vec::new();
            let mut total: f64 = active.iter().map(|&cut| self.prices[cut]).sum();
            for site in 0..sites {
                if branch.open[site] || branch.closed[site] {
                    continue;
                }
                let sum: f64 =
                    active.iter().map(|&cut| self.prices[cut] * share(cut, site, &self.all)).sum();
                if sum > 1.0 {
                    reduced.push((1.0 - sum, site));
                }
            }
            reduced.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            reduced.truncate(branch.left);
            total += reduced.iter().map(|(value, _)| value).sum::<f64>();
            best = best.max(total);
            if best > branch.left as f64 + 1e-6 {
                break;
            }
            for &cut in &active {
                let got: f64 = reduced.iter().map(|&(_, site)| share(cut, site, &self.all)).sum();
                self.prices[cut] = (self.prices[cut] + step * (1.0 - got) / 2.0).max(0.0);
            }
            step *= 0.93;
        }
        best
    }

    /// A lower bound on the number of new repeaters, 0 at least.
    pub fn at_least(&mut self, local: &Local) -> usize {
        let branch = Branch {
            open: local.given_open(),
            closed: vec![false; local.sites()],
            left: local.sites(),
        };
        let single = self.all.iter().map(|cut| {
            let lack = Self::lack(cut, &branch.open);
            Self::fewest(cut, lack, |site| !branch.open[site]).unwrap_or(usize::MAX)
        });
        let single = single.max().unwrap_or(0);
        let small = self.all.len() * local.sites() <= 20_000;
        let rounds = if small { 60 } else { 5 };
        // The margin covers rounding: rounding down costs a search at most.
        let joint = (self.bound(&branch, rounds) - 1e-6).ceil().max(0.0) as usize;
        single.max(joint)
    }

    /// A sufficient set, found without looking back; then without what it can do without.
    pub fn greedy(&mut self, oracle: &Oracle<'_>) -> Found {
        let local = oracle.local;
        let mut open = local.given_open();
        let mut routing = loop {
            match oracle.holds(&open) {
                Verdict::Fits(routing) => break routing,
                Verdict::Stopped => return Found::Stopped,
                Verdict::Fails(cuts) => self.extend(cuts),
            }
            let worth = |site: usize| -> f64 {
                let parts = self.all.iter().map(|cut| {
                    let lack = Self::lack(cut, &open);
                    let value = u64::from(cut.coefficient[site]).min(lack);
                    value as f64 / lack.max(1) as f64
                });
                parts.sum()
            };
            let mut best = None;
            for site in (0..local.sites()).filter(|&site| !open[site]) {
                let worth = worth(site);
                if best.is_none_or(|(most, _)| worth > most) {
                    best = Some((worth, site));
                }
            }
            match best {
                Some((_, site)) => open[site] = true,
                None => return Found::No,
            }
        };
        for site in (0..local.sites()).rev() {
            if !open[site] || local.given[site] {
                continue;
            }
            open[site] = false;
            match oracle.holds(&open) {
                Verdict::Fits(less) => routing = less,
                Verdict::Fails(cuts) => {
                    self.extend(cuts);
                    open[site] = true;
                }
                Verdict::Stopped => {
                    open[site] = true;
                    break;
                }
            }
        }
        Found::Yes(open, routing)
    }

    /// A sufficient set of at most `most` new repeaters, or the proof that there is none.
    pub fn find(&mut self, oracle: &Oracle<'_>, most: usize) -> Found {
        let local = oracle.local;
        let mut stack = vec![Branch {
            open: local.given_open(),
            closed: vec![false; local.sites()],
            left: most,
        }];
        'branches: while let Some(branch) = stack.pop() {
            if (oracle.stop)() {
                return Found::Stopped;
            }
            let chosen = loop {
                match self.hardest(&branch) {
                    Err(()) => continue 'branches,
                    Ok(Some(cut)) => break cut,
                    Ok(None) => match oracle.holds(&branch.open) {
                        Verdict::Fits(routing) => return Found::Yes(branch.open, routing),
                        Verdict::Stopped => return Found::Stopped,
                        Verdict::Fails(cuts) => self.extend(cuts),
                    },
                }
            };
            if branch.left > 1 && self.bound(&branch, 12) > branch.left as f64 + 1e-6 {
                continue;
            }
            let cut = &self.all[chosen];
            let mut sites: Vec<usize> = (0..local.sites())
                .filter(|&site| {
                    cut.coefficient[site] > 0 && !branch.open[site] && !branch.closed[site]
                })
                .collect();
            sites.sort_by_key(|&site| std::cmp::Reverse(cut.coefficient[site]));
            // One of these sites is open in any solution: either the first, or the second and not
            // the first, and so on.
            let mut closed = branch.closed.clone();
            let mut children = Vec::new();
            for site in sites {
                let mut open = branch.open.clone();
                open[site] = true;
                children.push(Branch { open, closed: closed.clone(), left: branch.left - 1 });
                closed[site] = true;
            }
            stack.extend(children.into_iter().rev());
        }
        Found::No
    }

    /// The open cut that needs most sites, among those the one with the fewest free; `None` when
    /// all are fulfilled, an error when one cannot be.
    fn hardest(&self, branch: &Branch) -> Result<Option<usize>, ()> {
        let mut best: Option<(usize, usize, usize)> = None;
        for (number, cut) in self.all.iter().enumerate() {
            let lack = Self::lack(cut, &branch.open);
            if lack == 0 {
                continue;
            }
            let free = |site: usize| !branch.open[site] && !branch.closed[site];
            let fewest = Self::fewest(cut, lack, free).ok_or(())?;
            if fewest > branch.left {
                return Err(());
            }
            let width = (0..branch.open.len())
                .filter(|&site| cut.coefficient[site] > 0 && free(site))
                .count();
            let better = best.is_none_or(|(most, narrow, _)| {
                fewest > most || (fewest == most && width < narrow)
            });
            if better {
                best = Some((fewest, width, number));
            }
        }
        Ok(best.map(|(_, _, number)| number))
    }
}
