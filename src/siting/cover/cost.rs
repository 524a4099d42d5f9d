//! The lowest weight at one panel place with a limit on the new repeaters: branch and bound.

use super::ROUNDING;
use super::bound::{Prices, Relaxed};
use super::count::Cuts;
use super::domain::{Decision, Domain};
use super::local::{Local, Onward, Routing};
use super::oracle::{Oracle, Verdict};
use super::programme;
use super::route::cheapest;
use std::collections::BTreeSet;

/// Steps of the bound at the root of a tree and in it.
const ROOT_ROUNDS: usize = 600;
const NODE_ROUNDS: usize = 80;

/// How often a relaxed solution may be answered by cuts, at the root and in the tree.
const ROOT_CUTTING: usize = 25;
const NODE_CUTTING: usize = 2;

/// A choice at one panel place.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub weight: f64,
    pub open: Vec<bool>,
    pub routing: Routing,
}

/// The search at one panel place.
pub(super) struct Descent<'a> {
    pub oracle: Oracle<'a>,
    pub cuts: &'a mut Cuts,
    /// The most new repeaters.
    pub most: usize,
    /// Only what weighs less is of interest; falls as choices are found.
    pub limit: f64,
    /// The best choice found that weighed less than the limit.
    pub best: Option<Choice>,
    pub prices: Prices,
    /// Sets of sites known to suffice.
    suffice: BTreeSet<Vec<bool>>,
    /// Sets of sites from which the cheapest routing was sought.
    polished: BTreeSet<Vec<bool>>,
}

struct Node {
    decisions: Vec<Decision>,
    bound: f64,
}

/// How the search ended.
pub(super) enum End {
    /// Nothing below the limit is left.
    Proven,
    /// The caller said stop; nothing weighs less than this.
    Stopped(f64),
}

impl<'a> Descent<'a> {
    pub fn new(oracle: Oracle<'a>, cuts: &'a mut Cuts, most: usize, limit: f64) -> Self {
        Self {
            prices: Prices::new(oracle.local),
            oracle,
            cuts,
            most,
            limit,
            best: None,
            suffice: BTreeSet::new(),
            polished: BTreeSet::new(),
        }
    }

    /// Takes up a set that suffices, with a routing that shows it.
    pub fn offer(&mut self, open: &[bool], routing: &Routing) {
        self.suffice.insert(open.to_vec());
        self.keep(open, routing.clone());
        if self.polished.insert(open.to_vec()) {
            self.polish(open, &routing.onward);
        }
    }

    fn keep(&mut self, open: &[bool], routing: Routing) -> bool {
        let weight = self.oracle.local.weight_of(&routing);
        if weight < self.limit {
            self.limit = weight;
            self.best = Some(Choice { weight, open: open.to_vec(), routing });
            return true;
        }
        false
    }

    /// Tries the cheapest routing for these onward hops.
    fn try_onward(&mut self, open: &[bool], onward: &[Onward]) -> bool {
        let local = self.oracle.local;
        cheapest(local, onward, self.limit, self.oracle.stop)
            .is_some_and(|routing| self.keep(open, routing))
    }

    /// Changes one site's onward hop at a time as long as that helps.
    fn polish(&mut self, open: &[bool], start: &[Onward]) {
        let local = self.oracle.local;
        let mut onward: Vec<Onward> = (0..local.sites())
            .map(|site| match local.options[site].first() {
                Some((Onward::Panel, _)) if open[site] => Onward::Panel,
                _ => start[site],
            })
            .collect();
        self.try_onward(open, &onward);
        let endless = f64::INFINITY;
        let value = |onward: &[Onward]| {
            cheapest(local, onward, endless, self.oracle.stop)
                .map_or(endless, |routing| local.weight_of(&routing))
        };
        let mut now = value(&onward);
        if now.is_infinite() {
            onward = start.to_vec();
            now = value(&onward);
        }
        let mut better = true;
        while better && !(self.oracle.stop)() {
            better = false;
            for site in (0..local.sites()).filter(|&site| open[site]) {
                let others = local.options[site].iter().map(|(onward, _)| *onward);
                for other in others.chain([Onward::Unused]) {
                    let old = onward[site];
                    if other == old {
                        continue;
                    }
                    onward[site] = other;
                    let then = value(&onward);
                    if then < now - ROUNDING {
                        now = then;
                        better = true;
                    } else {
                        onward[site] = old;
                    }
                }
            }
        }
        self.try_onward(open, &onward);
    }

    /// A lower bound without a search, by `rounds` steps from the present prices.
    pub fn glance(&mut self, rounds: usize) -> f64 {
        let local = self.oracle.local;
        let mut domain = Domain::whole(local, self.most);
        if !domain.settle(local, self.cuts, self.most) {
            return f64::INFINITY;
        }
        let goal = self.limit;
        let (relaxed, _) =
            self.prices.height_profile(local, self.cuts, &domain, goal, rounds, self.oracle.stop);
        relaxed.bound
    }

    fn done(&self, bound: f64) -> bool {
        bound >= self.limit - ROUNDING
    }

    /// Searches until nothing lighter than the limit is left.
    pub fn run(&mut self, with_programme: bool) -> End {
        let mut stack = vec![Node { decisions: Vec::new(), bound: 0.0 }];
        let mut root = true;
        while let Some(node) = stack.pop() {
            if self.done(node.bound) {
                continue;
            }
            if (self.oracle.stop)() {
                let rest = stack.iter().map(|node| node.bound);
                return End::Stopped(rest.fold(node.bound, f64::min).min(self.limit));
            }
            let (bound, children) = self.step(node, root && with_programme, root);
            root = false;
            for decisions in children {
                stack.push(Node { decisions, bound });
            }
        }
        End::Proven
    }

    /// Works on one node; what it must be split into, the more promising last, and their bound.
    fn step(&mut self, node: Node, with_programme: bool, root: bool) -> (f64, Vec<Vec<Decision>>) {
        let local = self.oracle.local;
        let mut decisions = node.decisions;
        let mut domain = Domain::whole(local, self.most);
        for decision in &decisions {
            domain.decide(*decision);
        }
        let nothing = (f64::INFINITY, Vec::new());
        if !domain.settle(local, self.cuts, self.most) {
            return nothing;
        }
        let (rounds, cutting) =
            if root { (ROOT_ROUNDS, ROOT_CUTTING) } else { (NODE_ROUNDS, NODE_CUTTING) };
        let (mut relaxed, mut often) = self.height_profile(&domain, rounds);
        for _ in 0..cutting {
            if self.done(relaxed.bound) || (self.oracle.stop)() || self.explore(&relaxed) {
                break;
            }
            (relaxed, often) = self.height_profile(&domain, NODE_ROUNDS);
        }
        let bound = relaxed.bound.max(node.bound);
        if self.done(bound) {
            return nothing;
        }
        let fixed = self.fix(&domain, &relaxed);
        for decision in &fixed {
            domain.decide(*decision);
        }
        decisions.extend(fixed);
        if !domain.settle(local, self.cuts, self.most) {
            return nothing;
        }
        if let Some(open) = domain.open() {
            if !self.suffices(&open) {
                // Stopped or proven; when stopped, the node must be kept.
                let children = if (self.oracle.stop)() { vec![decisions] } else { Vec::new() };
                return (bound, children);
            }
            if let Some(onward) = domain.decided(local) {
                self.try_onward(&open, &onward);
                let children = if (self.oracle.stop)() { vec![decisions] } else { Vec::new() };
                return (bound, children);
            }
        }
        if with_programme
            && let Some(onward) =
                programme::lightest(local, self.cuts, &domain, self.limit, self.oracle.stop)
        {
            let (open, onward) = onward;
            if local.new_count(&open) <= self.most && self.suffices(&open) {
                self.try_onward(&open, &onward);
            }
        }
        let pair = branch(local, &domain, &relaxed, &often);
        let with = |decision: Decision| {
            let mut longer = decisions.clone();
            longer.push(decision);
            longer
        };
        (bound, pair.into_iter().flatten().map(with).collect())
    }

    fn height_profile(&mut self, domain: &Domain, rounds: usize) -> (Relaxed, Vec<f64>) {
        let goal = self.limit;
        let Oracle { local, stop } = self.oracle;
        self.prices.height_profile(local, self.cuts, domain, goal, rounds, stop)
    }

    /// Whether a set suffices; new cuts are kept when not. False too when stopped.
    fn suffices(&mut self, open: &[bool]) -> bool {
        if self.suffice.contains(open) {
            return true;
        }
        match self.oracle.holds(open) {
            Verdict::Fits(routing) => {
                self.offer(open, &routing);
                true
            }
            Verdict::Fails(cuts) => {
                self.cuts.extend(cuts);
                false
            }
            Verdict::Stopped => false,
        }
    }

    /// Tries the sites of a relaxed solution; true when there is no more to learn from it.
    fn explore(&mut self, relaxed: &Relaxed) -> bool {
        let before = self.cuts.all.len();
        self.suffices(&relaxed.open);
        self.cuts.all.len() == before
    }

    /// What must be so in anything lighter than the limit: a site whose opening would lift the
    /// bound over the limit is closed, one whose closing would is open.
    fn fix(&self, domain: &Domain, relaxed: &Relaxed) -> Vec<Decision> {
        let local = self.oracle.local;
        let mut fixed = Vec::new();
        for site in 0..local.sites() {
            if !domain.close[site] || !domain.may_open(site) {
                continue;
            }
            if relaxed.open[site] {
                let lift = relaxed.next.unwrap_or(0.0) - relaxed.worth[site];
                if self.done(relaxed.bound + lift) {
                    fixed.push(Decision::Open(site));
                }
            } else {
                let lift = relaxed.worth[site] - relaxed.last.unwrap_or(0.0);
                if self.done(relaxed.bound + lift) {
                    fixed.push(Decision::Close(site));
                }
            }
        }
        fixed
    }
}

/// Two decisions of which one is right, the more promising last.
fn branch(
    local: &Local,
    domain: &Domain,
    relaxed: &Relaxed,
    often: &[f64],
) -> Option<[Decision; 2]> {
    let mut best: Option<(f64, usize)> = None;
    for (site, often) in often.iter().enumerate() {
        if domain.may_use(site) && !domain.must_use(site) {
            let unsure = often.min(1.0 - often);
            if best.is_none_or(|(most, _)| unsure > most) {
                best = Some((unsure, site));
            }
        }
    }
    if let Some((_, site)) = best {
        return Some(if often[site] >= 0.5 {
            [Decision::Idle(site), Decision::Use(site)]
        } else {
            [Decision::Use(site), Decision::Idle(site)]
        });
    }
    let undecided = |site: &usize| domain.close[*site] && domain.may_open(*site);
    if let Some(site) = (0..local.sites()).find(undecided) {
        return Some([Decision::Open(site), Decision::Close(site)]);
    }
    (0..local.sites()).find_map(|site| {
        let mut allowed = (0..domain.option[site].len()).filter(|&n| domain.option[site][n]);
        let first = allowed.next()?;
        allowed.next()?;
        let number = relaxed.uses[site].filter(|&n| domain.option[site][n]).unwrap_or(first);
        Some([Decision::NotOnward(site, number), Decision::Onward(site, number)])
    })
}
