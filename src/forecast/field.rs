//! The power gain from one transmitter to every cell of a grid.

use std::ops::Range;

use rayon::prelude::*;

use super::model::Adding;
use super::obstructions::{Kept, Stretch};
use super::paths::{Follower, View};
use super::sum::Tally;
use trace::{Facet, Grid, GridTracer, HeightProfile, ImageTree, Ray, Run, dot};

/// Images prepared at once: enough to keep the threads busy, few enough to stay small.
const IMAGES_AT_ONCE: usize = 256;

/// Rows that one thread takes at a time: enough that an image's shades stay in the cache.
const ROWS_AT_ONCE: usize = 16;

/// Power gain (linear, an isotropic transmitter's power is one) from a transmitter at height
/// `from_z` to every cell of a grid, row by row from the lower left: all paths up to the model's
/// order, their powers summed, every cell exact.
///
/// `progress` is called, from any thread, with the parts in a thousand of the work that are done.
#[must_use]
pub fn field(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    grid: &Grid,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let all = Mask::new(grid, 0..grid.rows, |_| true);
    field_where(view, tree, from_z, grid, &all, progress)
}

/// Some cells of a grid.
#[derive(Debug, Clone)]
pub struct Mask {
    columns: usize,
    /// In each row the shortest run that holds its cells.
    runs: Vec<Run>,
    cells: Vec<bool>,
}

impl Mask {
    /// The cells of some rows, by their number row by row, that are wanted.
    #[must_use]
    pub fn new(grid: &Grid, rows: Range<usize>, wanted: impl Fn(usize) -> bool) -> Self {
        let columns = grid.columns;
        let mut mask = Self {
            columns,
            runs: vec![Run { from: 0, to: 0 }; grid.rows],
            cells: vec![false; columns * grid.rows],
        };
        for row in rows.start..rows.end.min(grid.rows) {
            let cells = &mut mask.cells[row * columns..(row + 1) * columns];
            let mut run = Run { from: columns, to: 0 };
            for (column, cell) in cells.iter_mut().enumerate() {
                *cell = wanted(row * columns + column);
                if *cell {
                    run = Run { from: run.from.min(column), to: column + 1 };
                }
            }
            if run.to > 0 {
                mask.runs[row] = run;
            }
        }
        mask
    }

    /// Whether there is no cell in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.runs.iter().all(|run| run.from == run.to)
    }

    /// Whether it holds a cell, by its number.
    #[must_use]
    pub fn holds(&self, cell: usize) -> bool {
        self.cells.get(cell).copied().unwrap_or(false)
    }

    fn row(&self, row: usize) -> (Run, &[bool]) {
        let cells = &self.cells[row * self.columns..(row + 1) * self.columns];
        (self.runs[row], cells)
    }
}

/// The same as [`field`], only for the cells of a mask of the same grid; the others stay zero.
#[must_use]
pub fn field_where(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    grid: &Grid,
    wanted: &Mask,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let sums = sums_where(view, tree, from_z, grid, wanted, progress);
    sums.iter().map(|cell| cell.sum.total()).collect()
}

/// The least that [`field_where`] can give with a tree that holds more images than this one: what
/// these paths bring, whatever interferes with them.
#[must_use]
pub fn least_where(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    grid: &Grid,
    wanted: &Mask,
) -> Vec<f64> {
    let least = view.model.adding.least_left();
    let sums = sums_where(view, tree, from_z, grid, wanted, &|_| {});
    sums.iter().map(|cell| least * cell.sum.powers + cell.sum.scattered).collect()
}

fn sums_where(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    grid: &Grid,
    wanted: &Mask,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<Tally> {
    let height_profiles =
        HeightProfile::all(&view.scene.floors, from_z, grid.height, view.model.reflections);
    let mut cells = vec![Tally::default(); grid.columns * grid.rows];
    if cells.is_empty() {
        return Vec::new();
    }
    let images = u32::try_from(tree.images.len()).unwrap_or(u32::MAX);
    let mut first = 0;
    while first < images {
        let next = images.min(first + IMAGES_AT_ONCE as u32);
        let tracers: Vec<GridTracer<'_>> = (first..next)
            .into_par_iter()
            .filter_map(|id| GridTracer::new(view.scene, tree, id, grid, view.is_soft()))
            .collect();
        cells.par_chunks_mut(grid.columns * ROWS_AT_ONCE).enumerate().for_each_init(
            || RowWork::new(grid.columns),
            |work, (chunk, rows)| {
                for tracer in &tracers {
                    let order = tree.images[tracer.image as usize].order;
                    let height_profiles = height_profiles.iter().filter(|height_profile| {
                        order + height_profile.order <= view.model.reflections
                    });
                    for height_profile in height_profiles {
                        let beam = Beam { view, tree, tracer, height_profile, grid, wanted };
                        work.add_rows(&beam, chunk * ROWS_AT_ONCE, rows);
                    }
                }
            },
        );
        first = next;
        progress(u64::from(first) * 1000 / u64::from(images));
    }
    cells
}

/// The paths of one image with one height profile.
struct Beam<'a> {
    view: &'a View<'a>,
    tree: &'a ImageTree,
    tracer: &'a GridTracer<'a>,
    height_profile: &'a HeightProfile,
    grid: &'a Grid,
    wanted: &'a Mask,
}

impl Beam<'_> {
    fn ray(&self, column: usize, row: usize) -> Ray<'_> {
        Ray::new(self.tracer.position, self.grid.centre(column, row), self.height_profile)
    }
}

/// Scratch memory for one row.
struct RowWork {
    kept: Vec<Kept>,
    inverse_length: Vec<f64>,
    ties: Vec<bool>,
    follower: Follower,
}

impl RowWork {
    fn new(columns: usize) -> Self {
        Self {
            kept: vec![Kept::NOTHING; columns],
            inverse_length: vec![0.0; columns],
            ties: vec![false; columns],
            follower: Follower::default(),
        }
    }

    /// Adds a beam to some rows of gains, the first of which is row `first` of the grid.
    fn add_rows(&mut self, beam: &Beam<'_>, first: usize, cells: &mut [Tally]) {
        let reached = beam.tracer.lit.rows();
        for (number, row) in cells.chunks_mut(beam.grid.columns).enumerate() {
            if (reached.from..reached.to).contains(&(first + number)) {
                self.add(beam, first + number, row);
            }
        }
    }

    /// Adds a beam to one row of gains.
    fn add(&mut self, beam: &Beam<'_>, row: usize, sums: &mut [Tally]) {
        let Beam { view, tree, tracer, height_profile, grid, wanted } = *beam;
        let (run, is_wanted) = wanted.row(row);
        let (sure, lit) = tracer.lit.runs(grid, row);
        let (sure, lit) = (within(sure, run), within(lit, run));
        if lit.from == lit.to {
            return;
        }
        let cells = lit.from..lit.to;
        self.ties[cells.clone()].fill(false);
        mark_outside(&mut self.ties, lit, sure);
        for column in cells.clone() {
            if !is_wanted[column] {
                self.kept[column] = Kept::NOTHING;
                continue;
            }
            let ray = beam.ray(column, row);
            self.inverse_length[column] = 1.0 / ray.length;
            self.kept[column] = view
                .mirrored(tracer.mirrors.iter().copied(), &ray)
                .and_then(|kept| Some(Kept::new(kept * view.floors(tree, tracer.image, &ray)?)))
                .unwrap_or(Kept::NOTHING);
        }
        for shade in &tracer.shades {
            let (sure, maybe) = shade.region.runs(grid, row);
            if maybe.from == maybe.to {
                continue;
            }
            let (sure, maybe) = (within(sure, lit), within(maybe, lit));
            mark_outside(&mut self.ties, maybe, sure);
            self.shade(beam, row, &shade.facet, sure);
        }
        if view.is_soft() && !view.scene.blocks.is_empty() {
            self.blocks(beam, row, lit);
        }
        let order = tree.images[tracer.image as usize].order + height_profile.order;
        for column in cells {
            if self.ties[column] && is_wanted[column] {
                let to = grid.centre(column, row);
                self.kept[column] = view
                    .kept(&mut self.follower, tree, tracer.image, height_profile, to)
                    .unwrap_or(Kept::NOTHING);
            }
            let kept = &self.kept[column];
            if kept.light > 0.0 {
                let spreading = view.spreading(1.0 / self.inverse_length[column]);
                let path = (tracer.image, order);
                view.add(&mut sums[column], tree, path, (kept, spreading), || {
                    beam.ray(column, row)
                });
            }
        }
    }

    /// Multiplies what is kept of a run of cells by what a screen lets pass.
    fn shade(&mut self, beam: &Beam<'_>, row: usize, facet: &Facet<'_>, run: Run) {
        let Beam { view, grid, height_profile, .. } = *beam;
        let screen = facet.screen;
        let (low, high) = height_profile.extent();
        let soft_edges = view.is_soft() && screen.has_edges();
        if !soft_edges && (high < screen.base || low >= screen.top) {
            return;
        }
        let plain = !view.is_soft()
            || view.model.adding == Adding::Powers
            || !view.surfaces.get(screen.body.surface).is_heavy;
        if plain
            && !soft_edges
            && screen.holes.is_empty()
            && low >= screen.base
            && high < screen.top
        {
            // The usual case: one surface, met at whatever height. The part of the ray across the
            // screen runs linearly along the row.
            let surface = view.surfaces.get(screen.body.surface);
            let start = dot(facet.normal, grid.centre(0, row) - beam.tracer.position);
            let step = facet.normal.x * grid.cell;
            let cells = self.kept[run.from..run.to].iter_mut();
            let lengths = &self.inverse_length[run.from..run.to];
            for ((kept, inverse), column) in cells.zip(lengths).zip(run.from..) {
                let across = start + step * column as f64;
                kept.light *= surface.transmitted(across.abs() * inverse);
            }
            return;
        }
        for column in run.from..run.to {
            if self.kept[column].light == 0.0 {
                continue;
            }
            let ray = beam.ray(column, row);
            let strike = ray.strike(facet);
            if let Some(passed) = view.passed(&ray, facet, &strike) {
                let kept = &mut self.kept[column];
                kept.pass(passed);
                if passed.is_heavy {
                    // Two sides of one box: what goes round it is worked out cell by cell.
                    self.ties[column] |= kept.is_behind_heavy;
                    kept.is_behind_heavy = true;
                }
            }
        }
    }

    /// Multiplies what is kept of a run of cells by what blocks let pass.
    fn blocks(&mut self, beam: &Beam<'_>, row: usize, run: Run) {
        let Beam { view, tracer, .. } = *beam;
        for column in run.from..run.to {
            if self.kept[column].light == 0.0 {
                continue;
            }
            let ray = beam.ray(column, row);
            let mut gain = 1.0;
            let met = |mirror: Option<&Facet<'_>>| mirror.map(|m| ray.strike(m).t);
            for (number, leg) in tracer.legs.iter().enumerate() {
                let from_t = number.checked_sub(1).and_then(|n| met(tracer.mirrors.get(n)));
                let to_t = met(tracer.mirrors.get(number));
                let last = number + 1 == tracer.legs.len();
                let stretch = Stretch {
                    unfolding: &leg.unfolding,
                    span: (from_t.unwrap_or(0.0), to_t.unwrap_or(1.0)),
                    mirrors: [leg.mirror_before, leg.mirror_after],
                    device_at: [
                        (number == 0).then_some(beam.tree.images[0].position),
                        last.then_some(ray.to),
                    ],
                };
                gain = view.with_block(gain, view.past_blocks(&ray, &stretch));
            }
            self.kept[column].pass(view.past(gain));
        }
    }
}

fn within(run: Run, bounds: Run) -> Run {
    let from = run.from.max(bounds.from);
    Run { from, to: run.to.min(bounds.to).max(from) }
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
