//! The power that the paths of one image bring to the cells of a row.

use std::ops::Range;

use super::model::Adding;
use super::obstructions::{Kept, Stretch};
use super::paths::{Follower, View};
use super::sum::Tally;
use radio::bundle_cosine;
use trace::{Facet, Grid, GridTracer, HeightProfile, ImageTree, Ray, Run, Shadows, dot};

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

/// A transmitter and the cells whose power is asked for.
pub(super) struct Tracing<'a> {
    pub view: &'a View<'a>,
    pub tree: &'a ImageTree,
    pub grid: &'a Grid,
    pub wanted: &'a Mask,
    pub height_profiles: Vec<HeightProfile>,
}

impl<'a> Tracing<'a> {
    pub fn new(
        view: &'a View<'a>,
        tree: &'a ImageTree,
        from_z: f64,
        (grid, wanted): (&'a Grid, &'a Mask),
    ) -> Self {
        let height_profiles =
            HeightProfile::all(&view.scene.floors, from_z, grid.height, view.model.reflections);
        Self { view, tree, grid, wanted, height_profiles }
    }
}

/// The paths of one image with one height profile.
pub(super) struct Traced<'a> {
    pub tracing: &'a Tracing<'a>,
    pub tracer: &'a GridTracer<'a>,
    pub height_profile: &'a HeightProfile,
}

impl Traced<'_> {
    pub fn ray(&self, column: usize, row: usize) -> Ray<'_> {
        let to = self.tracing.grid.centre(column, row);
        Ray::new(self.tracer.position, to, self.height_profile)
    }
}

/// Scratch memory for one row.
pub(super) struct RowWork {
    shades: Vec<u32>,
    kept: Vec<Kept>,
    inverse_length: Vec<f64>,
    cos_incidence: Vec<f64>,
    ties: Vec<bool>,
    around: Vec<Run>,
    follower: Follower,
}

impl RowWork {
    pub fn new(columns: usize) -> Self {
        Self {
            shades: Vec::new(),
            kept: vec![Kept::NOTHING; columns],
            inverse_length: vec![0.0; columns],
            cos_incidence: vec![0.0; columns],
            ties: vec![false; columns],
            around: Vec::new(),
            follower: Follower::default(),
        }
    }

    /// Adds a beam to the same run of cells of some rows, the first of which is row `first` of the
    /// grid.
    pub fn add_rows(&mut self, beam: &Traced<'_>, first: usize, run: Run, cells: &mut [Tally]) {
        let Traced { tracing: Tracing { view, tree, grid, .. }, tracer, height_profile } = *beam;
        let order = tree.images[tracer.image as usize].order + height_profile.order;
        let rows = Run { from: first, to: first + cells.len() / grid.columns };
        self.each_cell(beam, rows, run, |(column, row), kept, spreading| {
            let path = (tracer.image, order);
            let sum = &mut cells[(row - first) * grid.columns + column];
            view.add(sum, tree, path, (kept, spreading), || beam.ray(column, row));
        });
    }

    /// Calls `visit` with every cell, by column and row, of a run in some rows that a beam reaches,
    /// with what is left of its power and the power gain of free space.
    pub fn each_cell(
        &mut self,
        beam: &Traced<'_>,
        rows: Run,
        run: Run,
        mut visit: impl FnMut((usize, usize), &Kept, f64),
    ) {
        let reached = beam.tracer.lit.rows();
        self.shades.clear();
        let shades = beam.tracer.shades.iter().zip(0u32..);
        let near = shades.filter(|(shade, _)| shade.region.may_reach(rows, run));
        self.shades.extend(near.map(|(_, number)| number));
        for row in rows.from.max(reached.from)..rows.to.min(reached.to) {
            self.follow(beam, row, run, &mut visit);
        }
    }

    /// The same in one row.
    fn follow(
        &mut self,
        beam: &Traced<'_>,
        row: usize,
        run: Run,
        visit: &mut impl FnMut((usize, usize), &Kept, f64),
    ) {
        let Traced { tracing, tracer, height_profile } = *beam;
        let Tracing { view, tree, grid, wanted, .. } = *tracing;
        let (wanted, is_wanted) = wanted.row(row);
        let run = within(run, wanted);
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
        let shades = std::mem::take(&mut self.shades);
        for shade in shades.iter().map(|number| &tracer.shades[*number as usize]) {
            let (sure, maybe) = shade.region.runs(grid, row);
            if maybe.from == maybe.to {
                continue;
            }
            let (sure, maybe) = (within(sure, lit), within(maybe, lit));
            mark_outside(&mut self.ties, maybe, sure);
            self.shade(beam, row, shade, sure);
        }
        self.shades = shades;
        if view.is_soft() && !view.scene.blocks.is_empty() {
            self.blocks(beam, row, lit);
        }
        for column in cells {
            if self.ties[column] && is_wanted[column] {
                let to = grid.centre(column, row);
                self.kept[column] = view
                    .kept(&mut self.follower, tree, tracer.image, height_profile, to)
                    .unwrap_or(Kept::NOTHING);
            }
            let kept = &self.kept[column];
            if kept.light > 0.0 {
                visit((column, row), kept, view.spreading(1.0 / self.inverse_length[column]));
            }
        }
    }

    /// Multiplies what is kept of a run of cells by what a screen lets pass.
    fn shade(&mut self, beam: &Traced<'_>, row: usize, shade: &Shadows<'_>, run: Run) {
        let Traced { tracing, tracer, height_profile } = *beam;
        let Tracing { view, grid, .. } = *tracing;
        let (facet, screen) = (&shade.facet, shade.facet.screen);
        let (low, high) = height_profile.extent();
        let straight = tracer.mirrors.is_empty();
        let soft_edges = view.is_soft() && screen.has_edges();
        if !soft_edges && (screen.is_below(high) || screen.is_above(low)) {
            return;
        }
        let plain = !view.is_soft()
            || view.model.adding == Adding::Powers
            || !view.surfaces.get(screen.body.surface).is_heavy;
        let plain = plain
            && !soft_edges
            && screen.holes.is_empty()
            && !screen.is_below(low)
            && !screen.is_above(high);
        // A straight path goes round an end at which it meets a wall, too.
        self.around.clear();
        if plain && view.is_soft() && straight && screen.is_joined() {
            let joined = screen.joints[..2].iter().flat_map(|joint| &joint.screens);
            let met = joined.filter_map(|other| tracer.behind(*other));
            let met = met.map(|region| within(region.runs(grid, row).1, run));
            self.around.extend(met.filter(|met| met.from < met.to));
        }
        let (sure, maybe) = match &shade.itself {
            Some(Some(region)) if plain => region.runs(grid, row),
            Some(None) if plain => (Run::EMPTY, Run::EMPTY),
            _ => (run, run),
        };
        let (sure, maybe) = (within(sure, run), within(maybe, run));
        if plain {
            // The usual case: one surface, met at whatever height. The part of the ray across the
            // screen runs linearly along the row.
            let surface = view.surfaces.get(screen.body.surface);
            let start = dot(facet.normal, grid.centre(0, row) - tracer.position);
            let step = facet.normal.x * grid.cell;
            let radian_m = view.radian_m();
            let lengths = &self.inverse_length[sure.from..sure.to];
            // By themselves the cosines are worked out several at a time.
            let cosines = &mut self.cos_incidence[..lengths.len()];
            for ((cos, inverse), column) in cosines.iter_mut().zip(lengths).zip(sure.from..) {
                let across = start + step * column as f64;
                *cos = bundle_cosine(across * inverse, radian_m * inverse);
            }
            let cells = self.kept[sure.from..sure.to].iter_mut();
            for ((kept, cos), column) in cells.zip(cosines).zip(sure.from..) {
                if !is_in(&self.around, column) {
                    kept.light *= surface.transmitted(*cos);
                }
            }
            if self.around.is_empty() && sure == maybe {
                return;
            }
        }
        for column in run.from..run.to {
            let is_done = plain && (sure.holds(column) || !maybe.holds(column));
            if self.kept[column].light == 0.0 || (is_done && !is_in(&self.around, column)) {
                continue;
            }
            let ray = beam.ray(column, row);
            let strike = ray.strike(facet);
            if let Some(passed) = view.passed(&ray, facet, &strike, straight) {
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
    fn blocks(&mut self, beam: &Traced<'_>, row: usize, run: Run) {
        let Traced { tracing, tracer, .. } = *beam;
        let view = tracing.view;
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
                        (number == 0).then_some(tracing.tree.images[0].position),
                        last.then_some(ray.to),
                    ],
                };
                gain = view.with_block(gain, view.past_blocks(&ray, &stretch));
            }
            self.kept[column].pass(view.past(gain));
        }
    }
}

fn is_in(runs: &[Run], column: usize) -> bool {
    runs.iter().any(|run| run.holds(column))
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
