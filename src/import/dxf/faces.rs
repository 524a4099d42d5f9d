//! Double lines of drawn walls as middle lines with a thickness.

use geo::{Coord, Line};

use crate::line::{along, around, askew, index, length, seen_from};

/// Thinnest and thickest wall that two lines make, metres (our own choice).
const THICKNESS_M: (f64, f64) = (0.04, 0.6);
/// Largest angle between the two faces of a wall, as the sine of it: one degree; of a round one,
/// whose chords need not begin at the same places, three.
const ASKEW: (f64, f64) = (0.0175, 0.0523);
/// Widest cavity between the two leaves of one wall, metres (our own choice: insulation included).
const CAVITY_M: f64 = 0.16;
/// Shortest piece of wall, metres: what is shorter is a jamb or an end.
const SHORTEST_M: f64 = 0.05;
/// Most pairs that are looked at (our own choice: it bounds the time that a hostile file can cost;
/// a drawing of fifty thousand lines has some two hundred thousand).
const MOST_PAIRS: usize = 3_000_000;

#[derive(Clone, Copy)]
pub(crate) struct Face {
    pub(crate) line: Line<f64>,
    /// Faces of different groups never make one wall.
    pub(crate) group: usize,
    /// A chord of a round wall.
    pub(crate) is_round: bool,
    pub(crate) kind: Kind,
}

/// What a face was drawn as.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    Line,
    /// The edge of a filled area.
    Fill,
    /// A line as thick as its wall, metres: the middle of it.
    Wide(f64),
}

/// Walls that are built alike, and whether the user said so.
pub(super) struct WallGroup {
    pub(super) layer: String,
    pub(super) construction: Option<String>,
    pub(super) mapped: bool,
    /// No name says walls, but how its lines run.
    pub(super) by_shape: bool,
}

#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    pub(crate) line: Line<f64>,
    /// How thick it is drawn, metres, if it is drawn with two lines.
    pub(crate) thickness_m: Option<f64>,
    pub(super) group: usize,
}

#[derive(Default)]
pub(crate) struct Paired {
    pub(crate) pieces: Vec<Piece>,
    /// Stretches of faces that have no partner, with their group.
    pub(super) single: Vec<Face>,
}

/// Two faces that might be those of one wall.
pub(super) struct Pair {
    gap_m: f64,
    pub(super) overlap_m: f64,
    pub(super) a: usize,
    b: usize,
}

/// Joins faces that run beside one another, the nearest first; each stretch of a face is used once.
/// So of three lines side by side the two that are nearest make the wall, and two walls with a
/// cupboard between them stay two.
pub(crate) fn paired(faces: &[Face]) -> Paired {
    // A jamb and the next wall, or two jambs, run beside one another on a short stretch alone.
    let mut pairs = pairs(faces, THICKNESS_M);
    let is_round = |pair: &Pair| faces[pair.a].is_round && faces[pair.b].is_round;
    pairs.retain(|pair| is_round(pair) || pair.overlap_m + 1e-4 >= pair.gap_m);
    let mut out = Paired::default();
    let single = consume(&pairs, faces, |pair, line| {
        out.pieces.push(Piece { line, thickness_m: Some(pair.gap_m), group: faces[pair.a].group });
    });
    out.single = single.into_iter().map(|(_, face)| face).collect();
    out.pieces = leaves_joined(&out.pieces);
    out.pieces.extend(faces.iter().filter_map(|&Face { line, group, kind, .. }| match kind {
        Kind::Wide(thick) => Some(Piece { line, thickness_m: Some(thick), group }),
        _ => None,
    }));
    out.single.retain(|face| !matches!(face.kind, Kind::Wide(_)));
    out
}

/// Pieces that are shorter than thick: walls between two doors or corners, if they go on in line
/// with others, else jambs.
pub(super) fn short_pieces(faces: &[Face], goes_on: &dyn Fn(&Piece) -> bool) -> Vec<Piece> {
    let mut pairs = pairs(faces, THICKNESS_M);
    pairs.retain(|pair| pair.overlap_m < pair.gap_m);
    chosen(faces, pairs, goes_on)
}

/// Pieces with faces of two groups, where they are wanted.
pub(super) fn pieces_across(faces: &[Face], is_wanted: &dyn Fn(&Piece) -> bool) -> Vec<Piece> {
    if faces.iter().all(|face| face.group == faces[0].group) {
        return Vec::new();
    }
    let alike = |face: &Face| Face { group: 0, ..*face };
    let mut pairs = pairs(&faces.iter().map(alike).collect::<Vec<_>>(), THICKNESS_M);
    pairs.retain(|pair| {
        faces[pair.a].group != faces[pair.b].group && pair.overlap_m + 1e-4 >= pair.gap_m
    });
    chosen(faces, pairs, is_wanted)
}

/// The pieces of some pairs that are wanted.
fn chosen(faces: &[Face], mut pairs: Vec<Pair>, is_wanted: &dyn Fn(&Piece) -> bool) -> Vec<Piece> {
    let middle = |pair: &Pair, line: Line<f64>| Piece {
        line,
        thickness_m: Some(pair.gap_m),
        group: faces[pair.a].group,
    };
    pairs.retain(|pair| {
        let (a, b) = (faces[pair.a].line, faces[pair.b].line);
        let onto_b = |at: Coord<f64>| (at + along(b, seen_from(b, at).0)) * 0.5;
        is_wanted(&middle(pair, Line::new(onto_b(a.start), onto_b(a.end))))
    });
    let mut out = Vec::new();
    consume(&pairs, faces, |pair, line| out.push(middle(pair, line)));
    out
}

/// Two walls with a cavity between them as one wall, as thick as both and the cavity.
fn leaves_joined(pieces: &[Piece]) -> Vec<Piece> {
    let middle = |&Piece { line, group, .. }: &Piece| Face {
        line,
        group,
        is_round: false,
        kind: Kind::Line,
    };
    let middles: Vec<Face> = pieces.iter().map(middle).collect();
    let half = |number: usize| pieces[number].thickness_m.unwrap_or(0.0) / 2.0;
    let mut pairs = pairs(&middles, (0.0, THICKNESS_M.1));
    pairs.retain(|pair| pair.gap_m - half(pair.a) - half(pair.b) <= CAVITY_M);
    let mut joined = Vec::new();
    let left = consume(&pairs, &middles, |pair, line| {
        // Across, counted from the middle of the first: from its own face to the other's, or the
        // thicker one alone if the other lies within it.
        let (own, other) = (half(pair.a), half(pair.b));
        let low = (-own).min(pair.gap_m - other);
        let high = own.max(pair.gap_m + other);
        let thickness_m = high - low;
        let shift = (low + high - pair.gap_m) / 2.0;
        let (_, side) = seen_from(middles[pair.a].line, line.start);
        let run = middles[pair.a].line.delta() / length(middles[pair.a].line);
        let towards_b = Coord { x: -run.y, y: run.x } * (shift * side.signum());
        joined.push(Piece {
            line: Line::new(line.start + towards_b, line.end + towards_b),
            thickness_m: Some(thickness_m),
            group: pieces[pair.a].group,
        });
    });
    joined
        .extend(left.into_iter().map(|(number, face)| Piece { line: face.line, ..pieces[number] }));
    joined
}

/// Takes pairs in order, each as far as both of its faces are still free, and gives the middle line
/// of every such stretch to `take`. Gives what is left of each face, with its number.
fn consume(
    pairs: &[Pair],
    faces: &[Face],
    mut take: impl FnMut(&Pair, Line<f64>),
) -> Vec<(usize, Face)> {
    let mut free: Vec<Vec<(f64, f64)>> =
        faces.iter().map(|face| vec![(0.0, length(face.line))]).collect();
    for pair in pairs {
        let (a, b) = (faces[pair.a].line, faces[pair.b].line);
        for (from, to) in common(&free[pair.a], &free[pair.b], a, b) {
            let (start, end) = (along(a, from), along(a, to));
            let onto_b = |at: Coord<f64>| seen_from(b, at).0;
            let (there, then) = (onto_b(start), onto_b(end));
            let middle = |at: Coord<f64>, on_b: f64| (at + along(b, on_b)) * 0.5;
            take(pair, Line::new(middle(start, there), middle(end, then)));
            free[pair.a] = without(&free[pair.a], from, to);
            free[pair.b] = without(&free[pair.b], there.min(then), there.max(then));
        }
    }
    let mut left = Vec::new();
    for (number, (face, free)) in faces.iter().zip(&free).enumerate() {
        for &(from, to) in free.iter().filter(|(from, to)| to - from >= SHORTEST_M) {
            let line = Line::new(along(face.line, from), along(face.line, to));
            left.push((number, Face { line, ..*face }));
        }
    }
    left
}

/// All faces that run beside one another, so far apart; the nearest first.
pub(super) fn pairs(faces: &[Face], (least_m, most_m): (f64, f64)) -> Vec<Pair> {
    let index = index(faces.iter().map(|face| face.line));
    let mut pairs: Vec<Pair> = Vec::new();
    let mut looks = 0;
    'all: for (a, face) in faces.iter().enumerate() {
        for found in index.locate_in_envelope_intersecting(&around(face.line, THICKNESS_M.1)) {
            looks += 1;
            if looks > MOST_PAIRS {
                break 'all;
            }
            let b = found.data;
            let other = &faces[b];
            let is_wide = |face: &Face| matches!(face.kind, Kind::Wide(_));
            let askew_most = if face.is_round && other.is_round { ASKEW.1 } else { ASKEW.0 };
            if b <= a
                || other.group != face.group
                || askew(face.line, other.line) > askew_most
                || is_wide(face)
                || is_wide(other)
            {
                continue;
            }
            let (from, off) = seen_from(face.line, other.line.start);
            let (to, then_off) = seen_from(face.line, other.line.end);
            let gap_m = (off + then_off).abs() / 2.0;
            let overlap_m = from.max(to).min(length(face.line)) - from.min(to).max(0.0);
            if (least_m..=most_m).contains(&gap_m) && overlap_m >= SHORTEST_M {
                // To a tenth of a millimetre, so that rounding does not choose between equals.
                let gap_m = (gap_m * 1e4).round() / 1e4;
                pairs.push(Pair { gap_m, overlap_m, a, b });
            }
        }
    }
    pairs.sort_by(|x, y| {
        let by_size = x.gap_m.total_cmp(&y.gap_m).then(y.overlap_m.total_cmp(&x.overlap_m));
        by_size.then((x.a, x.b).cmp(&(y.a, y.b)))
    });
    pairs
}

/// Stretches of `a`, in metres along it, at which both faces are still free.
fn common(
    free_a: &[(f64, f64)],
    free_b: &[(f64, f64)],
    a: Line<f64>,
    b: Line<f64>,
) -> Vec<(f64, f64)> {
    let both = free_b.iter().flat_map(|&(from_b, to_b)| {
        let (p, q) = (seen_from(a, along(b, from_b)).0, seen_from(a, along(b, to_b)).0);
        free_a.iter().map(move |&(from, to)| (from.max(p.min(q)), to.min(p.max(q))))
    });
    both.filter(|(from, to)| to - from >= SHORTEST_M).collect()
}

fn without(free: &[(f64, f64)], from: f64, to: f64) -> Vec<(f64, f64)> {
    let left = free.iter().flat_map(|&(start, end)| [(start, end.min(from)), (start.max(to), end)]);
    left.filter(|(from, to)| to - from > 1e-6).collect()
}
