//! Units as walls and the names of rooms.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Area, Contains, Coord, LinesIter, Point, Polygon};
use rstar::primitives::Line as Stretch;
use rstar::{PointDistance, RTree};

use super::categories::Space;
use super::gaps;
use super::notes::Notes;
use super::solids::{Form, form};
use super::strips;
use super::venue::{Unit, Venue, Wall};
use crate::areas::middle;
use crate::line::{length, line_to_millimetre, to_millimetre};
use crate::room_names::joined;
use crate::union::root;
use crate::{MAX_PIECES, Outline, Piece, Settings, Side, What, sides};
use plan::MIN_SEGMENT_M;

/// How near a side must lie to its level's outline to be an outside wall, metres (our own choice:
/// the thickness of a heavy wall, for units are drawn to its inner face and levels to its outer
/// one).
pub(super) const NEAR_FACADE_M: f64 = 0.5;
/// Corners of units nearer than this are one place, metres: twice what degrees with seven decimals
/// are off at the most (1.1 cm on the equator).
const TOGETHER_M: f64 = 0.03;
/// Most edges of a level's outlines for which it is looked whether a side lies within them.
const MAX_EDGES_OF_LEVEL: usize = 5_000;

#[derive(Default)]
pub(super) struct Drawn {
    pub(super) walls: Vec<Wall>,
    /// How far edges were pulled together, metres; nothing where units share their edges.
    pub(super) pulled_m: f64,
    pub(super) rooms: Vec<Piece>,
}

/// A space whose outline may have walls.
struct Owner<'s> {
    space: Space,
    /// How thick it is, metres, if it is a wall drawn as a unit.
    thick_m: f64,
    /// The unit and the number of its area; nothing for the outline of a level.
    unit: Option<(&'s Unit, usize)>,
}

enum Kind {
    Outside,
    Inside,
    /// Between spaces that run into one another.
    Through,
    /// Round something outdoors, or the face of something solid.
    Nothing,
}

pub(super) fn draw(venue: &Venue, settings: &Settings, notes: &mut Notes) -> Drawn {
    let (outlines, owners) = outlines(venue, notes);
    let mut sides = sides(&outlines, TOGETHER_M);
    let mut drawn = Drawn::default();
    let counts =
        |owner: usize| matches!(owners[owner].space, Space::Enclosed | Space::Open | Space::Void);
    if sides.len() <= MAX_PIECES
        && let Some(gap_m) = gaps::typical(&sides, counts)
    {
        // Where four units meet, the corners of two lie 1.4 times as far apart as the walls are
        // thick.
        drawn.pulled_m = 1.5 * gap_m;
        sides = crate::sides(&outlines, drawn.pulled_m);
        let taken = format!(
            "is the gap between units, usually {gap_m:.2} m: each gap was taken as one wall, on \
             one of its faces"
        );
        let fix = "move walls in the plan where 0.1 m matters";
        notes.guesses.add("thickness of walls", taken, fix, outlines.len());
    }
    let facades = Facades::new(venue);
    let mut groups: Vec<usize> = (0..owners.len()).collect();
    // How many walls stand inside, and outside.
    let (mut counts, mut through) = ([0, 0], 0);
    for side in &sides {
        // Too many are refused for their number: it does not matter what they are.
        let too_many = sides.len() > MAX_PIECES;
        let kind = if too_many { Kind::Outside } else { kind(side, &owners, &facades) };
        let is_outside = match kind {
            Kind::Outside => true,
            Kind::Inside => false,
            Kind::Through => {
                through += 1;
                join(&mut groups, &side.owners);
                continue;
            }
            Kind::Nothing => continue,
        };
        let line = line_to_millimetre(side.line);
        if length(line) < 2.0 * MIN_SEGMENT_M {
            continue;
        }
        let name = if is_outside { settings.outside() } else { settings.inside() };
        counts[usize::from(is_outside)] += 1;
        drawn.walls.push(Wall { level: side.level, line, outside: is_outside });
        notes.pieces.push(Piece::new("", side.level, line, What::wall(name)));
    }
    let [inside, outside] = counts;
    for (which, name, said, count) in [
        ("outside", settings.outside(), &settings.outside, outside),
        ("inside", settings.inside(), &settings.inside, inside),
    ] {
        let taken = format!("were taken as {name}, because the format has no walls");
        let fix =
            format!("name another construction with --{which} NAME, or wall by wall in the plan");
        let count = if said.is_none() { count } else { 0 };
        notes.guesses.add(format!("{which} walls"), taken, fix, count);
    }
    let taken = "were taken as one space: no wall was drawn between units such as walkway, ramp \
                 and platform";
    notes.guesses.add("ways", taken, "draw a wall in the plan where there is one", through);
    let outside = |level, at| facades.is_outside(level, at);
    strips::draw(venue, settings, outside, notes, &mut drawn.walls);
    drawn.rooms = rooms(venue, &owners, &groups);
    drawn
}

/// The outlines of all units; of levels without any, the outlines of the levels.
fn outlines<'s>(venue: &'s Venue, notes: &mut Notes) -> (Vec<Outline>, Vec<Owner<'s>>) {
    let (mut outlines, mut owners) = (Vec::new(), Vec::new());
    let mut with_units = BTreeSet::new();
    // A wall that is furniture stands in a room and bounds none.
    for unit in venue.units.iter().filter(|unit| unit.member == "unit.geojson") {
        with_units.insert(unit.floor);
        let floor = &venue.floors[unit.floor];
        for (number, area) in unit.areas.iter().enumerate() {
            let (space, thick_m) = match unit.space {
                Space::Solid(matter) => match form(area, matter) {
                    Some(Form::Strip(_, thick_m)) => (unit.space, thick_m),
                    Some(Form::Block(_)) => (unit.space, 0.0),
                    // What cannot be drawn as a solid has walls all round.
                    None => (Space::Enclosed, 0.0),
                },
                space => (space, 0.0),
            };
            outlines.push(Outline { level: floor.ordinal, area: area.clone() });
            owners.push(Owner { space, thick_m, unit: Some((unit, number)) });
        }
    }
    let (mut by_level, mut by_footprint) = (0, 0);
    for (index, floor) in venue.floors.iter().enumerate() {
        if with_units.contains(&index) {
            continue;
        }
        for area in &floor.areas {
            outlines.push(Outline { level: floor.ordinal, area: area.clone() });
            owners.push(Owner { space: Space::Shell, thick_m: 0.0, unit: None });
        }
        *(if floor.by_footprint { &mut by_footprint } else { &mut by_level }) += 1;
    }
    let fix = "draw its inside walls in the plan";
    let taken = "got the level's outline as their outside wall, and no inside walls";
    notes.guesses.add("levels without units", taken, fix, by_level);
    let taken = "got the building's footprint on the ground as their outside wall, if it has one, \
                 and no inside walls";
    notes.guesses.add("levels without units and outline", taken, fix, by_footprint);
    (outlines, owners)
}

/// The edges of levels' outlines, by ordinal.
struct Facades<'s> {
    edges: BTreeMap<i32, RTree<Stretch<[f64; 2]>>>,
    areas: BTreeMap<i32, Vec<&'s Polygon<f64>>>,
}

impl<'s> Facades<'s> {
    fn new(venue: &'s Venue) -> Self {
        let mut edges: BTreeMap<i32, Vec<Stretch<[f64; 2]>>> = BTreeMap::new();
        let mut areas: BTreeMap<i32, Vec<&Polygon<f64>>> = BTreeMap::new();
        for floor in &venue.floors {
            for area in &floor.areas {
                edges.entry(floor.ordinal).or_default().extend(area.lines_iter().map(|line| {
                    Stretch::new([line.start.x, line.start.y], [line.end.x, line.end.y])
                }));
                areas.entry(floor.ordinal).or_default().push(area);
            }
        }
        let edges = edges.into_iter();
        Self {
            edges: edges.map(|(level, edges)| (level, RTree::bulk_load(edges))).collect(),
            areas,
        }
    }

    /// Whether a place is at the edge of its level or beyond it, or the level has no outline.
    fn is_outside(&self, level: i32, at: Coord<f64>) -> bool {
        let (Some(edges), Some(areas)) = (self.edges.get(&level), self.areas.get(&level)) else {
            return true;
        };
        let place = [at.x, at.y];
        let near = edges.nearest_neighbor(&place);
        if near.is_none_or(|edge| edge.distance_2(&place) <= NEAR_FACADE_M * NEAR_FACADE_M) {
            return true;
        }
        edges.size() <= MAX_EDGES_OF_LEVEL && !areas.iter().any(|area| area.contains(&Point(at)))
    }
}

fn kind(side: &Side, owners: &[Owner<'_>], facades: &Facades<'_>) -> Kind {
    let spaces: Vec<Space> = side.owners.iter().map(|owner| owners[*owner].space).collect();
    let is_outside = || facades.is_outside(side.level, (side.line.start + side.line.end) / 2.0);
    if spaces.iter().any(|space| matches!(space, Space::Solid(_))) {
        // A wall drawn as a unit is drawn on its centre line: where it ends in the outside wall,
        // that would have a slit.
        let thick_m = side.owners.iter().map(|owner| owners[*owner].thick_m);
        let end = thick_m.fold(0.0, f64::max) * 1.5 >= length(side.line);
        let closes = end && spaces.len() == 1 && is_outside();
        return if closes { Kind::Outside } else { Kind::Nothing };
    }
    if spaces.iter().all(|space| *space == Space::Outdoor) {
        return Kind::Nothing;
    }
    if spaces.iter().any(|space| matches!(space, Space::Outdoor | Space::Shell)) {
        return Kind::Outside;
    }
    match spaces.as_slice() {
        [_] if is_outside() => Kind::Outside,
        [_] => Kind::Inside,
        all if all.iter().all(|it| matches!(it, Space::Open | Space::Void)) => Kind::Through,
        _ => Kind::Inside,
    }
}

/// Puts owners that run into one another into one group, called by its lowest number.
fn join(groups: &mut [usize], owners: &[usize]) {
    let roots: Vec<usize> = owners.iter().map(|owner| root(groups, *owner)).collect();
    let lowest = roots.iter().copied().min().unwrap_or_default();
    roots.into_iter().for_each(|root| groups[root] = lowest);
}

/// A name for every space between walls.
fn rooms(venue: &Venue, owners: &[Owner<'_>], groups: &[usize]) -> Vec<Piece> {
    let mut groups = groups.to_vec();
    let mut best: BTreeMap<usize, (bool, f64, usize)> = BTreeMap::new();
    let mut names: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for (number, owner) in owners.iter().enumerate() {
        let Some((unit, area)) = owner.unit else { continue };
        if !matches!(unit.space, Space::Enclosed | Space::Open) {
            continue;
        }
        let area_m2 = unit.areas[area].unsigned_area();
        let candidate = (unit.named, area_m2, number);
        let group = root(&mut groups, number);
        if unit.named {
            names.entry(group).or_default().push(&unit.name);
        }
        let first = best.entry(group).or_insert(candidate);
        // A name of its own counts before size; of equals the first stays.
        if (candidate.0, candidate.1) > (first.0, first.1) {
            *first = candidate;
        }
    }
    let named = best.into_iter().filter_map(|(group, (_, _, number))| {
        let (unit, area) = owners[number].unit?;
        let own = names.get(&group).map(|names| joined(names.iter().copied()));
        let name = own.unwrap_or_else(|| unit.name.clone());
        let area = &unit.areas[area];
        let label = unit.label_at.filter(|label| area.contains(label));
        let at = label.or_else(|| middle(area))?;
        let level = venue.floors[unit.floor].ordinal;
        let at = Point(to_millimetre(at.0));
        Some(Piece::new(&name, level, at, What::Room).named(Some(name.clone())))
    });
    named.collect()
}
