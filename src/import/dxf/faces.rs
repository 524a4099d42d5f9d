//! Double lines of drawn walls as middle lines with a thickness.

use geo::{Coord, Line};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

/// Thinnest and thickest wall that two lines make, metres (our own choice).
const THICKNESS_M: (f64, f64) = (0.04, 0.6);

/// Largest angle between the two faces of a wall, as the sine of it: one degree.
const ASKEW: f64 = 0.0175;

/// Shortest piece of wall, metres: what is shorter is a jamb or an end.
const SHORTEST_M: f64 = 0.05;

/// Most pairs that are looked at (our own choice: it bounds the time that a hostile file can cost; a drawing
/// of fifty thousand lines has some two hundred thousand).
const MOST_PAIRS: usize = 3_000_000;

/// A line of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Face {
    pub(super) line: Line<f64>,
    /// Faces of different groups never make one wall.
    pub(super) group: usize,
}

/// A straight piece of wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Its middle.
    pub(super) line: Line<f64>,
    /// How thick it is drawn, metres, if it is drawn with two lines.
    pub(super) thickness_m: Option<f64>,
    pub(super) group: usize,
}

/// What pairing gives.
#[derive(Debug, Default)]
pub(super) struct Paired {
    pub(super) pieces: Vec<Piece>,
    /// Stretches of faces that have no partner, with their group.
    pub(super) single: Vec<Face>,
}

/// Length of a line.
pub(super) fn length(line: Line<f64>) -> f64 {
    line.dx().hypot(line.dy())
}

/// How far along a line, metres from its start, and how far to its left a place lies.
pub(super) fn seen_from(line: Line<f64>, at: Coord<f64>) -> (f64, f64) {
    let run = line.delta();
    let whole = run.x.hypot(run.y);
    let to = at - line.start;
    (
        (to.x * run.x + to.y * run.y) / whole,
        (run.x * to.y - run.y * to.x) / whole,
    )
}

/// The place so far along a line.
pub(super) fn along(line: Line<f64>, metres: f64) -> Coord<f64> {
    line.start + line.delta() * (metres / length(line))
}

/// The sine of the angle between two lines, without its sign.
pub(super) fn askew(a: Line<f64>, b: Line<f64>) -> f64 {
    let cross = a.dx() * b.dy() - a.dy() * b.dx();
    (cross / (length(a) * length(b))).abs()
}

/// Two faces that might be those of one wall.
#[derive(Debug)]
struct Pair {
    gap_m: f64,
    overlap_m: f64,
    a: usize,
    b: usize,
}

/// Joins faces that run beside one another, the nearest first; each stretch of a face is used once. So of three
/// lines side by side the two that are nearest make the wall, and two walls with a cupboard between them stay two.
pub(super) fn paired(faces: &[Face]) -> Paired {
    let mut pairs = pairs(faces);
    pairs.sort_by(|x, y| {
        x.gap_m
            .total_cmp(&y.gap_m)
            .then(y.overlap_m.total_cmp(&x.overlap_m))
            .then(x.a.cmp(&y.a))
            .then(x.b.cmp(&y.b))
    });
    let mut free: Vec<Vec<(f64, f64)>> = faces
        .iter()
        .map(|face| vec![(0.0, length(face.line))])
        .collect();
    let mut out = Paired::default();
    for pair in pairs {
        let (a, b) = (faces[pair.a].line, faces[pair.b].line);
        for (from, to) in common(&free[pair.a], &free[pair.b], a, b) {
            let (start, end) = (along(a, from), along(a, to));
            let onto_b = |at: Coord<f64>| seen_from(b, at).0;
            let (there, then) = (onto_b(start), onto_b(end));
            let middle = |at: Coord<f64>, on_b: f64| {
                let other = along(b, on_b);
                Coord {
                    x: (at.x + other.x) / 2.0,
                    y: (at.y + other.y) / 2.0,
                }
            };
            out.pieces.push(Piece {
                line: Line::new(middle(start, there), middle(end, then)),
                thickness_m: Some(pair.gap_m),
                group: faces[pair.a].group,
            });
            free[pair.a] = without(&free[pair.a], from, to);
            free[pair.b] = without(&free[pair.b], there.min(then), there.max(then));
        }
    }
    for (face, free) in faces.iter().zip(&free) {
        for &(from, to) in free.iter().filter(|(from, to)| to - from >= SHORTEST_M) {
            out.single.push(Face {
                line: Line::new(along(face.line, from), along(face.line, to)),
                group: face.group,
            });
        }
    }
    out
}

/// All faces that run beside one another.
fn pairs(faces: &[Face]) -> Vec<Pair> {
    let boxed = faces.iter().enumerate().map(|(number, face)| {
        let Line { start, end } = face.line;
        let rect = rstar::primitives::Rectangle::from_corners([start.x, start.y], [end.x, end.y]);
        GeomWithData::new(rect, number)
    });
    let index = RTree::bulk_load(boxed.collect());
    let mut pairs = Vec::new();
    let mut looks = 0;
    for (a, face) in faces.iter().enumerate() {
        let Line { start, end } = face.line;
        let reach = THICKNESS_M.1;
        let low = [start.x.min(end.x) - reach, start.y.min(end.y) - reach];
        let high = [start.x.max(end.x) + reach, start.y.max(end.y) + reach];
        for found in index.locate_in_envelope_intersecting(&AABB::from_corners(low, high)) {
            looks += 1;
            if looks > MOST_PAIRS {
                return pairs;
            }
            let b = found.data;
            let other = &faces[b];
            if b <= a || other.group != face.group || askew(face.line, other.line) > ASKEW {
                continue;
            }
            let (from, off) = seen_from(face.line, other.line.start);
            let (to, then_off) = seen_from(face.line, other.line.end);
            let gap_m = (off + then_off).abs() / 2.0;
            let overlap_m = from.max(to).min(length(face.line)) - from.min(to).max(0.0);
            if (THICKNESS_M.0..=THICKNESS_M.1).contains(&gap_m) && overlap_m >= SHORTEST_M {
                // To a tenth of a millimetre, so that rounding does not choose between equals.
                let gap_m = (gap_m * 1e4).round() / 1e4;
                pairs.push(Pair {
                    gap_m,
                    overlap_m,
                    a,
                    b,
                });
            }
        }
    }
    pairs
}

/// Stretches of `a`, in metres along it, at which both faces are still free.
fn common(
    free_a: &[(f64, f64)],
    free_b: &[(f64, f64)],
    a: Line<f64>,
    b: Line<f64>,
) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for &(from_b, to_b) in free_b {
        let (p, q) = (
            seen_from(a, along(b, from_b)).0,
            seen_from(a, along(b, to_b)).0,
        );
        let (low, high) = (p.min(q), p.max(q));
        for &(from, to) in free_a {
            let (from, to) = (from.max(low), to.min(high));
            if to - from >= SHORTEST_M {
                found.push((from, to));
            }
        }
    }
    found
}

/// Stretches less a piece.
fn without(free: &[(f64, f64)], from: f64, to: f64) -> Vec<(f64, f64)> {
    let mut left = Vec::with_capacity(free.len() + 1);
    for &(start, end) in free {
        for piece in [(start, end.min(from)), (start.max(to), end)] {
            if piece.1 - piece.0 > 1e-6 {
                left.push(piece);
            }
        }
    }
    left
}
