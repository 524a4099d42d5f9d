//! Walls from the outline of a flat's free floor.
//!
//! The outline runs along the faces of the walls, once round all rooms, and passes through
//! doorways. A wall between two rooms thus shows as two parallel stretches with the wall between
//! them, an outer wall as one, a jamb as a short stretch across.
//!
//! * Two stretches that turn their backs to each other no more than [`THICKEST_M`] apart are the
//!   two faces of one wall: it stands midway, as far along as both run side by side. Half a wall on
//!   each face would have kept the loss but doubled the edges and the mirrors.
//! * What is left of a stretch after that is the inner face of a wall whose other face is not
//!   drawn: that wall's centre line lies half its construction's thickness behind the face. A rest
//!   shorter than [`THICKEST_M`] is a jamb or the side of a corner, no wall of its own.
//! * An end that stops less than [`THICKEST_M`] short of a wall across it is drawn on to that
//!   wall's centre line, since faces meet at corners before centre lines do.
//!
//! A doorway stays a gap up to the ceiling: the outline tells of no lintel and no leaf.

use geo::Coord;

/// Greatest thickness of one wall, metres (a choice; the flat's walls are 0.10 to 0.19 m thick and
/// its next larger solid, 0.44 m, is a flue or a pillar).
pub const THICKEST_M: f64 = 0.35;

/// Shortest stretch that two faces must run side by side, metres (rounding of the drawing).
const SHORTEST_M: f64 = 0.02;

/// A stretch of centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    pub start: Coord<f64>,
    pub end: Coord<f64>,
}

/// Centre lines of the walls round an outline, which may run either way and close itself or not.
/// `half_m` is half the thickness of walls of which one face is drawn.
pub fn centre_lines(outline: &[Coord<f64>], half_m: f64) -> Vec<Stretch> {
    let faces = faces(outline);
    let mut lines = Vec::new();
    let mut taken: Vec<Vec<(f64, f64)>> = vec![Vec::new(); faces.len()];
    for (i, face) in faces.iter().enumerate() {
        for (j, other) in faces.iter().enumerate().skip(i + 1) {
            if let (Some(here), Some(there)) = (face.backs(other), other.backs(face)) {
                taken[i].push((here.from, here.to));
                taken[j].push((there.from, there.to));
                lines.push(face.behind(here.from, here.to, here.gap / 2.0));
            }
        }
    }
    for (face, taken) in faces.iter().zip(taken) {
        for (from, to) in rest(face.length(), taken) {
            if to - from >= THICKEST_M {
                lines.push(face.behind(from, to, half_m));
            }
        }
    }
    joined(&lines)
}

impl Stretch {
    fn length(&self) -> f64 {
        (self.end.x - self.start.x).hypot(self.end.y - self.start.y)
    }

    fn along(&self) -> Coord<f64> {
        (self.end - self.start) / self.length()
    }

    /// How far a point is along the stretch and behind it (to its right), metres.
    fn local(&self, point: Coord<f64>) -> (f64, f64) {
        let (u, p) = (self.along(), point - self.start);
        (u.x * p.x + u.y * p.y, u.y * p.x - u.x * p.y)
    }

    fn behind(&self, from: f64, to: f64, depth: f64) -> Self {
        let u = self.along();
        let shift = Coord { x: u.y, y: -u.x } * depth;
        Self { start: self.start + u * from + shift, end: self.start + u * to + shift }
    }

    /// Where this face stands back to back with another, if it does.
    fn backs(&self, other: &Self) -> Option<Backed> {
        let (u, v) = (self.along(), other.along());
        let (start, gap) = self.local(other.start);
        let (end, _) = self.local(other.end);
        let from = end.min(start).max(0.0);
        let to = end.max(start).min(self.length());
        let opposed = u.x * v.x + u.y * v.y < -0.999;
        (opposed && gap > 0.0 && gap <= THICKEST_M && to - from >= SHORTEST_M).then_some(Backed {
            from,
            to,
            gap,
        })
    }
}

#[derive(Debug, Clone, Copy)]
struct Backed {
    from: f64,
    to: f64,
    gap: f64,
}

/// The sides of the outline, turned so that the rooms lie to their left.
fn faces(outline: &[Coord<f64>]) -> Vec<Stretch> {
    let next = outline.iter().cycle().skip(1);
    let mut faces: Vec<Stretch> = outline
        .iter()
        .zip(next)
        .map(|(&start, &end)| Stretch { start, end })
        .filter(|face| face.length() > 0.0)
        .collect();
    let twice_area: f64 = faces.iter().map(|f| f.start.x * f.end.y - f.end.x * f.start.y).sum();
    if twice_area < 0.0 {
        for face in &mut faces {
            std::mem::swap(&mut face.start, &mut face.end);
        }
    }
    faces
}

/// What of 0..length is not taken.
fn rest(length: f64, mut taken: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut free = Vec::new();
    let mut from = 0.0;
    for (start, end) in taken {
        if start > from {
            free.push((from, start));
        }
        from = end.max(from);
    }
    if length > from {
        free.push((from, length));
    }
    free
}

/// The lines with their ends drawn on to the walls that stand across them.
fn joined(lines: &[Stretch]) -> Vec<Stretch> {
    let reach =
        |line: &Stretch| lines.iter().filter_map(|other| drawn_on(line, other)).fold(0.0, f64::max);
    lines
        .iter()
        .map(|line| {
            let back = Stretch { start: line.end, end: line.start };
            line.behind(-reach(&back), line.length() + reach(line), 0.0)
        })
        .collect()
}

/// How far a line must be drawn on beyond its end to meet another that stands across it.
fn drawn_on(line: &Stretch, other: &Stretch) -> Option<f64> {
    let (u, v) = (line.along(), other.along());
    let across = u.y * v.x - u.x * v.y;
    if across.abs() < 0.5 {
        return None;
    }
    let (_, off) = other.local(line.end);
    let further = off / across;
    let (at, _) = other.local(line.end + u * further);
    let meets = (-THICKEST_M..=other.length() + THICKEST_M).contains(&at);
    (meets && further > 0.0 && further <= THICKEST_M).then_some(further)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Two rooms of 3 m by 2 m with a wall of 0.1 m and a doorway of 0.8 m between them.
    const ROOMS: [[f64; 2]; 8] = [
        [0.0, 0.0],
        [3.0, 0.0],
        [3.0, 1.2],
        [3.1, 1.2],
        [3.1, 0.0],
        [6.1, 0.0],
        [6.1, 2.0],
        [0.0, 2.0],
    ];

    fn lines(corners: &[[f64; 2]]) -> Vec<Stretch> {
        let outline: Vec<Coord<f64>> = corners.iter().map(|&[x, y]| Coord { x, y }).collect();
        centre_lines(&outline, 0.2)
    }

    fn is_at(line: &Stretch, start: [f64; 2], end: [f64; 2]) -> bool {
        let near = |a: Coord<f64>, b: [f64; 2]| (a.x - b[0]).hypot(a.y - b[1]) < 1e-9;
        (near(line.start, start) && near(line.end, end))
            || (near(line.start, end) && near(line.end, start))
    }

    #[test]
    fn two_faces_make_one_wall_and_the_doorway_stays_open() {
        let lines = lines(&ROOMS);
        let upright: Vec<&Stretch> = lines
            .iter()
            .filter(|l| (l.start.x - l.end.x).abs() < 1e-9 && (1.0..5.0).contains(&l.start.x))
            .collect();
        assert_eq!(upright.len(), 1, "{lines:?}");
        // From the centre line of the outer wall to the jamb.
        assert!(is_at(upright[0], [3.05, -0.2], [3.05, 1.2]), "{upright:?}");
    }

    #[test]
    fn outer_walls_stand_behind_their_face_and_meet_at_corners() {
        let lines = lines(&ROOMS);
        assert!(lines.iter().any(|l| is_at(l, [-0.2, 2.2], [6.3, 2.2])), "{lines:?}");
        assert!(lines.iter().any(|l| is_at(l, [-0.2, -0.2], [-0.2, 2.2])), "{lines:?}");
        assert!(lines.iter().any(|l| is_at(l, [-0.2, -0.2], [3.05, -0.2])), "{lines:?}");
        assert_eq!(lines.len(), 6, "{lines:?}");
    }

    #[test]
    fn the_way_round_makes_no_difference() {
        let mut backwards = ROOMS;
        backwards.reverse();
        let total = |lines: &[Stretch]| lines.iter().map(Stretch::length).sum::<f64>();
        assert_abs_diff_eq!(total(&lines(&ROOMS)), total(&lines(&backwards)), epsilon = 1e-9);
        assert_eq!(lines(&ROOMS).len(), lines(&backwards).len());
    }

    #[test]
    fn faces_too_far_apart_are_two_walls() {
        let thick = ROOMS.map(|[x, y]| if x > 3.0 { [x + 0.4, y] } else { [x, y] });
        let lines = lines(&thick);
        assert!(lines.iter().any(|l| is_at(l, [3.2, -0.2], [3.2, 1.2])), "{lines:?}");
        assert!(lines.iter().any(|l| is_at(l, [3.3, -0.2], [3.3, 1.2])), "{lines:?}");
    }
}
