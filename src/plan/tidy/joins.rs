//! Walls of the same make that go on in one line are made one feature.

use std::collections::BTreeSet;

use super::super::measure::{gap, seen};
use super::drawing::{Drawing, Drawn, Point};
use super::log::{FixKind, Log};
use super::net::{CROWD, Net, Segment};

/// Joins walls end to end where they go on in one line. Gives whether any were.
///
/// The first in the file stays and takes the other's positions; the point where they meet goes.
/// Where other walls meet there too, or one passes, they are left as two.
pub(super) fn join(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    let mut touched = BTreeSet::new();
    // Where other walls meet or pass, two walls were drawn for a reason.
    for node in net.nodes.iter().filter(|node| node.degree == 2) {
        let around = net.segments_near(node.level, (node.place, node.place), drawing.on, CROWD);
        let passes = |segment: &Segment| {
            let ends_here = segment.a == node.place || segment.b == node.place;
            !ends_here && gap(segment.a, segment.b, node.place) <= drawing.on
        };
        if around.is_none_or(|around| around.iter().any(passes)) {
            continue;
        }
        let is_end =
            |end: &&(usize, usize)| drawing.walls[end.0].is_end(end.1) && !touched.contains(&end.0);
        let ends: Vec<(usize, usize)> = node.ends.iter().filter(is_end).copied().collect();
        let &[first, second] = ends.as_slice() else { continue };
        let points = (first.0 != second.0).then(|| joined(drawing, first, second));
        let Some(points) = points.flatten() else { continue };
        note(drawing, first.0, second, log);
        drawing.walls[first.0].points = points;
        drawing.walls[second.0].gone = true;
        touched.extend([first.0, second.0]);
    }
    !touched.is_empty()
}

fn note(drawing: &Drawing<'_>, first: usize, second: (usize, usize), log: &mut Log) {
    let line = &drawing.walls[second.0];
    let (name, place) = (drawing.wall_name(first), Drawing::position(line.points[second.1].place));
    let what = format!("joined to wall {name} at {place}, which it goes on in one line");
    log.fix(line.at(0), drawing.id(line), FixKind::Joined, what);
}

/// The positions of a wall from its far end to this one.
fn towards<'t>(wall: &Drawn<'t>, index: usize) -> Vec<Point<'t>> {
    let mut points = wall.points.clone();
    if index == 0 {
        points.reverse();
    }
    points
}

/// The positions of two walls made one, if they are of one make and do not turn where they meet.
fn joined<'t>(
    drawing: &Drawing<'t>,
    (first, first_end): (usize, usize),
    (second, second_end): (usize, usize),
) -> Option<Vec<Point<'t>>> {
    let (one, other) = (&drawing.walls[first], &drawing.walls[second]);
    if one.class != other.class || one.level != other.level {
        return None;
    }
    let one_way = towards(one, first_end);
    let mut back = towards(other, second_end);
    back.reverse();
    let (before, here) = match one_way.as_slice() {
        [.., before, here] => (before.place, here.place),
        _ => return None,
    };
    let after = back.get(1)?.place;
    let bend = seen(before, after, here)?;
    // No farther off than rounding, and between the two, so that they do not fold back.
    if bend.off > drawing.on || bend.along <= 0.0 || bend.along >= bend.length {
        return None;
    }
    let mut points = one_way;
    points.pop();
    points.extend(back.into_iter().skip(1));
    if first_end == 0 {
        // The first wall keeps its direction.
        points.reverse();
    }
    Some(points)
}
