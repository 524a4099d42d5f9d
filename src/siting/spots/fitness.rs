//! What keeps a panel from hanging at a spot.

use geo::{Contains as _, Coord, Intersects as _, Line, Polygon};

use super::faces::{Face, INTO_ROOM_M, normal};
use super::spot::{
    BLOCKED, NEAR_METAL, NEAR_WAY_IN, OUTSIDE_WALL, OVER_OPENING, Reason, Spot, SpotSettings,
};
use crate::{distance_to_line, nearest_on};
use forecast::{class_of, thickness};
use plan::{Inside, Level, Obstacle, Plan, Wall};
use radio::ConstructionClass;
use trace::cross;

/// Something metal: what it is called, its outline in plan, half its thickness, its heights.
#[derive(Debug)]
struct Metal<'a> {
    feature: &'a str,
    lines: Vec<Line<f64>>,
    /// Of an obstacle, the ground that it covers.
    ground: Option<&'a Polygon<f64>>,
    half_m: f64,
    heights_m: (f64, f64),
}

/// A door or window of the level.
#[derive(Debug)]
struct Gap<'a> {
    feature: &'a str,
    line: Line<f64>,
    wall: usize,
    segment: usize,
    heights_m: (f64, f64),
    is_way_in: bool,
}

/// Everything on one level that can keep a panel away.
pub(super) struct Fitness<'a> {
    settings: &'a SpotSettings,
    inside: &'a Inside,
    faces: &'a [Face],
    plan: &'a Plan,
    obstacles: Vec<&'a Obstacle>,
    metal: Vec<Metal<'a>>,
    gaps: Vec<Gap<'a>>,
}

impl<'a> Fitness<'a> {
    pub(super) fn new(
        plan: &'a Plan,
        level: &Level,
        inside: &'a Inside,
        faces: &'a [Face],
        settings: &'a SpotSettings,
    ) -> Self {
        let is_metal = |name: &str| class_of(plan, name) == ConstructionClass::Metal;
        let number = level.number;
        let obstacles: Vec<&Obstacle> =
            plan.obstacles.iter().filter(|o| o.level == number).collect();
        let half_m = |wall: &Wall| thickness(plan, &wall.construction).0 / 2.0;
        let mut metal: Vec<Metal<'a>> = obstacles
            .iter()
            .filter(|obstacle| is_metal(&obstacle.construction))
            .map(|obstacle| Metal {
                feature: &obstacle.id,
                lines: obstacle.outline.exterior().lines().collect(),
                ground: Some(&obstacle.outline),
                half_m: 0.0,
                heights_m: (obstacle.base_m, obstacle.top_m),
            })
            .collect();
        let walls = plan.walls.iter();
        let walls = walls.filter(|wall| wall.level == number && is_metal(&wall.construction));
        metal.extend(walls.map(|wall| Metal {
            feature: &wall.id,
            lines: wall.line.lines().collect(),
            ground: None,
            half_m: half_m(wall),
            heights_m: (wall.base_m, wall.top_m),
        }));
        let mut gaps = Vec::new();
        for opening in &plan.openings {
            let wall = plan.walls.get(opening.wall).filter(|wall| wall.level == number);
            let (Some(wall), Some(line)) = (wall, plan.opening_line(opening)) else {
                continue;
            };
            let half_m = half_m(wall);
            if is_metal(&opening.construction) && !opening.open {
                metal.push(Metal {
                    feature: &opening.id,
                    lines: vec![line],
                    ground: None,
                    half_m,
                    heights_m: (opening.base_m, opening.top_m),
                });
            }
            gaps.push(Gap {
                feature: &opening.id,
                line,
                wall: opening.wall,
                segment: opening.segment,
                heights_m: (opening.base_m.max(wall.base_m), opening.top_m.min(wall.top_m)),
                is_way_in: opening.entry || leads_outdoors(line, half_m, inside),
            });
        }
        Self { settings, inside, faces, plan, obstacles, metal, gaps }
    }

    /// The first reason, in this order, why a panel may not hang at a spot.
    pub(super) fn reason(&self, spot: &Spot) -> Option<Reason> {
        self.blocked(spot)
            .or_else(|| self.over_opening(spot))
            .or_else(|| self.outside_wall(spot))
            .or_else(|| self.near_metal(spot))
            .or_else(|| self.near_way_in(spot))
    }

    /// Whether the panel's box and something share a height.
    fn shares_height(&self, spot: &Spot, (base, top): (f64, f64)) -> bool {
        let half = self.settings.half_size_m;
        spot.height_m + half > base && spot.height_m - half < top
    }

    fn blocked(&self, spot: &Spot) -> Option<Reason> {
        let half = self.settings.half_size_m;
        // A box is in the way where it covers the spot or stands within the panel's depth of it.
        let in_the_way = |obstacle: &&&Obstacle| {
            let near = |line: Line<f64>| distance_to_line(spot.position, line) < half * 0.5;
            self.shares_height(spot, (obstacle.base_m, obstacle.top_m))
                && (obstacle.outline.contains(&spot.position)
                    || obstacle.outline.exterior().lines().any(near))
        };
        let obstacle = self.obstacles.iter().find(in_the_way)?;
        Some(Reason::of(BLOCKED, &obstacle.id))
    }

    fn over_opening(&self, spot: &Spot) -> Option<Reason> {
        let wall = spot.wall?;
        let gap = self.gaps.iter().find(|gap| {
            let foot = nearest_on(gap.line, spot.position);
            // Along the wall, not off it, for the spot stands off the wall's middle.
            let facing = spot.facing.unwrap_or(Coord { x: 0.0, y: 0.0 });
            let along = cross(facing, spot.position - foot).abs();
            gap.wall == wall
                && along < self.settings.half_size_m
                && distance_to_line(spot.position, gap.line) < 1.0
                && self.shares_height(spot, gap.heights_m)
        })?;
        Some(Reason::of(OVER_OPENING, gap.feature))
    }

    fn outside_wall(&self, spot: &Spot) -> Option<Reason> {
        if self.settings.outside_walls {
            return None;
        }
        let (wall, facing) = (spot.wall?, spot.facing?);
        let face = self.on(wall, spot.position)?;
        // From the wall's middle, for a spot may be drawn some way off the face.
        let foot = nearest_on(face.line, spot.position);
        let behind = foot - facing * (face.half_m + INTO_ROOM_M);
        (self.inside.is_closed() && !self.inside.holds(behind))
            .then(|| Reason::of(OUTSIDE_WALL, &self.plan.walls[wall].id))
    }

    fn on(&self, wall: usize, p: Coord<f64>) -> Option<&Face> {
        let faces = self.faces.iter().filter(|face| face.wall == wall);
        faces.min_by(|a, b| distance_to_line(p, a.line).total_cmp(&distance_to_line(p, b.line)))
    }

    fn near_metal(&self, spot: &Spot) -> Option<Reason> {
        let distance = |metal: &Metal<'_>| {
            let lines = metal.lines.iter();
            let is_above = |ground: &Polygon<f64>| ground.contains(&spot.position);
            let across = if metal.ground.is_some_and(is_above) {
                0.0
            } else {
                lines
                    .map(|line| distance_to_line(spot.position, *line))
                    .fold(f64::INFINITY, f64::min)
            };
            let (base, top) = metal.heights_m;
            let up = (base - spot.height_m).max(spot.height_m - top).max(0.0);
            (across - metal.half_m).max(0.0).hypot(up)
        };
        let (metal, distance_m) = self
            .metal
            .iter()
            .map(|metal| (metal, distance(metal)))
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        (distance_m < self.settings.clear_of_metal_m).then(|| Reason::of(NEAR_METAL, metal.feature))
    }

    fn near_way_in(&self, spot: &Spot) -> Option<Reason> {
        let off = |gap: &Gap<'_>| distance_to_line(spot.position, gap.line);
        let near = |gap: &&Gap<'_>| gap.is_way_in && off(gap) < self.settings.clear_of_ways_in_m;
        let in_sight = |gap: &&Gap<'_>| {
            let foot = nearest_on(gap.line, spot.position);
            // Just short of the opening's own piece of wall. An arm reaches over a low wall.
            let sight = Line::new(spot.position, spot.position + (foot - spot.position) * 0.98);
            let walls = self.faces.iter();
            !walls
                .filter(|face| (face.wall, face.segment) != (gap.wall, gap.segment))
                .filter(|face| face.is_at((spot.height_m, spot.height_m)))
                .any(|face| face.line.intersects(&sight))
        };
        let ways_in = self.gaps.iter().filter(near).filter(in_sight);
        let nearest = ways_in.min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(Reason::of(NEAR_WAY_IN, nearest.feature))
    }
}

/// Whether one side of an opening is outdoors.
fn leads_outdoors(line: Line<f64>, half_m: f64, inside: &Inside) -> bool {
    let middle = line.start + line.delta() * 0.5;
    let off = half_m + INTO_ROOM_M;
    let beside = |side: f64| inside.holds(middle + normal(line, 1.0) * (off * side));
    inside.is_closed() && beside(1.0) != beside(-1.0)
}
