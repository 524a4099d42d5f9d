//! The lines of the drawing that a plan was made of, for a picture of what was understood.

use geo::{Coord, Geometry, Line};

use crate::line::{LineIndex, around, index, length, seen_from};
use crate::{Piece, Settings, What};

/// How far outside the plan lines are kept, metres (our own choice: measures stand there).
const AROUND_M: f64 = 1.0;
/// Most lines that are kept, the longest (our own choice: it bounds time and size of the picture).
const MOST: usize = 40_000;
/// Most lines that are looked at, for hostile files.
const MOST_SEEN: usize = 400_000;
/// So far beside the face of a wall, or beyond its end, a line still belongs to it, metres.
const BESIDE_M: f64 = 0.03;
const BEYOND_M: f64 = 0.35;
/// So far beside the middle of its wall a leaf may be hinged, metres: half a thick wall.
const HINGED_M: f64 = 0.3;
/// By how much a leaf or a swing may be larger than its opening, metres (our own choice).
const LARGER_M: f64 = 0.15;

/// A straight line of the drawing, or a piece of a round one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Original {
    /// Number of the level on which it lies.
    pub level: i32,
    /// Where it is in the plan, metres.
    pub line: Line<f64>,
    /// Whether a wall or an opening of the plan stands where it is drawn.
    pub is_taken: bool,
}

/// A line, and whether it is a piece of a round one.
pub(crate) type Drawn = (Line<f64>, bool);

/// What stands on a line of the plan.
enum Body {
    /// A wall, with half its thickness.
    Wall(f64),
    Door,
    Window,
}

impl Body {
    /// How far around its line it reaches, metres.
    fn reach_m(&self, line: Line<f64>) -> f64 {
        match self {
            Self::Wall(half) => half + BEYOND_M,
            Self::Door => length(line) + HINGED_M + LARGER_M,
            Self::Window => HINGED_M,
        }
    }

    /// Whether it stands where a line is drawn, of which `at` is a place.
    fn explains(&self, line: Line<f64>, (drawn, is_round): Drawn, at: Coord<f64>) -> bool {
        let width = length(line);
        let within = |at: Coord<f64>, beyond: f64, beside: f64| {
            let (along, off) = seen_from(line, at);
            (-beyond..=width + beyond).contains(&along) && off.abs() <= beside
        };
        match *self {
            Self::Wall(half) => within(at, BEYOND_M, half + BESIDE_M),
            Self::Window => within(at, LARGER_M, HINGED_M),
            Self::Door => {
                let ends = [drawn.start, drawn.end];
                let swings = |end: &Coord<f64>| within(*end, LARGER_M, width + HINGED_M);
                let at_a_jamb = |end: &Coord<f64>| {
                    let (along, off) = seen_from(line, *end);
                    along.abs().min((along - width).abs()) < LARGER_M && off.abs() < HINGED_M
                };
                let is_leaf = || is_round || ends.iter().any(at_a_jamb);
                (ends.iter().all(swings) && is_leaf()) || within(at, LARGER_M, HINGED_M)
            }
        }
    }
}

/// The lines of a level that lie in and round the plan, with what became of each.
pub(crate) fn originals(
    level: i32,
    lines: impl Iterator<Item = Drawn>,
    pieces: &[Piece],
    settings: &Settings,
) -> Vec<Original> {
    let here = pieces.iter().filter(|piece| piece.level == level);
    let bodies: Vec<(Body, Line<f64>)> = here
        .filter_map(|piece| {
            let Geometry::Line(line) = piece.shape else { return None };
            match &piece.what {
                What::Wall { construction, thickness_mm, .. } => {
                    let usual = || settings.thickness_m(construction);
                    let thick_m = thickness_mm.map_or_else(usual, |mm| mm / 1e3);
                    Some((Body::Wall(thick_m / 2.0), line))
                }
                What::Opening { base_m: Some(_), .. } => Some((Body::Window, line)),
                What::Opening { .. } => Some((Body::Door, line)),
                _ => None,
            }
        })
        .collect();
    let reaches: LineIndex = index(bodies.iter().map(|(body, line)| {
        let whole = around(*line, body.reach_m(*line));
        Line::new(Coord::from(whole.lower()), Coord::from(whole.upper()))
    }));
    let root = reaches.root().envelope();
    let low = Coord::from(root.lower()) - Coord::from([AROUND_M; 2]);
    let high = Coord::from(root.upper()) + Coord::from([AROUND_M; 2]);
    let explained = |drawn: Drawn, share: f64| {
        let at = drawn.0.start + drawn.0.delta() * share;
        let near = reaches.locate_in_envelope_intersecting(&around(Line::new(at, at), 0.0));
        { near }.any(|found| {
            let (body, line) = &bodies[found.data];
            body.explains(*line, drawn, at)
        })
    };
    let seen = lines.take(MOST_SEEN);
    let seen = seen.filter_map(|(line, is_round)| Some((clipped(line, low, high)?, is_round)));
    let seen = seen.map(|(line, is_round)| {
        let drawn = (line, is_round);
        let places = [0.2, 0.5, 0.8].into_iter().filter(|share| explained(drawn, *share));
        Original { level, line, is_taken: places.count() > 1 }
    });
    let mut all: Vec<(usize, Original)> = seen.enumerate().collect();
    if all.len() > MOST {
        all.sort_by(|(_, a), (_, b)| length(b.line).total_cmp(&length(a.line)));
        all.truncate(MOST);
        all.sort_by_key(|(number, _)| *number);
    }
    all.into_iter().map(|(_, original)| original).collect()
}

/// The part of a line within a box (the method of Liang and Barsky).
fn clipped(line: Line<f64>, low: Coord<f64>, high: Coord<f64>) -> Option<Line<f64>> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let (start, run) = (line.start, line.delta());
    for (at, run, low, high) in [(start.x, run.x, low.x, high.x), (start.y, run.y, low.y, high.y)] {
        if run == 0.0 {
            if at < low || at > high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - at) / run, (high - at) / run);
        (from, to) = (from.max(a.min(b)), to.min(a.max(b)));
    }
    (from < to).then(|| Line::new(start + run * from, start + run * to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_off_at_the_box_and_one_outside_is_none() {
        let (low, high) = (Coord { x: 0.0, y: 0.0 }, Coord { x: 2.0, y: 1.0 });
        let line = |a: [f64; 2], b: [f64; 2]| Line::new(a, b);
        let cut = clipped(line([-1.0, 0.5], [4.0, 0.5]), low, high);
        assert_eq!(cut, Some(line([0.0, 0.5], [2.0, 0.5])));
        assert_eq!(clipped(line([-1.0, 0.5], [-1.0, 5.0]), low, high), None);
        assert_eq!(clipped(line([-1.0, 0.5], [1.0, 3.0]), low, high), None);
        let within = line([0.5, 0.25], [1.0, 0.75]);
        assert_eq!(clipped(within, low, high), Some(within));
    }
}
