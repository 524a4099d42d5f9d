//! Runs along one straight wall, with one bend.
//!
//! Walls that go straight on from one another count as one: where a wall is cut into pieces does
//! not change what can be nailed to it.

use geo::Coord;

use super::contact::{Contact, Mark};
use super::graph::{Cost, length, start};
use super::sheet::{ROUNDING_M, Sheet, gap_m};

/// Two pieces go straight on from one another if they turn by less than about half a degree
/// (common sense, no source).
const STRAIGHT_COSINE: f64 = 0.999_96;

/// One sheet of a straight wall.
#[derive(Debug, Clone, Copy)]
struct Piece {
    sheet: usize,
    /// Whether the sheet's own direction runs against the wall's.
    is_reversed: bool,
    /// Where it begins along the wall, metres.
    from_m: f64,
}

/// An outlet on a straight wall.
#[derive(Debug, Clone, Copy)]
struct Socket {
    /// Place among the plan's outlets.
    outlet: usize,
    place: Place,
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
    sockets: Vec<Socket>,
}

/// All straight walls.
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
    from_t: f64,
    from_z: f64,
    to_t: f64,
    to_z: f64,
    /// Height of the level piece.
    across_z: f64,
}

impl Straights {
    /// Finds the straight walls and puts the outlets on them: (mark, height, place in the plan).
    pub(super) fn new(
        sheets: &[Sheet],
        contacts: &[Contact],
        touch_m: f64,
        outlets: &[(Mark, f64, usize)],
    ) -> Self {
        let mut found = Self::default();
        let next = continuations(sheets, contacts, touch_m);
        found.of_sheet = vec![(usize::MAX, 0); sheets.len()];
        // First walls that have an end, from their end of the lower number; then rings.
        for is_ring in [false, true] {
            for first in 0..sheets.len() {
                if found.of_sheet.get(first).is_none_or(|own| own.0 != usize::MAX) {
                    continue;
                }
                let ends = next.get(first).copied().unwrap_or_default();
                let is_reversed = match ends {
                    [None, _] => false,
                    [_, None] => true,
                    _ if is_ring => false,
                    _ => continue,
                };
                found.follow(sheets, &next, first, is_reversed);
            }
        }
        for &(mark, z, outlet) in outlets {
            if let Some((wall, place)) = found.place(sheets, mark, z)
                && let Some(wall) = found.walls.get_mut(wall)
            {
                wall.sockets.push(Socket { outlet, place });
            }
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
        while let Some(body) = sheets.get(sheet) {
            let Some(own) = self.of_sheet.get_mut(sheet) else {
                break;
            };
            if own.0 != usize::MAX {
                break;
            }
            *own = (self.walls.len(), wall.pieces.len());
            wall.pieces.push(Piece { sheet, is_reversed, from_m });
            let far = usize::from(!is_reversed);
            let Some(end) = next.get(sheet).and_then(|ends| ends.get(far).copied().flatten())
            else {
                break;
            };
            let Some(after) = sheets.get(end.sheet) else {
                break;
            };
            from_m += body.length_m + gap_m(end_of(body, far), end_of(after, end.end));
            (sheet, is_reversed) = (end.sheet, end.end == 1);
        }
        self.walls.push(wall);
    }

    /// A mark as a place on its straight wall.
    fn place(&self, sheets: &[Sheet], mark: Mark, z: f64) -> Option<(usize, Place)> {
        let &(number, at) = self.of_sheet.get(mark.sheet)?;
        let wall = self.walls.get(number)?;
        let piece = wall.pieces.get(at)?;
        let sheet = sheets.get(mark.sheet)?;
        let t_of = |piece: &Piece, sheet: &Sheet, s: f64| {
            piece.from_m + if piece.is_reversed { sheet.length_m - s } else { s }
        };
        let stretch = |piece: &Piece, sheet: &Sheet, s: f64| {
            let (a, b) = sheet.clear_stretch(s, z);
            let (a, b) = (t_of(piece, sheet, a), t_of(piece, sheet, b));
            (a.min(b), a.max(b))
        };
        let mut along = stretch(piece, sheet, mark.s);
        let ends = |piece: &Piece, sheet: &Sheet| (piece.from_m, piece.from_m + sheet.length_m);
        // On to the neighbouring pieces as long as the way is clear to the end of this one.
        let (mut here, mut body) = (at, sheet);
        while let Some(piece) = wall.pieces.get(here)
            && within(along, ends(piece, body).1)
            && let Some(after) = wall.pieces.get(here + 1)
            && let Some(sheet) = sheets.get(after.sheet)
            && sheet.spans(z)
        {
            let begin = if after.is_reversed { sheet.length_m } else { 0.0 };
            along.1 = stretch(after, sheet, begin).1;
            (here, body) = (here + 1, sheet);
        }
        (here, body) = (at, sheet);
        while let Some(piece) = wall.pieces.get(here)
            && within(along, ends(piece, body).0)
            && let Some(number) = here.checked_sub(1)
            && let Some(before) = wall.pieces.get(number)
            && let Some(sheet) = sheets.get(before.sheet)
            && sheet.spans(z)
        {
            let end = if before.is_reversed { 0.0 } else { sheet.length_m };
            along.0 = stretch(before, sheet, end).0;
            (here, body) = (number, sheet);
        }
        let place =
            Place { t: t_of(piece, sheet, mark.s), z, along, up: sheet.clear_heights(mark.s, z) };
        Some((number, place))
    }

    /// The shortest run with one bend from an outlet of the same straight wall to a place.
    pub(super) fn shortest(&self, sheets: &[Sheet], mark: Mark, z: f64) -> Option<Direct> {
        let &(number, _) = self.of_sheet.get(mark.sheet)?;
        let wall = self.walls.get(number).filter(|wall| !wall.sockets.is_empty())?;
        let (_, spot) = self.place(sheets, mark, z)?;
        let mut best: Option<Direct> = None;
        for Socket { outlet, place } in &wall.sockets {
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
                best = Some(Direct {
                    cost,
                    wall: number,
                    from_t: place.t,
                    from_z: place.z,
                    to_t: spot.t,
                    to_z: spot.z,
                    across_z,
                });
            }
        }
        best
    }

    /// The corner points of a run: (sheet, place in plan, height), outlet first.
    pub(super) fn points(&self, sheets: &[Sheet], run: &Direct) -> Vec<(usize, Coord<f64>, f64)> {
        let Some(wall) = self.walls.get(run.wall) else {
            return Vec::new();
        };
        let mut places: Vec<(f64, usize, Coord<f64>)> = Vec::new();
        let (low, high) = (run.from_t.min(run.to_t), run.from_t.max(run.to_t));
        for piece in &wall.pieces {
            let Some(sheet) = sheets.get(piece.sheet) else {
                continue;
            };
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
        if run.from_t > run.to_t {
            places.reverse();
        }
        let first = places.first().map(|&(_, sheet, at)| (sheet, at, run.from_z));
        let last = places.last().map(|&(_, sheet, at)| (sheet, at, run.to_z));
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
fn continuations(sheets: &[Sheet], contacts: &[Contact], touch_m: f64) -> Vec<[Option<End>; 2]> {
    let mut next: Vec<[Option<End>; 2]> = vec![[None; 2]; sheets.len()];
    for contact in contacts {
        let pair = (sheets.get(contact.one.sheet), sheets.get(contact.other.sheet));
        let (Some(one), Some(other)) = pair else {
            continue;
        };
        if one.storey != other.storey {
            continue;
        }
        for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            if gap_m(end_of(one, a), end_of(other, b)) > touch_m + 1e-9 {
                continue;
            }
            let outwards = |sheet: &Sheet, end: usize| {
                if end == 0 { sheet.along * -1.0 } else { sheet.along }
            };
            let (p, q) = (outwards(one, a), outwards(other, b));
            if p.x * q.x + p.y * q.y > -STRAIGHT_COSINE {
                continue;
            }
            let ends = (
                End { sheet: contact.one.sheet, end: a },
                End { sheet: contact.other.sheet, end: b },
            );
            let slot = |next: &[[Option<End>; 2]], end: End| {
                next.get(end.sheet).and_then(|ends| ends.get(end.end).copied().flatten())
            };
            if slot(&next, ends.0).is_some() || slot(&next, ends.1).is_some() {
                continue;
            }
            for (from, to) in [(ends.0, ends.1), (ends.1, ends.0)] {
                if let Some(slot) =
                    next.get_mut(from.sheet).and_then(|slots| slots.get_mut(from.end))
                {
                    *slot = Some(to);
                }
            }
        }
    }
    next
}
