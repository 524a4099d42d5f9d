//! Openings on the walls that they lie on.

use geo::Line;
use rstar::{AABB, RTree, RTreeObject};

use super::categories::Leaf;
use super::notes::{Notes, Why};
use super::venue::{Opening, Venue, Wall, floor_m};
use super::walls::Drawn;
use crate::guess::Tally;
use crate::line::{around, length, line_to_millimetre, seen_from};
use crate::taken::Taken;
use crate::{DOOR, HEAD_M, LEAVE_OUT, Piece, PlanPoint, Settings, What};
use plan::ON_WALL_TOLERANCE_M;

/// Narrowest opening, metres (our own choice: nobody gets through less).
const NARROWEST_M: f64 = 0.2;
/// Most walls around one opening: the plan's reader bears a thousand.
const MAX_WALLS_AROUND: usize = 500;
impl RTreeObject for Wall {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        around(self.line, 0.0)
    }
}

struct Part {
    line: Line<f64>,
    outside: bool,
    off_m: f64,
}

pub(super) fn draw(venue: &Venue, drawn: &Drawn, settings: &Settings, notes: &mut Notes) {
    let index = RTree::bulk_load(drawn.walls.clone());
    let mut holes = Taken::default();
    let reach_m = ON_WALL_TOLERANCE_M + drawn.pulled_m;
    let (mut tally, mut pieces) = (Tally::default(), Vec::new());
    for opening in &venue.openings {
        let level = venue.floors[opening.floor].ordinal;
        let mut leave_out = |why| notes.leave_out("opening.geojson", &opening.id, why);
        let material = opening.material.as_deref().unwrap_or_default();
        let mapped = opening.material.as_ref().and_then(|material| settings.map.get(material));
        let guess = |weight: u8, about: &str, taken: &str, fix: &str| {
            Some((weight, about.to_owned(), format!("were taken as {taken}"), fix.to_owned()))
        };
        let (construction, guess) = match (opening.leaf, mapped.map(String::as_str)) {
            (_, Some(LEAVE_OUT)) => {
                leave_out(Why::Asked);
                continue;
            }
            (Leaf::None, _) => {
                let fix = "for a door or a pane, set \"state\": \"closed\" and its construction in \
                           the plan";
                (DOOR, guess(0, "openings without a door", "open", fix))
            }
            (_, Some(name)) => (name, None),
            (Leaf::Of(name), None) => {
                let fix = format!("name another construction with --map {material}=NAME");
                (name, guess(1, &format!("doors of {material}"), name, &fix))
            }
            (Leaf::Unknown, None) => {
                let fix = "name their construction in the plan";
                (DOOR, guess(2, "doors of no known material", DOOR, fix))
            }
        };
        let parts = parts(opening, level, &index, reach_m);
        for part in parts.map_err(&mut leave_out).unwrap_or_default() {
            // From floor to head, whatever they are.
            if !holes.take(level, part.line, (0.0, 1.0)) {
                leave_out(Why::Taken);
                continue;
            }
            let taken = format!("were taken as {HEAD_M} m above the floor");
            tally.tell(3, "heads of openings", taken, "measure them and set \"top\" in the plan");
            if let Some((weight, about, taken, fix)) = guess.clone() {
                let middle = (part.line.start + part.line.end) * 0.5;
                // What nothing fills is worth a look; a leaf that is assumed is said of all.
                let point = (weight == 0).then_some(PlanPoint { level, at: middle });
                tally.tell_at(weight, about, taken, fix, point);
            }
            pieces.push(piece(opening, level, part, construction));
        }
    }
    notes.pieces.extend(pieces);
    notes.guesses.0.extend(tally.guesses());
}

fn piece(opening: &Opening, level: i32, part: Part, construction: &str) -> Piece {
    let principal = opening.category == "pedestrian.principal";
    let on_foot = matches!(opening.category.as_str(), "pedestrian" | "pedestrian.transit");
    let what = What::Opening {
        construction: construction.to_owned(),
        entry: principal || (on_foot && part.outside),
        open: opening.leaf == Leaf::None,
        base_m: None,
        top_m: Some(floor_m(level) + HEAD_M),
    };
    let id = opening.name.clone().unwrap_or_default();
    Piece::new(id, level, part.line, what).named(opening.name.clone())
}

/// The parts of an opening on the walls of its level, or why there are none.
fn parts(
    opening: &Opening,
    level: i32,
    index: &RTree<Wall>,
    reach_m: f64,
) -> Result<Vec<Part>, Why> {
    let mut parts = Vec::new();
    let (mut long_m, mut found_m) = (0.0, 0.0);
    for line in opening.line.lines() {
        long_m += length(line);
        let near = index.locate_in_envelope_intersecting(&around(line, reach_m * 1.1));
        let near: Vec<Wall> = { near }.take(MAX_WALLS_AROUND + 1).copied().collect();
        if near.len() > MAX_WALLS_AROUND {
            return Err(Why::Crowded);
        }
        let near = near.into_iter().filter(|wall| wall.level == level);
        let mut on: Vec<(f64, f64, Part)> =
            near.filter_map(|wall| part_on(line, &wall, reach_m)).collect();
        // The longest first, then the nearest; then the place, so that the order of the index is
        // nothing.
        on.sort_by(|a, b| {
            let long = |part: &(f64, f64, Part)| ((part.1 - part.0) * 100.0).round();
            let (here, there) = (a.2.line.start, b.2.line.start);
            let by_fit = long(b).total_cmp(&long(a)).then(a.2.off_m.total_cmp(&b.2.off_m));
            by_fit.then(here.x.total_cmp(&there.x)).then(here.y.total_cmp(&there.y))
        });
        let mut kept: Vec<(f64, f64, Part)> = Vec::new();
        for one in on {
            if kept.iter().all(|other| one.0 >= other.1 - 0.01 || one.1 <= other.0 + 0.01) {
                found_m += one.1 - one.0;
                kept.push(one);
            }
        }
        kept.sort_by(|a, b| a.0.total_cmp(&b.0));
        parts.extend(kept.into_iter().map(|(_, _, part)| part));
    }
    if long_m < NARROWEST_M {
        return Err(Why::Narrow);
    }
    // Half of it off the walls is drawn for something else.
    if parts.is_empty() || found_m < long_m / 2.0 {
        return Err(Why::OnNoWall);
    }
    Ok(parts)
}

/// The part of a line that lies on a wall: from where to where along it, and on the wall.
fn part_on(line: Line<f64>, wall: &Wall, reach_m: f64) -> Option<(f64, f64, Part)> {
    let (run, long) = (wall.line.delta(), length(wall.line));
    let (start_m, start_off_m) = seen_from(wall.line, line.start);
    let (end_m, end_off_m) = seen_from(wall.line, line.end);
    let off_m = start_off_m.abs().max(end_off_m.abs());
    // However far off, it must run along the wall.
    let askew = (start_off_m - end_off_m).abs() > 2.0 * ON_WALL_TOLERANCE_M;
    if long <= 0.0 || off_m > reach_m || askew {
        return None;
    }
    let on_wall = |along_m: f64| wall.line.start + run * (along_m.clamp(0.0, long) / long);
    let part = line_to_millimetre(Line::new(on_wall(start_m), on_wall(end_m)));
    if length(part) < NARROWEST_M {
        return None;
    }
    // Along the opening's own line, for what several walls share of it.
    let scale = length(line) / (end_m - start_m).abs();
    let along = |along_m: f64| (along_m.clamp(0.0, long) - start_m).abs() * scale;
    let (from_m, to_m) = (along(start_m), along(end_m));
    Some((from_m.min(to_m), from_m.max(to_m), Part { line: part, outside: wall.outside, off_m }))
}
