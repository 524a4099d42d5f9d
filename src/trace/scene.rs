//! The plan as a tracer sees it.

use rstar::RTree;

use super::enclosure::Enclosures;
use super::floors::Floors;
use super::index::{Boxed, ScreenIndex, boxed};
use super::plane::{Point, dot, left_of, norm};
use super::ray::Ray;
use super::screen::{AIR, Block, CORNER_M, Floor, Hole, Joint, Part, Screen, SurfaceId, TOUCH_M};
use plan::{Inside, Plan};

/// Greatest gap between a wall's end and the face of another at which the two count as joined.
const JOIN_GAP_M: f64 = 0.05;

/// Everything that a path may meet.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Walls' stretches and blocks' faces.
    pub screens: Vec<Screen>,
    /// Solid things.
    pub blocks: Vec<Block>,
    /// Floors.
    pub floors: Floors,
    /// Ids of the plan's features that parts refer to.
    pub features: Vec<String>,
    /// Names of the constructions of those features.
    pub constructions: Vec<String>,
    /// Finds the screens near a leg.
    pub index: ScreenIndex,
    /// The rooms.
    pub enclosures: Enclosures,
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
        let near = Near::new(&scene);
        mark_free_edges(&mut scene, &near, plan);
        for screen in &mut scene.screens {
            mark_hole_edges(screen);
        }
        let screens = scene.screens.iter().zip(0u32..);
        let joints: Vec<[Joint; 4]> =
            screens.map(|(screen, id)| joints(&scene, &near, (screen, id))).collect();
        for (screen, joints) in scene.screens.iter_mut().zip(joints) {
            screen.joints = joints;
        }
        scene.index = ScreenIndex::new(&scene.screens);
        let inside = Inside::of_levels(plan, &|name| Some(facts(name).thickness_m));
        scene.enclosures = Enclosures::new(plan, &inside, &mut scene.screens, &scene.floors);
        scene
    }

    /// Whether a wave along a straight ray that must pass a screen goes round this end of it: the
    /// ray meets a wall that stands there, so the way past the end meets that wall, too, and no
    /// more. To a ray that meets none of them the screen goes on for ever.
    #[inline]
    #[must_use]
    pub fn is_rounded(&self, screen: &Screen, end: usize, ray: &Ray<'_>) -> bool {
        let meets = |id: &u32| {
            let other = &self.screens[*id as usize];
            let (before, after) = (other.offset(ray.from), other.offset(ray.to));
            let touches = before.abs().min(after.abs()) <= TOUCH_M;
            if touches || before * after >= 0.0 {
                return false;
            }
            let t = before / (before - after);
            let s = dot(other.along, ray.from + ray.span * t - other.start);
            (-CORNER_M..=other.length + CORNER_M).contains(&s)
        };
        screen.joints[end].screens.iter().any(meets)
    }

    fn empty() -> Self {
        Self {
            screens: Vec::new(),
            blocks: Vec::new(),
            floors: Floors::default(),
            features: Vec::new(),
            constructions: Vec::new(),
            index: ScreenIndex::new(&[]),
            enclosures: Enclosures::default(),
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
            let half_thickness = (self.facts)(&opening.construction).thickness_m / 2.0;
            let hole = Hole {
                half_thickness,
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
                    self.scene.screens.push(Screen {
                        block,
                        outward,
                        first_layer: outward,
                        ..screen
                    });
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
        let mut floors = Vec::with_capacity(plan.slabs.len());
        for slab in &plan.slabs {
            let part = self.part(&slab.id, &slab.construction, false);
            let thickness = (self.facts)(&slab.construction).thickness_m;
            let storeys_below = plan.levels.iter().map(|level| level.ceiling_m);
            let room_for_it = storeys_below
                .filter(|ceiling| *ceiling <= slab.height_m + JOIN_GAP_M)
                .map(|ceiling| slab.height_m - ceiling)
                .fold(f64::INFINITY, f64::min);
            floors.push(Floor {
                height: slab.height_m,
                is_tight: slab.is_tight,
                over_air: plan.level(slab.level).is_some_and(|level| level.is_over_air),
                underside: slab.height_m - thickness.min(room_for_it.max(0.0)),
                outline: slab.outline.clone(),
                part,
            });
        }
        self.scene.floors = Floors::new(floors);
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
        joints: Default::default(),
        block: None,
        outward: 0.0,
        first_layer: 1.0,
    })
}

/// Finds what stands at a point or lies under it.
struct Near {
    screens: RTree<Boxed>,
    floors: RTree<Boxed>,
    lowest_floor_m: f64,
}

impl Near {
    fn new(scene: &Scene) -> Self {
        let screens = scene.screens.iter().zip(0u32..).map(|(screen, id)| {
            // As far as [`stands_at`] reaches, along and across together.
            let round_m = 1.5 * (JOIN_GAP_M + screen.half_thickness);
            boxed(&[screen.start, screen.point(screen.length)], round_m, id)
        });
        let floors = scene.floors.all().iter().zip(0u32..);
        let floors = floors.map(|(floor, id)| boxed(&floor.outline.exterior().0, 0.0, id));
        let heights = scene.floors.all().iter().map(|floor| floor.height);
        Self {
            screens: RTree::bulk_load(screens.collect()),
            floors: RTree::bulk_load(floors.collect()),
            lowest_floor_m: heights.fold(f64::INFINITY, f64::min),
        }
    }

    /// The screens that stand at a point, by [`stands_at`], in no particular order.
    fn screens_at(
        &self,
        scene: &Scene,
        p: Point,
        heights: (f64, f64),
    ) -> impl Iterator<Item = u32> {
        let found = self.screens.locate_all_at_point(&p.into()).map(|found| found.data);
        found.filter(move |id| stands_at(&scene.screens[*id as usize], p, heights))
    }
}

/// The first of some numbers, as many as make a joint, in order.
fn in_order(numbers: impl Iterator<Item = u32>) -> impl Iterator<Item = u32> {
    let mut numbers: Vec<u32> = numbers.take(MOST_JOINED).collect();
    numbers.sort_unstable();
    numbers.into_iter()
}

/// Whether a screen stands at a point somewhere between two heights, or so near that a wall which
/// ends there is joined to it.
fn stands_at(screen: &Screen, p: Point, (low, high): (f64, f64)) -> bool {
    let gap = JOIN_GAP_M + screen.half_thickness;
    let s = dot(screen.along, p - screen.start);
    screen.base < high
        && screen.top > low
        && screen.offset(p).abs() <= gap
        && s >= -gap
        && s <= screen.length + gap
}

/// A wall's end is free unless another wall (or a block) stands at it; its top and base are free
/// where they stop short of ceiling and floor and nothing stands above or below.
fn mark_free_edges(scene: &mut Scene, near: &Near, plan: &Plan) {
    let free = scene.screens.iter().zip(0u32..).map(|(screen, me)| {
        if screen.block.is_some() {
            return [false; 4];
        }
        let stands = |p: Point, heights: (f64, f64)| {
            near.screens_at(scene, p, heights).any(|other| other != me)
        };
        let end_is_free = |p: Point| !stands(p, (screen.base, screen.top));
        let middle = screen.point(screen.length / 2.0);
        let storey = plan
            .levels
            .iter()
            .find(|level| screen.base < level.ceiling_m && screen.top > level.floor_m);
        let above = storey.is_some_and(|l| screen.top < l.ceiling_m - JOIN_GAP_M)
            && !stands(middle, (screen.top, screen.top + JOIN_GAP_M));
        let below = storey.is_some_and(|l| screen.base > l.floor_m + JOIN_GAP_M)
            && !stands(middle, (screen.base - JOIN_GAP_M, screen.base));
        [end_is_free(screen.start), end_is_free(screen.point(screen.length)), below, above]
    });
    let free: Vec<[bool; 4]> = free.collect();
    for (screen, free) in scene.screens.iter_mut().zip(free) {
        screen.free = free;
    }
}

/// Greatest gap between a wall's top and the slab that it carries, metres: the slab's thickness and
/// what is above a hung ceiling.
const SLAB_GAP_M: f64 = 0.4;

/// How far to either side of a wall a slab is looked for, metres.
const BESIDE_M: f64 = 0.3;

/// Most screens or floors that a joint is made of: far beyond any building, it bounds the memory
/// that walls drawn many times over can cost.
const MOST_JOINED: usize = 64;

/// What the edges of a screen that are not free are joined to.
fn joints(scene: &Scene, near: &Near, (screen, me): (&Screen, u32)) -> [Joint; 4] {
    if screen.block.is_some() {
        return Default::default();
    }
    let end = |p: Point| {
        let mut joint = Joint { is_tight: true, ..Joint::default() };
        let is_wall = |id: &u32| *id != me && scene.screens[*id as usize].block.is_none();
        let met = near.screens_at(scene, p, (screen.base, screen.top)).filter(is_wall);
        for id in in_order(met) {
            let other = &scene.screens[id as usize];
            let s = dot(other.along, p - other.start);
            // One that goes on past the end stands on both sides of it.
            let inner = other.half_thickness + BESIDE_M;
            let sides = if s > inner && s < other.length - inner { 2 } else { 1 };
            joint.surfaces.extend(std::iter::repeat_n(other.body.surface, sides));
            joint.screens.push(id);
        }
        joint
    };
    let lowest = near.lowest_floor_m;
    let slabs = |is_near: &dyn Fn(&Floor) -> bool| {
        let mut joint = Joint::default();
        for side in [BESIDE_M, -BESIDE_M] {
            let place = screen.point(screen.length / 2.0) + screen.normal * side;
            let covers = |floor: &&Floor| is_near(floor) && floor.covers(place);
            let over = near.floors.locate_all_at_point(&place.into()).map(|found| found.data);
            let over = over.filter(|id| covers(&&scene.floors.all()[*id as usize]));
            for floor in in_order(over).map(|id| &scene.floors.all()[id as usize]) {
                joint.surfaces.push(floor.part.surface);
                joint.is_tight |= floor.is_tight;
                joint.on_ground |= floor.height <= lowest + BESIDE_M && !floor.over_air;
            }
        }
        joint
    };
    let below = slabs(&|floor| (floor.height - screen.base).abs() < 2.0 * JOIN_GAP_M);
    let mut above =
        slabs(&|floor| (-JOIN_GAP_M..SLAB_GAP_M).contains(&(floor.height - screen.top)));
    above.on_ground = false;
    [end(screen.start), end(screen.point(screen.length)), below, above]
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
