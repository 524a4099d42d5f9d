//! The search at one panel option: which sites are open, by branching on what is hardest to fulfil.

use super::ROUNDING;
use super::bound::{Branch, Goal, Prices, Relaxed};
use super::cut::{Cut, first_cuts};
use super::routing::{Router, Verdict};
use super::view::{Routing, View};

/// Steps of the bound at the root of a search and in it.
const ROOT_ROUNDS: usize = 300;
const BRANCH_ROUNDS: usize = 12;

/// The margin of the count's bound for rounding: it costs a search at most.
const SLACK: f64 = 1e-6;

#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub weight: f64,
    pub open: Vec<bool>,
    pub routing: Routing,
}

pub(super) enum End {
    /// The search for a count: this suffices.
    Found(Choice),
    /// Proven: nothing is left.
    Nothing,
    /// The caller said stop; nothing weighs less than this.
    Stopped(f64),
}

/// The search at one panel option.
pub(super) struct Search<'a> {
    pub router: Router<'a>,
    cuts: Vec<Cut>,
    count: Prices,
    pub weight: Prices,
    /// Only what weighs less is of interest; falls as choices are found.
    pub limit: f64,
    /// The best choice found that weighed less than the limit.
    pub best: Option<Choice>,
}

impl<'a> Search<'a> {
    pub fn new(view: &'a View, stop: &'a dyn Fn() -> bool) -> Self {
        Self {
            router: Router { view, stop },
            cuts: first_cuts(view),
            count: Prices::of_count(),
            weight: Prices::of_weight(view),
            limit: f64::INFINITY,
            best: None,
        }
    }

    fn root(&self, left: usize) -> Branch {
        let view = self.router.view;
        let closed = view.options.iter().map(Vec::is_empty).collect();
        Branch { open: view.given.clone(), closed, left, weight: 0.0 }
    }

    /// A lower bound on the number of new repeaters.
    pub fn at_least(&mut self) -> usize {
        let view = self.router.view;
        let root = self.root(view.sites());
        let single = self.cuts.iter().map(|cut| {
            let lack = cut.lack(&root.open);
            cut.fewest(lack, |site| !root.open[site]).unwrap_or(usize::MAX)
        });
        let single = single.max().unwrap_or(0);
        let rounds = if self.cuts.len() * view.sites() <= 20_000 { 60 } else { 5 };
        let joint = self.count.climb(view, &self.cuts, &root, f64::INFINITY, rounds).bound;
        single.max((joint - SLACK).ceil().max(0.0) as usize)
    }

    /// A lower bound on the weight with at most `most` new repeaters, after so many steps.
    pub fn lightest(&mut self, most: usize, rounds: usize) -> f64 {
        let root = self.root(most);
        self.weight.climb(self.router.view, &self.cuts, &root, self.limit, rounds).bound
    }

    /// All sites together, when they suffice.
    pub fn everything(&mut self) -> Option<Choice> {
        let root = self.root(0);
        let all: Vec<bool> =
            root.open.iter().zip(root.closed).map(|(open, closed)| *open || !closed).collect();
        match self.router.holds(&all) {
            Verdict::Fits(routing) => Some(self.choice(all, routing)),
            _ => None,
        }
    }

    fn choice(&self, open: Vec<bool>, routing: Routing) -> Choice {
        Choice { weight: self.router.view.weight_of(&routing), open, routing }
    }

    /// Takes up the lightest routing over a set that suffices.
    pub fn polish(&mut self, open: &[bool]) {
        if let Some(routing) = self.router.lightest(open, self.limit) {
            let choice = self.choice(open.to_vec(), routing);
            self.limit = choice.weight;
            self.best = Some(choice);
        }
    }

    /// Searches for a set of at most `most` new repeaters that suffices; or, where `most` is the
    /// fewest, for the lightest of them.
    pub fn run(&mut self, goal: Goal, most: usize) -> End {
        let view = self.router.view;
        let mut stack = vec![self.root(most)];
        let mut rounds = ROOT_ROUNDS;
        while let Some(mut branch) = stack.pop() {
            if goal == Goal::Weight && branch.weight >= self.limit - ROUNDING {
                continue;
            }
            if (self.router.stop)() {
                let weights = stack.iter().map(|branch| branch.weight);
                return End::Stopped(weights.fold(branch.weight, f64::min).min(self.limit));
            }
            let cut = match self.hardest(&branch) {
                Err(()) => continue,
                Ok(Some(cut)) => cut,
                Ok(None) => {
                    let settled = goal == Goal::Weight && branch.left == 0;
                    match self.complete(&branch, settled) {
                        Some(choice) if goal == Goal::Count => return End::Found(choice),
                        Some(choice) => self.polish(&choice.open),
                        None => {}
                    }
                    // With new cuts, or to be counted among what is left when time is up.
                    if !settled || (self.router.stop)() {
                        stack.push(branch);
                    }
                    continue;
                }
            };
            let left = branch.left as f64 + SLACK;
            let count = self.count.climb(view, &self.cuts, &branch, left, BRANCH_ROUNDS);
            if count.bound > left {
                continue;
            }
            let relaxed = match goal {
                Goal::Count => count,
                Goal::Weight => {
                    let relaxed = self.weight.climb(view, &self.cuts, &branch, self.limit, rounds);
                    branch.weight = branch.weight.max(relaxed.bound);
                    self.close(&mut branch, &relaxed);
                    relaxed
                }
            };
            rounds = BRANCH_ROUNDS;
            if goal == Goal::Count || branch.weight < self.limit - ROUNDING {
                stack.extend(self.split(&branch, cut, &relaxed));
            }
        }
        End::Nothing
    }

    /// A choice of the sites that are open, which fulfil all cuts; new cuts where they do not
    /// suffice. Where they are `settled`, only what is lighter than the limit is of interest.
    fn complete(&mut self, branch: &Branch, settled: bool) -> Option<Choice> {
        if settled && self.router.lightest(&branch.open, self.limit).is_none() {
            return None;
        }
        match self.router.holds(&branch.open) {
            Verdict::Fits(routing) => Some(self.choice(branch.open.clone(), routing)),
            Verdict::Fails(cuts) => {
                self.cuts.extend(cuts);
                None
            }
            Verdict::Stopped => None,
        }
    }

    /// Closes what is open in nothing lighter than the limit: a site whose opening would lift the
    /// bound over it.
    fn close(&self, branch: &mut Branch, relaxed: &Relaxed) {
        for site in 0..branch.open.len() {
            let lift = relaxed.worth[site] - relaxed.last;
            branch.closed[site] |=
                !branch.open[site] && lift > 0.0 && relaxed.bound + lift >= self.limit - ROUNDING;
        }
    }

    /// One of the free sites of a cut is open in any solution: either the first, or the second and
    /// not the first, and so on. The most promising last.
    fn split(&self, branch: &Branch, cut: usize, relaxed: &Relaxed) -> Vec<Branch> {
        let sites = self.cuts[cut].sites.iter().map(|(site, _)| *site);
        let mut free: Vec<usize> =
            sites.filter(|&site| !branch.open[site] && !branch.closed[site]).collect();
        free.sort_by(|a, b| relaxed.worth[*a].total_cmp(&relaxed.worth[*b]));
        let mut rest = Branch { left: branch.left - 1, ..branch.clone() };
        let mut children = Vec::new();
        for site in free {
            let mut child = rest.clone();
            child.open[site] = true;
            children.push(child);
            rest.closed[site] = true;
        }
        children.reverse();
        children
    }

    /// The open cut that needs most sites, among those the one with the fewest free; `None` when
    /// all are fulfilled, an error when one cannot be.
    fn hardest(&self, branch: &Branch) -> Result<Option<usize>, ()> {
        let free = |site: usize| !branch.open[site] && !branch.closed[site];
        let mut best: Option<(usize, usize, usize)> = None;
        for (number, cut) in self.cuts.iter().enumerate() {
            let lack = cut.lack(&branch.open);
            if lack == 0 {
                continue;
            }
            let fewest = cut.fewest(lack, free).ok_or(())?;
            if fewest > branch.left {
                return Err(());
            }
            let width = cut.sites.iter().filter(|(site, _)| free(*site)).count();
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
