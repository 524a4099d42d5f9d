//! The faces of walls in a picture, and thin lines that may be leaves and panes.

use geo::{Coord, Line};

use super::ink::{Ink, Mask};
use super::strips::{self, Scale};
use super::swings::{Swing, swings};
use crate::line::{around, index, length, seen_from};

/// What is thinner is a line, metres (our own choice: a partition of boards is thicker).
const THIN_M: f64 = 0.07;
/// What is smaller both ways is no wall, metres (our own choice: letters, lamps, posts).
const SMALL_M: f64 = 0.7;
/// Fewest pixels of the picture that a dark wall and a pale one are wide, and most that a line is
/// (our own choice: a line of one pixel may lie in two, and is pale there).
const DARK_PX: f64 = 1.6;
const PALE_PX: f64 = 2.5;
const LINE_PX: f64 = 3.6;
/// What is so wide both ways is a floor or furniture, metres: dark, and pale (our own choice).
const WIDE_M: (f64, f64) = (1.0, 0.65);
/// Two lines so near may run together, metres and pixels of the picture (our own choice).
const HARDLY: (f64, f64) = (0.06, 2.0);
/// A line is hardly wider, metres and pixels of the picture (our own choice).
const PEN: (f64, f64) = (0.05, 1.5);
/// Lines so near to one another are one, metres and pixels of the picture (our own choice).
const SAME: (f64, f64) = (0.03, 1.5);
/// How far on the way from ink to paper dark walls are, pale ones and lines, and the lines round
/// pale walls; a line that is thinner than a pixel is pale (our own choice).
const DARK: f64 = 0.42;
const FAINT: f64 = 0.7;
const OUTLINE: f64 = 0.5;
/// Pale areas are walls where they make so many times the walls (our own choice).
const MORE_GREY: f64 = 1.3;
/// Piers between windows may be small: at least so large both ways, metres, and so much of their
/// box dark (our own choice: letters are drawn with thinner lines).
const BLOCK_M: f64 = 0.18;
const BLOCK: f64 = 0.8;
/// Shortest thin line, metres (our own choice: a pane beside a door).
const LINE_M: f64 = 0.25;
/// Farthest that an edge may be off the line that stands for it, pixels.
const OFF: f64 = 1.2;
/// Slope up to which a line is level or upright: two degrees.
const LEVEL: f64 = 0.035;
/// Most lines near one that are looked at.
const MOST_NEAR: usize = 200;
/// Most corners of all outlines, and most lines (our own choice: it bounds time and memory).
const MOST: usize = 400_000;

/// What was seen, in pixels of the upright page.
#[derive(Default)]
pub(super) struct Faces {
    /// Faces of walls that are drawn solid.
    pub(super) walls: Vec<Line<f64>>,
    /// Thin lines: leaves and panes, or faces of walls that are drawn with two lines.
    pub(super) lines: Vec<Line<f64>>,
    /// Leaves of doors.
    pub(super) swings: Vec<Swing>,
}

impl Faces {
    /// `finer`: how many pixels, each way, stand for one of the picture.
    pub(super) fn of(ink: &Ink, to_a_metre: f64, finer: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
        let pixels = |metres: f64, of_picture: f64| {
            (metres * to_a_metre).max(of_picture * finer).round().max(3.0) as usize
        };
        let faint = ink.mask(FAINT);
        let thick = pixels(THIN_M, LINE_PX);
        // The lines round a pale wall are darker than that is.
        let levels = [FAINT, OUTLINE].map(|share| ink.ridges(share, pixels(HARDLY.0, HARDLY.1)));
        let lines = |solid: &Mask| {
            let near = solid.widened(2);
            let of = |level: &[Mask; 2]| {
                let away = |mask: &Mask| {
                    let thin = mask.dark.iter().zip(&near.dark);
                    Mask { dark: thin.map(|(ink, wall)| *ink && !*wall).collect(), ..*solid }
                };
                thin_lines(&level.each_ref().map(away), pixels(LINE_M, 0.0), thick)
            };
            let (pale, dark) = (of(&levels[0]), of(&levels[1]));
            without_known(dark, pale, pixels(SAME.0, SAME.1) as f64)
        };
        let swings = swings(
            &thin_lines(&levels[0], pixels(LINE_M, 0.0), thick + 2),
            &faint,
            to_a_metre,
            finer,
        );
        let scale = Scale { to_a_metre, line: pixels(PEN.0, PEN.1) as f64 };
        let walls = |mut solid: Mask| {
            for Swing { hinge, tip, .. } in &swings {
                let half = thick as f64;
                let (low, high) = (hinge.x.min(tip.x), hinge.y.min(tip.y));
                let (right, bottom) = (hinge.x.max(tip.x), hinge.y.max(tip.y));
                // Not of the wall at which it hangs.
                let [x, y] = if right - low > bottom - high { [0.0, half] } else { [half, 0.0] };
                solid.fill([low - x, high - y, right + x, bottom + y], false);
            }
            without_small(&mut solid, pixels(SMALL_M, 0.0), pixels(BLOCK_M, 3.0));
            for area in strips::walls(&lines(&solid), &faint, &outlines(&solid), scale) {
                solid.fill(area, true);
            }
            let walls = outlines(&solid);
            let long: f64 = walls.iter().map(|line| line.dx().hypot(line.dy())).sum();
            (long, solid, walls)
        };
        let dark = ink.mask(DARK).opened(pixels(THIN_M, DARK_PX));
        let dark = walls(dark.without_wide(pixels(WIDE_M.0, 0.0)));
        let grey = faint.opened(pixels(THIN_M, PALE_PX));
        let grey = walls(grey.without_wide(pixels(WIDE_M.1, 0.0)));
        let (_, solid, walls) = if grey.0 > MORE_GREY * dark.0 { grey } else { dark };
        Self { walls, lines: lines(&solid), swings }
    }
}

/// Lines that are known, and those of others that do not run along one of them, so near.
fn without_known(others: Vec<Line<f64>>, mut known: Vec<Line<f64>>, near: f64) -> Vec<Line<f64>> {
    let by_place = index(known.iter().copied());
    let is_new = |line: &Line<f64>| {
        let is_along = |other: &Line<f64>| {
            let (from, off) = seen_from(*line, other.start);
            let (to, then_off) = seen_from(*line, other.end);
            let both = from.max(to).min(length(*line)) - from.min(to).max(0.0);
            off.abs().max(then_off.abs()) <= near && both > 0.5 * length(*line)
        };
        let beside = by_place.locate_in_envelope_intersecting(&around(*line, near));
        !beside.take(MOST_NEAR).any(|found| is_along(&known[found.data]))
    };
    let new: Vec<Line<f64>> = others.into_iter().filter(is_new).collect();
    known.extend(new);
    known
}

/// Takes out pieces that are small both ways, unless they are blocks of so much each way.
fn without_small(mask: &mut Mask, most: usize, block: usize) {
    let mut seen = vec![false; mask.dark.len()];
    let mut waiting = Vec::new();
    for first in 0..mask.dark.len() {
        if !mask.dark[first] || seen[first] {
            continue;
        }
        seen[first] = true;
        waiting.push(first);
        let mut piece = Vec::new();
        let (mut low, mut high) = ([usize::MAX; 2], [0; 2]);
        while let Some(at) = waiting.pop() {
            piece.push(at);
            let place = [at % mask.columns, at / mask.columns];
            for axis in 0..2 {
                low[axis] = low[axis].min(place[axis]);
                high[axis] = high[axis].max(place[axis]);
            }
            let [column, row] = place;
            let beside = [
                (column.wrapping_sub(1), row),
                (column + 1, row),
                (column, row.wrapping_sub(1)),
                (column, row + 1),
            ];
            for (x, y) in beside {
                if mask.is(x, y) && !seen[y * mask.columns + x] {
                    seen[y * mask.columns + x] = true;
                    waiting.push(y * mask.columns + x);
                }
            }
        }
        let size = [0, 1].map(|axis| high[axis] - low[axis] + 1);
        let is_block = size.iter().all(|size| *size >= block)
            && piece.len() as f64 >= BLOCK * (size[0] * size[1]) as f64;
        if size.iter().all(|size| *size < most) && !is_block {
            piece.into_iter().for_each(|at| mask.dark[at] = false);
        }
    }
}

/// The straight pieces of the outlines of what is dark.
fn outlines(mask: &Mask) -> Vec<Line<f64>> {
    let wide = mask.columns + 1;
    // Which way edges leave each corner of pixels, with what is dark on their right.
    let mut ways = vec![0_u8; wide * (mask.rows + 1)];
    for row in 0..mask.rows {
        for column in 0..mask.columns {
            if !mask.is(column, row) {
                continue;
            }
            let corner = row * wide + column;
            if row == 0 || !mask.is(column, row - 1) {
                ways[corner] |= 1;
            }
            if !mask.is(column + 1, row) {
                ways[corner + 1] |= 2;
            }
            if !mask.is(column, row + 1) {
                ways[corner + wide + 1] |= 4;
            }
            if column == 0 || !mask.is(column - 1, row) {
                ways[corner + wide] |= 8;
            }
        }
    }
    let mut lines = Vec::new();
    let mut corners = 0;
    for first in 0..ways.len() {
        while ways[first] != 0 && corners < MOST {
            let loop_ = walked(&mut ways, wide, first);
            corners += loop_.len();
            lines.extend(straight(&loop_));
        }
    }
    lines
}

/// Walks along an outline from a corner, and takes its edges away: the corners where it turns.
fn walked(ways: &mut [u8], wide: usize, first: usize) -> Vec<Coord<f64>> {
    let mut corners = Vec::new();
    let (mut at, mut way) = (first, 4_u32);
    loop {
        // To the right if it can, so that two pieces that touch at a corner stay two.
        let turns = if way == 4 { [0, 1, 2, 3] } else { [1, 0, 3, 2].map(|turn| (way + turn) % 4) };
        let Some(next) = turns.into_iter().find(|next| ways[at] & (1 << next) != 0) else { break };
        if next != way {
            corners.push(Coord { x: (at % wide) as f64, y: (at / wide) as f64 });
        }
        ways[at] &= !(1 << next);
        way = next;
        at = match next {
            0 => at + 1,
            1 => at + wide,
            2 => at - 1,
            _ => at - wide,
        };
        if at == first {
            break;
        }
    }
    corners
}

/// The straight pieces of a closed outline: each as far as one line comes near all of its corners.
fn straight(corners: &[Coord<f64>]) -> Vec<Line<f64>> {
    let count = corners.len();
    let key = |at: &usize| corners[*at].x + corners[*at].y;
    let Some(first) = (0..count).min_by(|a, b| key(a).total_cmp(&key(b))) else { return vec![] };
    let corner = |at: usize| corners[(first + at) % count];
    let mut lines = Vec::new();
    let mut from = 0;
    while from < count {
        let start = corner(from);
        // Directions from the start that pass near enough by all corners so far.
        let mut cone: Option<(f64, f64, f64)> = None;
        let mut to = from + 1;
        while to <= count {
            let off = corner(to) - start;
            let far = off.x.hypot(off.y);
            if far > OFF {
                let (angle, half) = (off.y.atan2(off.x), (OFF / far).asin());
                let Some((middle, low, high)) = cone else {
                    cone = Some((angle, -half, half));
                    to += 1;
                    continue;
                };
                let turn = std::f64::consts::PI;
                let off = (angle - middle + turn).rem_euclid(2.0 * turn) - turn;
                if off < low || off > high {
                    break;
                }
                cone = Some((middle, low.max(off - half), high.min(off + half)));
            }
            to += 1;
        }
        let last = (to - 1).max(from + 1);
        let piece: Vec<Coord<f64>> = (from..=last).map(corner).collect();
        lines.extend(fitted(&piece));
        from = last;
    }
    lines
}

/// The line that lies best along the edges between some corners, level or upright if nearly so.
fn fitted(corners: &[Coord<f64>]) -> Option<Line<f64>> {
    let (start, end) = (*corners.first()?, *corners.last()?);
    let run = end - start;
    if run.x.hypot(run.y) < 2.0 {
        return None;
    }
    let edges = || {
        corners.windows(2).map(|pair| {
            let edge = pair[1] - pair[0];
            ((pair[0] + pair[1]) * 0.5, edge)
        })
    };
    // Of a level line only its level edges say where it is.
    let mean = |along: fn(Coord<f64>) -> f64, across: fn(Coord<f64>) -> f64| {
        let (sum, weight) = edges().fold((0.0, 0.0), |(sum, all), (middle, edge)| {
            let weight = along(edge).abs();
            (sum + across(middle) * weight, all + weight)
        });
        sum / weight
    };
    if run.y.abs() <= (LEVEL * run.x.abs()).max(1.0) && run.x.abs() > run.y.abs() {
        let y = mean(|at| at.x, |at| at.y);
        return Some(Line::new(Coord { x: start.x, y }, Coord { x: end.x, y }));
    }
    if run.x.abs() <= (LEVEL * run.y.abs()).max(1.0) && run.y.abs() > run.x.abs() {
        let x = mean(|at| at.y, |at| at.x);
        return Some(Line::new(Coord { x, y: start.y }, Coord { x, y: end.y }));
    }
    let size = |edge: Coord<f64>| edge.x.hypot(edge.y);
    let all: f64 = edges().map(|(_, edge)| size(edge)).sum();
    let middle = edges().fold(Coord::zero(), |sum, (at, edge)| sum + at * (size(edge) / all));
    let spread = |of: fn(Coord<f64>) -> f64| {
        edges().map(|(at, edge)| of(at - middle) * size(edge)).sum::<f64>()
    };
    let (xx, yy, xy) = (spread(|o| o.x * o.x), spread(|o| o.y * o.y), spread(|o| o.x * o.y));
    let (sin, cos) = (0.5 * (2.0 * xy).atan2(xx - yy)).sin_cos();
    let onto = |at: Coord<f64>| {
        let off = at - middle;
        middle + Coord { x: cos, y: sin } * (off.x * cos + off.y * sin)
    };
    Some(Line::new(onto(start), onto(end)))
}

/// Level and upright lines that are at least so long and at most so thick, along their middles.
fn thin_lines([level, upright]: &[Mask; 2], long: usize, thick: usize) -> Vec<Line<f64>> {
    let (columns, rows) = (level.columns, level.rows);
    let mut lines = runs(columns, rows, &|along, across| level.is(along, across), long, thick);
    let upright = runs(rows, columns, &|along, across| upright.is(across, along), long, thick);
    let turned = |at: Coord<f64>| Coord { x: at.y, y: at.x };
    lines.extend(upright.into_iter().map(|line| Line::new(turned(line.start), turned(line.end))));
    lines
}

/// A run of dark pixels, and those beside it in the rows before.
struct Run {
    from: usize,
    to: usize,
    first: usize,
    last: usize,
    sum: f64,
    weight: f64,
}

fn runs(
    length: usize,
    rows: usize,
    is: &dyn Fn(usize, usize) -> bool,
    long: usize,
    thick: usize,
) -> Vec<Line<f64>> {
    /// Widest break in a line, pixels.
    const BREAK: usize = 2;
    let mut lines = Vec::new();
    let mut open: Vec<Run> = Vec::new();
    let mut end = |run: Run| {
        if run.last - run.first < thick && lines.len() < MOST {
            let y = run.sum / run.weight + 0.5;
            let at = |x: usize| Coord { x: x as f64, y };
            lines.push(Line::new(at(run.from), at(run.to)));
        }
    };
    for row in 0..rows {
        let mut along = 0;
        while along < length {
            if !is(along, row) {
                along += 1;
                continue;
            }
            let from = along;
            let mut to = along + 1;
            while along < length && along < to + BREAK {
                if is(along, row) {
                    to = along + 1;
                }
                along += 1;
            }
            if to - from < long {
                continue;
            }
            let weight = (to - from) as f64;
            let beside = |run: &&mut Run| {
                let both = to.min(run.to).saturating_sub(from.max(run.from));
                run.last + 1 >= row && 2 * both >= (to - from).min(run.to - run.from)
            };
            if let Some(run) = open.iter_mut().find(beside) {
                (run.from, run.to) = (run.from.min(from), run.to.max(to));
                run.last = row;
                run.sum += row as f64 * weight;
                run.weight += weight;
            } else {
                let sum = row as f64 * weight;
                open.push(Run { from, to, first: row, last: row, sum, weight });
            }
        }
        let (done, still): (Vec<Run>, Vec<Run>) = open.into_iter().partition(|run| run.last < row);
        done.into_iter().for_each(&mut end);
        open = still;
    }
    open.into_iter().for_each(end);
    lines
}
