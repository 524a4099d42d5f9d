//! The cheapest first hops when every site's state is decided: a minimum-cost flow.

use super::local::{Local, Onward, Routing};
use std::collections::VecDeque;

/// The cheapest routing in which each site sends onward as told (or is unused), or `None` when the
/// rooms do not allow any, when it would weigh `limit` or more, or when `stop` says so.
///
/// First each sensor takes its cheapest hop. Where no room is exceeded that is the best there is.
/// Otherwise sensors are placed one by one, each along the cheapest chain of moves (successive
/// shortest paths), which is exact.
pub(super) fn cheapest(
    local: &Local,
    onward: &[Onward],
    limit: f64,
    stop: &dyn Fn() -> bool,
) -> Option<Routing> {
    let fixed = fixed_weight(local, onward)?;
    let used: Vec<usize> =
        (0..local.sites()).filter(|&site| onward[site] != Onward::Unused).collect();
    let mut first = vec![None; local.sensors];
    let mut total = fixed;
    for (sensor, first) in first.iter_mut().enumerate() {
        let mut best = local.direct[sensor];
        for &site in &used {
            let weight = local.hear(sensor, site);
            if weight < best {
                best = weight;
                *first = Some(site);
            }
        }
        total += best;
    }
    if total >= limit {
        return None;
    }
    let loads = loads(local, onward, &first);
    if used.iter().any(|&site| loads[site] > local.room[site]) {
        first = place(local, onward, &used, stop)?;
    }
    let routing = Routing { first, onward: onward.to_vec() };
    (local.weight_of(&routing) < limit).then_some(routing)
}

/// The weight of the onward hops; `None` when one leads to a site that does not send to the panel.
fn fixed_weight(local: &Local, onward: &[Onward]) -> Option<f64> {
    let mut sum = 0.0;
    for site in 0..local.sites() {
        match onward[site] {
            Onward::Unused => continue,
            Onward::Site(next) if onward[next] != Onward::Panel => return None,
            _ => {}
        }
        let hop = local.options[site].iter().find(|(to, _)| *to == onward[site]);
        sum += hop?.1;
    }
    Some(sum)
}

/// How many sensors each site passes on.
pub(super) fn loads(local: &Local, onward: &[Onward], first: &[Option<usize>]) -> Vec<usize> {
    let mut loads = vec![0; local.sites()];
    for site in first.iter().flatten() {
        loads[*site] += 1;
        if let Onward::Site(next) = onward[*site] {
            loads[next] += 1;
        }
    }
    loads
}

/// An arc of the network of [`place`]; its reverse is the next or the one before.
#[derive(Clone, Copy)]
struct Arc {
    to: usize,
    /// Units that may still pass.
    room: usize,
    weight: f64,
}

/// Two paths whose weights differ by less are taken as equal, so that rounding cannot make a cycle
/// look as if it saved something.
const EQUAL: f64 = 1e-14;

/// Places the sensors one by one, each along the shortest path through the residual network
/// (Bellman and Ford's method with a queue).
fn place(
    local: &Local,
    onward: &[Onward],
    used: &[usize],
    stop: &dyn Fn() -> bool,
) -> Option<Vec<Option<usize>>> {
    let sink = local.sensors + 2 * used.len();
    let mut arcs: Vec<Arc> = Vec::new();
    let mut from: Vec<Vec<usize>> = vec![Vec::new(); sink + 1];
    let mut join = |a: usize, b: usize, room: usize, weight: f64| {
        for (a, b, room, weight) in [(a, b, room, weight), (b, a, 0, -weight)] {
            from[a].push(arcs.len());
            arcs.push(Arc { to: b, room, weight });
        }
    };
    let mut node = vec![usize::MAX; local.sites()];
    for (number, &site) in used.iter().enumerate() {
        node[site] = local.sensors + 2 * number;
    }
    for sensor in 0..local.sensors {
        if local.direct[sensor].is_finite() {
            join(sensor, sink, 1, local.direct[sensor]);
        }
    }
    for &site in used {
        for &(sensor, weight) in &local.heard[site] {
            join(sensor, node[site], 1, weight);
        }
        join(node[site], node[site] + 1, local.room[site], 0.0);
        let next = match onward[site] {
            Onward::Site(next) => node[next],
            _ => sink,
        };
        join(node[site] + 1, next, local.sensors, 0.0);
    }
    for sensor in 0..local.sensors {
        if stop() {
            return None;
        }
        let path = shortest(&arcs, &from, sensor, sink)?;
        for arc in path {
            arcs[arc].room -= 1;
            arcs[arc ^ 1].room += 1;
        }
    }
    let mut first = vec![None; local.sensors];
    for &site in used {
        for &arc in &from[node[site]] {
            // The reverse of a first hop that is in use.
            if arcs[arc].to < local.sensors && arcs[arc].room == 1 {
                first[arcs[arc].to] = Some(site);
            }
        }
    }
    Some(first)
}

/// The arcs of a shortest path, or `None` when the sink is out of reach.
fn shortest(arcs: &[Arc], from: &[Vec<usize>], start: usize, sink: usize) -> Option<Vec<usize>> {
    let mut far = vec![f64::INFINITY; from.len()];
    let mut by = vec![usize::MAX; from.len()];
    let mut queued = vec![false; from.len()];
    let mut queue = VecDeque::from([start]);
    far[start] = 0.0;
    // Without a cycle that saves something, no node is taken up more often than there are nodes.
    let mut left = from.len().saturating_mul(from.len());
    while let Some(node) = queue.pop_front() {
        queued[node] = false;
        left = left.checked_sub(1)?;
        for &arc in &from[node] {
            let Arc { to, room, weight } = arcs[arc];
            let reach = far[node] + weight;
            if room > 0 && reach < far[to] - EQUAL {
                far[to] = reach;
                by[to] = arc;
                if !queued[to] && to != sink {
                    queued[to] = true;
                    queue.push_back(to);
                }
            }
        }
    }
    let (mut path, mut node) = (Vec::new(), sink);
    while node != start {
        let arc = by[node];
        if arc == usize::MAX || path.len() > from.len() {
            return None;
        }
        path.push(arc);
        node = arcs[arc ^ 1].to;
    }
    Some(path)
}
