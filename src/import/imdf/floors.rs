//! The outlines of levels as floors.

use std::collections::BTreeMap;

use geo::{Area, BooleanOps, CoordsIter, MultiPolygon, Polygon, unary_union};

use super::categories::Space;
use super::notes::Notes;
use super::venue::Venue;
use crate::areas::sound;
use crate::{FLOOR, Piece, What};

/// Most corners of what is united or cut out on a level: crossings cost time with their square.
const MAX_CORNERS: usize = 2_000;

/// Smallest floor that is drawn, m².
const MIN_FLOOR_M2: f64 = 0.1;

type Areas = Vec<Polygon<f64>>;

/// Draws the floor of every level but the lowest: that one lies on the ground.
pub(super) fn draw(venue: &Venue, notes: &mut Notes) {
    let mut levels: BTreeMap<i32, (Areas, Areas)> = BTreeMap::new();
    for floor in &venue.floors {
        let (areas, _) = levels.entry(floor.ordinal).or_default();
        areas.extend(floor.areas.iter().cloned());
    }
    for unit in venue.units.iter().filter(|unit| unit.space == Space::Void) {
        let (_, voids) = levels.entry(venue.floors[unit.floor].ordinal).or_default();
        voids.extend(unit.areas.iter().cloned());
    }
    let (mut drawn, mut holes, mut lost, mut uncut) = (0, 0, 0, 0);
    for (level, (areas, voids)) in levels.into_iter().skip(1) {
        let corners = areas.iter().chain(&voids).map(CoordsIter::coords_count).sum::<usize>();
        let floors = if corners <= MAX_CORNERS {
            let whole = unary_union(&areas);
            holes += voids.len();
            if voids.is_empty() { whole } else { whole.difference(&unary_union(&voids)) }
        } else {
            uncut += voids.len();
            MultiPolygon::new(areas)
        };
        for area in floors.into_iter().filter(|area| area.unsigned_area() >= MIN_FLOOR_M2) {
            let Some(outline) = sound(&area) else {
                lost += 1;
                continue;
            };
            drawn += 1;
            let what = What::Slab { construction: FLOOR.to_owned() };
            notes.pieces.push(Piece::new("floor", level, outline, what));
        }
    }
    let taken =
        format!("were taken as {FLOOR}, with the outline of the level; the lowest level has none");
    notes.guesses.add("floors", taken, "name another construction in the plan", drawn);
    let taken = "was taken as a hole in the floor, without a wall round it";
    let fix = "if it has glass or a wall round it, draw that in the plan";
    notes.guesses.add("opentobelow", taken, fix, holes);
    let taken = "were left out, because their outlines cross themselves or are too long";
    notes.guesses.add("floors", taken, "draw the slab in the plan", lost);
    let taken = "was not cut out of its floor, because the level has too many corners";
    notes.guesses.add("opentobelow", taken, "cut the hole in the plan", uncut);
}
