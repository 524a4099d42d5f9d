//! Whether a set of open repeaters can carry every sensor, and how at the lowest weight.
//!
//! The rooms and the onward hops make it a search: a flow through all onward hops that are still
//! allowed bounds what can be had; where it uses a hop that is not settled, the search branches.

use super::ROUNDING;
use super::cut::{Cut, add_cuts};
use super::flow::{Flow, fill};
use super::view::{Onward, Routing, View};

/// What is found of a set of open sites.
pub(super) enum Verdict {
    /// It suffices; this is one way to do it, by no means the cheapest.
    Fits(Routing),
    /// It does not suffice, and fulfils none of these cuts.
    Fails(Vec<Cut>),
    Stopped,
}

/// The question for one panel option.
#[derive(Clone, Copy)]
pub(super) struct Router<'a> {
    pub view: &'a View,
    pub stop: &'a dyn Fn() -> bool,
}

/// What is settled of the onward hops.
#[derive(Clone)]
struct Settled {
    /// For each site the options that it may still send over.
    allowed: Vec<Vec<usize>>,
    /// Sites that send over the one option left, which is paid.
    paid: Vec<bool>,
}

impl Router<'_> {
    /// Whether the open sites suffice, after any one loss too where that is asked.
    pub fn holds(&self, open: &[bool]) -> Verdict {
        let losses = (0..self.view.sites()).filter(|&site| self.view.lose_one && open[site]);
        let whole = self.fits(open, None);
        let Verdict::Fits(_) = whole else { return whole };
        for lost in losses {
            let verdict = self.fits(open, Some(lost));
            let Verdict::Fits(_) = verdict else { return verdict };
        }
        whole
    }

    /// Whether the open sites without `lost` suffice.
    pub fn fits(&self, open: &[bool], lost: Option<usize>) -> Verdict {
        let mut open = open.to_vec();
        if let Some(lost) = lost {
            open[lost] = false;
        }
        let settled = self.all(&open);
        match fill(self.view, &settled.allowed, false, self.stop) {
            Flow::Stopped => return Verdict::Stopped,
            Flow::Short(short) => {
                let mut cuts = Vec::new();
                for reached in &short {
                    add_cuts(self.view, reached, &open, lost, &mut cuts);
                }
                return Verdict::Fails(cuts);
            }
            Flow::Fits { first, sent, .. } => {
                if let (routing, None) = self.routing(first, &sent) {
                    return Verdict::Fits(routing);
                }
            }
        }
        if let Some(routing) = self.any(settled) {
            return Verdict::Fits(routing);
        }
        // The flow fits only when a repeater splits it, which none can. Widen the set as far as it
        // stays insufficient: one of the sites outside is needed.
        let mut outside = Vec::new();
        for site in (0..self.view.sites()).filter(|&site| Some(site) != lost) {
            if open[site] {
                continue;
            }
            open[site] = true;
            if self.any(self.all(&open)).is_some() {
                open[site] = false;
                outside.push((site, 1));
            }
        }
        if (self.stop)() {
            return Verdict::Stopped;
        }
        Verdict::Fails(vec![Cut { sites: outside, need: 1 }])
    }

    /// The routing of a flow, and a site that splits what it carries, which no repeater does.
    fn routing(
        &self,
        first: Vec<Option<usize>>,
        sent: &[(usize, usize)],
    ) -> (Routing, Option<usize>) {
        let mut onward = vec![Onward::Unused; self.view.sites()];
        for &site in first.iter().flatten() {
            onward[site] = Onward::Panel;
        }
        let mut split = None;
        for &(site, next) in sent {
            if let Onward::Site(_) = onward[site] {
                split = Some(site);
            }
            onward[site] = Onward::Site(next);
            onward[next] = Onward::Panel;
        }
        (Routing { first, onward }, split)
    }

    fn all(&self, open: &[bool]) -> Settled {
        let all = |site: usize| {
            let options = 0..self.view.options[site].len();
            if open[site] { options.collect() } else { Vec::new() }
        };
        let sites = self.view.sites();
        Settled { allowed: (0..sites).map(all).collect(), paid: vec![false; sites] }
    }

    fn any(&self, settled: Settled) -> Option<Routing> {
        let mut best = None;
        self.descend(settled, None, &mut best);
        best
    }

    /// The routing of least weight over these open sites, if any weighs less than `limit`. When the
    /// caller says stop, the best so far.
    pub fn lightest(&self, open: &[bool], limit: f64) -> Option<Routing> {
        let mut best = None;
        self.descend(self.all(open), Some(&mut { limit }), &mut best);
        best
    }

    /// Searches all that is not settled for something lighter than the limit; without a limit, for
    /// any routing.
    fn descend(
        &self,
        mut settled: Settled,
        mut limit: Option<&mut f64>,
        best: &mut Option<Routing>,
    ) {
        let view = self.view;
        let paid = self.pay(&mut settled);
        let flow = fill(view, &settled.allowed, limit.is_some(), self.stop);
        let Flow::Fits { first, sent, weight } = flow else { return };
        if limit.as_ref().is_some_and(|limit| paid + weight >= **limit - ROUNDING) {
            return;
        }
        let (routing, mut question) = self.routing(first, &sent);
        if question.is_none() {
            let weight = view.weight_of(&routing);
            let Some(limit) = limit.as_deref_mut() else {
                *best = Some(routing);
                return;
            };
            let unpaid =
                |site: &usize| routing.onward[*site] != Onward::Unused && !settled.paid[*site];
            question = (0..view.sites()).find(unpaid);
            if weight < *limit {
                *limit = weight;
                *best = Some(routing);
            }
        }
        let Some(site) = question else { return };
        let mut options = settled.allowed[site].clone();
        options.sort_by(|a, b| view.options[site][*a].1.total_cmp(&view.options[site][*b].1));
        for number in options {
            if limit.is_some() || best.is_none() {
                let mut child = settled.clone();
                self.choose(&mut child, site, number);
                self.descend(child, limit.as_deref_mut(), best);
            }
        }
        if limit.is_some() {
            settled.allowed[site].clear();
            self.descend(settled, limit, best);
        }
    }

    fn is_home(&self, settled: &Settled, site: usize) -> bool {
        let first = settled.allowed[site].first();
        first.is_some_and(|&number| self.view.options[site][number].0 == Onward::Panel)
    }

    /// The site carries something, and sends it over this option.
    fn choose(&self, settled: &mut Settled, site: usize, number: usize) {
        settled.allowed[site] = vec![number];
        settled.paid[site] = true;
        if let Onward::Site(next) = self.view.options[site][number].0 {
            settled.allowed[next].truncate(1);
            settled.paid[next] = true;
        }
    }

    /// Draws the conclusions; the least weight of the onward hops that are in use for certain.
    fn pay(&self, settled: &mut Settled) -> f64 {
        let view = self.view;
        for site in 0..view.sites() {
            let mut options = std::mem::take(&mut settled.allowed[site]);
            options.retain(|&number| {
                let next = view.options[site][number].0.site();
                next.is_none_or(|next| next != site && self.is_home(settled, next))
            });
            settled.allowed[site] = options;
        }
        // Sites that are the only ones to hear some sensor.
        let mut needed = vec![false; view.sites()];
        for &sensor in &view.needy {
            let hears = |site: &usize| {
                !settled.allowed[*site].is_empty() && view.hear(sensor, *site).is_finite()
            };
            let mut sites = (0..view.sites()).filter(hears);
            if let (Some(only), None) = (sites.next(), sites.next()) {
                needed[only] = true;
            }
        }
        let mut sum = 0.0;
        for (site, _) in needed.iter().enumerate().filter(|(_, needed)| **needed) {
            if let &[only] = settled.allowed[site].as_slice() {
                self.choose(settled, site, only);
            }
        }
        for site in (0..view.sites()).filter(|&site| needed[site] || settled.paid[site]) {
            let weights = settled.allowed[site].iter().map(|&number| view.options[site][number].1);
            sum += weights.fold(f64::INFINITY, f64::min);
        }
        sum
    }
}
