//! What stands between spaces: walls drawn with their thickness, pillars, shafts.

use std::collections::BTreeMap;

use geo::{Area, Coord, Geometry, Line, Polygon};

use super::categories::{Matter, Space};
use super::notes::{Notes, Why};
use super::outline::sound;
use super::site::{Site, Unit};
use crate::{Draft, LEAVE_OUT, Piece, Settings, What};

/// Thickest strip that is taken for a wall, metres (our own choice: beyond old masonry).
pub(super) const THICKEST_WALL_M: f64 = 0.6;
/// Thinnest, metres: below it two corners are hardly two places.
const THINNEST_WALL_M: f64 = 0.02;
/// A wall is at least so many times as long as thick (our own choice).
const LONG: f64 = 2.0;

/// How a solid area is drawn in the plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Form {
    /// A wall on its centre line, of a thickness in metres.
    Strip(Line<f64>, f64),
    /// An obstacle.
    Block(Polygon<f64>),
}

/// The form of a solid area; nothing if it cannot be drawn.
pub(super) fn form(area: &Polygon<f64>, matter: Matter) -> Option<Form> {
    let strip = match matter {
        Matter::Column => None,
        _ => strip(area),
    };
    match strip {
        Some((line, thickness_m)) => Some(Form::Strip(line, thickness_m)),
        None => sound(area).map(Form::Block),
    }
}

/// The construction that the user maps a solid unit's category to.
pub(super) fn mapped(matter: Matter, settings: &Settings) -> Option<&str> {
    settings.map.get(&matter.key()).map(String::as_str)
}

/// The centre line and thickness of a strip with four corners.
fn strip(area: &Polygon<f64>) -> Option<(Line<f64>, f64)> {
    if !area.interiors().is_empty() {
        return None;
    }
    let corners = corners(area);
    let [a, b, c, d] = corners.as_slice() else {
        return None;
    };
    let (first, second) = (length(*a, *b).max(length(*c, *d)), length(*b, *c).max(length(*d, *a)));
    let middle = |from: &Coord<f64>, to: &Coord<f64>| (*from + *to) / 2.0;
    let line = if first < second {
        Line::new(middle(a, b), middle(c, d))
    } else {
        Line::new(middle(b, c), middle(d, a))
    };
    let long = length(line.start, line.end);
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

fn length(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// The solid units with their matter.
pub(super) fn solids(site: &Site) -> impl Iterator<Item = (&Unit, Matter)> {
    site.units.iter().filter_map(|unit| match unit.space {
        Space::Solid(matter) => Some((unit, matter)),
        _ => None,
    })
}

/// Draws the solid units that are no strips.
pub(super) fn draw_obstacles(
    site: &Site,
    settings: &Settings,
    draft: &mut Draft,
    notes: &mut Notes,
) {
    let mut drawn: BTreeMap<(Matter, &str), usize> = BTreeMap::new();
    for (unit, matter) in solids(site) {
        let mapped = mapped(matter, settings);
        if mapped == Some(LEAVE_OUT) {
            notes.leave_out_id(unit.member, &unit.id, Why::Asked);
            continue;
        }
        let construction = mapped.unwrap_or_else(|| matter.face());
        let Some(floor) = site.floors.get(unit.floor) else {
            continue;
        };
        for area in &unit.areas {
            match form(area, matter) {
                Some(Form::Block(outline)) => {
                    draft.pieces.push(Piece {
                        id: matter.name().to_owned(),
                        name: unit.named.then(|| unit.name.clone()),
                        level: floor.ordinal,
                        shape: Geometry::Polygon(outline),
                        what: What::Obstacle {
                            construction: construction.to_owned(),
                            base_m: None,
                            top_m: None,
                        },
                    });
                    if mapped.is_none() {
                        *drawn.entry((matter, construction)).or_default() += 1;
                    }
                }
                Some(Form::Strip(..)) => {}
                // A fixture bounds no room, so it has no walls either.
                None if unit.member == "fixture.geojson" => {
                    notes.leave_out_id(unit.member, &unit.id, Why::Empty);
                }
                None => notes.leave_out_id(unit.member, &unit.id, Why::Crossing),
            }
        }
    }
    for ((matter, construction), pieces) in drawn {
        notes.guess(
            matter.name(),
            format!(
                "was taken as a solid thing with faces of {construction}, from floor to ceiling"
            ),
            &format!("say what it is built of with --map {}=NAME", matter.key()),
            pieces,
        );
    }
}
