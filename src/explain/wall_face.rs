//! What a device hangs on, and where it may slide.

use geo::{Contains as _, Coord, Intersects as _, Line};
use serde::Serialize;

use forecast::thickness;
use plan::{Device, Obstacle, Plan, Wall};
use siting::distance_to_line;
use trace::{dot, left_of, norm};

/// A device whose middle is no farther from a wall's face hangs on it, metres (common practice, no
/// source: cases are some centimetres deep, frames stand off a little more).
const HANGS_WITHIN_M: f64 = 0.15;

/// How near a device may come to a corner, another wall or an opening's edge, metres.
const CLEAR_M: f64 = 0.03;

/// Which way along a wall, as one sees it who faces the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl Side {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// A face of a straight piece of wall on which a device hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallFace {
    /// Index of the wall in [`Plan::walls`].
    pub wall: usize,
    /// Index of the segment of its line.
    pub segment: usize,
    /// Unit vector along it.
    pub along: Coord<f64>,
    /// Unit vector off the face, to the device's side.
    pub off: Coord<f64>,
    /// The segment's length, metres.
    pub length_m: f64,
    /// Where the device is along it, metres.
    pub s_m: f64,
}

/// The face that a device hangs on: that of the nearest wall of its level that is there at its
/// height; `None` on a ceiling and away from walls. A device on the centre line is taken to look to
/// the left.
#[must_use]
pub fn wall_face(plan: &Plan, device: &Device) -> Option<WallFace> {
    if device.mount.as_deref() == Some("ceiling") {
        return None;
    }
    let at = device.position;
    let faces = walls_at(plan, device.level, device.height_m).flat_map(|(number, wall)| {
        let half_m = thickness(plan, &wall.construction).0 / 2.0;
        let lines = wall.line.lines().enumerate();
        lines.map(move |(segment, line)| {
            let from_face = distance_to_line(at, line) - half_m;
            (from_face, number, segment, line)
        })
    });
    let (_, wall, segment, line) = faces
        .filter(|(from_face, ..)| *from_face <= HANGS_WITHIN_M)
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let length_m = norm(line.delta());
    let along = line.delta() / length_m;
    let left = left_of(along);
    let s_m = dot(along, at - line.start);
    // Beyond the wall's end it hangs on no face of it.
    if !(0.0..=length_m).contains(&s_m) {
        return None;
    }
    let is_left = dot(left, at - line.start) >= 0.0;
    Some(WallFace {
        wall,
        segment,
        along,
        off: if is_left { left } else { left * -1.0 },
        length_m,
        s_m,
    })
}

impl WallFace {
    /// Which way a step along the segment leads.
    #[must_use]
    pub fn side(&self, step_m: f64) -> Side {
        // Who faces the wall looks against `off`; the right hand is then to the left of `off`.
        let to_the_right = dot(left_of(self.off), self.along) * step_m;
        if to_the_right > 0.0 { Side::Right } else { Side::Left }
    }

    /// Whether a place along the segment lies over an opening at some height.
    #[must_use]
    pub fn over_opening(&self, plan: &Plan, s_m: f64, height_m: f64) -> bool {
        let mut own = plan
            .openings
            .iter()
            .filter(|opening| opening.wall == self.wall && opening.segment == self.segment);
        own.any(|opening| {
            s_m > opening.from_m - CLEAR_M
                && s_m < opening.to_m + CLEAR_M
                && (opening.base_m..opening.top_m).contains(&height_m)
        })
    }
}

/// Distance between two places along a wall, metres.
const STEP_M: f64 = 0.05;

/// The places at which a device is tried when it may be moved by up to `reach_m` at its height:
/// along the wall that it hangs on, with the side that each lies to, else all round. No step to any
/// of them leads through a wall, a door, a window or an obstacle.
#[must_use]
pub fn places(plan: &Plan, device: &Device, reach_m: f64) -> Vec<(Coord<f64>, Option<Side>)> {
    match wall_face(plan, device) {
        Some(face) => along_wall(plan, device, &face, reach_m, STEP_M)
            .into_iter()
            .map(|(step, to)| (to, Some(face.side(step))))
            .collect(),
        None => all_round(plan, device, reach_m).into_iter().map(|to| (to, None)).collect(),
    }
}

/// The places that a device can be moved to along the wall that it hangs on: steps of `step_m` to
/// either side, up to `reach_m`, as far as the wall goes, no opening begins, and nothing stands in
/// the way. Each with its signed distance along the segment.
pub(super) fn along_wall(
    plan: &Plan,
    device: &Device,
    face: &WallFace,
    reach_m: f64,
    step_m: f64,
) -> Vec<(f64, Coord<f64>)> {
    let now_over = face.over_opening(plan, face.s_m, device.height_m);
    let steps = (reach_m / step_m + 1e-9).floor() as usize;
    let mut places = Vec::new();
    for sign in [-1.0, 1.0] {
        let mut before = device.position;
        for number in 1..=steps {
            let step = sign * step_m * number as f64;
            let s = face.s_m + step;
            let to = device.position + face.along * step;
            let leaves = !(CLEAR_M..=face.length_m - CLEAR_M).contains(&s);
            let over = !now_over && face.over_opening(plan, s, device.height_m);
            if leaves || over || is_barred(plan, device, before, to, Some(face)) {
                break;
            }
            places.push((step, to));
            before = to;
        }
    }
    places
}

/// The places that a device which hangs on no wall can be moved to: on rings round it, in as many
/// directions, each as far as nothing stands in the way.
fn all_round(plan: &Plan, device: &Device, reach_m: f64) -> Vec<Coord<f64>> {
    const DIRECTIONS: u32 = 16;
    const RINGS: u32 = 5;
    let mut places = Vec::new();
    for direction in 0..DIRECTIONS {
        let angle = std::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
        let ahead = Coord { x: libm::cos(angle), y: libm::sin(angle) };
        let mut before = device.position;
        for ring in 1..=RINGS {
            let to = device.position + ahead * (reach_m * f64::from(ring) / f64::from(RINGS));
            if is_barred(plan, device, before, to, None) {
                break;
            }
            places.push(to);
            before = to;
        }
    }
    places
}

/// Whether a step of a device at its height would cross a wall (openings count as wall), come into
/// one, or into an obstacle. The wall that it slides along does not count.
fn is_barred(
    plan: &Plan,
    device: &Device,
    from: Coord<f64>,
    to: Coord<f64>,
    own: Option<&WallFace>,
) -> bool {
    let step = Line::new(from, to);
    for (number, wall) in walls_at(plan, device.level, device.height_m) {
        let least = thickness(plan, &wall.construction).0 / 2.0 + CLEAR_M;
        for (segment, line) in wall.line.lines().enumerate() {
            if own.is_some_and(|own| (own.wall, own.segment) == (number, segment)) {
                continue;
            }
            let (before, after) = (distance_to_line(from, line), distance_to_line(to, line));
            if step.intersects(&line) || (after < least && after < before) {
                return true;
            }
        }
    }
    obstacles_at(plan, device.level, device.height_m)
        .any(|one| one.outline.contains(&to) || one.outline.exterior().intersects(&step))
}

/// The walls of a level that are there at a height, each with its number.
fn walls_at(plan: &Plan, level: i32, z: f64) -> impl Iterator<Item = (usize, &Wall)> {
    let walls = plan.walls.iter().enumerate();
    walls.filter(move |(_, wall)| wall.level == level && (wall.base_m..wall.top_m).contains(&z))
}

/// The obstacles of a level that are there at a height.
pub(super) fn obstacles_at(plan: &Plan, level: i32, z: f64) -> impl Iterator<Item = &Obstacle> {
    let obstacles = plan.obstacles.iter();
    obstacles.filter(move |one| one.level == level && (one.base_m..one.top_m).contains(&z))
}
