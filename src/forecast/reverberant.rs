//! What rings in the rooms of a plan at one frequency.
//!
//! In rooms with parallel walls a wave keeps its direction, up to mirror images: what runs level
//! between metal walls stays when what goes up has left by the ceiling. So there is a balance for
//! each of some directions, in which a face counts as large as it looks and with what it does at
//! that angle, and the mean of what they give is taken. Against the sum of all images of a box this
//! is within 1.3 dB where one balance for all directions misses 3 dB (tested in `radio`).

use std::f64::consts::FRAC_PI_2;
use std::sync::OnceLock;

use super::surfaces::Surfaces;
use radio::{ReverberantRoom, reverberant_gain};
use trace::{Enclosure, Enclosures, Point, dot};

/// Share of the reverberant power of the balance that is there: faces of some wavelengths send back
/// less than endless ones (chosen together with [`super::sum::SCATTERED`] on full-wave solutions of
/// thirty-five houses; 0.3 to 0.5 do as well).
const REVERBERANT_SHARE: f64 = 0.4;

/// Greatest share of what strikes a face that stays in the house: what stands before it and in its
/// joints takes some, even of bare metal (common practice, no source).
const MOST_KEPT: f64 = 0.95;

/// Faces of less are none, square metres: nothing is divided by zero.
const LEAST_FACE_M2: f64 = 1e-3;

/// Steps of the height of a direction, the sine of its elevation, from level to upright.
const RISES: u32 = 5;

/// Steps of its azimuth over a right angle (with 8 and 6 steps 14,000 points of full-wave houses
/// change by 0.03 dB RMS).
const AZIMUTHS: u32 = 4;

/// Walls of which less than this part is at other angles are all at right angles.
const SAME_DIRECTION: f64 = 1e-9;

/// The reverberation of a plan's rooms at one frequency, worked out room by room when it is asked
/// for.
#[derive(Debug, Clone)]
pub(super) struct Reverberation {
    /// Paths of so many reflections are followed one by one.
    followed: u8,
    rooms: OnceLock<Rooms>,
}

#[derive(Debug, Clone)]
struct Rooms {
    /// The balance of all rooms, for waves of one direction each.
    balances: Vec<Vec<ReverberantRoom>>,
    /// From each room to all, once it is known.
    gains: Vec<OnceLock<Vec<f64>>>,
}

impl Reverberation {
    /// Nothing is known yet.
    pub fn new(followed: u8) -> Self {
        Self { followed, rooms: OnceLock::new() }
    }

    /// The same of other surfaces.
    pub fn anew(&self) -> Self {
        Self::new(self.followed)
    }

    /// Power that rings from one room to each, `metre` being that of free space at one metre.
    pub fn from(
        &self,
        (enclosures, surfaces): (&Enclosures, &Surfaces),
        (room, metre): (u32, f64),
    ) -> &[f64] {
        let rooms = self.rooms.get_or_init(|| Rooms::new(enclosures, surfaces));
        rooms.gains[room as usize].get_or_init(|| {
            let mut gains = rooms.from(room as usize, self.followed);
            gains.iter_mut().for_each(|gain| *gain *= REVERBERANT_SHARE * metre);
            gains
        })
    }
}

impl Rooms {
    fn new(enclosures: &Enclosures, surfaces: &Surfaces) -> Self {
        let all = enclosures.all();
        let balances = directions(all).into_iter().map(|direction| {
            let rooms = all.iter().zip(0u32..);
            rooms.map(|one| balance(one, surfaces, direction)).collect()
        });
        Self { balances: balances.collect(), gains: vec![OnceLock::new(); all.len()] }
    }

    /// What rings from one room to all: the mean over all directions.
    fn from(&self, source: usize, followed: u8) -> Vec<f64> {
        let mut mean = vec![0.0; self.gains.len()];
        for balance in &self.balances {
            let gains = reverberant_gain(balance, source, followed);
            for (sum, gain) in mean.iter_mut().zip(gains) {
                *sum += gain;
            }
        }
        let count = self.balances.len().max(1) as f64;
        mean.iter_mut().for_each(|sum| *sum /= count);
        mean
    }
}

/// One direction of waves: its level part, and how far it rises, of a vector of length one.
#[derive(Debug, Clone, Copy)]
struct Direction {
    level: Point,
    rise: f64,
}

/// Directions, alike over the sphere, seen from the direction that most walls have: what is turned
/// with the plan. Where all walls are at right angles, those of one quarter stand for all.
fn directions(rooms: &[Enclosure]) -> Vec<Direction> {
    let (mut along, mut across, mut all_m2) = (0.0, 0.0, 0.0);
    for face in rooms.iter().flat_map(|room| &room.faces) {
        if let Some(normal) = face.normal {
            let (sin, cos) = (4.0 * normal.y.atan2(normal.x)).sin_cos();
            along += face.area_m2 * cos;
            across += face.area_m2 * sin;
            all_m2 += face.area_m2;
        }
    }
    let first = f64::atan2(across, along) / 4.0;
    let is_square = f64::hypot(across, along) > all_m2 * (1.0 - SAME_DIRECTION);
    let azimuths = if is_square { AZIMUTHS } else { 2 * AZIMUTHS };
    let step = |number: u32, of: u32| (f64::from(number) + 0.5) / f64::from(of);
    let rises = (0..RISES).map(|rise| step(rise, RISES));
    let all = rises.flat_map(|rise| {
        let level = (1.0 - rise * rise).sqrt();
        (0..azimuths).map(move |azimuth| {
            let (sin, cos) = (first + FRAC_PI_2 * step(azimuth, AZIMUTHS)).sin_cos();
            Direction { level: Point { x: level * cos, y: level * sin }, rise }
        })
    });
    all.collect()
}

/// The balance of a room for waves of one direction, whose mirror images all faces keep.
fn balance(
    (room, own): (&Enclosure, u32),
    surfaces: &Surfaces,
    direction: Direction,
) -> ReverberantRoom {
    let (mut area_m2, mut reflected_m2) = (0.0, 0.0);
    let mut passed_m2: Vec<(usize, f64)> = Vec::new();
    for face in &room.faces {
        let cos = face.normal.map_or(direction.rise, |normal| dot(normal, direction.level).abs());
        let surface = surfaces.get(face.surface);
        let passed = surface.passed_within(cos).min(1.0);
        let reflected = surface.reflected(face.side, cos).min(MOST_KEPT - passed).max(0.0);
        // As large as it looks; in the mean over all directions this is the area itself.
        let seen_m2 = 2.0 * face.area_m2 * cos;
        area_m2 += seen_m2;
        reflected_m2 += seen_m2 * reflected;
        match face.beyond {
            // What goes through a wall that stands free in a room never left it.
            Some(beyond) if beyond == own => area_m2 -= seen_m2 * passed,
            Some(beyond) => passed_m2.push((beyond as usize, seen_m2 * passed)),
            None => {}
        }
    }
    let share = area_m2.max(LEAST_FACE_M2).recip();
    ReverberantRoom {
        area_m2,
        reflected: reflected_m2 * share,
        passed: passed_m2.into_iter().map(|(room, passed)| (room, passed * share)).collect(),
    }
}
