//! Ends and corners that nearly lie on another wall are put on it; two ends that overshoot or miss
//! each other's line meet where the lines cross.

use std::collections::BTreeSet;

use geo::Coord;

use super::super::measure::{apart, at, crossing, gap, rounded, seen};
use super::drawing::Drawing;
use super::ends::{CROWDED, CROWDED_WHY, arms, shift, stays_near, tell};
use super::log::Log;
use super::net::{CROWD, Net, Node, Segment};

/// Sine of the smallest angle at which a wall meets another: below it they run side by side.
const FLAT: f64 = 0.15;

enum Want {
    Rest,
    /// To be looked at again in the next round: something near it was moved.
    Later,
    /// To be put there, and how that is said.
    Go(Coord<f64>, String),
    /// To be drawn with another free end to where their lines cross.
    Both(usize, Coord<f64>),
    Tell(String, &'static str),
}

struct Pass {
    net: Net,
    moved: BTreeSet<usize>,
    stale: BTreeSet<(usize, usize)>,
}

/// Puts nodes on walls. Gives whether anything was moved.
pub(super) fn touch(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    let mut pass = Pass { net: net.clone(), moved: BTreeSet::new(), stale: BTreeSet::new() };
    let mut again = false;
    for number in 0..pass.net.nodes.len() {
        let node = pass.net.nodes[number].clone();
        if pass.moved.contains(&number) {
            continue;
        }
        match pass.want(drawing, number, &node) {
            Want::Rest => {}
            Want::Later => again = true,
            Want::Go(to, onto) => pass.go(drawing, number, &node, (to, &onto), log),
            Want::Both(other, to) => {
                let far = pass.net.nodes[other].clone();
                let name = |node: &Node| node.ends[0].0;
                let first = format!("to the corner with wall {}", drawing.wall_name(name(&far)));
                let second = format!("to the corner with wall {}", drawing.wall_name(name(&node)));
                pass.go(drawing, number, &node, (to, &first), log);
                pass.go(drawing, other, &far, (to, &second), log);
            }
            Want::Tell(what, why) => tell(drawing, &node, what, why, log),
        }
    }
    again || !pass.moved.is_empty()
}

fn far_ends(drawing: &Drawing<'_>, node: &Node) -> Vec<Coord<f64>> {
    arms(drawing, node).map(|(far, _)| far).collect()
}

/// Whether a wall goes straight on at a position: to move that would only bend it.
fn is_straight(drawing: &Drawing<'_>, (wall, index): (usize, usize)) -> bool {
    let points = &drawing.walls[wall].points;
    let three = index.checked_sub(1).and_then(|before| points.get(before..before + 3));
    let Some([before, here, after]) = three else {
        return false;
    };
    seen(before.place, after.place, here.place)
        .is_some_and(|seen| seen.off <= drawing.on && seen.along > 0.0 && seen.along < seen.length)
}

/// Whether a segment with one end at `node` and the other at `far` runs beside a line.
fn beside(node: Coord<f64>, far: Coord<f64>, segment: &Segment, snap: f64) -> bool {
    let off = seen(segment.a, segment.b, far).map_or(0.0, |seen| seen.off);
    let sine = crossing((node, far), (segment.a, segment.b)).map_or(0.0, |(_, sine)| sine);
    off < 2.0 * snap || sine < FLAT
}

impl Pass {
    fn go(
        &mut self,
        drawing: &mut Drawing<'_>,
        number: usize,
        node: &Node,
        (to, onto): (Coord<f64>, &str),
        log: &mut Log,
    ) {
        shift(drawing, node, to, onto, log);
        self.net.move_node(number, to);
        self.moved.insert(number);
        self.stale.extend(&node.ends);
    }

    /// Whether an end of a segment was moved since the net was made.
    fn is_stale(&self, segment: &Segment) -> bool {
        self.stale.contains(&(segment.wall, segment.index))
            || self.stale.contains(&(segment.wall, segment.index + 1))
    }

    /// The segments around a place that do not end at the node; nothing if they are too many.
    fn strangers(
        &self,
        drawing: &Drawing<'_>,
        node: &Node,
        place: Coord<f64>,
    ) -> Option<Vec<Segment>> {
        let mut near = self.net.segments_near(node.level, (place, place), drawing.snap, CROWD)?;
        near.retain(|segment| segment.a != node.place && segment.b != node.place);
        Some(near)
    }

    fn want(&self, drawing: &Drawing<'_>, number: usize, node: &Node) -> Want {
        let Some(near) = self.strangers(drawing, node, node.place) else {
            return Want::Tell(CROWDED.to_owned(), CROWDED_WHY);
        };
        if near.iter().any(|segment| self.is_stale(segment)) {
            return Want::Later;
        }
        if near.iter().any(|segment| gap(segment.a, segment.b, node.place) <= drawing.on) {
            return Want::Rest;
        }
        if node.ends.iter().all(|&end| is_straight(drawing, end)) {
            return Want::Rest;
        }
        let arms = far_ends(drawing, node);
        let found = near.into_iter().filter_map(|segment| {
            let seen = seen(segment.a, segment.b, node.place)?;
            let within = seen.along > drawing.snap && seen.along < seen.length - drawing.snap;
            let runs_beside =
                || arms.iter().any(|&far| beside(node.place, far, &segment, drawing.snap));
            let fits = within && seen.off <= drawing.snap && !runs_beside();
            fits.then_some((seen.off, segment))
        });
        match found.min_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((_, segment)) => self.landing(drawing, number, node, &arms, &segment),
            None => self.corner(drawing, number, node, &arms),
        }
    }

    fn landing(
        &self,
        drawing: &Drawing<'_>,
        number: usize,
        node: &Node,
        arms: &[Coord<f64>],
        segment: &Segment,
    ) -> Want {
        let name = drawing.wall_name(segment.wall);
        let tell = |why| {
            let off = drawing.length(gap(segment.a, segment.b, node.place));
            let place = Drawing::position(node.place);
            Want::Tell(format!("the end at {place} is {off} off wall {name}"), why)
        };
        let Some(seen) = seen(segment.a, segment.b, node.place) else {
            return Want::Rest;
        };
        let foot = at(segment.a, segment.b, seen.along);
        // A lone end keeps to its own line, so that its wall does not turn.
        let along_own = match (node.degree, arms) {
            (1, [far]) => crossing((*far, node.place), (segment.a, segment.b))
                .map(|(place, _)| place)
                .filter(|place| apart(*place, node.place) <= drawing.snap)
                .filter(|place| gap(segment.a, segment.b, *place) <= drawing.on),
            _ => None,
        };
        let mut to = rounded(along_own.unwrap_or(foot));
        let Some(near) = self.net.nodes_near(node.level, to, drawing.snap) else {
            return Want::Tell(CROWDED.to_owned(), CROWDED_WHY);
        };
        // Another node of other walls near that place.
        let own = node.walls();
        let mut others = near.into_iter().filter(|(_, other)| *other != number);
        let company = others.find_map(|(_, other)| {
            let other = &self.net.nodes[other];
            other.ends.iter().all(|end| !own.contains(&end.0)).then_some(other.place)
        });
        if let Some(place) = company {
            if apart(place, node.place) > drawing.snap
                || gap(segment.a, segment.b, place) > drawing.on
            {
                return tell("there it would almost meet another end, which is too far to join");
            }
            to = place;
        }
        if !stays_near(drawing, node, to) {
            return tell("it is farther than the tolerance");
        }
        let Some(others) = self.strangers(drawing, node, to) else {
            return Want::Tell(CROWDED.to_owned(), CROWDED_WHY);
        };
        for other in others {
            if self.is_stale(&other) {
                return Want::Later;
            }
            let off = gap(other.a, other.b, to);
            let flat = arms.iter().any(|&far| beside(to, far, &other, drawing.snap));
            if off > drawing.on && off <= drawing.snap && !flat {
                return tell("it is just as near to another wall");
            }
        }
        Want::Go(to, format!("onto wall {name}"))
    }

    /// The corner of two free ends that lie too far apart to meet, but whose lines cross near both.
    fn corner(
        &self,
        drawing: &Drawing<'_>,
        number: usize,
        node: &Node,
        arms: &[Coord<f64>],
    ) -> Want {
        let (1, [own]) = (node.degree, arms) else {
            return Want::Rest;
        };
        let Some(near) = self.net.nodes_near(node.level, node.place, 2.0 * drawing.snap) else {
            return Want::Tell(CROWDED.to_owned(), CROWDED_WHY);
        };
        for (off, other) in near {
            let far = &self.net.nodes[other];
            if other == number || off <= drawing.snap || far.degree != 1 {
                continue;
            }
            if self.moved.contains(&other) {
                return Want::Later;
            }
            if node.walls() == far.walls() {
                continue;
            }
            let theirs = far_ends(drawing, far);
            let [its] = theirs.as_slice() else { continue };
            let Some((place, sine)) = crossing((*own, node.place), (*its, far.place)) else {
                continue;
            };
            let to = rounded(place);
            let within = |node: &Node| {
                apart(place, node.place) <= drawing.snap && stays_near(drawing, node, to)
            };
            if sine < FLAT || !within(node) || !within(far) {
                continue;
            }
            let alone = self
                .net
                .nodes_near(node.level, to, drawing.snap)
                .is_some_and(|near| near.iter().all(|n| n.1 == number || n.1 == other));
            let is_own = |end| end == node.place || end == far.place;
            let is_clear = |segment: &Segment| {
                is_own(segment.a)
                    || is_own(segment.b)
                    || gap(segment.a, segment.b, to) > drawing.snap
            };
            let clear = [node, far].into_iter().all(|end| {
                self.strangers(drawing, end, to).is_some_and(|all| all.iter().all(is_clear))
            });
            if alone && clear {
                return Want::Both(other, to);
            }
        }
        Want::Rest
    }
}
