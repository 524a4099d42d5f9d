//! The ways that the power takes from a transmitter to the listener, over the plan.

use super::DrawError;
use super::axis::percent;
use super::canvas::{Canvas, Point, Surface};
use super::field::length;
use super::font::{Type, clean, level};
use super::marks::Mark;
use super::page::{Layout, View};
use super::picture::Picture;
use super::plate::{Block, Plate};
use super::ramp::{DIRECT, INK, Ink, PAPER, REFLECTED};
use super::siting::{along, places};

/// One path on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PathMark {
    /// Its corners from the listener to the sensor, metres, as seen from above; fewer than two are
    /// not drawn.
    pub points: Vec<[f64; 2]>,
    /// Its part in the sum of the powers of all paths, 0 to 1.
    pub share: f64,
    /// Whether it comes straight from the one to the other (a solid line) or by way of something that
    /// reflects it (a broken line).
    pub direct: bool,
    /// What it is, for the legend, such as "off the brick-cavity wall"; empty for "direct" or
    /// "reflected".
    pub label: String,
    /// Where it goes through walls; meant for the direct path, and best left empty for the others.
    pub crossings: Vec<CrossingMark>,
}

/// A place at which a path goes through a wall, drawn as a short stroke across the path.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CrossingMark {
    /// Where, metres.
    pub position: [f64; 2],
    /// What is lost there, dB: written with a minus. A gain is negative.
    pub loss_db: f64,
}

/// The legend lists no more paths than this.
pub(super) const MOST_LISTED: usize = 12;

/// How far the halo of the device at the end goes beyond its mark, pixels at size 1.
pub(super) const HALO: f64 = 7.5;

/// Places along a path at which its label may stand.
const PLACES: u32 = 32;

/// Width of a path's line by its share, pixels at size 1: told apart by the square root, so that weak
/// paths can be seen beside a strong one.
pub(super) fn width(share: f64) -> f64 {
    1.8 + 6.2 * share.clamp(0.0, 1.0).sqrt()
}

/// What the legend says of a path; `place` counts from 0.
pub(super) fn words(place: usize, path: &PathMark) -> String {
    let label = clean(&path.label);
    let kind = match (label.is_empty(), path.direct) {
        (false, _) => label,
        (true, true) => "direct".to_owned(),
        (true, false) => "reflected".to_owned(),
    };
    format!("{}: {}, {kind}", place + 1, percent(path.share))
}

/// The forms of a path's label: its number with its share, and the number alone.
pub(super) fn forms(place: usize, path: &PathMark, em: f64, size: f64) -> Vec<Block> {
    let kind = Type { em, bold: path.direct };
    let number = place + 1;
    [format!("{number}: {}", percent(path.share)), number.to_string()]
        .map(|text| Block::new(vec![(text, kind, ink(path.direct))], Plate::Framed, size))
        .into()
}

/// The label of a crossing.
pub(super) fn loss(crossing: &CrossingMark, em: f64, size: f64) -> Block {
    let kind = Type::regular(0.9 * em);
    let text = level(-crossing.loss_db);
    Block::new(vec![(text, kind, INK)], Plate::Plain, size)
}

/// The place of each path's label: where the path is farthest from the others, from the marks, and
/// from the labels before it. None for a path that is not drawn.
pub(super) fn anchors(picture: &Picture, marks: &[Mark], view: &View) -> Vec<Option<Point>> {
    let sampled: Vec<Vec<Point>> = picture
        .paths
        .iter()
        .map(|path| {
            let line = places(&path.points, view);
            let step = length(&line) / f64::from(PLACES);
            if step > 0.0 {
                along(&line, step).into_iter().map(|(place, _)| place).collect()
            } else {
                Vec::new()
            }
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
                let apart = from.iter().map(|other| (other[0] - at[0]).hypot(other[1] - at[1]));
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

/// Draws one path.
pub(super) fn draw_path<S: Surface>(
    canvas: &mut Canvas<S>,
    points: &[Point],
    direct: bool,
    width: f64,
    size: f64,
) -> Result<(), DrawError> {
    let wide = width * size;
    canvas.line(points, wide + 3.0 * size, PAPER.at(0.85))?;
    if direct {
        canvas.line(points, wide, ink(direct))
    } else {
        let dash = ((7.0 + width) * size, (4.0 + 0.6 * width) * size);
        canvas.dashed(points, dash, wide, ink(direct))
    }
}

/// Draws the stroke of a crossing; `across` is a unit vector.
pub(super) fn draw_crossing<S: Surface>(
    canvas: &mut Canvas<S>,
    [x, y]: Point,
    [dx, dy]: [f64; 2],
    size: f64,
) -> Result<(), DrawError> {
    let stroke = |reach: f64| {
        let run = reach * size;
        [[x - dx * run, y - dy * run], [x + dx * run, y + dy * run]]
    };
    canvas.line(&stroke(11.5), 5.6 * size, PAPER)?;
    canvas.line(&stroke(10.0), 3.0 * size, INK)
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
pub(super) fn end<'a>(picture: &Picture, marks: &'a [Mark], view: &View) -> Option<&'a Mark> {
    let mut drawn = picture.paths.iter().filter(|path| path.points.len() > 1);
    let end = view.place(*drawn.next()?.points.last()?);
    marks.iter().find(|mark| {
        let apart = (mark.spot[0] - end[0]).hypot(mark.spot[1] - end[1]);
        apart < 1.0 && !mark.faint && mark.rank.is_none()
    })
}

/// Draws the paths, the direct ones on top, and their crossings.
pub(super) fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    let view = &layout.view;
    // Weak paths lie on strong ones, which they could not hide; the direct one is never hidden.
    let mut order: Vec<usize> = (0..picture.paths.len()).collect();
    order.sort_by(|&one, &other| {
        let key = |index: usize| picture.paths.get(index).map(|path| path.share);
        key(other).partial_cmp(&key(one)).unwrap_or(one.cmp(&other))
    });
    for direct in [false, true] {
        let own = order.iter().filter_map(|&index| picture.paths.get(index));
        for path in own.filter(|path| path.direct == direct && path.points.len() > 1) {
            let line = places(&path.points, view);
            draw_path(canvas, &line, direct, width(path.share), view.size)?;
        }
    }
    if let Some(mark) = end(picture, &layout.places, view) {
        let halo = mark.radius + HALO * view.size;
        canvas.disc(mark.centre, halo, PAPER)?;
        canvas.disc(mark.centre, halo - 2.0 * view.size, DIRECT)?;
    }
    for path in picture.paths.iter().filter(|path| path.points.len() > 1) {
        let line = places(&path.points, view);
        for crossing in &path.crossings {
            let at = view.place(crossing.position);
            draw_crossing(canvas, at, across(&line, at), view.size)?;
        }
    }
    Ok(())
}
