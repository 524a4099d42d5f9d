//! Walls that cross in their middles get a point there, both of them.

use std::collections::BTreeMap;

use geo::Coord;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::super::measure::{apart, crossing, gap, rounded, seen};
use super::drawing::{Drawing, Point};
use super::log::{FixKind, Log};
use super::net::{Net, Segment, around, segments};
use crate::limits::MAX_POSITIONS;

/// A point to be put in, and the wall that crosses there.
type NewPoint = (Coord<f64>, usize);

/// A piece of an opening: the box around it, with the opening's number and both its ends.
type Hole = GeomWithData<Rectangle<[f64; 2]>, (usize, Coord<f64>, Coord<f64>)>;

fn holes(drawing: &Drawing<'_>) -> RTree<Hole> {
    let pieces = drawing.openings.iter().enumerate().flat_map(|(number, opening)| {
        let boxed = |a: Coord<f64>, b: Coord<f64>| Rectangle::from_corners([a.x, a.y], [b.x, b.y]);
        opening.pieces().map(move |(a, b)| Hole::new(boxed(a, b), (number, a, b)))
    });
    RTree::bulk_load(pieces.collect())
}

/// The first opening in whose middle a place lies.
fn hole_over(
    drawing: &Drawing<'_>,
    holes: &RTree<Hole>,
    level: i32,
    place: Coord<f64>,
) -> Option<usize> {
    let (Coord { x, y }, reach, on) = (place, drawing.snap, drawing.on);
    let around = AABB::from_corners([x - reach, y - reach], [x + reach, y + reach]);
    let near = holes.locate_in_envelope_intersecting(&around).map(|hole| hole.data);
    near.filter(|hole| drawing.openings[hole.0].level.is_none_or(|its| its == level))
        .filter(|&(_, a, b)| gap(a, b, place) <= reach)
        .filter(|&(_, a, b)| apart(a, place) > on && apart(b, place) > on)
        .map(|hole| hole.0)
        .min()
}

/// Puts a point into both of two walls that cross in their middles. Gives whether any was.
pub(super) fn cross(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    let holes = holes(drawing);
    let all = segments(drawing);
    // New points by wall and segment.
    let mut new: BTreeMap<(usize, usize), Vec<NewPoint>> = BTreeMap::new();
    if drawing.too_many_cross || net.is_tangled(drawing.snap) {
        too_many(drawing, &all, log);
        return false;
    }
    let mut put_in: RTree<[f64; 3]> = RTree::new();
    let mut positions: usize = drawing.walls.iter().map(|wall| wall.points.len()).sum();
    for one in &all {
        let near = net.segments_near(one.level, (one.a, one.b), 0.0, usize::MAX);
        for other in near.unwrap_or_default() {
            if (other.wall, other.index) <= (one.wall, one.index) || other.wall == one.wall {
                continue;
            }
            let Some(place) = middle(drawing, (net, &holes), one, &other, log) else {
                continue;
            };
            // Two new points so near to each other would not help.
            let z = f64::from(one.level);
            let around = around(one.level, place, place, drawing.snap);
            let pin = [place.x, place.y, z];
            if put_in.locate_in_envelope_intersecting(&around).any(|other| *other != pin) {
                continue;
            }
            put_in.insert(pin);
            for (segment, far) in [(one, &other), (&other, one)] {
                let points = new.entry((segment.wall, segment.index)).or_default();
                points.push((place, far.wall));
            }
            positions += 2;
            if positions > MAX_POSITIONS / 2 {
                drawing.too_many_cross = true;
                too_many(drawing, &all, log);
                return false;
            }
        }
    }
    let changed = !new.is_empty();
    // From the last segment to the first, so that the indices before stay true.
    for ((wall, index), mut points) in new.into_iter().rev() {
        let start = drawing.walls[wall].points[index].place;
        points.sort_by(|a, b| apart(start, a.0).total_cmp(&apart(start, b.0)).then(a.1.cmp(&b.1)));
        let line = &drawing.walls[wall];
        for (place, far) in &points {
            let (place, far) = (Drawing::position(*place), drawing.wall_name(*far));
            let what = format!("put in a point at {place}, where it crosses wall {far}");
            log.fix(line.at(index), drawing.id(line), FixKind::Crossing, what);
        }
        points.dedup_by_key(|point| point.0);
        let new = points.into_iter().map(|(place, _)| Point::new(place));
        drawing.walls[wall].points.splice(index + 1..index + 1, new);
    }
    changed
}

fn too_many(drawing: &Drawing<'_>, all: &[Segment], log: &mut Log) {
    if let Some(line) = all.first().and_then(|one| drawing.walls.get(one.wall)) {
        let what =
            "so many walls are over one another that doubles and crossings were not looked for";
        let why = "a bound on the time; look for walls drawn more than once";
        log.doubt(line.at(0), drawing.id(line), what, why);
    }
}

/// Where two segments cross in the middles of both, unless a point would do harm there.
fn middle(
    drawing: &Drawing<'_>,
    (net, holes): (&Net, &RTree<Hole>),
    one: &Segment,
    other: &Segment,
    log: &mut Log,
) -> Option<Coord<f64>> {
    let (place, _) = crossing((one.a, one.b), (other.a, other.b))?;
    let inside = |segment: &Segment| {
        seen(segment.a, segment.b, place)
            .is_some_and(|seen| seen.along > drawing.on && seen.along < seen.length - drawing.on)
    };
    if !inside(one) || !inside(other) {
        return None;
    }
    let ends = [one.a, one.b, other.a, other.b];
    let mut to = rounded(place);
    let mut tell = |what: &str, why: &str| {
        let (line, name) = (&drawing.walls[other.wall], drawing.wall_name(one.wall));
        let what = format!("it crosses wall {name} at {}{what}", Drawing::position(place));
        log.doubt(line.at(other.index), drawing.id(line), what, why);
    };
    if ends.iter().any(|&end| apart(end, place) <= drawing.snap) {
        // An end that lies on the other wall crosses it by no more than rounding.
        let lies_on = |end, line: &Segment| gap(line.a, line.b, end) <= drawing.on;
        let touches = |line: &Segment, other| lies_on(line.a, other) || lies_on(line.b, other);
        if !touches(one, other) && !touches(other, one) {
            tell(", close to an end", "it could not be put on that wall");
        }
        return None;
    }
    let near = net.nodes_near(one.level, place, drawing.snap);
    match near.as_deref() {
        Some([]) => {}
        Some(&[(_, node)])
            if gap(one.a, one.b, net.nodes[node].place) <= drawing.on
                && gap(other.a, other.b, net.nodes[node].place) <= drawing.on =>
        {
            to = net.nodes[node].place;
        }
        _ => {
            tell(
                ", close to an end or corner of another",
                "two points so near to each other would not help; see what is meant",
            );
            return None;
        }
    }
    if let Some(hole) = hole_over(drawing, holes, one.level, to) {
        let id = crate::quoted(drawing.id(&drawing.openings[hole]));
        tell(
            &format!(", where the opening {id} is"),
            "a wall cannot cross another in its door or window; move one of them",
        );
        return None;
    }
    Some(to)
}
