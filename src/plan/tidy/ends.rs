//! Walls that nearly meet at their ends or corners are made to meet in one point.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;

use super::super::measure::apart;
use super::drawing::{Class, Drawing};
use super::log::{FixKind, Log};
use super::net::{CROWD, Net, Node};

/// What is said where too much lies in one spot.
pub(super) const CROWDED: &str = "more than 300 wall ends or segments are here";
/// Why that is left.
pub(super) const CROWDED_WHY: &str =
    "so many are looked at in one spot at most; look for walls drawn more than once";

/// Draws together all ends and corners of one level that lie within the tolerance; the place of
/// most segments stays, of equals the first in the file. Gives whether anything was moved.
///
/// Two positions of one wall are left apart, but for the two ends of one that all but closes.
pub(super) fn meet(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    let mut order: Vec<usize> = (0..net.nodes.len()).collect();
    order.sort_by_key(|&node| (Reverse(net.nodes[node].degree), node));
    let mut settled = BTreeSet::new();
    for number in order {
        if settled.contains(&number) {
            continue;
        }
        let node = &net.nodes[number];
        let Some(near) = net.nodes_near(node.level, node.place, drawing.snap) else {
            tell(drawing, node, CROWDED.to_owned(), CROWDED_WHY, log);
            continue;
        };
        let mut cluster = vec![node];
        let mut moved = Vec::new();
        for (_, other) in near {
            if other == number || settled.contains(&other) {
                continue;
            }
            let joining = &net.nodes[other];
            if may_join(drawing, &cluster, joining, log) {
                cluster.push(joining);
                moved.push(other);
            }
        }
        for &other in &moved {
            let from = &net.nodes[other];
            let onto = named(drawing, from, node);
            shift(drawing, from, node.place, &onto, log);
        }
        if !moved.is_empty() {
            settled.extend(moved.into_iter().chain([number]));
        }
    }
    !settled.is_empty()
}

/// Notes a doubt of a node, at the first wall that has a position there.
pub(super) fn tell(
    drawing: &Drawing<'_>,
    node: &Node,
    what: String,
    why: &'static str,
    log: &mut Log,
) {
    let (wall, index) = node.ends[0];
    let line = &drawing.walls[wall];
    log.doubt(line.at(index), drawing.id(line), what, why);
}

/// The walls at a place, for a message: the first that is not among those that are moved.
fn named(drawing: &Drawing<'_>, moved: &Node, to: &Node) -> String {
    let own = moved.walls();
    match to.ends.iter().find(|end| !own.contains(&end.0)) {
        Some(end) if drawing.walls[end.0].is_end(end.1) => {
            format!("to the end of wall {}", drawing.wall_name(end.0))
        }
        Some(end) => format!("to the corner of wall {}", drawing.wall_name(end.0)),
        None => "to its other end".to_owned(),
    }
}

/// Whether a node may be drawn to the first of a cluster.
fn may_join(drawing: &Drawing<'_>, cluster: &[&Node], joining: &Node, log: &mut Log) -> bool {
    let there: usize = cluster.iter().map(|node| node.ends.len()).sum();
    if there > CROWD || joining.ends.len() > CROWD {
        tell(drawing, joining, CROWDED.to_owned(), CROWDED_WHY, log);
        return false;
    }
    stays_near(drawing, joining, cluster[0].place)
        && is_strange_or_closes(drawing, cluster, joining)
        && !has_unlike_twin(drawing, cluster, joining)
}

/// Whether every position of a node may be moved to a place.
pub(super) fn stays_near(drawing: &Drawing<'_>, node: &Node, to: Coord<f64>) -> bool {
    let point = |end: &(usize, usize)| &drawing.walls[end.0].points[end.1];
    node.ends.iter().all(|end| drawing.may_move(point(end), to))
}

/// Whether a node shares no wall with a cluster, or only one whose two ends they are.
fn is_strange_or_closes(drawing: &Drawing<'_>, cluster: &[&Node], joining: &Node) -> bool {
    let own = joining.walls();
    let mut shared = cluster.iter().flat_map(|node| &node.ends).filter(|end| own.contains(&end.0));
    let Some(&(wall, index)) = shared.next() else {
        return true;
    };
    let line = &drawing.walls[wall];
    let mut here = joining.ends.iter().filter(|end| end.0 == wall);
    let (Some(&(_, other)), None, None) = (here.next(), here.next(), shared.next()) else {
        return false;
    };
    let last = line.points.len().saturating_sub(1);
    last >= 3 && index.min(other) == 0 && index.max(other) == last
}

/// The far end and class of each segment at a node.
pub(super) fn arms<'d>(
    drawing: &'d Drawing<'_>,
    node: &'d Node,
) -> impl Iterator<Item = Arm<'d>> + 'd {
    node.ends.iter().flat_map(move |&(wall, index)| {
        let line = &drawing.walls[wall];
        let before = index.checked_sub(1);
        let both = [before, Some(index + 1)].into_iter();
        both.filter_map(move |far| Some((line.points.get(far?)?.place, &line.class)))
    })
}

pub(super) type Arm<'d> = (Coord<f64>, &'d Class);

/// Whether a segment of the node would come to lie on one of another make, which is told elsewhere.
fn has_unlike_twin(drawing: &Drawing<'_>, cluster: &[&Node], joining: &Node) -> bool {
    // Far ends of what is there already, in cells as wide as the tolerance.
    let cell = |place: Coord<f64>| {
        #[expect(clippy::cast_possible_truncation, reason = "a cast from float to whole saturates")]
        let cell = |ordinate: f64| (ordinate / drawing.snap).floor() as i64;
        (cell(place.x), cell(place.y))
    };
    let mut there: BTreeMap<(i64, i64), Vec<Arm<'_>>> = BTreeMap::new();
    for (far, class) in cluster.iter().flat_map(|node| arms(drawing, node)) {
        if apart(far, cluster[0].place) > drawing.snap {
            there.entry(cell(far)).or_default().push((far, class));
        }
    }
    arms(drawing, joining).any(|(far, class)| {
        let (x, y) = cell(far);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy)));
        around
            .filter_map(|(dx, dy)| there.get(&(x.saturating_add(dx), y.saturating_add(dy))))
            .flatten()
            .any(|(place, other)| {
                let unlike = !class.within(other) && !other.within(class) && class.beside(other);
                unlike && apart(*place, far) <= drawing.snap
            })
    })
}

pub(super) fn shift(
    drawing: &mut Drawing<'_>,
    from: &Node,
    to: Coord<f64>,
    onto: &str,
    log: &mut Log,
) {
    let by = drawing.length(apart(from.place, to));
    for &(wall, index) in &from.ends {
        let line = &drawing.walls[wall];
        let last = index + 1 == line.points.len();
        let closing = line.is_ring() && (index == 0 || last);
        if !(closing && last) {
            let what = if index == 0 && !closing || last { "end" } else { "corner" };
            let (was, now) = (Drawing::position(from.place), Drawing::position(to));
            let what = format!("moved the {what} at {was} by {by} {onto} at {now}");
            log.fix(line.at(index), drawing.id(line), FixKind::Moved, what);
        }
        drawing.walls[wall].points[index].place = to;
    }
}
