//! The plan with one of its parts opened, replaced or taken away.

use geo::{Coord, LineString};

use forecast::class_of;
use plan::{Plan, Wall};
use radio::{self, ConstructionClass};
use siting::distance_to_line;
use siting::walk::passable_by_default;

/// Something that a path can cross, by its index in the plan's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Wall(usize),
    Opening(usize),
    Slab(usize),
    Obstacle(usize),
}

/// The part with an id.
pub(super) fn part(plan: &Plan, id: &str) -> Option<Part> {
    let wall = plan.walls.iter().position(|x| x.id == id).map(Part::Wall);
    wall.or_else(|| plan.openings.iter().position(|x| x.id == id).map(Part::Opening))
        .or_else(|| plan.slabs.iter().position(|x| x.id == id).map(Part::Slab))
        .or_else(|| plan.obstacles.iter().position(|x| x.id == id).map(Part::Obstacle))
}

/// The plan with an opening opened.
pub(super) fn opened(plan: &Plan, opening: usize) -> Plan {
    let mut plan = plan.clone();
    if let Some(opening) = plan.openings.get_mut(opening) {
        opening.open = true;
    }
    plan
}

/// The plan with a part built of another construction, all of it.
pub(super) fn rebuilt(plan: &Plan, part: Part, construction: &str) -> Plan {
    let mut plan = plan.clone();
    let place = match part {
        Part::Wall(n) => plan.walls.get_mut(n).map(|x| &mut x.construction),
        Part::Opening(n) => plan.openings.get_mut(n).map(|x| &mut x.construction),
        Part::Slab(n) => plan.slabs.get_mut(n).map(|x| &mut x.construction),
        Part::Obstacle(n) => plan.obstacles.get_mut(n).map(|x| &mut x.construction),
    };
    if let Some(place) = place {
        construction.clone_into(place);
    }
    plan
}

/// The plan without a part: of a wall the straight piece nearest to `at`, with its openings.
pub(super) fn without(plan: &Plan, part: Part, at: Coord<f64>) -> Plan {
    let mut plan = plan.clone();
    match part {
        Part::Wall(wall) => without_segment(&mut plan, wall, at),
        Part::Opening(n) => plan = opened(&plan, n),
        Part::Slab(n) => drop(plan.slabs.remove(n)),
        Part::Obstacle(n) => drop(plan.obstacles.remove(n)),
    }
    plan
}

/// The piece of a wall nearest to a place.
pub(super) fn segment_at(plan: &Plan, wall: usize, at: Coord<f64>) -> Option<usize> {
    let lines = plan.walls.get(wall)?.line.lines().enumerate();
    let nearest =
        lines.min_by(|a, b| distance_to_line(at, a.1).total_cmp(&distance_to_line(at, b.1)));
    nearest.map(|(segment, _)| segment)
}

/// Cuts a piece out of a wall. What is left of it becomes one or two walls of the same id; the
/// second goes to the end of the list, so that no other wall's index changes. A wall of one piece
/// stays in the list without a line.
fn without_segment(plan: &mut Plan, wall: usize, at: Coord<f64>) {
    let Some(cut) = segment_at(plan, wall, at) else {
        return;
    };
    let after = plan.walls.len();
    let Some(old) = plan.walls.get_mut(wall) else {
        return;
    };
    let points = std::mem::replace(&mut old.line, LineString::new(Vec::new())).0;
    let (first, second) = points.split_at(cut + 1);
    let piece = |points: &[Coord<f64>]| {
        LineString::new(if points.len() > 1 { points.to_vec() } else { Vec::new() })
    };
    old.line = piece(first);
    let rest = Wall { line: piece(second), ..old.clone() };
    plan.walls.push(rest);
    plan.openings.retain(|opening| (opening.wall, opening.segment) != (wall, cut));
    for opening in &mut plan.openings {
        if opening.wall == wall && opening.segment > cut {
            opening.wall = after;
            opening.segment -= cut + 1;
        }
    }
}

/// The closed doors in the piece of a wall that a path crosses at a place.
pub(super) fn doors_in(plan: &Plan, wall: usize, at: Coord<f64>) -> Vec<usize> {
    let segment = segment_at(plan, wall, at);
    let openings = plan.openings.iter().enumerate();
    let doors = openings.filter(|(_, opening)| {
        opening.wall == wall
            && Some(opening.segment) == segment
            && !opening.open
            && passable_by_default(plan, opening)
    });
    doors.map(|(number, _)| number).collect()
}

/// What a construction with metal in it is usually built of where no metal is wanted (common
/// practice, no source). One with no such counterpart, as plain sheet metal, is not listed.
const UNMETALLED: [(&str, &str); 11] = [
    ("metal-lath-plaster", "lath-and-plaster"),
    ("foil-board-stud", "stud-partition-insulated"),
    ("foil-board-brick", "timber-frame-brick"),
    ("metal-panel-insulated", "stud-partition-insulated"),
    ("mirror-stud", "stud-partition"),
    ("glass-double-coated", "glass-double"),
    ("glass-triple-coated", "glass-double"),
    ("glass-wired", "glass-single"),
    ("door-steel", "door-solid"),
    ("garage-door-steel", "garage-door-timber"),
    ("ceiling-foil", "ceiling-board-roof"),
];

/// What a catalogue construction is used for: a sort of opening, a floor, or else a wall.
fn use_of(name: &str) -> &'static str {
    match name {
        _ if name.starts_with("door-") => "door",
        _ if name.starts_with("garage-door-") => "garage door",
        _ if name.starts_with("glass-") => "glass",
        _ if name.starts_with("floor-") || name.starts_with("ceiling-") => "floor",
        _ => "wall",
    }
}

/// What a part could be built of in place of a construction: its counterpart without metal, else
/// what else the catalogue has of its class and for its use. A class of its own, or the user's own
/// construction of metal, has none.
pub(super) fn alternatives(plan: &Plan, part: Part, construction: &str) -> Vec<&'static str> {
    let is_own = plan.constructions.contains_key(construction);
    let known = UNMETALLED.iter().find(|(metal, _)| *metal == construction);
    if let (false, Some((_, plain))) = (is_own, known) {
        return vec![plain];
    }
    let class = class_of(plan, construction);
    // Of metal nothing is lighter than other metal, and that is no help.
    if matches!(class, ConstructionClass::Metal | ConstructionClass::CoatedGlass) {
        return Vec::new();
    }
    let usable = |name: &str| match (is_own, part) {
        (false, _) => use_of(name) == use_of(construction),
        (true, Part::Wall(_) | Part::Obstacle(_)) => use_of(name) == "wall",
        (true, Part::Slab(_)) => use_of(name) == "floor",
        (true, Part::Opening(_)) => ["door", "glass"].contains(&use_of(name)),
    };
    let all = radio::catalogue().iter();
    all.filter(|other| other.class == class && other.name != construction && usable(other.name))
        .map(|other| other.name)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_of_the_table_is_in_the_catalogue_and_every_metal_one_but_sheets_is_in_the_table()
    {
        for (metal, plain) in UNMETALLED {
            let class = |name| radio::construction(name).map(|c| c.class);
            assert!(matches!(
                class(metal),
                Some(ConstructionClass::Metal | ConstructionClass::CoatedGlass)
            ));
            let plain = class(plain).expect("it is there");
            assert!(plain != ConstructionClass::Metal && plain != ConstructionClass::CoatedGlass);
        }
        for one in radio::catalogue() {
            if matches!(one.class, ConstructionClass::Metal | ConstructionClass::CoatedGlass) {
                let listed = UNMETALLED.iter().any(|(metal, _)| *metal == one.name);
                assert_eq!(listed, one.name != "sheet-metal", "{}", one.name);
            }
        }
    }
}
