//! Which paths a map can do without.
//!
//! Of some hundred paths reflected twice, all but a handful bring together less than a hundredth of
//! what a cell has from the direct path and those reflected once. So the cells are taken in
//! squares, and each path is followed to the corners of each square first: the most that it brings
//! to one of them stands for the square. Where the edge of something of metal shades a part of the
//! square only, or a mirror has metal beside something else, it is the most that it would bring
//! with the metal out of the way. Where a beam is so narrow that it passes between the corners, it
//! is the free field over the shortest way, times the most that its mirrors reflect at any angle
//! that occurs. The weakest paths are left out as long as all of them together stay below a share
//! of the least power that a cell of the square has by then.
//!
//! Interference is between the direct path and those reflected once, which are always followed. So
//! a path that is left out takes no more than its own power, and a map is never too bright. It may
//! be too dark by more than that share where what is not metal shades all corners but not all of
//! the square; `tests/forecast/README.md` has how much was seen.

use rayon::prelude::*;

use super::model::Adding;
use super::paths::View;
use super::rows::{Mask, RowWork, Traced, Tracing};
use trace::{
    Facet, Grid, GridTracer, ImageTree, LegSpace, Part, Point, Ray, Run, Scene, Screen, Shadows,
    TIE_M, dot, leg_spaces, lit_region,
};

/// Cells along each side of a square.
pub(super) const SIDE: usize = 8;

/// The share of what a cell receives that the paths left out of a map may have, linear: 0.02 dB.
pub const MAP_MISSES: f64 = 0.005;

/// The cells of a grid in squares, each of which stands for all its points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Squares {
    /// Their centres.
    grid: Grid,
    /// Distance of a square's farthest cell from its centre, metres.
    radius: f64,
}

/// The paths of an image with one height profile, in the squares in which they count.
#[derive(Debug, Clone)]
pub(super) struct Beam {
    pub image: u32,
    pub height_profile: usize,
    /// Numbers of the squares, ascending; `None` for all.
    squares: Option<Vec<u32>>,
}

impl Beam {
    /// In all squares.
    pub fn everywhere(image: u32, height_profile: usize) -> Self {
        Self { image, height_profile, squares: None }
    }

    /// The cells of one row of squares, of so many columns of cells, in which it counts.
    pub fn runs(&self, row: usize, columns: usize) -> impl Iterator<Item = Run> {
        let across = columns.div_ceil(SIDE) as u32;
        let first = row as u32 * across;
        let here = self.squares.as_deref().map(|squares| {
            let place = |number: u32| squares.partition_point(|square| *square < number);
            &squares[place(first)..place(first + across)]
        });
        let everywhere = here.is_none().then_some(Run { from: 0, to: columns });
        let together = here.unwrap_or_default().chunk_by(|one, next| one + 1 == *next);
        let cells = move |square: u32| (square - first) as usize * SIDE;
        let run = move |squares: &[u32]| {
            let (from, to) = (squares.first()?, squares.last()?);
            Some(Run { from: cells(*from), to: cells(to + 1).min(columns) })
        };
        everywhere.into_iter().chain(together.filter_map(run))
    }
}

impl Squares {
    pub fn new(grid: &Grid) -> Self {
        let (cell, middle) = (SIDE as f64 * grid.cell, (SIDE - 1) as f64 / 2.0 * grid.cell);
        let squares = Grid {
            origin: grid.origin + Point { x: middle, y: middle },
            cell,
            columns: grid.columns.div_ceil(SIDE),
            rows: grid.rows.div_ceil(SIDE),
            height: grid.height,
        };
        Self { grid: squares, radius: middle * std::f64::consts::SQRT_2 + TIE_M }
    }

    /// The least of some values of the cells in each square, given row by row; infinite where there
    /// are none.
    pub fn least(&self, columns: usize, values: impl Iterator<Item = Option<f64>>) -> Vec<f64> {
        let mut least = vec![f64::INFINITY; self.grid.columns * self.grid.rows];
        for (cell, value) in values.enumerate() {
            let (column, row) = (cell % columns / SIDE, cell / columns / SIDE);
            let least = &mut least[row * self.grid.columns + column];
            *least = least.min(value.unwrap_or(f64::INFINITY));
        }
        least
    }

    /// Of beams that are reflected more often than once, those that count, by image, each with the
    /// squares in which it does: what is left out brings no more than its `budget` to each square.
    pub fn outweighing(&self, tracing: &Tracing<'_>, budget: &[f64]) -> Vec<Beam> {
        let images = u32::try_from(tracing.tree.images.len()).unwrap_or(u32::MAX);
        let half = Point { x: self.grid.cell, y: self.grid.cell } * 0.5;
        let corners = Grid {
            origin: self.grid.origin - half,
            columns: self.grid.columns + 1,
            rows: self.grid.rows + 1,
            ..self.grid
        };
        let needed = Mask::new(&corners, 0..corners.rows, |corner| {
            let (column, row) = (corner % corners.columns, corner / corners.columns);
            let across = column.saturating_sub(1)..self.grid.columns.min(column + 1);
            (row.saturating_sub(1)..self.grid.rows.min(row + 1)).any(|row| {
                across.clone().any(|column| budget[row * self.grid.columns + column].is_finite())
            })
        });
        let height_profiles = tracing.height_profiles.clone();
        let at_corners = Tracing { grid: &corners, wanted: &needed, height_profiles, ..*tracing };
        // What is next to nothing is dropped at once, so that it takes no memory: at most half of
        // what may be left out.
        let beams = f64::from(images) * tracing.height_profiles.len() as f64;
        let least: Vec<f64> = budget.iter().map(|budget| 0.5 * budget / beams).collect();
        let mut bounds: Vec<(Bounded, u32)> = (0..images)
            .into_par_iter()
            .map_init(
                || RowWork::new(corners.columns),
                |work, image| self.bounds(&at_corners, work, image, &least),
            )
            .flatten_iter()
            .collect();
        bounds.par_sort_by(|a, b| a.1.cmp(&b.1).then(a.0.most.total_cmp(&b.0.most)));
        for square in bounds.chunk_by_mut(|one, next| one.1 == next.1) {
            let mut left_out = 0.0;
            for (one, number) in square {
                left_out += one.most;
                one.counts = left_out > 0.5 * budget[*number as usize];
            }
        }
        bounds.retain(|(one, _)| one.counts);
        bounds.par_sort_by_key(|(one, square)| (one.image, one.height_profile, *square));
        let beam = |run: &[(Bounded, u32)]| Beam {
            image: run[0].0.image,
            height_profile: usize::from(run[0].0.height_profile),
            squares: Some(run.iter().map(|(_, square)| *square).collect()),
        };
        let is_same =
            |a: &Bounded, b: &Bounded| (a.image, a.height_profile) == (b.image, b.height_profile);
        bounds.chunk_by(|a, b| is_same(&a.0, &b.0)).map(beam).collect()
    }

    /// What an image's beams bring to the squares at most, where that is more than `least`.
    fn bounds(
        &self,
        at_corners: &Tracing<'_>,
        work: &mut RowWork,
        image: u32,
        least: &[f64],
    ) -> Vec<(Bounded, u32)> {
        let Tracing { view, tree, grid: corners, .. } = *at_corners;
        let mut found = Vec::new();
        let Some(lit) = lit_region(view.scene, tree, image, (&self.grid, self.radius)) else {
            return found;
        };
        let tracer = GridTracer::new(view.scene, tree, image, (corners, TIE_M), view.is_soft());
        let mirrors = facets(view.scene, tree, image);
        let is_uneven = mirrors.iter().any(|mirror| metal(view, mirror.screen) == (true, true));
        let shades = tracer.iter().flat_map(|tracer| &tracer.shades);
        let metal = shades.filter(|shade| metal(view, shade.facet.screen).0);
        let metal: Vec<&Shadows<'_>> = metal.collect();
        // Sharp or as powers, metal is not kept apart.
        let keeps_apart = view.is_soft() && view.model.adding == Adding::Waves;
        let rows = lit.rows();
        let image_at = &tree.images[image as usize];
        for (height_profile, number) in at_corners.height_profiles.iter().zip(0u16..) {
            if !(2..=view.model.reflections).contains(&(image_at.order + height_profile.order)) {
                continue;
            }
            let mut powers = vec![[0.0; 2]; (rows.to - rows.from + 1) * corners.columns];
            if let Some(tracer) = &tracer {
                let traced = Traced { tracing: at_corners, tracer, height_profile };
                let all = (Run { from: rows.from, to: rows.to + 1 }, corners.columns);
                work.each_cell(&traced, all.0, Run { from: 0, to: all.1 }, |cell, kept, free| {
                    let brighter = if is_uneven {
                        evened(view, &mirrors, &traced.ray(cell.0, cell.1))
                    } else {
                        1.0
                    };
                    powers[(cell.1 - rows.from) * all.1 + cell.0] =
                        [free * kept.power(view.model.adding), free * kept.light * brighter];
                });
            }
            for row in rows.from..rows.to {
                let first = (row - rows.from) * corners.columns;
                let (_, lit) = lit.runs(&self.grid, row);
                for column in lit.from..lit.to {
                    let below = &powers[first + column..][..2];
                    let above = &powers[first + corners.columns + column..][..2];
                    let at = |which: usize| {
                        below.iter().chain(above).map(|power| power[which]).fold(0.0, f64::max)
                    };
                    let is_cut =
                        is_uneven || metal.iter().any(|shade| cuts(corners, shade, (column, row)));
                    let mut most = at(usize::from(is_cut));
                    if most == 0.0 || (is_cut && !keeps_apart) {
                        let to = self.grid.centre(column, row);
                        let ray = Ray::new(image_at.position, to, height_profile);
                        most = unshaded(view, &mirrors, &ray, &Place::new(&ray, self.radius));
                    }
                    let square = row * self.grid.columns + column;
                    if most > least[square] {
                        let bounded = Bounded { image, height_profile: number, most, counts: true };
                        found.push((bounded, square as u32));
                    }
                }
            }
        }
        found
    }
}

/// Whether some of a screen is metal or coated, and whether some is not.
fn metal(view: &View<'_>, screen: &Screen) -> (bool, bool) {
    parts(screen).fold((false, false), |(some, not_all), part| {
        let is = view.surfaces.get(part.surface).is_heavy;
        (some | is, not_all | !is)
    })
}

/// How much more the mirrors of a path could reflect with what stands beside the places at which
/// they are struck.
fn evened(view: &View<'_>, mirrors: &[Facet<'_>], ray: &Ray<'_>) -> f64 {
    let best = mirrors.iter().map(|mirror| {
        let cos = view.bundled(ray.strike(mirror).cos_incidence, ray.length);
        let face = ray.face_met(mirror);
        let reflected = |part: Part| view.surfaces.get(part.surface).reflected(face, cos);
        parts(mirror.screen).map(reflected).fold(0.0, f64::max)
    });
    let best: f64 = best.product();
    view.mirrored(mirrors.iter().copied(), ray).map_or(1.0, |reflected| best / reflected)
}

/// What a screen consists of.
fn parts(screen: &Screen) -> impl Iterator<Item = Part> {
    std::iter::once(screen.body).chain(screen.holes.iter().map(|hole| hole.part))
}

/// Whether the edge of a shade may run through a square, given by its lower left corner in the grid
/// of corners: a shade is convex, so that one which holds all four corners holds all of the square.
fn cuts(corners: &Grid, shade: &Shadows<'_>, (column, row): (usize, usize)) -> bool {
    let across = Run { from: column, to: column + 2 };
    let holds = |row: usize| {
        let (sure, _) = shade.region.runs(corners, row);
        sure.from <= column && across.to <= sure.to
    };
    shade.region.may_reach(Run { from: row, to: row + 2 }, across)
        && !(holds(row) && holds(row + 1))
}

/// The mirrors of an image's paths, unfolded.
fn facets<'s>(scene: &'s Scene, tree: &ImageTree, image: u32) -> Vec<Facet<'s>> {
    let legs = leg_spaces(scene, tree, image);
    let mirror = |leg: &LegSpace| {
        let screen = scene.screens.get(leg.mirror_before? as usize)?;
        Some(Facet::new(screen, &leg.unfolding))
    };
    legs.iter().filter_map(mirror).collect()
}

/// A bound on the power of a beam in a square, but for what stands in its way.
fn unshaded(view: &View<'_>, mirrors: &[Facet<'_>], ray: &Ray<'_>, place: &Place) -> f64 {
    let reflected = |surface, face, (low, high)| {
        let cos = (view.bundled(low, place.farthest), view.bundled(high, place.nearest));
        view.surfaces.get(surface).most_reflected(face, cos)
    };
    let mut most = view.spreading(place.nearest);
    for mirror in mirrors {
        let cos = place.cosines(dot(mirror.normal, ray.span));
        let face = ray.face_met(mirror);
        let parts = parts(mirror.screen).map(|part| reflected(part.surface, face, cos));
        most *= parts.fold(0.0, f64::max);
    }
    let travel = ray.height_profile.travel;
    let cos = (travel / place.farthest, travel / place.nearest.max(1e-9));
    for event in ray.height_profile.events.iter().filter(|event| event.bounce) {
        let floors = view.scene.floors.of(event.sheet);
        let face = usize::from(ray.height_profile.rises_to(event.t));
        most *= floors.map(|floor| reflected(floor.part.surface, face, cos)).fold(0.0, f64::max);
    }
    most
}

/// A bound on the power of a beam in a square.
#[derive(Debug, Clone, Copy)]
struct Bounded {
    image: u32,
    height_profile: u16,
    most: f64,
    counts: bool,
}

/// How long the paths to a square are, metres.
struct Place {
    radius: f64,
    nearest: f64,
    farthest: f64,
}

impl Place {
    fn new(ray: &Ray<'_>, radius: f64) -> Self {
        let rise = ray.height_profile.travel;
        let length = |level: f64| (level * level + rise * rise).sqrt();
        let nearest = length((ray.plan_length - radius).max(0.0));
        Self { radius, nearest, farthest: length(ray.plan_length + radius) }
    }

    /// Least and greatest cosine of incidence at a facet, the part across which of the path to the
    /// square's centre is `across` metres long.
    fn cosines(&self, across: f64) -> (f64, f64) {
        let across = across.abs();
        let low = (across - self.radius).max(0.0) / self.farthest;
        (low, (across + self.radius) / self.nearest.max(1e-9))
    }
}
