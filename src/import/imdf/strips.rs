//! Walls that are drawn as units of their own: strips with four corners.

use std::collections::BTreeMap;

use geo::{Coord, Line};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line as Stretch};

use super::categories::Matter;
use super::notes::Notes;
use super::outline::to_millimetre;
use super::site::Site;
use super::solids::{Form, THICKEST_WALL_M, form, mapped, solids};
use super::walls::{Wall, piece};
use crate::{Draft, LEAVE_OUT, Settings, What};

/// Strips no farther apart than this touch, metres.
const TOUCHING_M: f64 = 0.03;

/// Most strips around an end that are looked at: it bounds the time that a hostile file can cost.
const MAX_AROUND: usize = 50;

/// A strip's centre line and its number.
type Numbered = GeomWithData<Stretch<[f64; 2]>, usize>;

/// A strip as a wall.
struct Strip<'s> {
    level: i32,
    line: Line<f64>,
    thickness_m: f64,
    matter: Matter,
    mapped: Option<&'s str>,
}

/// Draws the solid units and fixtures that are strips as walls. Where one ends at the face of another, it goes on
/// to the centre line of that, so that rooms are closed.
pub(super) fn draw(
    site: &Site,
    settings: &Settings,
    outside: impl Fn(i32, Coord<f64>) -> bool,
    draft: &mut Draft,
    notes: &mut Notes,
    walls: &mut Vec<Wall>,
) {
    let strips = strips(site, settings);
    let mut levels: BTreeMap<i32, Vec<Numbered>> = BTreeMap::new();
    for (number, strip) in strips.iter().enumerate() {
        let (a, b) = (strip.line.start, strip.line.end);
        let stretch = GeomWithData::new(Stretch::new([a.x, a.y], [b.x, b.y]), number);
        levels.entry(strip.level).or_default().push(stretch);
    }
    let levels: BTreeMap<i32, RTree<_>> =
        levels.into_iter().map(|(level, all)| (level, RTree::bulk_load(all))).collect();
    let mut drawn: BTreeMap<(Matter, &str), usize> = BTreeMap::new();
    for (number, strip) in strips.iter().enumerate() {
        let Some(index) = levels.get(&strip.level) else {
            continue;
        };
        let around = |at: Coord<f64>| {
            let reach = THICKEST_WALL_M / 2.0 + TOUCHING_M;
            let near = index.locate_within_distance([at.x, at.y], reach * reach);
            let near = near.map(|stretch| stretch.data).filter(|other| *other != number);
            let mut near: Vec<usize> = near.take(MAX_AROUND).collect();
            near.sort_unstable();
            near.into_iter().filter_map(|other| strips.get(other)).collect::<Vec<_>>()
        };
        let Line { start, end } = strip.line;
        let line = Line::new(
            lengthened(Line::new(end, start), &around(start)),
            lengthened(strip.line, &around(end)),
        );
        let wall = Wall {
            level: strip.level,
            line: Line::new(to_millimetre(line.start), to_millimetre(line.end)),
            outside: outside(strip.level, (line.start + line.end) / 2.0),
        };
        walls.push(wall);
        let construction = strip.mapped.unwrap_or_else(|| strip.matter.wall(strip.thickness_m));
        if strip.mapped.is_none() {
            *drawn.entry((strip.matter, construction)).or_default() += 1;
        }
        let what = What::Wall {
            construction: construction.to_owned(),
            thickness_mm: Some((strip.thickness_m * 1e3).round()),
            base_m: None,
            top_m: None,
        };
        draft.pieces.push(piece(wall, what));
    }
    for ((matter, construction), pieces) in drawn {
        notes.guess(
            matter.name(),
            format!(
                "drawn as a strip was taken as a wall of {construction}, from floor to ceiling"
            ),
            &format!("say what it is built of with --map {}=NAME", matter.key()),
            pieces,
        );
    }
}

fn strips<'s>(site: &Site, settings: &'s Settings) -> Vec<Strip<'s>> {
    let mut strips = Vec::new();
    for (unit, matter) in solids(site) {
        let mapped = mapped(matter, settings);
        let floor = site.floors.get(unit.floor);
        let Some(floor) = floor.filter(|_| mapped != Some(LEAVE_OUT)) else {
            continue;
        };
        for area in &unit.areas {
            if let Some(Form::Strip(line, thickness_m)) = form(area, matter) {
                strips.push(Strip { level: floor.ordinal, line, thickness_m, matter, mapped });
            }
        }
    }
    strips
}

/// Where a line should end, so that it meets the centre line of the nearest strip whose face it touches.
fn lengthened(line: Line<f64>, around: &[&Strip<'_>]) -> Coord<f64> {
    let run = line.delta();
    let long = run.x.hypot(run.y);
    let mut least: Option<f64> = None;
    for other in around {
        let across = other.line.delta();
        let across_long = across.x.hypot(across.y);
        let cross = run.x * across.y - run.y * across.x;
        // As good as parallel: they meet nowhere near.
        if cross.abs() <= 0.2 * long * across_long {
            continue;
        }
        let to = other.line.start - line.end;
        let further_m = (to.x * across.y - to.y * across.x) / cross * long;
        let along_m = (to.x * run.y - to.y * run.x) / cross * across_long;
        let reach_m = other.thickness_m + TOUCHING_M;
        let on_it = along_m >= -reach_m && along_m <= across_long + reach_m;
        if on_it && further_m > 0.0 && further_m <= reach_m {
            least = Some(least.map_or(further_m, |least| least.min(further_m)));
        }
    }
    match least {
        Some(further_m) => line.end + run * (further_m / long),
        None => line.end,
    }
}
