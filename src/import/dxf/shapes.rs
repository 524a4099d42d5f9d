//! Which lines are walls by how they run, where no name says so.
//!
//! Walls are pairs of lines, as far apart as walls are thick, for metres together and two ways; or
//! single lines that end at one another. Steps, tiles, hatching and slats are many lines at equal
//! steps; furniture stands by itself.

use std::collections::BTreeMap;

use geo::{Coord, Line};

use super::drawing::{Drawing, USUAL_M, corners, long};
use super::faces::{Face, Piece, paired};
use super::gaps::seen;
use super::groups::Groups;
use super::layers::{Adds, Roles, Use};
use super::scale;
use super::strokes::{Stroke, Strokes};
use crate::Settings;
use crate::guess::Guesses;
use crate::line::{around, askew, distance, index, length, seen_from};
use crate::union::root;

/// Most layers and most lines of one that are looked at (our own choice: it bounds the time).
const MOST: (usize, usize) = (14, 20_000);
/// Least length of all walls of a drawing, metres, and of those that a further layer adds.
const LEAST_M: (f64, f64) = (8.0, 3.0);
/// Shortest piece that counts for them, metres (our own choice); on a layer of doors, where leaves
/// are pairs of lines, too.
const PIECE_M: f64 = 0.3;
const BESIDE_DOORS_M: f64 = 1.3;
/// Share of a layer's lines that must be faces of walls, and of one that adds to others.
const SHARE: (f64, f64) = (1.0 / 3.0, 0.4);
/// The same of one that is called doors.
const SHARE_DOORS: f64 = 0.2;
/// Walls so long together are a house's; they need be no larger share of their layer than this.
const HOUSE_M: f64 = 25.0;
const SHARE_HOUSE: f64 = 0.1;
/// Share of a layer's single lines that must end at one another (our own choice).
const SHARE_SINGLE: f64 = 0.5;
/// Ends within this of another wall meet it, metres (our own choice).
pub(super) const MEETS_M: f64 = 0.12;
/// Widest gap between two pieces of one wall, metres (our own choice: a glass front).
const GAP_M: f64 = 7.0;
/// The end of a wall is so near to the next one across a door, metres (our own choice).
const DOOR_M: f64 = 1.3;
/// Parallel lines at equal steps of up to so much, metres, and as many as this, are no walls.
const STEP_M: f64 = 0.45;
const STEPS: usize = 5;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 2_000_000;

/// A drawing with its layers' roles, and how it is to be scaled.
pub(super) struct Shapes<'s> {
    pub(super) drawn: &'s Strokes,
    pub(super) groups: &'s Groups,
    pub(super) settings: &'s Settings,
    /// How wide a leaf is drawn.
    pub(super) leaf: Option<f64>,
}

impl Shapes<'_> {
    /// The layers, of some without a name that says anything, whose lines are walls by how they
    /// run: the best one if no name says walls, and all whose walls meet those that are known.
    pub(super) fn likely_walls(&self, roles: &Roles, layers: &[usize]) -> Vec<usize> {
        let mut roles = roles.clone();
        let mut found = Vec::new();
        let (of_doors, unnamed): (Vec<usize>, Vec<usize>) =
            layers.iter().copied().partition(|layer| roles.is_of_openings(*layer));
        let is_wall = |stroke: &Stroke| roles.of(stroke).0 == Use::Wall;
        if !self.drawn.strokes.iter().any(is_wall) {
            let with = |layer| roles.with_walls(layer, Adds::Alone);
            let best = self.best_of(&with, &unnamed, Self::double);
            let best = best.or_else(|| self.best_of(&with, &unnamed, bound));
            let Some(best) = best else { return found };
            found.push(best);
            roles = roles.with_walls(best, Adds::Alone);
        }
        let Some((metres, low)) = self.unit(&roles, &|faces| Self::double(faces).0) else {
            return found;
        };
        let of = |roles: &Roles| Drawing::new(self.drawn, roles, metres, low).faces(None).0;
        let mut known = walls(&of(&roles));
        // Twice: some meet only what is found after them.
        let unnamed_first = || unnamed.iter().take(MOST.0).chain(&of_doors);
        for &layer in unnamed_first().chain(unnamed_first()) {
            if found.contains(&layer) || self.count(layer) > MOST.1 {
                continue;
            }
            let is_of_doors = of_doors.contains(&layer);
            let faces = of(&roles.only_walls(layer));
            let mut added = walls(&faces);
            if is_of_doors {
                added.retain(|piece| length(piece.line) >= BESIDE_DOORS_M);
            }
            let met_m = long_of(&meeting(&added, &known));
            let drawn_m: f64 = faces.iter().map(|face| length(face.line)).sum();
            let is_met = met_m >= LEAST_M.1.max(0.04 * long_of(&known));
            let share = if is_of_doors { SHARE_DOORS } else { SHARE.1 };
            if is_met && 2.0 * long_of(&added) >= share * drawn_m {
                known.extend(added);
                found.push(layer);
            }
        }
        // What a name calls walls may be a remnant.
        if found.is_empty() && long_of(&known) < LEAST_M.0 {
            let far_more = |faces: &[Face]| {
                let (walls_m, looks) = Self::double(faces);
                (walls_m, looks && walls_m > 3.0 * long_of(&known))
            };
            found.extend(self.best_of(&|layer| roles.only_walls(layer), &unnamed, far_more));
        }
        found
    }

    fn count(&self, layer: usize) -> usize {
        self.drawn.strokes.iter().filter(|stroke| stroke.layer == layer).count()
    }

    /// The layer that, taken as walls, has the most of them, if that is enough.
    fn best_of(
        &self,
        with: &dyn Fn(usize) -> Roles,
        layers: &[usize],
        measure: impl Fn(&[Face]) -> (f64, bool),
    ) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for &layer in layers.iter().take(MOST.0) {
            if self.count(layer) > MOST.1 {
                continue;
            }
            let own = with(layer);
            let Some((metres, low)) = self.unit(&own, &|faces| measure(faces).0) else { continue };
            let (walls_m, looks) =
                measure(&Drawing::new(self.drawn, &own, metres, low).faces(None).0);
            // As drawn: two layers may have been taken for different units.
            let drawn = walls_m / metres;
            if looks && best.is_none_or(|(most, _)| drawn > most) {
                best = Some((drawn, layer));
            }
        }
        best.map(|(_, layer)| layer)
    }

    /// Metres in the drawing's unit, and its lowest corner, with walls as the roles say.
    fn unit(&self, roles: &Roles, walls_m: &dyn Fn(&[Face]) -> f64) -> Option<(f64, Coord<f64>)> {
        let is_wall = |stroke: &&Stroke| roles.of(stroke).0 == Use::Wall;
        let strokes = || self.drawn.strokes.iter().filter(is_wall);
        let corners = corners(strokes())?;
        let across = corners.width().max(corners.height());
        let (lines, longest) = long(strokes());
        let size = scale::Size { across, lines, longest, leaf: self.leaf };
        let looks = |metres: f64| {
            let drawing = Drawing::new(self.drawn, roles, metres, corners.min());
            walls_m(&drawing.faces(None).0) / metres
        };
        let mut unsaid = Guesses::default();
        let metres = scale::metres_per_unit(self.groups, self.settings, &size, &looks, &mut unsaid);
        Some((metres, corners.min()))
    }

    /// How long the walls of two lines are, and whether that is a building's.
    fn double(faces: &[Face]) -> (f64, bool) {
        let walls = in_network(walls(faces), &|_| true);
        let walls_m = long_of(&walls);
        let drawn_m: f64 = faces.iter().map(|face| length(face.line)).sum();
        let two_ways = walls.iter().any(|wall| askew(wall.line, walls[0].line) > 0.9);
        // A whole house on a layer may have much furniture around it.
        let share = 2.0 * walls_m / drawn_m;
        let is_much = share >= SHARE.0 || (walls_m >= HOUSE_M && share >= SHARE_HOUSE);
        (walls_m, walls_m >= LEAST_M.0 && is_much && two_ways)
    }
}

fn long_of(pieces: &[Piece]) -> f64 {
    pieces.iter().map(|piece| length(piece.line)).sum()
}

/// The pieces of wall of some faces, as thick as walls are.
fn walls(faces: &[Face]) -> Vec<Piece> {
    let is_wall = |piece: &Piece| {
        length(piece.line) >= PIECE_M
            && piece.thickness_m.is_some_and(|thick| USUAL_M.contains(&thick))
    };
    paired(faces).pieces.into_iter().filter(is_wall).collect()
}

/// How long the lines are together that end at others on both ends, and whether that is a
/// building's.
pub(super) fn bound(faces: &[Face]) -> (f64, bool) {
    let lines: Vec<Line<f64>> = faces.iter().map(|face| face.line).collect();
    let by_place = index(lines.iter().copied());
    let mut looks = 0;
    let mut is_bound = |own: usize, end: Coord<f64>| {
        let near = by_place.locate_in_envelope_intersecting(&around(Line::new(end, end), MEETS_M));
        near.take(100).any(|found| {
            looks += 1;
            let other = lines[found.data];
            looks < MOST_LOOKS
                && found.data != own
                && askew(other, lines[own]) > 0.17
                && distance(other, seen_from(other, end)) <= MEETS_M
        })
    };
    let mut walls: Vec<Line<f64>> = Vec::new();
    for (own, line) in lines.iter().enumerate() {
        if length(*line) >= 2.0 * PIECE_M && is_bound(own, line.start) && is_bound(own, line.end) {
            walls.push(*line);
        }
    }
    let sum = |lines: &[Line<f64>]| lines.iter().map(|line| length(*line)).sum::<f64>();
    let walls_m = sum(&walls);
    let two_ways = walls.iter().any(|wall| askew(*wall, walls[0]) > 0.9);
    // A frame or a table is no building.
    let is_enough = walls.len() > 6 && walls_m >= LEAST_M.0;
    (walls_m, is_enough && two_ways && walls_m >= SHARE_SINGLE * sum(&lines))
}

/// The pieces that meet walls that are known, or go on in line with them, and those that meet
/// these.
fn meeting(pieces: &[Piece], known: &[Piece]) -> Vec<Piece> {
    let all: Vec<Piece> = known.iter().chain(pieces).copied().collect();
    let parts = parts(&all, DOOR_M / 2.0);
    let of_known: std::collections::BTreeSet<usize> =
        parts.iter().take(known.len()).copied().collect();
    let own = pieces.iter().zip(parts.iter().skip(known.len()));
    own.filter(|(_, part)| of_known.contains(part)).map(|(piece, _)| *piece).collect()
}

/// Pieces of wall without those that stand by themselves: furniture, symbols.
pub(super) fn in_network(pieces: Vec<Piece>, by_shape: &dyn Fn(usize) -> bool) -> Vec<Piece> {
    if !pieces.iter().any(|piece| by_shape(piece.group)) {
        return pieces;
    }
    let parts = parts(&pieces, GAP_M);
    let mut long: BTreeMap<usize, f64> = BTreeMap::new();
    for (piece, part) in pieces.iter().zip(&parts) {
        *long.entry(*part).or_default() += length(piece.line);
    }
    let longest = long.values().copied().fold(0.0, f64::max);
    let least = (0.05 * longest).max(LEAST_M.1);
    let kept = pieces.into_iter().zip(parts);
    let is_kept = |(piece, part): &(Piece, usize)| !by_shape(piece.group) || long[part] >= least;
    kept.filter(is_kept).map(|(piece, _)| piece).collect()
}

/// The number of the part to which each piece belongs: pieces that meet are of one part, and those
/// of one line across a gap of so much.
fn parts(pieces: &[Piece], gap_m: f64) -> Vec<usize> {
    let half = |piece: &Piece| piece.thickness_m.unwrap_or(0.1) / 2.0;
    let mut above: Vec<usize> = (0..pieces.len()).collect();
    let by_place = index(pieces.iter().map(|piece| piece.line));
    let mut looks = 0;
    for (own, piece) in pieces.iter().enumerate() {
        let way = piece.line.delta() / length(piece.line);
        for (end, ahead) in [(piece.line.start, way * -gap_m), (piece.line.end, way * gap_m)] {
            let ray = Line::new(end, end + ahead);
            for found in by_place.locate_in_envelope_intersecting(&around(ray, 0.35 + MEETS_M)) {
                looks += 1;
                if looks > MOST_LOOKS {
                    break;
                }
                let other = &pieces[found.data];
                let off = distance(other.line, seen_from(other.line, end));
                let meets = off <= half(piece) + half(other) + MEETS_M;
                // The end of a longer one: a shelf before a wall faces it, too.
                let faces = || {
                    let ahead = seen(ray, half(piece), other.line, half(other));
                    length(piece.line) >= length(other.line)
                        && ahead.is_some_and(|ahead| ahead.off_m <= DOOR_M.min(gap_m))
                };
                let goes_on = || {
                    askew(piece.line, other.line) < 0.02
                        && off <= gap_m
                        && seen_from(piece.line, other.line.start).1.abs() <= 0.03
                        && (half(piece) - half(other)).abs() < 0.01
                };
                if meets || faces() || goes_on() {
                    let (a, b) = (root(&mut above, own), root(&mut above, found.data));
                    above[a.max(b)] = a.min(b);
                }
            }
        }
    }
    (0..pieces.len()).map(|own| root(&mut above, own)).collect()
}

/// Faces without those that run in rows at equal steps: stairs, tiles, slats, hatching.
pub(super) fn without_rows(faces: Vec<Face>) -> Vec<Face> {
    let by_place = index(faces.iter().map(|face| face.line));
    let mut looks = 0;
    let mut is_in_row = |own: usize| {
        let line = faces[own].line;
        let mut offs: Vec<f64> = vec![0.0];
        let reach = STEP_M * STEPS as f64;
        for found in by_place.locate_in_envelope_intersecting(&around(line, reach)).take(400) {
            looks += 1;
            let other = &faces[found.data];
            let alike = (0.7..=1.43).contains(&(length(other.line) / length(line)));
            if looks > MOST_LOOKS || !alike || askew(other.line, line) > 0.0175 {
                continue;
            }
            let middle = (other.line.start + other.line.end) * 0.5;
            let (at, off) = seen_from(line, middle);
            let beside = (at - length(line) / 2.0).abs() < 0.3 * length(line);
            if beside && off.abs() > 0.005 && other.group == faces[own].group {
                offs.push(off);
            }
        }
        offs.sort_by(f64::total_cmp);
        offs.dedup_by(|a, b| (*a - *b).abs() < 0.005);
        // The steps from each line to the next: as many alike in a row, this line among them.
        (STEPS <= offs.len())
            && offs.windows(STEPS).any(|row| {
                let step = (row[STEPS - 1] - row[0]) / (STEPS - 1) as f64;
                let even = row
                    .windows(2)
                    .all(|pair| ((pair[1] - pair[0]) - step).abs() <= (0.12 * step).max(0.004));
                even && step <= STEP_M && row[0] <= 1e-9 && row[STEPS - 1] >= -1e-9
            })
    };
    let rows: Vec<bool> = (0..faces.len()).map(&mut is_in_row).collect();
    faces.into_iter().zip(rows).filter(|(_, row)| !row).map(|(face, _)| face).collect()
}
