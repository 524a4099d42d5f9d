//! Walls that are drawn as units of their own: strips with four corners.

use std::collections::BTreeMap;

use geo::{Coord, Line};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line as Stretch};

use super::categories::Matter;
use super::notes::Notes;
use super::solids::{Drawn, Form, THICKEST_WALL_M, form, mapped, report, solids};
use super::venue::{Venue, Wall};
use crate::line::{length, line_to_millimetre};
use crate::{LEAVE_OUT, Piece, Settings, What};

/// Strips no farther apart than this touch, metres.
const TOUCHING_M: f64 = 0.03;
/// Most strips around an end that are looked at: it bounds the time that a hostile file can cost.
const MAX_AROUND: usize = 50;

type Numbered = GeomWithData<Stretch<[f64; 2]>, usize>;

struct Strip<'s> {
    level: i32,
    line: Line<f64>,
    thickness_m: f64,
    matter: Matter,
    mapped: Option<&'s str>,
}

/// Draws the solid units and fixtures that are strips as walls. Where one ends at the face of
/// another, it goes on to the centre line of that, so that rooms are closed.
pub(super) fn draw(
    venue: &Venue,
    settings: &Settings,
    outside: impl Fn(i32, Coord<f64>) -> bool,
    notes: &mut Notes,
    walls: &mut Vec<Wall>,
) {
    let strips = strips(venue, settings);
    let mut levels: BTreeMap<i32, Vec<Numbered>> = BTreeMap::new();
    for (number, strip) in strips.iter().enumerate() {
        let (a, b) = (strip.line.start, strip.line.end);
        let stretch = GeomWithData::new(Stretch::new([a.x, a.y], [b.x, b.y]), number);
        levels.entry(strip.level).or_default().push(stretch);
    }
    let levels: BTreeMap<i32, RTree<_>> =
        levels.into_iter().map(|(level, all)| (level, RTree::bulk_load(all))).collect();
    let mut drawn = Drawn::new();
    for (number, strip) in strips.iter().enumerate() {
        let around = |at: Coord<f64>| {
            let reach = THICKEST_WALL_M / 2.0 + TOUCHING_M;
            let near = levels[&strip.level].locate_within_distance([at.x, at.y], reach * reach);
            let near = near.map(|stretch| stretch.data).filter(|other| *other != number);
            let mut near: Vec<usize> = near.take(MAX_AROUND).collect();
            near.sort_unstable();
            near.into_iter().map(|other| &strips[other]).collect::<Vec<_>>()
        };
        let Line { start, end } = strip.line;
        let line = Line::new(
            lengthened(Line::new(end, start), &around(start)),
            lengthened(strip.line, &around(end)),
        );
        let wall = Wall {
            level: strip.level,
            line: line_to_millimetre(line),
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
        notes.pieces.push(Piece::new("", wall.level, wall.line, what));
    }
    report(drawn, "drawn as a strip was taken as a wall of", notes);
}

fn strips<'s>(venue: &Venue, settings: &'s Settings) -> Vec<Strip<'s>> {
    let mut strips = Vec::new();
    for (unit, matter) in solids(venue) {
        let mapped = mapped(matter, settings);
        if mapped == Some(LEAVE_OUT) {
            continue;
        }
        for area in &unit.areas {
            if let Some(Form::Strip(line, thickness_m)) = form(area, matter) {
                let level = venue.floors[unit.floor].ordinal;
                strips.push(Strip { level, line, thickness_m, matter, mapped });
            }
        }
    }
    strips
}

/// Where a line should end to meet the centre line of the nearest strip that it touches.
fn lengthened(line: Line<f64>, around: &[&Strip<'_>]) -> Coord<f64> {
    let (run, long) = (line.delta(), length(line));
    let mut least: Option<f64> = None;
    for other in around {
        let (across, across_long) = (other.line.delta(), length(other.line));
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
    least.map_or(line.end, |further_m| line.end + run * (further_m / long))
}
