//! Repeated points are taken out of walls, and walls that have no length out of the plan.

use geo::Coord;

use super::drawing::Drawing;
use super::log::{FixKind, Log};
use super::net::Net;
use crate::MIN_SEGMENT_M;
use crate::measure::apart;

/// Whether two points are one for the reader: by the same sum in metres.
fn is_one(drawing: &Drawing<'_>, a: Coord<f64>, b: Coord<f64>) -> bool {
    apart(a * drawing.unit.metres, b * drawing.unit.metres) < MIN_SEGMENT_M
}

/// Takes out what has no length. Gives whether anything was.
///
/// Of two points that are one the first is kept, but the last point of a wall stays where it is.
pub(super) fn drop_repeats(drawing: &mut Drawing<'_>, _: &Net, log: &mut Log) -> bool {
    let mut changed = false;
    for number in 0..drawing.walls.len() {
        let wall = &drawing.walls[number];
        if wall.gone {
            continue;
        }
        let mut kept: Vec<usize> = Vec::with_capacity(wall.points.len());
        let mut dropped: Vec<usize> = Vec::new();
        for (index, point) in wall.points.iter().enumerate() {
            let last = index + 1 == wall.points.len();
            match kept.last() {
                Some(&before) if is_one(drawing, wall.points[before].place, point.place) => {
                    // The first point stays, too.
                    if last && kept.len() > 1 {
                        kept.pop();
                        dropped.push(before);
                        kept.push(index);
                    } else {
                        dropped.push(index);
                    }
                }
                _ => kept.push(index),
            }
        }
        if dropped.is_empty() {
            continue;
        }
        changed = true;
        let id = drawing.id(wall).to_owned();
        if kept.len() < 2 {
            let what = "took the wall out: it has no length".to_owned();
            log.fix(wall.at(0), &id, FixKind::Removed, what);
        } else {
            for &index in &dropped {
                let place = Drawing::position(wall.points[index].place);
                let what = format!("took out the point {place}, which repeats the one beside it");
                log.fix(wall.at(index), &id, FixKind::Repeat, what);
            }
        }
        let wall = &mut drawing.walls[number];
        wall.gone = kept.len() < 2;
        wall.points = kept.iter().map(|&index| wall.points[index]).collect();
    }
    changed
}
