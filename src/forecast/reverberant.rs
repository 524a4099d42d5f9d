//! What rings in the rooms of a plan at one frequency.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::surfaces::{Surface, Surfaces};
use radio::{ReverberantRoom, reverberant_gain};
use trace::{Enclosure, Enclosures, Point, SurfaceId};

/// Share of the reverberant power, were all waves in a room to come from everywhere alike, that is
/// there: in houses they keep to some directions, and those that go up and down leave first (chosen
/// together with [`super::sum::SCATTERED`] on full-wave solutions of nine houses; 0.25 to 0.7 do as
/// well).
const DIFFUSE_SHARE: f64 = 0.4;

/// Greatest share of what strikes a face that stays in the house: what stands before it and in its
/// joints takes some, even of bare metal (common practice, no source).
const MOST_KEPT: f64 = 0.9;

/// Faces of less are none, square metres: nothing is divided by zero.
const LEAST_FACE_M2: f64 = 1e-3;

/// Steps over the cosine of incidence of a mean over all directions.
const COSINES: u32 = 32;

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
    balance: Vec<ReverberantRoom>,
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

    /// Power that rings from one place to another, metres and heights, over that of free space at
    /// one metre; nothing where either is outside all rooms.
    pub fn between(
        &self,
        (enclosures, surfaces): (&Enclosures, &Surfaces),
        from: (Point, f64),
        to: (Point, f64),
    ) -> f64 {
        let at = |(place, height)| enclosures.at(place, height).map(|room| room as usize);
        let Some((from, to)) = at(from).and_then(|from| Some((from, at(to)?))) else { return 0.0 };
        let rooms = self.rooms.get_or_init(|| Rooms::new(enclosures, surfaces));
        let gains =
            rooms.gains[from].get_or_init(|| reverberant_gain(&rooms.balance, from, self.followed));
        DIFFUSE_SHARE * gains[to]
    }
}

impl Rooms {
    fn new(enclosures: &Enclosures, surfaces: &Surfaces) -> Self {
        let mut known = BTreeMap::new();
        let rooms = enclosures.all().iter().zip(0u32..);
        let balance: Vec<ReverberantRoom> =
            rooms.map(|one| balance(one, surfaces, &mut known)).collect();
        let gains = vec![OnceLock::new(); balance.len()];
        Self { balance, gains }
    }
}

/// Shares of what strikes a surface from all directions, 0 to 1.
#[derive(Clone, Copy)]
struct Shares {
    passed: f64,
    reflected: f64,
}

impl Shares {
    fn of(surface: &Surface) -> Self {
        let passed = mean(|cos| surface.passed_within(cos)).min(1.0);
        let reflected = mean(|cos| surface.reflected(cos)).min(MOST_KEPT - passed).max(0.0);
        Self { passed, reflected }
    }
}

/// The balance of a room. `known` are the surfaces that were met before.
fn balance(
    (room, own): (&Enclosure, u32),
    surfaces: &Surfaces,
    known: &mut BTreeMap<SurfaceId, Shares>,
) -> ReverberantRoom {
    let (mut area_m2, mut reflected_m2) = (0.0, 0.0);
    let mut passed_m2: Vec<(usize, f64)> = Vec::new();
    for face in &room.faces {
        let shares = || Shares::of(surfaces.get(face.surface));
        let Shares { passed, reflected } = *known.entry(face.surface).or_insert_with(shares);
        area_m2 += face.area_m2;
        reflected_m2 += face.area_m2 * reflected;
        match face.beyond {
            // What goes through a wall that stands free in a room never left it.
            Some(beyond) if beyond == own => area_m2 -= face.area_m2 * passed,
            Some(beyond) => passed_m2.push((beyond as usize, face.area_m2 * passed)),
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

/// The mean over waves from all directions of what a share is at a cosine of incidence.
fn mean(share: impl Fn(f64) -> f64) -> f64 {
    let cosines = (0..COSINES).map(|step| (f64::from(step) + 0.5) / f64::from(COSINES));
    cosines.map(|cos| 2.0 * cos * share(cos)).sum::<f64>() / f64::from(COSINES)
}
