//! First hops of all sensors through open repeaters with limited room: a flow of least cost.
//!
//! Each sensor is a unit that flows to a site that hears it, through the site's room, and on to the
//! panel, straight or through another site's room. Where every sensor can take its best hop, that
//! is all. Otherwise they are placed one by one, each along a shortest path of the residual network
//! (successive shortest paths), which is exact. Where one finds no way, what it reaches is the near
//! side of a minimum cut (Ford and Fulkerson's theorem).

use super::view::{Onward, View};
use std::collections::VecDeque;

/// No node, no arc.
const NONE: usize = usize::MAX;

/// Two paths whose weights differ by less are taken as equal, so that rounding cannot make a cycle
/// look as if it saved something.
const EQUAL: f64 = 1e-14;

/// So many cuts of one failure are worth having.
const ENOUGH_CUTS: usize = 12;

/// What a search for more room reached.
#[derive(Debug)]
pub(super) struct Reached {
    /// The sensors on the near side of the cut.
    pub sensors: Vec<bool>,
    /// The sites whose room is reached.
    pub entered: Vec<bool>,
    /// Those among them whose room does not stop the flow.
    pub passed: Vec<bool>,
}

/// What comes of the flow.
pub(super) enum Flow {
    /// All sensors are placed.
    Fits {
        /// The site that hears each sensor; `None`: the panel does.
        first: Vec<Option<usize>>,
        /// (site, next site) for each onward hop between sites in use; a site that sends over
        /// several is there several times.
        sent: Vec<(usize, usize)>,
        /// Weight of all first hops.
        weight: f64,
    },
    /// Some are not; what stands before them.
    Short(Vec<Reached>),
    /// The caller said stop.
    Stopped,
}

/// The network: arcs in pairs, each followed by its reverse.
#[derive(Default)]
struct Net {
    head: Vec<usize>,
    next: Vec<usize>,
    to: Vec<usize>,
    room: Vec<usize>,
    weight: Vec<f64>,
    far: Vec<f64>,
    by: Vec<usize>,
    queued: Vec<bool>,
    queue: VecDeque<usize>,
}

impl Net {
    fn new(nodes: usize) -> Self {
        let (by, far, queued) = (vec![NONE; nodes], vec![0.0; nodes], vec![false; nodes]);
        Self { head: vec![NONE; nodes], far, by, queued, ..Self::default() }
    }

    /// Adds an arc and its reverse; the arc's number.
    fn join(&mut self, from: usize, to: usize, room: usize, weight: f64) -> usize {
        let arc = self.to.len();
        for (from, to, room, weight) in [(from, to, room, weight), (to, from, 0, -weight)] {
            self.next.push(self.head[from]);
            self.head[from] = self.to.len();
            self.to.push(to);
            self.room.push(room);
            self.weight.push(weight);
        }
        arc
    }

    /// Sends one unit along a shortest path (Bellman and Ford's method with a queue); false when
    /// the sink is out of reach, and `far` is then finite where the unit came.
    fn send(&mut self, start: usize, sink: usize) -> bool {
        self.far.fill(f64::INFINITY);
        self.by.fill(NONE);
        self.far[start] = 0.0;
        self.queue.push_back(start);
        while let Some(node) = self.queue.pop_front() {
            self.queued[node] = false;
            let mut arc = self.head[node];
            while arc != NONE {
                let (to, reach) = (self.to[arc], self.far[node] + self.weight[arc]);
                if self.room[arc] > 0 && reach < self.far[to] - EQUAL {
                    self.far[to] = reach;
                    self.by[to] = arc;
                    if !self.queued[to] && to != sink {
                        self.queued[to] = true;
                        self.queue.push_back(to);
                    }
                }
                arc = self.next[arc];
            }
        }
        let mut node = sink;
        while self.far[sink].is_finite() && node != start {
            let arc = self.by[node];
            self.room[arc] -= 1;
            self.room[arc ^ 1] += 1;
            node = self.to[arc ^ 1];
        }
        self.far[sink].is_finite()
    }
}

/// Places the sensors. `allowed` has for each site the numbers of the options that it may send
/// over; none: it carries nothing. A site that may send to the panel does, which takes nobody's
/// room. With `weighted` the first hops weigh as little as can be; without, the sensors that the
/// panel hears go to it, and any place will do for the others.
pub(super) fn fill(
    view: &View,
    allowed: &[Vec<usize>],
    weighted: bool,
    stop: &dyn Fn() -> bool,
) -> Flow {
    if stop() {
        return Flow::Stopped;
    }
    let sites = view.sites();
    let used: Vec<usize> = (0..sites).filter(|&site| !allowed[site].is_empty()).collect();
    let home = |site: usize| view.options[site][allowed[site][0]].0 == Onward::Panel;
    let relays = |site: usize| {
        let ways =
            allowed[site].iter().filter_map(move |&number| match view.options[site][number].0 {
                Onward::Site(next) => Some(next),
                _ => None,
            });
        ways.filter(|&next| !allowed[next].is_empty() && home(next))
    };

    // Every sensor at its best hop. Without weights: where most room is left.
    let mut first: Vec<Option<usize>> = vec![None; view.sensors];
    let mut heard = vec![0_usize; sites];
    let mut lost = false;
    for sensor in 0..view.sensors {
        let direct = view.direct[sensor];
        let mut best = if weighted || direct.is_infinite() { direct } else { f64::NEG_INFINITY };
        let mut most = 0;
        for &site in &used {
            let weight = view.hear(sensor, site);
            let left = (view.room[site] + 1).saturating_sub(heard[site]);
            let better = if weighted {
                weight < best
            } else {
                best > f64::NEG_INFINITY && weight.is_finite() && left > most
            };
            if better {
                (first[sensor], most) = (Some(site), left);
                best = if weighted { weight } else { best };
            }
        }
        match first[sensor] {
            Some(site) => heard[site] += 1,
            None => lost |= direct.is_infinite(),
        }
    }

    // That is all where each site that cannot send to the panel finds a relay with room for it.
    let mut sent: Vec<(usize, usize)> = Vec::new();
    let mut loads = heard.clone();
    for &site in used.iter().filter(|&&site| !home(site) && heard[site] > 0) {
        match relays(site).max_by_key(|&next| view.room[next].saturating_sub(loads[next])) {
            Some(next) => {
                loads[next] += heard[site];
                sent.push((site, next));
            }
            None => loads[site] = usize::MAX,
        }
    }
    if !lost && used.iter().all(|&site| loads[site] <= view.room[site]) {
        return Flow::Fits { weight: weight_of(view, &first), first, sent };
    }

    let node = |rank: usize| view.sensors + 2 * rank;
    let sink = node(used.len());
    let mut rank = vec![NONE; sites];
    for (number, &site) in used.iter().enumerate() {
        rank[site] = number;
    }
    let cost = |weight: f64| if weighted { weight } else { 0.0 };
    let mut net = Net::new(sink + 1);
    let mut hops = Vec::new();
    let mut onward = Vec::new();
    for &site in &used {
        let at = node(rank[site]);
        for &(sensor, weight) in &view.heard[site] {
            hops.push((sensor, site, net.join(sensor, at, 1, cost(weight))));
        }
        net.join(at, at + 1, view.room[site], 0.0);
        if home(site) {
            net.join(at + 1, sink, view.sensors, 0.0);
            continue;
        }
        for next in relays(site) {
            let arc = net.join(at + 1, node(rank[next]), view.sensors, 0.0);
            onward.push((site, next, arc));
        }
    }
    let mut short: Vec<Reached> = Vec::new();
    for sensor in (0..view.sensors).filter(|&s| weighted || view.direct[s].is_infinite()) {
        if view.direct[sensor].is_finite() {
            net.join(sensor, sink, 1, view.direct[sensor]);
        }
        if stop() {
            return Flow::Stopped;
        }
        if !net.send(sensor, sink) {
            let is_near =
                |rank: usize, side: usize| rank != NONE && net.far[node(rank) + side].is_finite();
            short.push(Reached {
                sensors: net.far[..view.sensors].iter().map(|far| far.is_finite()).collect(),
                entered: rank.iter().map(|rank| is_near(*rank, 0)).collect(),
                passed: rank.iter().map(|rank| is_near(*rank, 1)).collect(),
            });
            if short.len() >= ENOUGH_CUTS {
                break;
            }
        }
    }
    if !short.is_empty() {
        return Flow::Short(short);
    }
    first.fill(None);
    for (sensor, site, _) in hops.into_iter().filter(|hop| net.room[hop.2] == 0) {
        first[sensor] = Some(site);
    }
    let sent = onward.into_iter().filter(|way| net.room[way.2 ^ 1] > 0);
    let sent = sent.map(|(site, next, _)| (site, next)).collect();
    Flow::Fits { weight: weight_of(view, &first), first, sent }
}

/// Weight of all first hops.
fn weight_of(view: &View, first: &[Option<usize>]) -> f64 {
    let hop = |(sensor, first): (usize, &Option<usize>)| {
        first.map_or(view.direct[sensor], |site| view.hear(sensor, site))
    };
    first.iter().enumerate().map(hop).sum()
}
