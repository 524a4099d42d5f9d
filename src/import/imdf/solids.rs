//! What stands between spaces: walls drawn with their thickness, pillars, shafts.

use std::collections::BTreeMap;

use geo::{Area, Coord, Line, Polygon};

use super::categories::{Matter, Space};
use super::notes::{Notes, Why};
use super::venue::{Unit, Venue};
use crate::areas::sound;
use crate::joints::THICKEST_WALL_M;
use crate::line::length;
use crate::{LEAVE_OUT, Piece, Settings, What};

/// Thinnest, metres: below it two corners are hardly two places.
const THINNEST_WALL_M: f64 = 0.02;
/// A wall is at least so many times as long as thick (our own choice).
const LONG: f64 = 2.0;

/// How many were drawn of each matter and construction.
pub(super) type Drawn<'s> = BTreeMap<(Matter, &'s str), usize>;

/// How a solid area is drawn in the plan.
pub(super) enum Form {
    /// A wall on its centre line, of a thickness in metres.
    Strip(Line<f64>, f64),
    Block(Polygon<f64>),
}

/// The form of a solid area; nothing if it cannot be drawn.
pub(super) fn form(area: &Polygon<f64>, matter: Matter) -> Option<Form> {
    let strip = if matter == Matter::COLUMN { None } else { strip(area) };
    match strip {
        Some((line, thickness_m)) => Some(Form::Strip(line, thickness_m)),
        None => sound(area).map(Form::Block),
    }
}

/// The construction that the user maps a solid unit's category to.
pub(super) fn mapped(matter: Matter, settings: &Settings) -> Option<&str> {
    settings.map.get(matter.key()).map(String::as_str)
}

/// The centre line and thickness of a strip with four corners.
fn strip(area: &Polygon<f64>) -> Option<(Line<f64>, f64)> {
    if !area.interiors().is_empty() {
        return None;
    }
    let corners = corners(area);
    let [a, b, c, d] = corners.as_slice() else { return None };
    let side = |a, b| length(Line::new(a, b));
    let first = side(*a, *b).max(side(*c, *d));
    let second = side(*b, *c).max(side(*d, *a));
    let middle = |from: &Coord<f64>, to: &Coord<f64>| (*from + *to) / 2.0;
    let line = if first < second {
        Line::new(middle(a, b), middle(c, d))
    } else {
        Line::new(middle(b, c), middle(d, a))
    };
    let long = length(line);
    let thickness_m = area.unsigned_area() / long;
    let ends = first.min(second);
    // The ends must be as short as the strip is thick, or it is no strip but a wedge.
    let fits = (THINNEST_WALL_M..=THICKEST_WALL_M).contains(&thickness_m)
        && long >= LONG * thickness_m
        && ends <= 1.5 * thickness_m;
    fits.then_some((line, thickness_m))
}

/// The corners of an area's edge, without those in the middle of a straight piece.
fn corners(area: &Polygon<f64>) -> Vec<Coord<f64>> {
    let mut ring: Vec<Coord<f64>> = area.exterior().0.clone();
    ring.pop();
    ring.dedup();
    let count = ring.len();
    let mut kept = Vec::new();
    for (number, at) in ring.iter().enumerate() {
        let before = ring.get((number + count - 1) % count).copied().unwrap_or(*at);
        let after = ring.get((number + 1) % count).copied().unwrap_or(*at);
        let chord = after - before;
        let off = (*at - before).x * chord.y - (*at - before).y * chord.x;
        let long = chord.x.hypot(chord.y);
        if long == 0.0 || off.abs() / long > 0.005 {
            kept.push(*at);
        }
    }
    kept
}

pub(super) fn solids(venue: &Venue) -> impl Iterator<Item = (&Unit, Matter)> {
    venue.units.iter().filter_map(|unit| match unit.space {
        Space::Solid(matter) => Some((unit, matter)),
        _ => None,
    })
}

/// Draws the solid units that are no strips.
pub(super) fn draw_obstacles(venue: &Venue, settings: &Settings, notes: &mut Notes) {
    let mut drawn = Drawn::new();
    for (unit, matter) in solids(venue) {
        let mapped = mapped(matter, settings);
        if mapped == Some(LEAVE_OUT) {
            notes.leave_out(unit.member, &unit.id, Why::Asked);
            continue;
        }
        let construction = mapped.unwrap_or_else(|| matter.face());
        let floor = &venue.floors[unit.floor];
        for area in &unit.areas {
            match form(area, matter) {
                Some(Form::Block(outline)) => {
                    let made = construction.to_owned();
                    let what = What::Obstacle { construction: made, base_m: None, top_m: None };
                    let piece = Piece::new(matter.name(), floor.ordinal, outline, what);
                    notes.pieces.push(piece.named(unit.named.then(|| unit.name.clone())));
                    if mapped.is_none() {
                        *drawn.entry((matter, construction)).or_default() += 1;
                    }
                }
                Some(Form::Strip(..)) => {}
                // A fixture bounds no room, so it has no walls either.
                None if unit.member == "fixture.geojson" => {
                    notes.leave_out(unit.member, &unit.id, Why::Empty);
                }
                None => notes.leave_out(unit.member, &unit.id, Why::Crossing),
            }
        }
    }
    report(drawn, "was taken as solid, with faces of", notes);
}

/// Tells what solid units and fixtures were taken as, where the user did not say it.
pub(super) fn report(drawn: Drawn<'_>, taken: &str, notes: &mut Notes) {
    for ((matter, construction), pieces) in drawn {
        let taken = format!("{taken} {construction}, from floor to ceiling");
        let fix = format!("say what it is built of with --map {}=NAME", matter.key());
        notes.guesses.add(matter.name(), taken, fix, pieces);
    }
}
