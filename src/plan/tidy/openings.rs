//! Openings are put on the middle of their wall, cut to its end, and kept apart.

use std::collections::BTreeMap;

use geo::Coord;

use super::super::measure::{apart, at, crossing, rounded, seen};
use super::drawing::{Drawing, Drawn};
use super::ends::{CROWDED, CROWDED_WHY};
use super::log::{FixKind, Log};
use super::net::{CROWD, Net, Segment};
use crate::{quoted, tame};

/// Usual thickness of a wall: so far off it an opening may lie, metres (common practice).
const PARTITION_M: f64 = 0.1;

/// The share of an opening that must lie along a segment for that to be its wall.
const MOST_OF_IT: f64 = 0.5;

#[derive(Debug, Clone, Copy)]
struct Fit {
    segment: Segment,
    /// How far the farther end lies off the line.
    off: f64,
    /// How far it reaches beyond the segment's first end, and its last.
    beyond: (f64, f64),
    along: (f64, f64),
    length: f64,
}

/// An opening, and where along its segment it begins and ends.
type Placed = (usize, f64, f64);

/// Puts openings right on their walls. Gives whether any was changed.
pub(super) fn settle(drawing: &mut Drawing<'_>, net: &Net, log: &mut Log) -> bool {
    let mut changed = false;
    let widest =
        (0..drawing.walls.len()).map(|wall| reach(drawing, wall)).fold(drawing.snap, f64::max);
    let mut on_walls: BTreeMap<(usize, usize), Vec<Placed>> = BTreeMap::new();
    for number in 0..drawing.openings.len() {
        let opening = &drawing.openings[number];
        let [a, b] = opening.points.as_slice() else { continue };
        let (a, b) = (a.place, b.place);
        let Some(level) = opening.level else { continue };
        let Some(fits) = fits(drawing, net, (level, widest), (a, b)) else {
            let id = drawing.id(opening);
            log.doubt(opening.at(0), id, CROWDED.to_owned(), CROWDED_WHY);
            continue;
        };
        let Some(fit) = fits.first().copied() else {
            continue;
        };
        let mut now = (a, b);
        match better(drawing, net, opening, (a, b), &fits) {
            Better::AsItIs => {}
            Better::Tell(what, why) => {
                log.doubt(opening.at(0), drawing.id(opening), what, why);
                continue;
            }
            Better::There(to) => {
                note(drawing, opening, to, &fit, log);
                if let [a, b] = drawing.openings[number].points.as_mut_slice() {
                    (a.place, b.place) = to;
                }
                now = to;
                changed = true;
            }
        }
        let along =
            |place| seen(fit.segment.a, fit.segment.b, place).map_or(0.0, |seen| seen.along);
        let (from, to) = (along(now.0), along(now.1));
        let on_wall = on_walls.entry((fit.segment.wall, fit.segment.index)).or_default();
        on_wall.push((number, from.min(to), from.max(to)));
    }
    for ((wall, _), openings) in on_walls {
        changed |= keep_apart(drawing, wall, openings, log);
    }
    changed
}

/// How far off a wall an opening may lie to be put on it, in the plan's unit.
fn reach(drawing: &Drawing<'_>, wall: usize) -> f64 {
    let thickness = drawing.walls[wall].thickness;
    let thickness = thickness.unwrap_or(PARTITION_M / drawing.unit.metres);
    thickness.max(drawing.snap)
}

/// The segments on which an opening may lie, the best first; nothing if they are too many.
fn fits(
    drawing: &Drawing<'_>,
    net: &Net,
    (level, widest): (i32, f64),
    (a, b): (Coord<f64>, Coord<f64>),
) -> Option<Vec<Fit>> {
    let near = net.segments_near(level, (a, b), widest, CROWD)?;
    let width = apart(a, b);
    let mut fits: Vec<Fit> = near
        .into_iter()
        .filter_map(|segment| {
            let (first, second) = (seen(segment.a, segment.b, a)?, seen(segment.a, segment.b, b)?);
            let (low, high) = (first.along.min(second.along), first.along.max(second.along));
            let length = first.length;
            let inside = high.min(length) - low.max(0.0);
            let off = first.off.max(second.off);
            (off <= reach(drawing, segment.wall) && inside >= MOST_OF_IT * width && inside > 0.0)
                .then_some(Fit {
                    segment,
                    off,
                    beyond: ((-low).max(0.0), (high - length).max(0.0)),
                    along: (first.along, second.along),
                    length,
                })
        })
        .collect();
    let worst = |fit: &Fit| fit.off.max(fit.beyond.0).max(fit.beyond.1);
    fits.sort_by(|one, other| {
        let key = |fit: &Fit| (fit.segment.wall, fit.segment.index);
        worst(one).total_cmp(&worst(other)).then_with(|| key(one).cmp(&key(other)))
    });
    (fits.len() <= CROWD).then_some(fits)
}

enum Better {
    AsItIs,
    There((Coord<f64>, Coord<f64>)),
    Tell(String, &'static str),
}

fn better(
    drawing: &Drawing<'_>,
    net: &Net,
    opening: &Drawn<'_>,
    (a, b): (Coord<f64>, Coord<f64>),
    fits: &[Fit],
) -> Better {
    let Some(fit) = fits.first() else {
        return Better::AsItIs;
    };
    let name = drawing.wall_name(fit.segment.wall);
    let beyond = fit.beyond.0.max(fit.beyond.1);
    let (is_off, is_beyond) = (fit.off > drawing.on, beyond > drawing.on);
    if !is_off && !is_beyond {
        return Better::AsItIs;
    }
    let off = drawing.length(fit.off);
    let rival = fits.get(1).filter(|other| {
        is_off
            && other.segment.wall != fit.segment.wall
            && (other.off - fit.off) < drawing.snap / 2.0
    });
    if let Some(rival) = rival {
        let other = drawing.wall_name(rival.segment.wall);
        let what = format!("the opening is {off} off wall {name} and as near to wall {other}");
        return Better::Tell(what, "move it onto the right one");
    }
    if beyond > reach(drawing, fit.segment.wall) {
        let what =
            format!("the opening reaches {} beyond the end of wall {name}", drawing.length(beyond));
        return Better::Tell(what, "that is too much to cut off; draw it from jamb to jamb");
    }
    if is_beyond && goes_on(drawing, net, opening, (a, b), fit) {
        let what = format!("the opening is partly on wall {name} and partly on the next");
        return Better::Tell(what, "draw one opening for each, or one wall through");
    }
    let place = |along: f64, was: Coord<f64>| {
        if along < drawing.on {
            fit.segment.a
        } else if along > fit.length - drawing.on {
            fit.segment.b
        } else if is_off {
            rounded(at(fit.segment.a, fit.segment.b, along))
        } else {
            was
        }
    };
    let to = (place(fit.along.0, a), place(fit.along.1, b));
    if apart(to.0, to.1) <= drawing.snap {
        let what = format!("almost nothing of the opening would be left on wall {name}");
        return Better::Tell(what, "draw it from jamb to jamb, along the wall's centre line");
    }
    if to == (a, b) {
        return Better::AsItIs;
    }
    Better::There(to)
}

/// Whether another segment goes on in line where an opening reaches beyond its own.
fn goes_on(
    drawing: &Drawing<'_>,
    net: &Net,
    opening: &Drawn<'_>,
    (a, b): (Coord<f64>, Coord<f64>),
    fit: &Fit,
) -> bool {
    let Some(level) = opening.level else {
        return false;
    };
    let over = |along: f64| along < -drawing.on || along > fit.length + drawing.on;
    let ends = [(a, fit.along.0), (b, fit.along.1)];
    ends.iter().filter(|end| over(end.1)).any(|&(end, _)| {
        let goes_on = |segment: &Segment| {
            let here = seen(segment.a, segment.b, end).is_some_and(|seen| {
                seen.off <= drawing.snap
                    && seen.along > 0.0
                    && seen.along < seen.length
                    && seen.length > drawing.snap
            });
            let crossing = crossing((fit.segment.a, fit.segment.b), (segment.a, segment.b));
            let flat = crossing.is_none_or(|(_, sine)| sine < 0.15);
            here && flat && *segment != fit.segment
        };
        let near = net.segments_near(level, (end, end), drawing.snap, CROWD);
        near.is_none_or(|near| near.iter().any(goes_on))
    })
}

fn note(
    drawing: &Drawing<'_>,
    opening: &Drawn<'_>,
    to: (Coord<f64>, Coord<f64>),
    fit: &Fit,
    log: &mut Log,
) {
    let name = drawing.wall_name(fit.segment.wall);
    let id = drawing.id(opening);
    if fit.off > drawing.on {
        let by = drawing.length(fit.off);
        let what = format!("moved the opening by {by} onto the middle of wall {name}");
        log.fix(opening.at(0), id, FixKind::OpeningMoved, what);
    }
    for (index, (new, along)) in [(to.0, fit.along.0), (to.1, fit.along.1)].into_iter().enumerate()
    {
        let beyond = (-along).max(along - fit.length);
        if beyond > drawing.on {
            let (by, at) = (drawing.length(beyond), Drawing::position(new));
            let what = format!("cut off {by} that reached beyond the end of wall {name} at {at}");
            log.fix(opening.at(index), id, FixKind::OpeningCut, what);
        }
    }
}

/// Cuts openings of one segment that overlap by no more than the tolerance; more is reported.
fn keep_apart(
    drawing: &mut Drawing<'_>,
    wall: usize,
    mut openings: Vec<Placed>,
    log: &mut Log,
) -> bool {
    openings.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let mut changed = false;
    for pair in openings.windows(2) {
        let &[(low, low_from, low_to), (high, high_from, high_to)] = pair else {
            continue;
        };
        let over = low_to - high_from;
        let (first, second) = (&drawing.openings[low], &drawing.openings[high]);
        // The reader lets a millimetre pass.
        if over <= drawing.shortest || !first.class.beside(&second.class) {
            continue;
        }
        let (later, earlier) = if low < high { (high, low) } else { (low, high) };
        let (line, other) = (&drawing.openings[later], &drawing.openings[earlier]);
        let (id, name) = (drawing.id(line).to_owned(), quoted(drawing.id(other)));
        let by = drawing.length(over);
        let place = line.at(0);
        let wide = (high_to - high_from).min(low_to - low_from) > 2.0 * drawing.snap;
        if over > drawing.snap || !wide {
            let wall = drawing.wall_name(wall);
            let what = format!("the opening overlaps {name} on wall {wall} by {by}");
            log.doubt(place, &tame(&id), what, "that is too much to cut off; move one of them");
            continue;
        }
        // The end of the later one that lies on the other goes to the nearest end of that.
        let ends = line.points.iter().enumerate().flat_map(|(index, mine)| {
            let its = other.points.iter();
            its.map(move |its| (apart(mine.place, its.place), index, its.place))
        });
        let nearest = ends.min_by(|x, y| x.0.total_cmp(&y.0));
        let Some((_, index, to)) = nearest else { continue };
        let what = format!("cut off {by} that overlapped the opening {name}");
        log.fix(place, &id, FixKind::OpeningCut, what);
        drawing.openings[later].points[index].place = to;
        changed = true;
    }
    changed
}
