//! Walls that end at the faces of others, or beyond their middles: they go to the centre lines.

use std::collections::BTreeMap;

use geo::{Coord, Line};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line as Stretch};

use crate::line::length;

/// Thickest strip that is taken for a wall, metres (our own choice: beyond old masonry).
pub(crate) const THICKEST_WALL_M: f64 = 0.6;
/// Strips no farther apart than this touch, metres.
const TOUCHING_M: f64 = 0.03;
/// Most strips around an end that are looked at: it bounds the time that a hostile file can cost.
const MAX_AROUND: usize = 50;

type Numbered = GeomWithData<Stretch<[f64; 2]>, usize>;

/// A wall on its centre line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strip {
    pub(crate) level: i32,
    pub(crate) line: Line<f64>,
    pub(crate) thickness_m: f64,
}

/// The centre lines of strips: where one ends at the face of another, it goes on to the centre line
/// of that, and where it ends a little beyond that line it ends there, so that rooms are closed.
pub(crate) fn joined(strips: &[Strip]) -> Vec<Line<f64>> {
    let mut levels: BTreeMap<i32, Vec<Numbered>> = BTreeMap::new();
    for (number, strip) in strips.iter().enumerate() {
        let (a, b) = (strip.line.start, strip.line.end);
        let stretch = GeomWithData::new(Stretch::new([a.x, a.y], [b.x, b.y]), number);
        levels.entry(strip.level).or_default().push(stretch);
    }
    let levels: BTreeMap<i32, RTree<_>> =
        levels.into_iter().map(|(level, all)| (level, RTree::bulk_load(all))).collect();
    let one = |(number, strip): (usize, &Strip)| {
        let around = |at: Coord<f64>| {
            let reach = THICKEST_WALL_M / 2.0 + TOUCHING_M;
            let near = levels[&strip.level].locate_within_distance([at.x, at.y], reach * reach);
            let near = near.map(|stretch| stretch.data).filter(|other| *other != number);
            let mut near: Vec<usize> = near.take(MAX_AROUND).collect();
            near.sort_unstable();
            near.into_iter().map(|other| &strips[other]).collect::<Vec<_>>()
        };
        let Line { start, end } = strip.line;
        Line::new(
            to_the_middle(Line::new(end, start), &around(start)),
            to_the_middle(strip.line, &around(end)),
        )
    };
    strips.iter().enumerate().map(one).collect()
}

/// Where a line should end to meet the centre line of the nearest strip that it touches.
fn to_the_middle(line: Line<f64>, around: &[&Strip]) -> Coord<f64> {
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
        let beyond_m = -(other.thickness_m / 2.0 + TOUCHING_M);
        if on_it && further_m > beyond_m && further_m <= reach_m {
            let nearer = least.is_none_or(|least| further_m.abs() < least.abs());
            least = if nearer { Some(further_m) } else { least };
        }
    }
    // It must not turn round.
    let least = least.filter(|further_m| further_m + long > 0.0);
    least.map_or(line.end, |further_m| line.end + run * (further_m / long))
}
