//! Rooms that run into one another, since no wall is between them: one name for all. Rooms that are
//! drawn with their outlines stay apart.

use std::collections::{BTreeMap, BTreeSet};

use geo::{BoundingRect, Contains, Coord, Geometry, LineString, Polygon};

use crate::guess::Guess;
use crate::{CEILING_M, Draft, Piece, Settings, What};
use plan::{Inside, Level, Plan, Wall};

/// Names in one, each once; where there are many, the first and how many more.
pub(crate) fn joined<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    const MOST: usize = 3;
    let mut seen = BTreeSet::new();
    let names: Vec<&str> = names.into_iter().filter(|name| seen.insert(*name)).collect();
    match names.as_slice() {
        [one, rest @ ..] if names.len() > MOST => format!("{one} and {} more", rest.len()),
        all => all.join(", "),
    }
}

/// Gives rooms of a draft that no wall parts one name, where the first of them is.
pub(crate) fn join_rooms(draft: &mut Draft, settings: &Settings) {
    let mut levels: BTreeMap<i32, usize> = BTreeMap::new();
    for room in draft.pieces.iter().filter(|piece| piece.what == What::Room) {
        *levels.entry(room.level).or_default() += 1;
    }
    let mut gone: BTreeSet<usize> = BTreeSet::new();
    let mut spaces = 0;
    for (level, _) in levels.into_iter().filter(|(_, rooms)| *rooms > 1) {
        let areas = closed(draft, level, settings);
        let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (number, piece) in draft.pieces.iter().enumerate() {
            let is_room = piece.what == What::Room && piece.level == level;
            let Some(at) = place(piece).filter(|_| is_room) else { continue };
            if let Some(area) = areas.iter().position(|(low, high, area)| {
                let within = |at: f64, low: f64, high: f64| (low..=high).contains(&at);
                within(at.x, low.x, high.x) && within(at.y, low.y, high.y) && area.contains(&at)
            }) {
                members.entry(area).or_default().push(number);
            }
        }
        for members in members.into_values().filter(|members| members.len() > 1) {
            let names = members.iter().filter_map(|one| draft.pieces[*one].name.as_deref());
            let name = joined(names);
            let first = &mut draft.pieces[members[0]];
            spaces += usize::from(first.name.as_ref() != Some(&name));
            first.id.clone_from(&name);
            first.name = Some(name);
            gone.extend(&members[1..]);
        }
    }
    let mut number = 0..;
    draft.pieces.retain(|_| number.next().is_none_or(|number| !gone.contains(&number)));
    if spaces > 0 {
        let taken = "named after all rooms in them, because no wall is between these";
        let fix = "draw a wall in the plan where one room ends, or give them one name";
        draft.guesses.push(Guess::new("rooms that run into one another", taken, fix, spaces));
    }
}

fn place(piece: &Piece) -> Option<Coord<f64>> {
    match &piece.shape {
        Geometry::Point(at) => Some(at.0),
        _ => None,
    }
}

/// What the walls of a level close off, each with its box.
fn closed(
    draft: &Draft,
    level: i32,
    settings: &Settings,
) -> Vec<(Coord<f64>, Coord<f64>, Polygon<f64>)> {
    let known = draft.levels.iter().find(|known| known.number == level).cloned();
    let usual = || Level {
        number: level,
        name: String::new(),
        floor_m: 0.0,
        ceiling_m: CEILING_M,
        is_over_air: false,
    };
    let own = known.unwrap_or_else(usual);
    let walls = draft.pieces.iter().filter(|piece| piece.level == level).filter_map(|piece| {
        let What::Wall { construction, thickness_mm, base_m, top_m } = &piece.what else {
            return None;
        };
        let line = match &piece.shape {
            Geometry::Line(line) => LineString::from(*line),
            Geometry::LineString(line) => line.clone(),
            _ => return None,
        };
        let thick = || settings.known_thickness_m(construction).map(|metres| metres * 1e3);
        Some(Wall {
            id: String::new(),
            level,
            construction: construction.clone(),
            thickness_mm: thickness_mm.or_else(thick),
            line,
            base_m: base_m.unwrap_or(own.floor_m),
            top_m: top_m.unwrap_or(own.ceiling_m),
        })
    });
    let plan = Plan { levels: vec![own.clone()], walls: walls.collect(), ..Plan::default() };
    let inside = Inside::new(&plan, &own, &|_| None);
    let boxed = |area: &Polygon<f64>| {
        area.bounding_rect().map(|whole| (whole.min(), whole.max(), area.clone()))
    };
    inside.rooms().filter_map(boxed).collect()
}
