//! The power gain from one transmitter to every cell of a grid.

use rayon::prelude::*;

use super::crossing::{round_block, sharp, soft};
use super::paths::{Follower, View};
use crate::trace::{Climb, Facet, Grid, ImageTree, Lamp, Point, REACH_BEYOND_FREE_END_M, Ray, Run};

/// Images prepared at once: enough to keep the threads busy, few enough to stay small.
const LAMPS_AT_ONCE: usize = 256;

/// Rows that one thread takes at a time.
const ROWS_AT_ONCE: usize = 4;

/// Power gain (linear, an isotropic transmitter's power is one) from a transmitter at height
/// `from_z` to every cell of a grid, row by row from the lower left: all paths up to the model's
/// order, their powers summed, every cell exact.
///
/// `progress` is told, from any thread, how many parts in a thousand of the work are done.
#[must_use]
pub fn field(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    grid: &Grid,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let climbs = Climb::all(
        &view.scene.floors,
        from_z,
        grid.height,
        view.model.reflections,
    );
    let mut gains = vec![0.0; grid.columns * grid.rows];
    if gains.is_empty() {
        return gains;
    }
    let images = u32::try_from(tree.images.len()).unwrap_or(u32::MAX);
    let mut first = 0;
    while first < images {
        let next = images.min(first + LAMPS_AT_ONCE as u32);
        let lamps: Vec<Lamp<'_>> = (first..next)
            .into_par_iter()
            .filter_map(|id| Lamp::new(view.scene, tree, id, grid, view.is_soft()))
            .collect();
        gains
            .par_chunks_mut(grid.columns * ROWS_AT_ONCE)
            .enumerate()
            .for_each_init(
                || RowWork::new(grid.columns),
                |work, (chunk, rows)| {
                    for (number, row) in rows.chunks_mut(grid.columns).enumerate() {
                        let place = chunk * ROWS_AT_ONCE + number;
                        for lamp in &lamps {
                            let order = tree.images[lamp.image as usize].order;
                            for climb in &climbs {
                                if order + climb.order <= view.model.reflections {
                                    work.add(view, tree, lamp, climb, grid, place, row);
                                }
                            }
                        }
                    }
                },
            );
        first = next;
        progress(u64::from(first) * 1000 / u64::from(images));
    }
    gains
}

/// Scratch memory for one row.
struct RowWork {
    kept: Vec<f64>,
    ties: Vec<bool>,
    follower: Follower,
}

impl RowWork {
    fn new(columns: usize) -> Self {
        Self {
            kept: vec![0.0; columns],
            ties: vec![false; columns],
            follower: Follower::default(),
        }
    }

    /// Adds one image's paths of one climb to a row of gains.
    #[expect(
        clippy::too_many_arguments,
        reason = "the loop's inner body, called from one place"
    )]
    fn add(
        &mut self,
        view: &View<'_>,
        tree: &ImageTree,
        lamp: &Lamp<'_>,
        climb: &Climb,
        grid: &Grid,
        row: usize,
        gains: &mut [f64],
    ) {
        let (sure, lit) = lamp.lit.runs(grid, row);
        if lit.from == lit.to {
            return;
        }
        let cells = lit.from..lit.to;
        self.ties[cells.clone()].fill(false);
        mark_outside(&mut self.ties, lit, sure);
        for column in cells.clone() {
            let ray = Ray::new(lamp.position, grid.centre(column, row), climb);
            self.kept[column] = mirrored(view, &lamp.mirrors, &ray)
                .and_then(|kept| Some(kept * view.floors(tree, lamp.image, &ray)?))
                .unwrap_or(0.0);
        }
        let (low, high) = climb.extent();
        for shade in &lamp.shades {
            let screen = shade.facet.screen;
            let apart = (high < screen.base && !(view.is_soft() && screen.free[2]))
                || (low >= screen.top && !(view.is_soft() && screen.free[3]));
            if apart {
                continue;
            }
            let (sure, maybe) = shade.region.runs(grid, row);
            let (sure, maybe) = (within(sure, lit), within(maybe, lit));
            mark_outside(&mut self.ties, maybe, sure);
            self.shade(view, lamp.position, climb, grid, row, &shade.facet, sure);
        }
        if view.is_soft() && !view.scene.blocks.is_empty() {
            self.blocks(view, lamp, climb, grid, row, lit);
        }
        for column in cells {
            let to = grid.centre(column, row);
            if self.ties[column] {
                self.kept[column] = view
                    .interaction(&mut self.follower, tree, lamp.image, climb, to)
                    .unwrap_or(0.0);
            }
            if self.kept[column] > 0.0 {
                let length = Ray::new(lamp.position, to, climb).length;
                gains[column] += self.kept[column] * view.spreading(length);
            }
        }
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "the loop's inner body, called from one place"
    )]
    fn shade(
        &mut self,
        view: &View<'_>,
        from: Point,
        climb: &Climb,
        grid: &Grid,
        row: usize,
        facet: &Facet<'_>,
        run: Run,
    ) {
        let soft_edges = view.is_soft() && facet.screen.has_edges();
        for column in run.from..run.to {
            if self.kept[column] == 0.0 {
                continue;
            }
            let ray = Ray::new(from, grid.centre(column, row), climb);
            let strike = ray.strike(facet);
            let passed = if soft_edges {
                soft(view.surfaces, &ray, facet, &strike)
            } else {
                sharp(view.surfaces, facet, &strike)
            };
            if let Some(passed) = passed {
                self.kept[column] *= passed;
            }
        }
    }

    fn blocks(
        &mut self,
        view: &View<'_>,
        lamp: &Lamp<'_>,
        climb: &Climb,
        grid: &Grid,
        row: usize,
        run: Run,
    ) {
        for column in run.from..run.to {
            if self.kept[column] == 0.0 {
                continue;
            }
            let ray = Ray::new(lamp.position, grid.centre(column, row), climb);
            for (number, leg) in lamp.legs.iter().enumerate() {
                for block in &view.scene.blocks {
                    let seen = ray.silhouette(block, &leg.unfolding, REACH_BEYOND_FREE_END_M);
                    let Some(seen) = seen else { continue };
                    let reached =
                        |mirror: Option<&Facet<'_>>| mirror.map(|mirror| ray.strike(mirror).t);
                    let from_t = number
                        .checked_sub(1)
                        .and_then(|n| reached(lamp.mirrors.get(n)));
                    let to_t = reached(lamp.mirrors.get(number));
                    if seen.t > from_t.unwrap_or(0.0) && seen.t <= to_t.unwrap_or(1.0) {
                        let passed = round_block(view.surfaces, &ray, block, &seen);
                        self.kept[column] *= passed.unwrap_or(1.0);
                    }
                }
            }
        }
    }
}

/// What the mirrors leave; `None` where the path strikes beside one.
fn mirrored(view: &View<'_>, mirrors: &[Facet<'_>], ray: &Ray<'_>) -> Option<f64> {
    let mut gain = 1.0;
    for mirror in mirrors {
        let strike = ray.strike(mirror);
        let part = mirror.screen.part_at(strike.s, strike.z)?;
        gain *= view
            .surfaces
            .get(part.surface)
            .reflected(strike.cos_incidence);
    }
    (gain > 0.0).then_some(gain)
}

fn within(run: Run, bounds: Run) -> Run {
    let from = run.from.max(bounds.from);
    Run {
        from,
        to: run.to.min(bounds.to).max(from),
    }
}

/// Marks the cells that are in `maybe` but not in `sure`.
fn mark_outside(ties: &mut [bool], maybe: Run, sure: Run) {
    if sure.from >= sure.to {
        ties[maybe.from..maybe.to].fill(true);
    } else {
        ties[maybe.from..sure.from.max(maybe.from)].fill(true);
        ties[sure.to.min(maybe.to)..maybe.to].fill(true);
    }
}
