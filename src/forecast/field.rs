//! The power gain from one transmitter to every cell of a grid.

use rayon::prelude::*;

use super::outweighed::{Beam, SIDE, Squares};
use super::paths::View;
use super::rows::{Mask, RowWork, Traced, Tracing};
use super::sum::Tally;
use trace::{Grid, GridTracer, ImageTree, TIE_M};

/// Images prepared at once: enough to keep the threads busy, few enough to stay small.
const IMAGES_AT_ONCE: usize = 256;

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
    field_where(view, tree, from_z, (grid, &all), 0.0, progress)
}

/// The same as [`field`], only for the cells of a mask of the same grid; the others stay zero.
/// Paths reflected more than once may be left out where together they bring no more than the share
/// `misses` of what the cell receives, as [`super::MAP_MISSES`]; with 0 none is.
#[must_use]
pub fn field_where(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    cells: (&Grid, &Mask),
    misses: f64,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let sums = Tracing::new(view, tree, from_z, cells).sums(misses, progress);
    sums.iter().map(|cell| cell.sum.total()).collect()
}

/// The least that [`field_where`] can give with a tree that holds more images than this one: what
/// these paths bring, whatever interferes with them.
#[must_use]
pub fn least_where(
    view: &View<'_>,
    tree: &ImageTree,
    from_z: f64,
    cells: (&Grid, &Mask),
) -> Vec<f64> {
    let least = view.model.adding.least_left();
    let sums = Tracing::new(view, tree, from_z, cells).sums(0.0, &|_| {});
    sums.iter().map(|cell| least * cell.sum.powers + cell.sum.scattered).collect()
}

impl Tracing<'_> {
    /// The sums in all cells; of what is reflected more than once no more than a share is missing.
    fn sums(&self, misses: f64, progress: &(dyn Fn(u64) + Sync)) -> Vec<Tally> {
        let mut cells = vec![Tally::default(); self.grid.columns * self.grid.rows];
        self.ring(&mut cells);
        let most = self.view.model.reflections;
        if misses == 0.0 || most < 2 || cells.is_empty() {
            self.add(&self.beams(most), &mut cells, progress);
            return cells;
        }
        self.add(&self.beams(1), &mut cells, &|done| progress(done / 3));
        let squares = Squares::new(self.grid);
        let received = cells
            .iter()
            .enumerate()
            .map(|(number, cell)| self.wanted.holds(number).then(|| misses * cell.sum.total()));
        let budget = squares.least(self.grid.columns, received);
        let beams = squares.outweighing(self, &budget);
        self.add(&beams, &mut cells, &|done| progress(1000 / 3 + done * 2 / 3));
        cells
    }

    /// Adds what rings in the rooms.
    fn ring(&self, cells: &mut [Tally]) {
        let from = (self.tree.images[0].position, self.height_profiles[0].height_at(0.0));
        let Some(rung) = self.view.rung(from) else { return };
        let rooms = self.view.scene.enclosures.over(self.grid);
        for (cell, room) in cells.iter_mut().zip(rooms) {
            cell.sum.scattered += room.map_or(0.0, |room| rung[room as usize]);
        }
    }

    /// The beams that are reflected no more often than so.
    fn beams(&self, most: u8) -> Vec<Beam> {
        let images = self.tree.images.iter().zip(0u32..);
        let beams = images.flat_map(|(image, id)| {
            let profiles = self.height_profiles.iter().enumerate();
            let few = profiles.filter(move |(_, heights)| image.order + heights.order <= most);
            few.map(move |(number, _)| Beam::everywhere(id, number))
        });
        beams.collect()
    }

    /// Adds beams, in order by image, to the cells.
    fn add(&self, beams: &[Beam], cells: &mut [Tally], progress: &(dyn Fn(u64) + Sync)) {
        let Self { view, tree, grid, .. } = *self;
        let images: Vec<&[Beam]> = beams.chunk_by(|one, next| one.image == next.image).collect();
        for (number, images_at_once) in images.chunks(IMAGES_AT_ONCE).enumerate() {
            let tracers: Vec<(GridTracer<'_>, &[Beam])> = images_at_once
                .par_iter()
                .filter_map(|beams| {
                    let id = beams.first()?.image;
                    let cells = (grid, TIE_M);
                    let tracer = GridTracer::new(view.scene, tree, id, cells, view.is_soft())?;
                    Some((tracer, *beams))
                })
                .collect();
            // What one thread takes at a time is enough that an image's shades stay in the cache.
            cells.par_chunks_mut(grid.columns * SIDE).enumerate().for_each_init(
                || RowWork::new(grid.columns),
                |work, (squares, rows)| {
                    for (tracer, beams) in &tracers {
                        for beam in *beams {
                            let height_profile = &self.height_profiles[beam.height_profile];
                            let traced = Traced { tracing: self, tracer, height_profile };
                            for run in beam.runs(squares, grid.columns) {
                                work.add_rows(&traced, squares * SIDE, run, rows);
                            }
                        }
                    }
                },
            );
            let done = images.len().min((number + 1) * IMAGES_AT_ONCE);
            progress(done as u64 * 1000 / images.len() as u64);
        }
    }
}
