//! First hops of all sensors through open repeaters with limited room: a flow of least cost.
//!
//! Each sensor is a unit that flows to a site that hears it, through the site's room, and on to the
//! panel, straight or through another site's room. Every unit first takes its best hop, whatever
//! the room; what then stands in excess is moved on, unit by unit, along shortest paths of the
//! residual network, which is exact (successive shortest paths from a pseudoflow of least cost).
//! Where a unit stays in excess, what it reaches is the near side of a minimum cut (Ford and
//! Fulkerson's theorem).

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
    /// Adds an arc that carries `load` units already; the arc's number.
    fn join(&mut self, from: usize, to: usize, room: usize, load: usize, weight: f64) -> usize {
        let arc = self.to.len();
        for (from, to, room, weight) in [(from, to, room - load, weight), (to, from, load, -weight)]
        {
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
        let ways = allowed[site].iter().filter_map(move |&n| view.options[site][n].0.site());
        ways.filter(|&next| !allowed[next].is_empty() && home(next))
    };

    // Every sensor at its best hop. Without weights: where most room is left.
    let mut first: Vec<Option<usize>> = vec![None; view.sensors];
    let mut heard = vec![0_usize; sites];
    let mut lost = Vec::new();
    for (sensor, &direct) in view.direct.iter().enumerate() {
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
            None if direct.is_infinite() => lost.push(sensor),
            None => {}
        }
    }

    // What each site passes on, and what is too much for it.
    let mut inflow = heard.clone();
    let mut passes = vec![0; sites];
    let mut sent: Vec<(usize, usize, usize)> = Vec::new();
    for &site in used.iter().filter(|&&site| !home(site)) {
        let mut left = inflow[site].min(view.room[site]);
        let from = sent.len();
        for next in relays(site) {
            let units = left.min(view.room[next].saturating_sub(inflow[next]));
            inflow[next] += units;
            left -= units;
            sent.push((site, next, units));
        }
        if let (true, Some(way)) = (left > 0, sent.get_mut(from)) {
            way.2 += left;
            inflow[way.1] += left;
            left = 0;
        }
        passes[site] = inflow[site].min(view.room[site]) - left;
    }
    for &site in used.iter().filter(|&&site| home(site)) {
        passes[site] = inflow[site].min(view.room[site]);
    }
    let excess = |site: usize| inflow[site] - passes[site];
    if !lost.is_empty() || used.iter().any(|&site| excess(site) > 0) {
        let node = |rank: usize| view.sensors + 2 * rank;
        let sink = node(used.len());
        let mut net = Net {
            head: vec![NONE; sink + 1],
            far: vec![0.0; sink + 1],
            by: vec![NONE; sink + 1],
            queued: vec![false; sink + 1],
            ..Net::default()
        };
        let mut rank = vec![NONE; sites];
        for (number, &site) in used.iter().enumerate() {
            rank[site] = number;
        }
        let cost = |weight: f64| if weighted { weight } else { 0.0 };
        let mut hops = Vec::new();
        for &site in &used {
            for &(sensor, weight) in &view.heard[site] {
                if weighted || view.direct[sensor].is_infinite() {
                    let load = usize::from(first[sensor] == Some(site));
                    let arc = net.join(sensor, node(rank[site]), 1, load, cost(weight));
                    hops.push((sensor, site, arc));
                }
            }
        }
        for sensor in (0..view.sensors).filter(|&s| weighted && view.direct[s].is_finite()) {
            let load = usize::from(first[sensor].is_none());
            net.join(sensor, sink, 1, load, view.direct[sensor]);
        }
        for &site in &used {
            let at = node(rank[site]);
            net.join(at, at + 1, view.room[site], passes[site], 0.0);
            if home(site) {
                net.join(at + 1, sink, view.sensors, passes[site], 0.0);
            }
        }
        let arc = |net: &mut Net, way: &(usize, usize, usize)| {
            net.join(node(rank[way.0]) + 1, node(rank[way.1]), view.sensors, way.2, 0.0)
        };
        let arcs: Vec<usize> = sent.iter().map(|way| arc(&mut net, way)).collect();

        let mut short: Vec<Reached> = Vec::new();
        let starts = used.iter().map(|&site| (node(rank[site]), excess(site)));
        for (start, units) in lost.iter().map(|&sensor| (sensor, 1)).chain(starts) {
            for _ in 0..units {
                if stop() {
                    return Flow::Stopped;
                }
                if net.send(start, sink) {
                    continue;
                }
                let site = |site: usize, side: usize| {
                    rank[site] != NONE && net.far[node(rank[site]) + side].is_finite()
                };
                short.push(Reached {
                    sensors: net.far[..view.sensors].iter().map(|far| far.is_finite()).collect(),
                    entered: (0..sites).map(|s| site(s, 0)).collect(),
                    passed: (0..sites).map(|s| site(s, 1)).collect(),
                });
                break;
            }
            if short.len() >= ENOUGH_CUTS {
                break;
            }
        }
        if !short.is_empty() {
            return Flow::Short(short);
        }
        first.fill(None);
        for (sensor, site, arc) in hops {
            if net.room[arc] == 0 {
                first[sensor] = Some(site);
            }
        }
        for (way, arc) in sent.iter_mut().zip(arcs) {
            way.2 = net.room[arc ^ 1];
        }
    }
    let hop = |(sensor, first): (usize, &Option<usize>)| {
        first.map_or(view.direct[sensor], |site| view.hear(sensor, site))
    };
    let weight = first.iter().enumerate().map(hop).sum();
    let sent = sent.iter().filter(|way| way.2 > 0).map(|way| (way.0, way.1)).collect();
    Flow::Fits { first, sent, weight }
}
