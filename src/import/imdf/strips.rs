//! Walls that are drawn as units of their own: strips with four corners.

use geo::{Coord, Line};

use super::categories::Matter;
use super::notes::Notes;
use super::solids::{Drawn, Form, form, mapped, report, solids};
use super::venue::{Venue, Wall};
use crate::joints;
use crate::line::line_to_millimetre;
use crate::{LEAVE_OUT, Piece, Settings, What};

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
    let joints: Vec<joints::Strip> = strips
        .iter()
        .map(|it| joints::Strip { level: it.level, line: it.line, thickness_m: it.thickness_m })
        .collect();
    let mut drawn = Drawn::new();
    for (strip, line) in strips.iter().zip(joints::joined(&joints)) {
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
