//! What is still allowed at each site, in the search for the lowest weight.

use super::count::Cuts;
use super::local::{Local, Onward};

/// A decision about one site.
#[derive(Clone, Copy, Debug)]
pub(super) enum Decision {
    /// It carries something.
    Use(usize),
    /// It carries nothing, open or not.
    Idle(usize),
    /// It has no repeater.
    Close(usize),
    /// It has a repeater.
    Open(usize),
    /// It carries something, over this onward hop (by its number among the options).
    Onward(usize, usize),
    /// It does not send over this onward hop.
    NotOnward(usize, usize),
}

/// What is still allowed at each site.
#[derive(Clone, Debug)]
pub(super) struct Domain {
    /// It may be without a repeater.
    pub close: Vec<bool>,
    /// It may have a repeater that carries nothing.
    pub spare: Vec<bool>,
    /// It may carry over these onward hops.
    pub option: Vec<Vec<bool>>,
    /// New repeaters that may be opened beyond those that must be.
    pub left: usize,
}

impl Domain {
    /// All that the problem allows. A repeater that carries nothing is of use only where losses
    /// are to be survived.
    pub fn whole(local: &Local, most: usize) -> Self {
        Self {
            close: local.given.iter().map(|given| !given).collect(),
            spare: local.given.iter().map(|given| *given || local.lose_one).collect(),
            option: local.options.iter().map(|options| vec![true; options.len()]).collect(),
            left: most,
        }
    }

    /// Whether the site may carry something.
    pub fn may_use(&self, site: usize) -> bool {
        self.option[site].contains(&true)
    }

    /// Whether the site may have a repeater.
    pub fn may_open(&self, site: usize) -> bool {
        self.spare[site] || self.may_use(site)
    }

    /// Whether the site must carry something.
    pub fn must_use(&self, site: usize) -> bool {
        !self.close[site] && !self.spare[site]
    }

    /// Narrows the domain.
    pub fn decide(&mut self, decision: Decision) {
        match decision {
            Decision::Use(site) => {
                self.close[site] = false;
                self.spare[site] = false;
            }
            Decision::Idle(site) => self.option[site].fill(false),
            Decision::Close(site) => {
                self.spare[site] = false;
                self.option[site].fill(false);
            }
            Decision::Open(site) => self.close[site] = false,
            Decision::Onward(site, only) => {
                self.close[site] = false;
                self.spare[site] = false;
                for (number, allowed) in self.option[site].iter_mut().enumerate() {
                    *allowed &= number == only;
                }
            }
            Decision::NotOnward(site, not) => self.option[site][not] = false,
        }
    }

    /// Draws the conclusions; false when nothing is left.
    pub fn settle(&mut self, local: &Local, cuts: &Cuts, most: usize) -> bool {
        loop {
            let before = self.clone();
            for (site, options) in local.options.iter().enumerate() {
                for (number, (onward, _)) in options.iter().enumerate() {
                    let Onward::Site(next) = *onward else {
                        continue;
                    };
                    // The panel is the first option of a site that can be sent to.
                    if !self.option[next][0] {
                        self.option[site][number] = false;
                    }
                }
                let mut allowed = (0..options.len()).filter(|&number| self.option[site][number]);
                if let (true, Some(only), None) =
                    (self.must_use(site), allowed.next(), allowed.next())
                    && let Onward::Site(next) = options[only].0
                {
                    self.decide(Decision::Onward(next, 0));
                }
            }
            let mut forced = 0;
            for site in 0..local.sites() {
                if !self.close[site] && !self.may_open(site) {
                    return false;
                }
                forced += usize::from(!self.close[site] && !local.given[site]);
            }
            if forced > most {
                return false;
            }
            self.left = most - forced;
            if self.left == 0 {
                for site in 0..local.sites() {
                    if self.close[site] {
                        self.decide(Decision::Close(site));
                    }
                }
            }
            if self.same(&before) {
                break;
            }
        }
        let mut heard = vec![false; local.sensors];
        for site in (0..local.sites()).filter(|&site| self.may_use(site)) {
            for &(sensor, _) in &local.heard[site] {
                heard[sensor] = true;
            }
        }
        local.needy.iter().all(|&sensor| heard[sensor]) && cuts.possible(|site| self.may_open(site))
    }

    fn same(&self, other: &Self) -> bool {
        self.close == other.close && self.spare == other.spare && self.option == other.option
    }

    /// The open sites, once it is decided which are.
    pub fn open(&self) -> Option<Vec<bool>> {
        let sites = 0..self.close.len();
        let undecided = |site: usize| self.close[site] && self.may_open(site);
        if sites.clone().any(undecided) {
            return None;
        }
        Some(sites.map(|site| !self.close[site]).collect())
    }

    /// The onward hop of every site, once all is decided.
    pub fn decided(&self, local: &Local) -> Option<Vec<Onward>> {
        let site = |site: usize| {
            let mut allowed = (0..self.option[site].len()).filter(|&n| self.option[site][n]);
            match (allowed.next(), allowed.next()) {
                (None, _) => Some(Onward::Unused),
                (Some(only), None) if self.must_use(site) => Some(local.options[site][only].0),
                _ => None,
            }
        };
        (0..local.sites()).map(site).collect()
    }
}
