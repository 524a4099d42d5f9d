//! Walls that lie on other walls of the same make are taken out, or cut to what is theirs alone.

use std::collections::BTreeSet;

use geo::Coord;

use super::super::measure::{apart, at, seen};
use super::drawing::{Drawing, Drawn, Point};
use super::ends::{CROWDED, CROWDED_WHY};
use super::log::{FixKind, Log};
use super::net::{CROWD, Net, Segment};

/// An end of a piece of a wall: how far along the wall it lies, and where.
type Mark = (f64, Coord<f64>);

#[derive(Debug, Clone, Copy)]
struct Cover {
    from: Mark,
    to: Mark,
    wall: usize,
}

/// The stretch of a segment that lies on a line from `a` to `b`, as distances along that line with
/// the places where the stretch ends.
///
/// Nothing if they do not share more than `least`, or not to within `on`.
pub(super) fn shared(
    (a, b): (Coord<f64>, Coord<f64>),
    (c, d): (Coord<f64>, Coord<f64>),
    on: f64,
    least: f64,
) -> Option<(Mark, Mark)> {
    let (first, second) = (seen(a, b, c)?, seen(a, b, d)?);
    let clip = |along: f64, place| match along {
        _ if along <= 0.0 => (0.0, a),
        _ if along >= first.length => (first.length, b),
        _ => (along, place),
    };
    let (one, other) = (clip(first.along, c), clip(second.along, d));
    let (from, to) = if first.along <= second.along { (one, other) } else { (other, one) };
    if to.0 - from.0 <= least {
        return None;
    }
    // Both ends of the stretch must lie on the segment, as seen from the segment.
    let near = |mark: Mark| {
        let place = at(a, b, mark.0);
        seen(c, d, place).is_some_and(|seen| seen.off <= on)
    };
    (near(from) && near(to)).then_some((from, to))
}

/// Takes doubles out. Gives whether anything was changed.
pub(super) fn cut_doubles(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    if net.is_tangled(drawing.snap) {
        return false; // The search for crossings reports it.
    }
    // A wall that was changed is left out of sight until the next round.
    let mut touched = BTreeSet::new();
    for whole in [true, false] {
        for number in (0..drawing.walls.len()).rev() {
            let wall = &drawing.walls[number];
            if wall.gone || touched.contains(&number) {
                continue;
            }
            let Some(covers) = covers(drawing, net, number, wall, &touched) else {
                let id = drawing.id(wall);
                log.doubt(wall.at(0), id, CROWDED.to_owned(), CROWDED_WHY);
                continue;
            };
            if covers.is_empty() {
                continue;
            }
            let rest = uncovered(wall, &covers, drawing.on);
            let names = names(drawing, wall, &covers);
            let id = drawing.id(wall).to_owned();
            let place = wall.at(0);
            let others: Vec<usize> = covers.iter().map(|cover| cover.wall).collect();
            match (rest.as_slice(), whole) {
                ([], true) => {
                    let what = format!("removed the wall: it is on {names}");
                    log.fix(place, &id, FixKind::Removed, what);
                    drawing.tie(number, &others);
                    drawing.walls[number].gone = true;
                }
                ([piece], false) => {
                    let points = points_of(wall, piece);
                    let [first, .., last] = points.as_slice() else {
                        continue;
                    };
                    let [first, last] = [first, last].map(|end| Drawing::position(end.place));
                    let what = format!(
                        "cut the wall to the part from {first} to {last}: the rest is on {names}"
                    );
                    log.fix(place, &id, FixKind::Cut, what);
                    drawing.tie(number, &others);
                    drawing.walls[number].points = points;
                }
                _ => continue,
            }
            touched.extend(others.into_iter().chain([number]));
        }
    }
    !touched.is_empty()
}

/// The walls that cover a wall, for a message: the first that covers all of it alone, else all.
fn names(drawing: &Drawing<'_>, wall: &Drawn<'_>, covers: &[Cover]) -> String {
    let mut walls: Vec<usize> = covers.iter().map(|cover| cover.wall).collect();
    walls.sort_unstable();
    walls.dedup();
    let alone = walls.iter().take(CROWD).find(|&&only| {
        let its: Vec<Cover> = covers.iter().copied().filter(|c| c.wall == only).collect();
        uncovered(wall, &its, drawing.on).is_empty()
    });
    if let Some(&only) = alone {
        walls = vec![only];
    }
    let names: Vec<String> = walls.iter().take(3).map(|&wall| drawing.wall_name(wall)).collect();
    match (walls.len(), names.as_slice()) {
        (_, [only]) => format!("wall {only}"),
        (2, [first, second]) => format!("the walls {first} and {second}"),
        (3, [first, second, third]) => format!("the walls {first}, {second} and {third}"),
        (count, _) => format!("the walls {} and {} more", names.join(", "), count - 3),
    }
}

/// What other walls cover of a wall; nothing if they are too many to look at.
fn covers(
    drawing: &Drawing<'_>,
    net: &Net,
    number: usize,
    wall: &Drawn<'_>,
    touched: &BTreeSet<usize>,
) -> Option<Vec<Cover>> {
    let level = wall.level?;
    let mut covers = Vec::new();
    let mut done = 0.0;
    for (a, b) in wall.pieces() {
        let near = net.segments_near(level, (a, b), drawing.on, usize::MAX)?;
        let mut many = 0;
        for Segment { wall: other, a: c, b: d, .. } in near {
            let there = &drawing.walls[other];
            if other == number
                || touched.contains(&other)
                || there.gone
                || !wall.class.within(&there.class)
            {
                continue;
            }
            if let Some((from, to)) = shared((a, b), (c, d), drawing.on, drawing.snap) {
                many += 1;
                if many > CROWD {
                    return None;
                }
                covers.push(Cover {
                    from: (done + from.0, from.1),
                    to: (done + to.0, to.1),
                    wall: other,
                });
            }
        }
        done += apart(a, b);
    }
    Some(covers)
}

/// The pieces of a wall that nothing covers; those on both sides of a ring's seam are one.
fn uncovered(wall: &Drawn<'_>, covers: &[Cover], least: f64) -> Vec<Vec<(Mark, Mark)>> {
    let (Some(start), Some(end)) = (wall.points.first(), wall.points.last()) else {
        return Vec::new();
    };
    let length: f64 = wall.pieces().map(|(a, b)| apart(a, b)).sum();
    let mut sorted = covers.to_vec();
    sorted.sort_by(|a, b| a.from.0.total_cmp(&b.from.0).then(a.to.0.total_cmp(&b.to.0)));
    let mut pieces: Vec<(Mark, Mark)> = Vec::new();
    let mut done: Mark = (0.0, start.place);
    for cover in sorted {
        if cover.from.0 > done.0 + least {
            pieces.push((done, cover.from));
        }
        if cover.to.0 > done.0 {
            done = cover.to;
        }
    }
    if length > done.0 + least {
        pieces.push((done, (length, end.place)));
    }
    let goes_on = matches!(pieces.as_slice(), [first, .., last]
        if wall.is_ring() && first.0.0 <= 0.0 && last.1.0 >= length);
    let seam = goes_on.then(|| pieces.remove(0));
    let mut chains: Vec<Vec<(Mark, Mark)>> = pieces.into_iter().map(|piece| vec![piece]).collect();
    if let Some(last) = chains.last_mut() {
        last.extend(seam);
    }
    chains
}

fn points_of<'t>(wall: &Drawn<'t>, piece: &[(Mark, Mark)]) -> Vec<Point<'t>> {
    let mut points: Vec<Point<'t>> = Vec::new();
    let mut add = |point: Point<'t>| {
        if points.last().is_none_or(|last| last.place != point.place) {
            points.push(point);
        }
    };
    let mut along = 0.0;
    let mut marks: Vec<(f64, Point<'t>)> = vec![(along, wall.points[0])];
    for (point, (before, here)) in wall.points.iter().skip(1).zip(wall.pieces()) {
        along += apart(before, here);
        marks.push((along, *point));
    }
    let end = |mark: &Mark| {
        let mut corners = marks.iter().filter(|(along, _)| (along - mark.0).abs() < 1e-9);
        let corner = corners.find(|(_, point)| point.place == mark.1);
        // Else the place of the other wall's end as it is: the two must meet in one point.
        corner.map_or(Point::new(mark.1), |(_, point)| *point)
    };
    for (from, to) in piece {
        add(end(from));
        for (along, point) in &marks {
            if *along > from.0 + 1e-9 && *along < to.0 - 1e-9 {
                add(*point);
            }
        }
        add(end(to));
    }
    points
}
