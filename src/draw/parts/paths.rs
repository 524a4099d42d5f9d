//! The ways that the power takes from a transmitter to the listener, over the plan.

use crate::base::{
    Canvas, DIRECT, INK, Ink, PAPER, Point, REFLECTED, Type, View, along, clean, distance, length,
};
use crate::parts::axis::percent;
use crate::parts::decibels::level;
use crate::parts::mark::Mark;
use crate::parts::plate::{Block, Plate};
use crate::picture::{CrossingMark, PathMark, Picture};

/// The legend lists no more paths than this.
pub(crate) const MOST_LISTED: usize = 12;

/// How far the halo of the device at the end goes beyond its mark, pixels at size 1.
pub(crate) const HALO: f64 = 7.5;

/// Places along a path at which its label may stand.
const PLACES: u32 = 32;

/// Width of a path's line, pixels at size 1: by the root of its share, so that weak ones are seen.
pub(crate) fn width(share: f64) -> f64 {
    1.8 + 6.2 * share.clamp(0.0, 1.0).sqrt()
}

/// What the legend says of a path; `place` counts from 0.
pub(crate) fn words(place: usize, path: &PathMark) -> String {
    let label = clean(&path.label);
    let kind = match (label.is_empty(), path.direct) {
        (false, _) => label,
        (true, true) => "direct".to_owned(),
        (true, false) => "reflected".to_owned(),
    };
    format!("{}: {}, {kind}", place + 1, percent(path.share))
}

/// The forms of a path's label: its number with its share, and the number alone.
pub(crate) fn forms(place: usize, path: &PathMark, em: f64, size: f64) -> Vec<Block> {
    let kind = Type { em, bold: path.direct };
    let number = place + 1;
    [format!("{number}: {}", percent(path.share)), number.to_string()]
        .map(|text| Block::new(vec![(text, kind, ink(path.direct))], Plate::Framed, size))
        .into()
}

/// The label of a crossing.
pub(crate) fn loss(crossing: &CrossingMark, em: f64, size: f64) -> Block {
    let kind = Type::regular(0.9 * em);
    let text = level(-crossing.loss_db);
    Block::new(vec![(text, kind, INK)], Plate::Plain, size)
}

/// The place of each path's label: where the path is farthest from the others, from the marks, and
/// from the labels before it. None for a path that is not drawn.
pub(crate) fn anchors(picture: &Picture, marks: &[Mark], view: &View) -> Vec<Option<Point>> {
    let sampled: Vec<Vec<Point>> = picture
        .paths
        .iter()
        .map(|path| {
            let line = view.places(&path.points);
            let places = along(&line, length(&line) / f64::from(PLACES));
            places.into_iter().map(|(place, _)| place).collect()
        })
        .collect();
    let crossings = picture.paths.iter().flat_map(|path| &path.crossings);
    let mut taken: Vec<Point> = crossings.map(|one| view.place(one.position)).collect();
    taken.extend(marks.iter().map(|mark| mark.centre));
    let mut anchors = Vec::new();
    for (index, own) in sampled.iter().enumerate() {
        let others = sampled.iter().enumerate();
        let others: Vec<Point> = others
            .filter(|(other, _)| *other != index)
            .flat_map(|(_, points)| points.iter().copied())
            .collect();
        let clear = |at: Point| {
            let far = |from: &[Point], most: f64| {
                let apart = from.iter().map(|other| distance(*other, at));
                apart.fold(most, f64::min)
            };
            far(&others, 60.0 * view.size) + far(&taken, 90.0 * view.size)
        };
        let best = own
            .iter()
            .map(|&at| (clear(at), at))
            .reduce(|best, next| if next.0 > best.0 { next } else { best })
            .map(|(_, at)| at);
        taken.extend(best);
        anchors.push(best);
    }
    anchors
}

const fn ink(direct: bool) -> Ink {
    if direct { DIRECT } else { REFLECTED }
}

pub(crate) fn draw_path(pen: &mut Canvas, points: &[Point], direct: bool, width: f64, size: f64) {
    let wide = width * size;
    pen.line(points, wide + 3.0 * size, PAPER.at(0.85));
    if direct {
        pen.line(points, wide, ink(direct));
    } else {
        let dash = [(7.0 + width) * size, (4.0 + 0.6 * width) * size];
        pen.dashed(points, &dash, wide, ink(direct));
    }
}

/// Draws the stroke of a crossing; `across` is a unit vector.
pub(crate) fn draw_crossing(canvas: &mut Canvas, [x, y]: Point, [dx, dy]: [f64; 2], size: f64) {
    let stroke = |reach: f64| {
        let run = reach * size;
        [[x - dx * run, y - dy * run], [x + dx * run, y + dy * run]]
    };
    canvas.line(&stroke(11.5), 5.6 * size, PAPER);
    canvas.line(&stroke(10.0), 3.0 * size, INK);
}

/// The direction across a line where it comes nearest to a place.
fn across(points: &[Point], at: Point) -> [f64; 2] {
    let off = |pair: &[Point]| {
        let (a, b) = (pair[0], pair[1]);
        let run = [b[0] - a[0], b[1] - a[1]];
        let square = run[0] * run[0] + run[1] * run[1];
        let share = ((at[0] - a[0]) * run[0] + (at[1] - a[1]) * run[1]) / square;
        let share = share.clamp(0.0, 1.0);
        let apart = (at[0] - a[0] - share * run[0]).hypot(at[1] - a[1] - share * run[1]);
        (apart, [-run[1] / square.sqrt(), run[0] / square.sqrt()])
    };
    points
        .windows(2)
        .filter(|pair| pair[0] != pair[1])
        .map(off)
        .reduce(|best, next| if next.0 < best.0 { next } else { best })
        .map_or([0.0, 1.0], |(_, across)| across)
}

/// The mark of the device at which the paths end: it stands out of the others by a halo.
pub(crate) fn end<'a>(picture: &Picture, marks: &'a [Mark], view: &View) -> Option<&'a Mark> {
    let mut drawn = picture.paths.iter().filter(|path| path.points.len() > 1);
    let end = view.place(*drawn.next()?.points.last()?);
    marks.iter().find(|mark| {
        let apart = distance(mark.spot, end);
        apart < 1.0 && !mark.faint && mark.rank.is_none()
    })
}

/// Draws the paths, the direct ones on top, and their crossings.
pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, marks: &[Mark], view: &View) {
    // Weak paths lie on strong ones, which they could not hide; the direct one is never hidden.
    let drawn = || picture.paths.iter().filter(|path| path.points.len() > 1);
    let mut order: Vec<&PathMark> = drawn().collect();
    order.sort_by(|one, other| other.share.total_cmp(&one.share));
    for direct in [false, true] {
        for path in order.iter().filter(|path| path.direct == direct) {
            let line = view.places(&path.points);
            draw_path(canvas, &line, direct, width(path.share), view.size);
        }
    }
    if let Some(mark) = end(picture, marks, view) {
        let halo = mark.radius + HALO * view.size;
        canvas.disc(mark.centre, halo, PAPER);
        canvas.disc(mark.centre, halo - 2.0 * view.size, DIRECT);
    }
    for path in drawn() {
        let line = view.places(&path.points);
        for crossing in &path.crossings {
            let at = view.place(crossing.position);
            draw_crossing(canvas, at, across(&line, at), view.size);
        }
    }
}
