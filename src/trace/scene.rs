//! The plan as a tracer sees it: upright screens, solid blocks, level floors.

use geo::{Contains, Coord, Polygon};

use super::index::ScreenIndex;
use super::plane::{Point, dot, left_of, norm};
use plan::Plan;

/// Index of a surface in the caller's list; what it does to a wave is none of the tracer's business.
pub type SurfaceId = u32;

/// The surface that is not there: an open door, a gap. The caller's list must begin with it.
pub const AIR: SurfaceId = 0;

/// How far beyond a free end of a wall a path still feels it, metres: a little more than the first
/// Fresnel zone's half width in the middle of a 20 m path at 319.5 MHz, 0.5·√(λ·20 m)/1.4 ≈ 1.5 m.
pub const REACH_BEYOND_FREE_END_M: f64 = 1.5;

/// A device that close to a wall's centre line counts as being on it, and its path then does not
/// cross that wall: drawn there, it means the face turned to the other end.
pub const TOUCH_M: f64 = 0.005;

/// How near to the end of a wall a path must pass to count as passing through the end, metres.
pub const CORNER_M: f64 = 1e-6;

/// Greatest gap between a wall's end and the face of another at which the two count as joined.
const JOIN_GAP_M: f64 = 0.05;

/// What a screen consists of at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Its surface.
    pub surface: SurfaceId,
    /// Index in [`Scene::features`].
    pub feature: u32,
}

/// An opening in a screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Where it begins along the screen, metres.
    pub from: f64,
    /// Where it ends along the screen, metres.
    pub to: f64,
    /// Height of its lower edge, metres above the plan's zero.
    pub base: f64,
    /// Height of its upper edge, metres above the plan's zero.
    pub top: f64,
    /// What fills it.
    pub part: Part,
    /// Which of its four edges (from, to, base, top) border on the wall, not on the wall's own end.
    pub edges: [bool; 4],
}

/// One straight stretch of a wall, or one face of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Screen {
    /// One end of the centre line.
    pub start: Point,
    /// Unit vector along the centre line.
    pub along: Point,
    /// Unit normal, to the left of `along`.
    pub normal: Point,
    /// Length, metres.
    pub length: f64,
    /// Half the thickness, metres; zero for the face of a block.
    pub half_thickness: f64,
    /// Height of the lower edge, metres above the plan's zero.
    pub base: f64,
    /// Height of the upper edge, metres above the plan's zero.
    pub top: f64,
    /// What the screen consists of outside its holes.
    pub body: Part,
    /// Its openings, in order.
    pub holes: Vec<Hole>,
    /// Whether the edges at its start, end, base and top are free: the wave can go round them.
    pub free: [bool; 4],
    /// The block of which it is a face.
    pub block: Option<u32>,
    /// For the face of a block: +1 where `normal` points out of it, −1 where it points in. 0 for walls.
    pub outward: f64,
}

impl Screen {
    /// The part at `s` metres along the screen and height `z`, or `None` outside it.
    #[inline]
    #[must_use]
    pub fn part_at(&self, s: f64, z: f64) -> Option<Part> {
        if z < self.base || z >= self.top || s < -CORNER_M || s > self.length + CORNER_M {
            return None;
        }
        // On a jamb the wall wins: the last millimetre of an opening is its frame.
        let inside = |hole: &&Hole| {
            s > hole.from + CORNER_M && s < hole.to - CORNER_M && z >= hole.base && z < hole.top
        };
        Some(self.holes.iter().find(inside).map_or(self.body, |hole| hole.part))
    }

    /// Whether waves go round some edge of the screen or through an opening of another kind.
    #[must_use]
    pub fn has_edges(&self) -> bool {
        self.free.contains(&true) || !self.holes.is_empty()
    }

    /// Range along the screen that a path may feel: its length, and some way beyond free ends.
    #[must_use]
    pub fn reach(&self, soft: bool) -> (f64, f64) {
        let beyond = |free: bool| {
            if soft && free { REACH_BEYOND_FREE_END_M } else { 0.0 }
        };
        (-beyond(self.free[0]), self.length + beyond(self.free[1]))
    }

    /// The point `s` metres along the centre line.
    #[must_use]
    pub fn point(&self, s: f64) -> Point {
        self.start + self.along * s
    }

    /// Signed distance of a point from the centre line, positive to the left, metres.
    #[inline]
    #[must_use]
    pub fn offset(&self, p: Point) -> f64 {
        dot(self.normal, p - self.start)
    }
}

/// A solid thing in a room; its faces stand among the screens too.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Corners in order, without repetition of the first.
    pub corners: Vec<Point>,
    /// Mean of its corners: where it counts as standing.
    pub centre: Point,
    /// Radius of a circle about the centre that holds it, metres.
    pub radius: f64,
    /// Height of its foot, metres above the plan's zero.
    pub base: f64,
    /// Height of its top, metres above the plan's zero.
    pub top: f64,
    /// What its faces consist of.
    pub part: Part,
    /// Whether the wave can pass below and above it.
    pub free: [bool; 2],
}

impl Block {
    /// Whether a point in plan at height `z` lies inside.
    #[must_use]
    pub fn holds(&self, p: Point, z: f64) -> bool {
        let mut inside = false;
        let mut before = self.corners.last();
        for corner in &self.corners {
            if let Some(last) = before
                && (last.y > p.y) != (corner.y > p.y)
                && p.x < last.x + (p.y - last.y) / (corner.y - last.y) * (corner.x - last.x)
            {
                inside = !inside;
            }
            before = Some(corner);
        }
        inside && z >= self.base && z < self.top
    }
}

/// A level floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Height, metres above the plan's zero.
    pub height: f64,
    /// Its outline.
    pub outline: Polygon<f64>,
    /// What it consists of.
    pub part: Part,
}

impl Floor {
    /// Whether the floor extends over a point.
    #[must_use]
    pub fn covers(&self, p: Point) -> bool {
        self.outline.contains(&Coord { x: p.x, y: p.y })
    }
}

/// Everything that a path may meet.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Walls' stretches and blocks' faces.
    pub screens: Vec<Screen>,
    /// Solid things.
    pub blocks: Vec<Block>,
    /// Floors, in plan order.
    pub floors: Vec<Floor>,
    /// Ids of the plan's features that parts refer to.
    pub features: Vec<String>,
    /// Names of the constructions of those features.
    pub constructions: Vec<String>,
    /// Finds the screens near a leg.
    pub index: ScreenIndex,
}

/// What the tracer must know of a construction: which surface, and how thick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceFacts {
    /// Its surface.
    pub surface: SurfaceId,
    /// Its thickness, metres.
    pub thickness_m: f64,
}

impl Scene {
    /// Builds the scene of a plan. `facts` tells what a construction's name stands for.
    #[must_use]
    pub fn new(plan: &Plan, facts: &dyn Fn(&str) -> SurfaceFacts) -> Self {
        let mut builder = Builder { facts, scene: Self::empty() };
        builder.walls(plan);
        builder.obstacles(plan);
        builder.floors(plan);
        let mut scene = builder.scene;
        mark_free_edges(&mut scene, plan);
        for screen in &mut scene.screens {
            mark_hole_edges(screen);
        }
        scene.index = ScreenIndex::new(&scene.screens);
        scene
    }

    fn empty() -> Self {
        Self {
            screens: Vec::new(),
            blocks: Vec::new(),
            floors: Vec::new(),
            features: Vec::new(),
            constructions: Vec::new(),
            index: ScreenIndex::new(&[]),
        }
    }
}

struct Builder<'a> {
    facts: &'a dyn Fn(&str) -> SurfaceFacts,
    scene: Scene,
}

impl Builder<'_> {
    fn part(&mut self, feature: &str, construction: &str, open: bool) -> Part {
        let id = u32::try_from(self.scene.features.len()).unwrap_or(u32::MAX);
        self.scene.features.push(feature.to_owned());
        self.scene.constructions.push(construction.to_owned());
        let surface = if open { AIR } else { (self.facts)(construction).surface };
        Part { surface, feature: id }
    }

    fn walls(&mut self, plan: &Plan) {
        let mut first_screen = Vec::with_capacity(plan.walls.len());
        for wall in &plan.walls {
            first_screen.push(self.scene.screens.len());
            let body = self.part(&wall.id, &wall.construction, false);
            let half_thickness = (self.facts)(&wall.construction).thickness_m / 2.0;
            for line in wall.line.lines() {
                if let Some(screen) = upright(line.start, line.end, (wall.base_m, wall.top_m), body)
                {
                    self.scene.screens.push(Screen { half_thickness, ..screen });
                }
            }
        }
        for opening in &plan.openings {
            let part = self.part(&opening.id, &opening.construction, opening.open);
            let hole = Hole {
                from: opening.from_m,
                to: opening.to_m,
                base: opening.base_m,
                top: opening.top_m,
                part,
                edges: [true; 4],
            };
            if let Some(first) = first_screen.get(opening.wall)
                && let Some(screen) = self.scene.screens.get_mut(first + opening.segment)
            {
                screen.holes.push(hole);
            }
        }
        for screen in &mut self.scene.screens {
            screen.holes.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.base.total_cmp(&b.base)));
        }
    }

    fn obstacles(&mut self, plan: &Plan) {
        for obstacle in &plan.obstacles {
            let part = self.part(&obstacle.id, &obstacle.construction, false);
            let ring = &obstacle.outline.exterior().0;
            let corners: Vec<Point> =
                ring.iter().take(ring.len().saturating_sub(1)).copied().collect();
            if corners.len() < 3 {
                continue;
            }
            // Going round counter-clockwise the inside lies to the left, where the normal points.
            let area: f64 = obstacle.outline.exterior().lines().map(|l| l.determinant()).sum();
            let outward = -area.signum();
            let block = u32::try_from(self.scene.blocks.len()).ok();
            for line in obstacle.outline.exterior().lines() {
                let heights = (obstacle.base_m, obstacle.top_m);
                if let Some(screen) = upright(line.start, line.end, heights, part) {
                    self.scene.screens.push(Screen { block, outward, ..screen });
                }
            }
            let sum = corners.iter().fold(Point { x: 0.0, y: 0.0 }, |sum, p| sum + *p);
            let centre = sum / corners.len() as f64;
            let radius = corners.iter().map(|p| norm(*p - centre)).fold(0.0, f64::max);
            let level = plan.level(obstacle.level);
            self.scene.blocks.push(Block {
                radius,
                corners,
                centre,
                base: obstacle.base_m,
                top: obstacle.top_m,
                part,
                free: [
                    level.is_some_and(|l| obstacle.base_m > l.floor_m + JOIN_GAP_M),
                    level.is_some_and(|l| obstacle.top_m < l.ceiling_m - JOIN_GAP_M),
                ],
            });
        }
    }

    fn floors(&mut self, plan: &Plan) {
        for slab in &plan.slabs {
            let part = self.part(&slab.id, &slab.construction, false);
            self.scene.floors.push(Floor {
                height: slab.height_m,
                outline: slab.outline.clone(),
                part,
            });
        }
    }
}

fn upright(start: Point, end: Point, (base, top): (f64, f64), body: Part) -> Option<Screen> {
    let length = norm(end - start);
    if length < CORNER_M {
        return None;
    }
    let along = (end - start) / length;
    Some(Screen {
        start,
        along,
        normal: left_of(along),
        length,
        half_thickness: 0.0,
        base,
        top,
        body,
        holes: Vec::new(),
        free: [false; 4],
        block: None,
        outward: 0.0,
    })
}

/// A wall's end is free unless another wall (or a block) stands at it; its top and base are free
/// where they stop short of ceiling and floor and nothing stands above or below.
fn mark_free_edges(scene: &mut Scene, plan: &Plan) {
    let near = |p: Point, me: usize, low: f64, high: f64| {
        scene.screens.iter().enumerate().any(|(other, screen)| {
            let gap = JOIN_GAP_M + screen.half_thickness;
            let s = dot(screen.along, p - screen.start);
            other != me
                && screen.base < high
                && screen.top > low
                && screen.offset(p).abs() <= gap
                && s >= -gap
                && s <= screen.length + gap
        })
    };
    let free: Vec<[bool; 4]> = scene
        .screens
        .iter()
        .enumerate()
        .map(|(me, screen)| {
            if screen.block.is_some() {
                return [false; 4];
            }
            let end_is_free = |p: Point| !near(p, me, screen.base, screen.top);
            let middle = screen.point(screen.length / 2.0);
            let storey = plan
                .levels
                .iter()
                .find(|level| screen.base < level.ceiling_m && screen.top > level.floor_m);
            let above = storey.is_some_and(|l| screen.top < l.ceiling_m - JOIN_GAP_M)
                && !near(middle, me, screen.top, screen.top + JOIN_GAP_M);
            let below = storey.is_some_and(|l| screen.base > l.floor_m + JOIN_GAP_M)
                && !near(middle, me, screen.base - JOIN_GAP_M, screen.base);
            [end_is_free(screen.start), end_is_free(screen.point(screen.length)), below, above]
        })
        .collect();
    for (screen, free) in scene.screens.iter_mut().zip(free) {
        screen.free = free;
    }
}

/// An opening's edge that coincides with a joined end of its wall borders on nothing lighter.
fn mark_hole_edges(screen: &mut Screen) {
    let (length, base, top, free) = (screen.length, screen.base, screen.top, screen.free);
    for hole in &mut screen.holes {
        hole.edges = [
            free[0] || hole.from > CORNER_M,
            free[1] || hole.to < length - CORNER_M,
            free[2] || hole.base > base + CORNER_M,
            free[3] || hole.top < top - CORNER_M,
        ];
    }
}
