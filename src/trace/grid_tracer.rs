//! What a screen hides from a grid of receivers, row by row.
//!
//! Seen from one image of the transmitter, the receivers behind a screen fill the common part of a
//! few half planes; in a row of the grid they are one run of cells. So a field is computed by
//! walking over screens and filling runs, at a cost that grows with the crossings that there are,
//! not with cells times screens. A run's ends are known to rounding only: cells that lie within a
//! hair of an edge are reported as ties, to be traced one by one by [`super::PathTracer`], which is
//! exact at corners. `tests/forecast/invariants/tracers.rs` compares the two to 1e-9 dB, and both
//! with a third, plain tracer.

use super::grid::Grid;
use super::image::{Image, ImageTree};
use super::path::{LegSpace, leg_spaces};
use super::plane::{HalfPlane, Point, dot};
use super::ray::Facet;
use super::scene::Scene;
use super::screen::{CORNER_M, TOUCH_M};

/// Cells nearer than this to the edge of a shade are ties, metres. It must exceed, seen from the
/// farthest cell, the distance [`CORNER_M`] at a screen's end.
pub const TIE_M: f64 = 1e-3;

/// Cells of one row: `from..to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// First cell.
    pub from: usize,
    /// One past the last cell.
    pub to: usize,
}

impl Run {
    /// No cell.
    pub const EMPTY: Self = Self { from: 0, to: 0 };
}

/// One edge of a region as a bound on the column in each row: `column ≥ (or ≤) rise·row + start`.
#[derive(Debug, Clone, Copy)]
struct Bound {
    /// Columns a row.
    rise: f64,
    /// Column at row 0.
    start: f64,
    /// How far a tie reaches to either side, columns.
    tie: f64,
    sense: Sense,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Sense {
    AtLeast,
    AtMost,
    /// The edge runs along the rows: the row alone says what is inside; its depth in
    /// metres is `rise·row + start`.
    Along,
}

impl Bound {
    fn new(grid: &Grid, half: &HalfPlane, tie: f64) -> Self {
        let depth = half.depth(grid.origin);
        let (across, up) = (half.a * grid.cell, half.b * grid.cell);
        if half.a.abs() < 1e-12 {
            return Self { rise: up, start: depth, tie, sense: Sense::Along };
        }
        let sense = if half.a > 0.0 { Sense::AtLeast } else { Sense::AtMost };
        Self { rise: -up / across, start: -depth / across, tie: tie / across.abs(), sense }
    }

    /// Whether it leaves anything, ties included, of some columns in the rows from one to another.
    #[inline]
    fn may_hold(&self, (first, last): (f64, f64), columns: Run) -> bool {
        let (one, two) = (self.rise * first + self.start, self.rise * last + self.start);
        match self.sense {
            Sense::AtLeast => one.min(two) - self.tie <= columns.to as f64,
            Sense::AtMost => one.max(two) + self.tie >= columns.from as f64 - 1.0,
            Sense::Along => one.max(two) + self.tie >= 0.0,
        }
    }

    /// Narrows the range of columns: `slack` +1 keeps ties, −1 leaves them out.
    #[inline]
    fn cut(&self, row: f64, slack: f64, range: &mut (f64, f64)) {
        let at = self.rise * row + self.start;
        match self.sense {
            Sense::AtLeast => range.0 = range.0.max(at - slack * self.tie),
            Sense::AtMost => range.1 = range.1.min(at + slack * self.tie),
            Sense::Along => {
                if at + slack * self.tie < 0.0 {
                    range.1 = f64::NEG_INFINITY;
                }
            }
        }
    }
}

/// A part of the plane cut out by half planes, with the rows of the grid that it reaches.
#[derive(Debug, Clone)]
pub struct Region {
    bounds: [Option<Bound>; 4],
    first_row: usize,
    end_row: usize,
}

impl Region {
    /// The common part of at most four half planes, as far as the grid reaches; `None` if no row
    /// does. Within `tie` metres of an edge a cell may be inside.
    #[must_use]
    pub fn new(grid: &Grid, half_planes: &[HalfPlane], tie: f64) -> Option<Self> {
        let (low, high) = clipped_rows(grid, half_planes, tie)?;
        let row = |y: f64| ((y - grid.origin.y) / grid.cell).clamp(0.0, grid.rows as f64);
        let mut bounds = [None; 4];
        for (bound, half) in bounds.iter_mut().zip(half_planes) {
            *bound = Some(Bound::new(grid, half, tie));
        }
        Some(Self {
            bounds,
            first_row: row(low - 2.0 * tie).floor() as usize,
            end_row: (row(high + 2.0 * tie).floor() as usize + 1).min(grid.rows),
        })
    }

    /// The rows that the region reaches: `from..to`.
    #[must_use]
    pub fn rows(&self) -> Run {
        Run { from: self.first_row, to: self.end_row }
    }

    /// Whether any of the cells in some rows and columns may be inside; at times of cells none of
    /// which is.
    #[must_use]
    pub fn may_reach(&self, rows: Run, columns: Run) -> bool {
        let (first, last) = (rows.from.max(self.first_row), rows.to.min(self.end_row));
        first < last
            && columns.from < columns.to
            && self
                .bounds
                .iter()
                .flatten()
                .all(|bound| bound.may_hold((first as f64, last as f64 - 1.0), columns))
    }

    /// The cells of a row that are inside for certain, and those that may be.
    #[inline]
    #[must_use]
    pub fn runs(&self, grid: &Grid, row: usize) -> (Run, Run) {
        if row < self.first_row || row >= self.end_row {
            return (Run::EMPTY, Run::EMPTY);
        }
        let whole = (0.0, grid.columns as f64 - 1.0);
        let (mut sure, mut maybe) = (whole, whole);
        let row = row as f64;
        for bound in self.bounds.iter().flatten() {
            bound.cut(row, -1.0, &mut sure);
            bound.cut(row, 1.0, &mut maybe);
        }
        (Run::between(sure), Run::between(maybe))
    }
}

impl Run {
    /// Whether it holds a cell.
    #[inline]
    #[must_use]
    pub fn holds(&self, cell: usize) -> bool {
        (self.from..self.to).contains(&cell)
    }

    /// The whole columns in a range that lies within the grid.
    #[inline]
    fn between((low, high): (f64, f64)) -> Self {
        if low > high {
            return Self::EMPTY;
        }
        // Neither is negative: the range began at column 0.
        let (from, to) = (low.ceil() as usize, high.floor() as usize + 1);
        if from < to { Self { from, to } } else { Self::EMPTY }
    }
}

/// Lowest and highest y of the grid's rectangle inside the half planes (Sutherland–Hodgman).
fn clipped_rows(grid: &Grid, half_planes: &[HalfPlane], tie: f64) -> Option<(f64, f64)> {
    let mut polygon: [Point; 12] = [grid.origin; 12];
    polygon[..4].copy_from_slice(&grid.corners());
    let mut count = 4;
    for half in half_planes {
        let half = half.shrunk(-2.0 * tie);
        let mut kept: [Point; 12] = [grid.origin; 12];
        let mut kept_count = 0;
        let mut keep = |p: Point| {
            if kept_count < kept.len() {
                kept[kept_count] = p;
                kept_count += 1;
            }
        };
        for number in 0..count {
            let (a, b) = (polygon[number], polygon[(number + 1) % count]);
            let (inside_a, inside_b) = (half.depth(a), half.depth(b));
            if inside_a >= 0.0 {
                keep(a);
            }
            if (inside_a >= 0.0) != (inside_b >= 0.0) {
                keep(a + (b - a) * (inside_a / (inside_a - inside_b)));
            }
        }
        (polygon, count) = (kept, kept_count);
    }
    let ys = polygon[..count].iter().map(|p| p.y);
    let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| (l.min(y), h.max(y)));
    (low <= high).then_some((low, high))
}

/// A screen with the region of receivers whose paths meet it.
#[derive(Debug, Clone)]
pub struct Shadows<'a> {
    /// The screen's number in [`Scene::screens`].
    pub screen: u32,
    /// The screen beside the unfolded rays.
    pub facet: Facet<'a>,
    /// Where the receivers are.
    pub region: Region,
    /// Where those are whose paths meet the screen itself and do not pass beyond an end of it, if
    /// `region` holds more; `None` there where none does.
    pub itself: Option<Option<Region>>,
}

/// An image with everything that its paths meet.
#[derive(Debug, Clone)]
pub struct GridTracer<'a> {
    /// Its index in the tree.
    pub image: u32,
    /// Where it stands.
    pub position: Point,
    /// The receivers that it lights.
    pub lit: Region,
    /// The mirrors of its paths, unfolded, in order.
    pub mirrors: Vec<Facet<'a>>,
    /// Its legs.
    pub legs: Vec<LegSpace>,
    /// What its paths meet, in the plan's order, leg by leg.
    pub shades: Vec<Shadows<'a>>,
}

impl GridTracer<'_> {
    /// The receivers whose straight paths meet a screen, by its number, or pass by its ends.
    #[must_use]
    pub fn behind(&self, screen: u32) -> Option<&Region> {
        let found = self.shades.binary_search_by_key(&screen, |shade| shade.screen).ok()?;
        Some(&self.shades[found].region)
    }
}

impl<'a> GridTracer<'a> {
    /// Prepares an image for a grid; `None` if it lights none of it. Within `tie` metres of an edge
    /// it is left open on which side a cell is: [`TIE_M`], or half as wide as cells that stand for
    /// all points of a square.
    #[must_use]
    pub fn new(
        scene: &'a Scene,
        tree: &ImageTree,
        id: u32,
        (grid, tie): (&Grid, f64),
        soft: bool,
    ) -> Option<Self> {
        let image = tree.images.get(id as usize)?;
        let beam = lit_beam(scene, image);
        let lit = Region::new(grid, &beam, tie)?;
        let legs = leg_spaces(scene, tree, id);
        let mut lamp = Self {
            image: id,
            position: image.position,
            lit,
            mirrors: Vec::new(),
            legs,
            shades: Vec::new(),
        };
        for (number, leg) in lamp.legs.iter().enumerate() {
            if let Some(mirror) = leg.mirror_before {
                lamp.mirrors.push(Facet::new(&scene.screens[mirror as usize], &leg.unfolding));
            }
            let ends = (number == 0, number + 1 == lamp.legs.len());
            for (screen, id) in scene.screens.iter().zip(0u32..) {
                let skip = Some(id) == leg.mirror_before || Some(id) == leg.mirror_after;
                if skip || (soft && screen.block.is_some()) {
                    continue;
                }
                let facet = Facet::new(screen, &leg.unfolding);
                let range = screen.reach(soft, ends == (true, true));
                let shaded = |range| shaded((grid, tie), image, &beam, leg, &facet, ends, range);
                lamp.shades.extend(shaded(range).map(|region| {
                    let own = (0.0, screen.length);
                    let itself = (range != own).then(|| shaded(own));
                    Shadows { screen: id, facet, region, itself }
                }));
            }
        }
        Some(lamp)
    }
}

/// The cells of a grid that an image may light, as [`GridTracer::new`] has them; `None` for none.
#[must_use]
pub fn lit_region(
    scene: &Scene,
    tree: &ImageTree,
    id: u32,
    (grid, tie): (&Grid, f64),
) -> Option<Region> {
    Region::new(grid, &lit_beam(scene, tree.images.get(id as usize)?), tie)
}

/// The half planes that an image lights: its beam less its last mirror's centre line.
fn lit_beam(scene: &Scene, image: &Image) -> Vec<HalfPlane> {
    let mut beam = image.beam(scene);
    if let Some(face) = beam.first_mut() {
        *face = face.shrunk(TOUCH_M);
    }
    beam
}

fn shaded(
    (grid, tie): (&Grid, f64),
    image: &Image,
    beam: &[HalfPlane],
    leg: &LegSpace,
    facet: &Facet<'_>,
    ends: (bool, bool),
    mut range: (f64, f64),
) -> Option<Region> {
    let offset = dot(facet.normal, image.position - facet.start);
    let least = if ends.0 { TOUCH_M } else { CORNER_M };
    if offset.abs() <= least {
        return None;
    }
    // The first half plane of the beam is the side of the mirror; the others bound its angle.
    for half in beam.iter().skip(1).chain(&leg.bounds) {
        half.clip(facet.start, facet.along, &mut range);
    }
    if range.1 - range.0 < CORNER_M {
        return None;
    }
    let (low, high) = (facet.point(range.0), facet.point(range.1));
    let behind = HalfPlane::facing(facet.start, facet.normal * -offset.signum());
    let mut edges = vec![
        behind.shrunk(if ends.1 { TOUCH_M } else { 0.0 }),
        HalfPlane::through(image.position, low, high)?,
        HalfPlane::through(image.position, high, low)?,
    ];
    // Receivers in front of the last mirror only.
    edges.extend(beam.first());
    Region::new(grid, &edges, tie)
}
