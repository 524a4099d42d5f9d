//! The shortest wire from a mains outlet to a spot, on or in walls only.
//!
//! The rule (common practice, no source): the wire leaves the outlet straight up or down, runs
//! level along walls at their upper line (the ceiling, or the top of a lower wall) or at their
//! lower line (the floor), goes from one line to the other where there is wall, and comes to the
//! spot straight up or down. It never crosses an opening: a door stops it at floor height, a door
//! as high as its wall at both heights, a window only where it would go up or down. Along one
//! straight wall it may also run level at the outlet's or the spot's own height, with one bend,
//! where no opening is in its way. Round a corner it follows the walls' centre lines. Between
//! storeys it goes through the slab wherever walls of both stand over one another.
//!
//! Left out, on purpose: the thickness of walls. Going round a wall's free end to its other face,
//! or through it, adds nothing, and neither does a wall that stands against the one along which the
//! wire runs (it is bored through). What a spot or an outlet lies off its wall's centre line is not
//! in [`WireRun::length_m`], but is in [`WireRun::cable_m`]. A wall counts between the floor and
//! the ceiling of its own level only.
//!
//! The length is exact for that rule: see `contact` for why turning at marks suffices. Where walls
//! only nearly touch or stand over one another, the wire goes across the gap at marks, and the gap
//! is part of the length.
//!
//! What is drawn inside an opening belongs to the next wall within reach, if there is one.

mod contact;
mod graph;
mod power;
mod sheet;
mod straight;

use std::collections::BTreeMap;

use geo::Coord;
use rstar::RTree;

use contact::{Mark, Marks, Placed};
use graph::{Cost, Graph, Vertex};
use plan::{Level, Plan};
use sheet::{ROUNDING_M, Sheet};
use straight::{Direct, Straights};

pub use contact::TooDense;
pub use power::{PowerRun, PowerSettings, outlet_warnings, power_run};

/// How far an outlet or a spot may be from the centre line of the wall to which it belongs, metres
/// (common sense, no source: a thick wall and a careless hand).
const REACH_M: f64 = 0.5;

/// Cable beyond the run's length: a share of it, and metres for both ends together (common
/// practice, no source).
const SLACK: (f64, f64) = (0.1, 0.5);

/// Most walls around one point that are tried for it; bounds the time that a hostile plan can cost.
const MAX_WALLS_AT_POINT: usize = 256;

/// Walls that are equally near to a point, to this many metres, are all tried.
const EQUALLY_NEAR_M: f64 = 1e-6;

/// A spot this near to a mark, metres along the wall, can turn there at every height of the mark.
const AT_MARK_M: f64 = 1e-3;

/// Why a spot has no wire, or an outlet is of no use.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[allow(missing_docs, reason = "the messages say it")]
pub enum NoRun {
    #[error("the plan has no level {0}")]
    NoLevel(i32),
    #[error("it is too far from any wall")]
    OffWall,
    #[error("no wall at its height: there is an opening, or the wall ends")]
    NoWallAtHeight,
    #[error("no outlet")]
    NoOutlet,
    #[error("no outlet can be reached along the walls")]
    Unreachable,
}

/// The shortest wire to a spot.
#[derive(Debug, Clone, PartialEq)]
pub struct WireRun {
    /// Id of the outlet.
    pub outlet: String,
    /// Place of the outlet in [`Plan::outlets`].
    pub outlet_index: usize,
    /// Length along walls, metres, without any allowance: the sum of the legs of `route`.
    pub length_m: f64,
    /// How far outlet and spot together lie off the centre lines of their walls, metres.
    pub off_wall_m: f64,
    /// Cable to buy, metres: length and `off_wall_m`, with an allowance of a tenth and half a
    /// metre.
    pub cable_m: f64,
    /// How many slabs are drilled.
    pub through_floors: usize,
    /// Corner points from the outlet's place on its wall to the spot's: level, place in plan,
    /// height above the plan's zero in metres. Each leg is level or upright.
    pub route: Vec<(i32, Coord<f64>, f64)>,
}

/// A point put on a wall.
#[derive(Debug, Clone, Copy)]
struct Foot {
    mark: Mark,
    off_m: f64,
}

/// All ways that a wire can take in a plan, with the shortest from the outlets to every corner.
///
/// Building costs one search; each spot then costs a look at its wall.
#[derive(Debug)]
pub struct WireNetwork {
    storeys: BTreeMap<i32, usize>,
    sheets: Vec<Sheet>,
    trees: Vec<RTree<Placed>>,
    straights: Straights,
    graph: Graph,
    /// Of each outlet of the plan: its id and how far it lies off its wall, if it can be used.
    outlets: Vec<(String, Result<f64, NoRun>)>,
}

#[derive(Debug, Clone, Copy)]
enum Last {
    /// From a vertex, along its line to below or above the spot, then up or down.
    Line(usize),
    Direct(Direct),
}

impl WireNetwork {
    /// Builds the network of a plan.
    pub fn new(plan: &Plan) -> Result<Self, TooDense> {
        let mut levels: Vec<&Level> = plan.levels.iter().collect();
        levels.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
        let sheets = sheet::sheets(plan, &levels);
        let trees = contact::index(&sheets, levels.len());
        let contacts = contact::contacts(&sheets, &trees)?;
        let mut network = Self {
            storeys: (levels.iter().enumerate()).map(|(n, level)| (level.number, n)).collect(),
            sheets,
            trees,
            straights: Straights::default(),
            graph: Graph::default(),
            outlets: Vec::new(),
        };
        let mut places = Vec::new();
        for (number, outlet) in plan.outlets.iter().enumerate() {
            let feet = network.attach(outlet.level, outlet.position, outlet.height_m);
            let off_m = feet.as_ref().map(|feet| feet[0].off_m).map_err(|why| *why);
            network.outlets.push((outlet.id.clone(), off_m));
            let feet = feet.into_iter().flatten();
            places.extend(feet.map(|foot| (foot.mark, outlet.height_m, number)));
        }
        let extra: Vec<Mark> = places.iter().map(|place| place.0).collect();
        let sheets = &network.sheets;
        let marks = Marks::new(sheets, &contacts, &extra)?;
        let sources = places.iter().enumerate().map(|(mark, &(_, z, outlet))| (mark, z, outlet));
        network.graph = Graph::new(sheets, &marks, &sources.collect::<Vec<_>>());
        network.straights = Straights::new(sheets, &contacts, &places);
        Ok(network)
    }

    /// Outlets to which no wire can be led, in the plan's order: the id, and why.
    pub fn unusable(&self) -> impl Iterator<Item = (&str, NoRun)> {
        let all = self.outlets.iter();
        all.filter_map(|(id, off_m)| Some((id.as_str(), off_m.err()?)))
    }

    /// Whether any outlet can be used.
    #[must_use]
    pub fn has_outlet(&self) -> bool {
        self.outlets.iter().any(|(_, off_m)| off_m.is_ok())
    }

    /// The shortest wire from any outlet to a spot: level, place in plan in metres, height above
    /// the plan's zero in metres. Among outlets at equal lengths (to a picometre) the first of the
    /// plan.
    ///
    /// The spot belongs to the nearest wall of its level that is there at its height; where several
    /// are equally near, to the one with the shortest wire.
    pub fn to(&self, level: i32, position: Coord<f64>, height_m: f64) -> Result<WireRun, NoRun> {
        let feet = self.attach(level, position, height_m)?;
        if !self.has_outlet() {
            return Err(NoRun::NoOutlet);
        }
        let mut best: Option<(Cost, Foot, Last)> = None;
        for foot in feet {
            for (cost, last) in self.last_steps(foot.mark, height_m) {
                if best.is_none_or(|(least, ..)| cost < least) {
                    best = Some((cost, foot, last));
                }
            }
        }
        let (cost, foot, last) = best.ok_or(NoRun::Unreachable)?;
        Ok(self.run(Graph::outlet(cost), foot, height_m, last))
    }

    /// The places on walls to which a point belongs: one, or several equally near.
    fn attach(&self, level: i32, position: Coord<f64>, z: f64) -> Result<Vec<Foot>, NoRun> {
        let storey = self.storeys.get(&level).ok_or(NoRun::NoLevel(level))?;
        if !(position.x.is_finite() && position.y.is_finite() && z.is_finite()) {
            return Err(NoRun::OffWall);
        }
        let tree = &self.trees[*storey];
        let mut feet: Vec<Foot> = Vec::new();
        let mut is_near_wall = false;
        let near = tree.nearest_neighbor_iter(&[position.x, position.y]);
        for placed in near.take(MAX_WALLS_AT_POINT) {
            let sheet = &self.sheets[placed.data];
            let (s, off_m) = sheet.see(position);
            let limit = feet.first().map_or(REACH_M + 1e-9, |first| first.off_m + EQUALLY_NEAR_M);
            if off_m > limit {
                break;
            }
            is_near_wall = true;
            if sheet.is_solid(s, z) {
                let sheet = placed.data;
                feet.push(Foot { mark: Mark { sheet, s }, off_m });
            }
        }
        feet.sort_by_key(|foot| foot.mark.sheet);
        match (feet.is_empty(), is_near_wall) {
            (false, _) => Ok(feet),
            (true, true) => Err(NoRun::NoWallAtHeight),
            (true, false) => Err(NoRun::OffWall),
        }
    }

    /// All last steps to a place, with the cost of the whole run.
    fn last_steps(&self, mark: Mark, z: f64) -> Vec<(Cost, Last)> {
        let mut found = Vec::new();
        let sheet = &self.sheets[mark.sheet];
        if let Some(direct) = self.straights.shortest(&self.sheets, mark, z) {
            found.push((direct.cost, Last::Direct(direct)));
        }
        for stop in self.graph.stops_beside(mark.sheet, mark.s) {
            let along = (stop.s - mark.s).abs();
            for number in stop.vertices.clone() {
                let vertex = self.graph.vertices[number];
                let lines = [sheet.low_m, sheet.high_m];
                let is_line = lines.iter().any(|line| (line - vertex.z).abs() <= ROUNDING_M);
                let is_clear = (is_line || along <= AT_MARK_M)
                    && sheet.is_clear_up(mark.s, z, vertex.z)
                    && sheet.is_clear_across(mark.s, stop.s, vertex.z);
                if is_clear && let Some(cost) = self.graph.cost(number) {
                    let rest = graph::length(along) + graph::length((z - vertex.z).abs());
                    found.push((cost + rest, Last::Line(number)));
                }
            }
        }
        found
    }

    fn run(&self, outlet: usize, foot: Foot, z: f64, last: Last) -> WireRun {
        let places: Vec<(usize, Coord<f64>, f64)> = match last {
            Last::Direct(direct) => self.straights.points(&self.sheets, &direct),
            Last::Line(vertex) => {
                let mut way = self.graph.way_to(vertex);
                let line_z = way.last().map_or(z, |vertex| vertex.z);
                way.extend([line_z, z].map(|z| Vertex { mark: foot.mark, z }));
                let place =
                    |Vertex { mark, z }| (mark.sheet, self.sheets[mark.sheet].at(mark.s), z);
                way.into_iter().map(place).collect()
            }
        };
        let points: Vec<(i32, Coord<f64>, f64)> =
            places.into_iter().map(|(sheet, at, z)| (self.sheets[sheet].level, at, z)).collect();
        let legs = points.windows(2);
        let length_m = legs.clone().map(|pair| leg_m(pair[0], pair[1])).sum::<f64>();
        let through_floors = legs.filter(|pair| pair[0].0 != pair[1].0).count();
        let (id, off_m) = &self.outlets[outlet];
        let off_wall_m = off_m.unwrap_or_default() + foot.off_m;
        WireRun {
            outlet: id.clone(),
            outlet_index: outlet,
            length_m,
            off_wall_m,
            cable_m: (length_m + off_wall_m) * (1.0 + SLACK.0) + SLACK.1,
            through_floors,
            route: corners(&points),
        }
    }
}

/// Length of a leg, metres: level and upright parts are not cut short.
fn leg_m(a: (i32, Coord<f64>, f64), b: (i32, Coord<f64>, f64)) -> f64 {
    sheet::gap_m(a.1, b.1) + (a.2 - b.2).abs()
}

/// Leaves out points at which nothing turns.
fn corners(points: &[(i32, Coord<f64>, f64)]) -> Vec<(i32, Coord<f64>, f64)> {
    let mut kept: Vec<(i32, Coord<f64>, f64)> = Vec::new();
    for &point in points {
        if kept.last().is_some_and(|last| last.0 == point.0 && leg_m(*last, point) < 1e-9) {
            continue;
        }
        while let [.., a, b] = kept.as_slice()
            && a.0 == b.0
            && b.0 == point.0
            && (leg_m(*a, *b) + leg_m(*b, point) - straight_m(*a, point)).abs() < 1e-9
        {
            kept.pop();
        }
        kept.push(point);
    }
    kept
}

/// Distance through the air, metres.
fn straight_m(a: (i32, Coord<f64>, f64), b: (i32, Coord<f64>, f64)) -> f64 {
    sheet::gap_m(a.1, b.1).hypot(a.2 - b.2)
}
