//! Runs along one straight wall, with one bend.
//!
//! Walls that go straight on from one another count as one: where a wall is cut into pieces does
//! not change what can be nailed to it.

use geo::Coord;

use super::contact::{Contact, Mark, TOUCH_M};
use super::graph::{Cost, length, start};
use super::sheet::{ROUNDING_M, Sheet, gap_m};

/// Two pieces go straight on from one another if they turn by less than about half a degree
/// (common sense, no source).
const STRAIGHT_COSINE: f64 = 0.999_96;

#[derive(Debug, Clone, Copy)]
struct Piece {
    sheet: usize,
    /// Whether the sheet's own direction runs against the wall's.
    is_reversed: bool,
    /// Where it begins along the wall, metres.
    from_m: f64,
}

/// A place on a straight wall, and how far a wire can go from it straight in each direction.
#[derive(Debug, Clone, Copy)]
struct Place {
    t: f64,
    z: f64,
    along: (f64, f64),
    up: (f64, f64),
}

fn within(range: (f64, f64), value: f64) -> bool {
    range.0 - ROUNDING_M <= value && value <= range.1 + ROUNDING_M
}

/// A straight wall: pieces in order.
#[derive(Debug, Default)]
struct Straight {
    pieces: Vec<Piece>,
    /// Outlets on it, by their place in the plan.
    sockets: Vec<(usize, Place)>,
}

#[derive(Debug, Default)]
pub(super) struct Straights {
    walls: Vec<Straight>,
    /// Of each sheet: its wall and its place among the wall's pieces.
    of_sheet: Vec<(usize, usize)>,
}

/// A run along one wall.
#[derive(Debug, Clone, Copy)]
pub(super) struct Direct {
    pub(super) cost: Cost,
    wall: usize,
    from: Place,
    to: Place,
    /// Height of the level piece.
    across_z: f64,
}

impl Straights {
    /// Finds the straight walls and puts the outlets on them: (mark, height, place in the plan).
    pub(super) fn new(
        sheets: &[Sheet],
        contacts: &[Contact],
        outlets: &[(Mark, f64, usize)],
    ) -> Self {
        let mut found = Self::default();
        let next = continuations(sheets, contacts);
        found.of_sheet = vec![(usize::MAX, 0); sheets.len()];
        // First walls that have an end, from their end of the lower number; then rings.
        for is_ring in [false, true] {
            for first in 0..sheets.len() {
                if found.of_sheet[first].0 != usize::MAX {
                    continue;
                }
                let is_reversed = match next[first] {
                    [None, _] => false,
                    [_, None] => true,
                    _ if is_ring => false,
                    _ => continue,
                };
                found.follow(sheets, &next, first, is_reversed);
            }
        }
        for &(mark, z, outlet) in outlets {
            let (wall, place) = found.place(sheets, mark, z);
            found.walls[wall].sockets.push((outlet, place));
        }
        found
    }

    /// Takes in the wall that begins with a sheet.
    fn follow(
        &mut self,
        sheets: &[Sheet],
        next: &[[Option<End>; 2]],
        first: usize,
        is_reversed: bool,
    ) {
        let mut wall = Straight::default();
        let (mut sheet, mut is_reversed, mut from_m) = (first, is_reversed, 0.0);
        while self.of_sheet[sheet].0 == usize::MAX {
            self.of_sheet[sheet] = (self.walls.len(), wall.pieces.len());
            wall.pieces.push(Piece { sheet, is_reversed, from_m });
            let far = usize::from(!is_reversed);
            let Some(end) = next[sheet][far] else {
                break;
            };
            let (body, after) = (&sheets[sheet], &sheets[end.sheet]);
            from_m += body.length_m + gap_m(end_of(body, far), end_of(after, end.end));
            (sheet, is_reversed) = (end.sheet, end.end == 1);
        }
        self.walls.push(wall);
    }

    fn place(&self, sheets: &[Sheet], mark: Mark, z: f64) -> (usize, Place) {
        let (number, at) = self.of_sheet[mark.sheet];
        let pieces = &self.walls[number].pieces;
        let t_of = |piece: &Piece, s: f64| {
            let length_m = sheets[piece.sheet].length_m;
            piece.from_m + if piece.is_reversed { length_m - s } else { s }
        };
        let stretch = |piece: &Piece, s: f64| {
            let (a, b) = sheets[piece.sheet].clear_stretch(s, z);
            let (a, b) = (t_of(piece, a), t_of(piece, b));
            (a.min(b), a.max(b))
        };
        let mut along = stretch(&pieces[at], mark.s);
        // On to the neighbouring pieces as long as the way is clear to the end of this one.
        for pair in pieces[at..].windows(2) {
            let (here, after) = (&pair[0], &pair[1]);
            let length_m = sheets[here.sheet].length_m;
            if !within(along, here.from_m + length_m) || !sheets[after.sheet].spans(z) {
                break;
            }
            let begin = if after.is_reversed { sheets[after.sheet].length_m } else { 0.0 };
            along.1 = stretch(after, begin).1;
        }
        for pair in pieces[..=at].windows(2).rev() {
            let (before, here) = (&pair[0], &pair[1]);
            if !within(along, here.from_m) || !sheets[before.sheet].spans(z) {
                break;
            }
            let end = if before.is_reversed { 0.0 } else { sheets[before.sheet].length_m };
            along.0 = stretch(before, end).0;
        }
        let up = sheets[mark.sheet].clear_heights(mark.s, z);
        (number, Place { t: t_of(&pieces[at], mark.s), z, along, up })
    }

    /// The shortest run with one bend from an outlet of the same straight wall to a place.
    pub(super) fn shortest(&self, sheets: &[Sheet], mark: Mark, z: f64) -> Option<Direct> {
        let sockets = &self.walls[self.of_sheet[mark.sheet].0].sockets;
        if sockets.is_empty() {
            return None;
        }
        let (wall, spot) = self.place(sheets, mark, z);
        let mut best: Option<Direct> = None;
        for (outlet, place) in sockets {
            let at_spot = within(spot.along, place.t) && within(place.up, spot.z);
            let at_outlet = within(place.along, spot.t) && within(spot.up, place.z);
            let across_z = match (at_outlet, at_spot) {
                (true, _) => place.z,
                (false, true) => spot.z,
                (false, false) => continue,
            };
            let metres = (spot.t - place.t).abs() + (spot.z - place.z).abs();
            let cost = length(metres) + start(*outlet);
            if best.is_none_or(|best| cost < best.cost) {
                best = Some(Direct { cost, wall, from: *place, to: spot, across_z });
            }
        }
        best
    }

    /// The corner points of a run: (sheet, place in plan, height), outlet first.
    pub(super) fn points(&self, sheets: &[Sheet], run: &Direct) -> Vec<(usize, Coord<f64>, f64)> {
        let mut places: Vec<(f64, usize, Coord<f64>)> = Vec::new();
        let (low, high) = (run.from.t.min(run.to.t), run.from.t.max(run.to.t));
        for piece in &self.walls[run.wall].pieces {
            let sheet = &sheets[piece.sheet];
            let end = piece.from_m + sheet.length_m;
            let (from, to) = (piece.from_m.max(low), end.min(high));
            if from > to + ROUNDING_M {
                continue;
            }
            for t in [from, to.max(from)] {
                let s = if piece.is_reversed { end - t } else { t - piece.from_m };
                places.push((t, piece.sheet, sheet.at(s.clamp(0.0, sheet.length_m))));
            }
        }
        if run.from.t > run.to.t {
            places.reverse();
        }
        let first = places.first().map(|&(_, sheet, at)| (sheet, at, run.from.z));
        let last = places.last().map(|&(_, sheet, at)| (sheet, at, run.to.z));
        let middle = places.iter().map(|&(_, sheet, at)| (sheet, at, run.across_z));
        first.into_iter().chain(middle).chain(last).collect()
    }
}

/// An end of a sheet: 0 its start, 1 its end.
#[derive(Debug, Clone, Copy)]
struct End {
    sheet: usize,
    end: usize,
}

fn end_of(sheet: &Sheet, end: usize) -> Coord<f64> {
    if end == 0 { sheet.start } else { sheet.end() }
}

/// Which sheet goes straight on from each end of each sheet.
fn continuations(sheets: &[Sheet], contacts: &[Contact]) -> Vec<[Option<End>; 2]> {
    let mut next: Vec<[Option<End>; 2]> = vec![[None; 2]; sheets.len()];
    for contact in contacts {
        let (one, other) = (&sheets[contact.one.sheet], &sheets[contact.other.sheet]);
        if one.storey != other.storey {
            continue;
        }
        for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            if gap_m(end_of(one, a), end_of(other, b)) > TOUCH_M + 1e-9 {
                continue;
            }
            let outwards = |sheet: &Sheet, end: usize| {
                if end == 0 { sheet.along * -1.0 } else { sheet.along }
            };
            let (p, q) = (outwards(one, a), outwards(other, b));
            if p.x * q.x + p.y * q.y > -STRAIGHT_COSINE {
                continue;
            }
            let from = End { sheet: contact.one.sheet, end: a };
            let to = End { sheet: contact.other.sheet, end: b };
            if next[from.sheet][a].is_none() && next[to.sheet][b].is_none() {
                next[from.sheet][a] = Some(to);
                next[to.sheet][b] = Some(from);
            }
        }
    }
    next
}
