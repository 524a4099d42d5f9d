//! Whether a set of repeaters can carry every sensor, by maximum flow; and if not, why not, as a
//! linear cut that every sufficient set fulfils.
//!
//! Sensors with a sound direct hop go directly: that takes nobody's room. A site with a sound hop
//! to the panel sends there, for the same reason. What is left is a flow from the other sensors over
//! the sites, each with its room, to the panel; a minimum cut of it (Ford and Fulkerson's theorem)
//! names some sensors and the sites that stand between them and the panel.

use super::local::{Local, Onward, Routing};

/// Σ coefficient × (1 when the site is open) ≥ need, true of every sufficient set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cut {
    pub coefficient: Vec<u32>,
    pub need: u32,
}

/// What the oracle says of a set of open sites.
pub(super) enum Verdict {
    /// It suffices; this is one way to do it, by no means the cheapest.
    Fits(Routing),
    /// It does not suffice, and fulfils none of these cuts.
    Fails(Vec<Cut>),
    /// The caller said stop.
    Stopped,
}

/// A network with whole capacities, filled one unit at a time.
#[derive(Default)]
struct Net {
    head: Vec<usize>,
    next: Vec<usize>,
    to: Vec<usize>,
    room: Vec<u32>,
    seen: Vec<bool>,
}

/// No node, no arc.
const NONE: usize = usize::MAX;

/// So many cuts of one failure are worth having.
const ENOUGH_CUTS: usize = 12;

impl Net {
    fn new(nodes: usize) -> Self {
        Self { head: vec![NONE; nodes], seen: vec![false; nodes], ..Self::default() }
    }

    /// Adds an arc and its reverse; the arc's number.
    fn join(&mut self, from: usize, to: usize, room: u32) -> usize {
        let arc = self.to.len();
        for (from, to, room) in [(from, to, room), (to, from, 0)] {
            self.next.push(self.head[from]);
            self.head[from] = self.to.len();
            self.to.push(to);
            self.room.push(room);
        }
        arc
    }

    /// Puts units onto an arc.
    fn load(&mut self, arc: usize, units: u32) {
        self.room[arc] -= units;
        self.room[arc ^ 1] += units;
    }

    /// Sends one more unit; when it cannot, `seen` marks what is reached from `from`.
    fn send(&mut self, from: usize, sink: usize) -> bool {
        self.seen.fill(false);
        self.seen[from] = true;
        // Each entry: a node, and the arc by which it is left.
        let mut stack = vec![(from, self.head[from])];
        while let Some((node, arc)) = stack.last().copied() {
            if node == sink {
                stack.pop();
                for (_, next) in stack {
                    self.room[next] -= 1;
                    self.room[next ^ 1] += 1;
                }
                return true;
            }
            if arc == NONE {
                stack.pop();
                if let Some(top) = stack.last_mut() {
                    top.1 = self.next[top.1];
                }
                continue;
            }
            let to = self.to[arc];
            if self.room[arc] > 0 && !self.seen[to] {
                self.seen[to] = true;
                stack.push((to, self.head[to]));
            } else if let Some(top) = stack.last_mut() {
                top.1 = self.next[arc];
            }
        }
        false
    }
}

/// The network of one question, with what its arcs stand for.
struct Filled {
    net: Net,
    /// (sensor, site, arc)
    first: Vec<(usize, usize, usize)>,
    /// (site, next site, arc)
    relay: Vec<(usize, usize, usize)>,
    /// Whether some sensor did not fit.
    short: bool,
    cuts: Vec<Cut>,
}

/// The question for one panel place.
pub(super) struct Oracle<'a> {
    pub local: &'a Local,
    pub stop: &'a dyn Fn() -> bool,
}

impl Oracle<'_> {
    /// For each sensor that needs a repeater: one of the sites that hear it is open (two, where one
    /// may be lost). And for all these sensors together: the sites have room for them.
    pub fn first_cuts(&self) -> Vec<Cut> {
        let sites = self.local.sites();
        let mut rows = vec![vec![0; sites]; self.local.sensors];
        for (site, heard) in self.local.heard.iter().enumerate() {
            for &(sensor, _) in heard {
                rows[sensor][site] = 1;
            }
        }
        let needy = self.local.needy.iter();
        let cut = |&sensor: &usize| Cut {
            coefficient: std::mem::take(&mut rows[sensor]),
            need: 1 + u32::from(self.local.lose_one),
        };
        let mut cuts: Vec<Cut> = needy.map(cut).collect();
        if !cuts.is_empty() {
            let seen = vec![true; self.local.needy.len()];
            self.cut(&seen, &vec![NONE; sites], None, &mut cuts);
        }
        cuts
    }

    /// Whether the open sites suffice, after any one loss too where that is asked.
    pub fn holds(&self, open: &[bool]) -> Verdict {
        let whole = match self.fits(open, None) {
            Verdict::Fits(routing) => routing,
            other => return other,
        };
        if self.local.lose_one {
            for lost in (0..self.local.sites()).filter(|&site| open[site]) {
                match self.fits_from(open, Some(lost), Some(&whole)) {
                    Verdict::Fits(_) => {}
                    other => return other,
                }
            }
        }
        Verdict::Fits(whole)
    }

    /// Whether the open sites without `lost` suffice.
    pub fn fits(&self, open: &[bool], lost: Option<usize>) -> Verdict {
        self.fits_from(open, lost, None)
    }

    /// The same, from a routing of [`fits`](Self::fits) over the open sites: only what the loss tore
    /// is to be sent anew.
    pub fn fits_from(
        &self,
        open: &[bool],
        lost: Option<usize>,
        start: Option<&Routing>,
    ) -> Verdict {
        let mut bound = vec![None; self.local.sites()];
        match self.unsplit(open, lost, &mut bound, start) {
            Verdict::Fails(cuts) if cuts.is_empty() => {
                // The flow fits only when a repeater splits it, which none can. Widen the set as far
                // as it stays insufficient: one of the sites outside is needed.
                let mut wide = open.to_vec();
                for site in 0..self.local.sites() {
                    if wide[site] || Some(site) == lost {
                        continue;
                    }
                    wide[site] = true;
                    match self.unsplit(&wide, lost, &mut bound, None) {
                        Verdict::Fits(_) => wide[site] = false,
                        Verdict::Fails(_) => {}
                        Verdict::Stopped => return Verdict::Stopped,
                    }
                }
                let outside = |site: usize| u32::from(!wide[site] && Some(site) != lost);
                Verdict::Fails(vec![Cut {
                    coefficient: (0..self.local.sites()).map(outside).collect(),
                    need: 1,
                }])
            }
            other => other,
        }
    }

    /// Whether the flow fits with one onward hop for each site; sites in `bound` send to the site
    /// named. Fails without a cut where the flow would fit if it could be split.
    fn unsplit(
        &self,
        open: &[bool],
        lost: Option<usize>,
        bound: &mut Vec<Option<usize>>,
        start: Option<&Routing>,
    ) -> Verdict {
        if (self.stop)() {
            return Verdict::Stopped;
        }
        let filled = self.fill(open, lost, bound, start);
        if filled.short {
            return Verdict::Fails(filled.cuts);
        }
        let mut onward = vec![Onward::Unused; self.local.sites()];
        let mut split = None;
        for &(site, next, arc) in &filled.relay {
            if filled.net.room[arc ^ 1] > 0 {
                if matches!(onward[site], Onward::Site(_)) {
                    split = split.or(Some(site));
                }
                onward[site] = Onward::Site(next);
            }
        }
        let Some(split) = split else {
            let mut first = vec![None; self.local.sensors];
            for &(sensor, site, arc) in &filled.first {
                if filled.net.room[arc] == 0 {
                    first[sensor] = Some(site);
                    if self.local.home[site].is_finite() {
                        onward[site] = Onward::Panel;
                    }
                }
            }
            for site in 0..self.local.sites() {
                if let Onward::Site(next) = onward[site] {
                    onward[next] = Onward::Panel;
                }
            }
            return Verdict::Fits(Routing { first, onward });
        };
        let choices: Vec<usize> =
            filled.relay.iter().filter(|way| way.0 == split).map(|way| way.1).collect();
        for next in choices {
            bound[split] = Some(next);
            let verdict = self.unsplit(open, lost, bound, None);
            bound[split] = None;
            if !matches!(verdict, Verdict::Fails(_)) {
                return verdict;
            }
        }
        Verdict::Fails(Vec::new())
    }

    /// The network of the open sites, filled as far as it goes; from `start`, where that is given.
    fn fill(
        &self,
        open: &[bool],
        lost: Option<usize>,
        bound: &[Option<usize>],
        start: Option<&Routing>,
    ) -> Filled {
        let local = self.local;
        let sites: Vec<usize> =
            (0..local.sites()).filter(|&site| open[site] && Some(site) != lost).collect();
        let needy = local.needy.len();
        let mut node = vec![NONE; local.sites()];
        for (number, &site) in sites.iter().enumerate() {
            node[site] = needy + 2 * number;
        }
        let sink = needy + 2 * sites.len();
        let mut net = Net::new(sink + 1);
        // Where a sensor of the start stays, and how many units each site and its onward hop carry.
        let stays = |sensor: usize| {
            let routing = start?;
            let site = routing.first[sensor].filter(|&site| node[site] != NONE)?;
            match routing.onward[site] {
                Onward::Site(next) if node[next] == NONE => None,
                Onward::Site(next) => Some((site, Some(next))),
                _ => Some((site, None)),
            }
        };
        let mut placed = vec![None; needy];
        let mut heard = vec![0_u32; local.sites()];
        let mut passed = vec![0_u32; local.sites()];
        for (place, &sensor) in local.needy.iter().enumerate() {
            if let Some((site, next)) = stays(sensor) {
                placed[place] = Some(site);
                heard[site] += 1;
                passed[site] += 1;
                if let Some(next) = next {
                    passed[next] += 1;
                }
            }
        }
        let mut first = Vec::new();
        for &site in &sites {
            for (place, &sensor) in local.needy.iter().enumerate() {
                if local.hear(sensor, site).is_finite() {
                    let arc = net.join(place, node[site], 1);
                    net.load(arc, u32::from(placed[place] == Some(site)));
                    first.push((sensor, site, arc));
                }
            }
        }
        let many = u32::try_from(needy).unwrap_or(u32::MAX);
        let mut relay = Vec::new();
        for &site in &sites {
            let room = u32::try_from(local.room[site]).unwrap_or(u32::MAX);
            let arc = net.join(node[site], node[site] + 1, room);
            net.load(arc, passed[site]);
            if local.home[site].is_finite() {
                let arc = net.join(node[site] + 1, sink, many);
                net.load(arc, passed[site]);
                continue;
            }
            for &(onward, _) in &local.options[site] {
                let Onward::Site(next) = onward else { continue };
                let allowed = bound[site].is_none_or(|only| only == next);
                if allowed && node[next] != NONE {
                    let arc = net.join(node[site] + 1, node[next], many);
                    if start.is_some_and(|start| start.onward[site] == onward) {
                        net.load(arc, heard[site]);
                    }
                    relay.push((site, next, arc));
                }
            }
        }
        let (mut cuts, mut short) = (Vec::new(), false);
        let free = bound.iter().all(Option::is_none);
        for (place, placed) in placed.iter().enumerate() {
            if placed.is_some() || net.send(place, sink) {
                continue;
            }
            short = true;
            // With a site bound to one onward hop a cut would not be true of all sets.
            if !free || cuts.len() >= ENOUGH_CUTS {
                break;
            }
            self.cut(&net.seen, &node, lost, &mut cuts);
        }
        Filled { net, first, relay, short, cuts }
    }

    /// The cuts that a failed search through the network gives: `seen` is what it reached.
    fn cut(&self, seen: &[bool], node: &[usize], lost: Option<usize>, cuts: &mut Vec<Cut>) {
        let local = self.local;
        let (mut places, mut inside) = (vec![false; local.sensors], 0_u32);
        for (place, &sensor) in local.needy.iter().enumerate() {
            if seen[place] {
                places[sensor] = true;
                inside += 1;
            }
        }
        // What the sensors and the sites behind the cut reach, closed sites too.
        let mut reached = vec![false; local.sites()];
        let mut relayed = vec![false; local.sites()];
        for site in 0..local.sites() {
            let open = node[site] != NONE;
            reached[site] |= if open {
                seen[node[site]]
            } else {
                local.heard[site].iter().any(|(sensor, _)| places[*sensor])
            };
            for &(onward, _) in &local.options[site] {
                if let Onward::Site(next) = onward
                    && local.home[site].is_infinite()
                {
                    relayed[next] = true;
                    if open && seen[node[site] + 1] {
                        reached[next] = true;
                    }
                }
            }
        }
        let mut coefficient = vec![0_u32; local.sites()];
        for site in 0..local.sites() {
            let passed = node[site] != NONE && seen[node[site] + 1];
            if !reached[site] || passed {
                continue;
            }
            let able = if relayed[site] {
                inside
            } else {
                let heard = local.heard[site].iter();
                let able = heard.filter(|(sensor, _)| places[*sensor]).count();
                u32::try_from(able).unwrap_or(u32::MAX)
            };
            let room = u32::try_from(local.room[site]).unwrap_or(u32::MAX);
            coefficient[site] = able.min(room).min(inside);
        }
        // So many of these sites must be open: the largest first, one more being lost.
        let mut sorted = coefficient.clone();
        sorted.sort_unstable_by(|a, b| b.cmp(a));
        let skip = usize::from(local.lose_one);
        let (mut sum, mut count) = (0_u32, 0_u32);
        for &most in sorted.iter().skip(skip) {
            if sum >= inside {
                break;
            }
            sum = sum.saturating_add(most);
            count += 1;
        }
        let enough = sum >= inside;
        let among = |value: &u32| u32::from(*value > 0);
        let mut add = |cut: Cut| {
            if !cuts.contains(&cut) {
                cuts.push(cut);
            }
        };
        add(Cut {
            coefficient: coefficient.iter().map(among).collect(),
            need: if enough { count + u32::from(local.lose_one) } else { u32::MAX },
        });
        if let Some(lost) = lost {
            coefficient[lost] = 0;
        }
        add(Cut { coefficient, need: inside });
    }
}
