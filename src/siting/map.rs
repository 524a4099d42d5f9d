//! The worst margin over all devices, for every place on a level where the panel could hang.
//!
//! The field of every device over every cell would be one heatmap a device. But the worst of them
//! is wanted only, and the direct path alone already bounds each margin from below, the more
//! cheaply without what comes round edges: a device whose bound is above the worst margin that is
//! known for a cell cannot be the worst there. So first the cheap bounds are worked out, then the
//! exact margin of the device with the lowest bound in each cell, and then only those that could
//! still undercut it, by the better bound first. The result is that of all devices in every cell.

use std::ops::Range;

use forecast::{
    Ledger, ListenerEnd, Mask, Model, SiteError, View, field_where, grid_at, least_where,
    losses_anywhere,
};
use plan::{DeviceKind, Level};
use trace::{Grid, ImageTree};
use units::Db;

use super::reach::{Reach, Transmitter};

/// Bounds that are held at once: some thirty megabytes.
const MOST_BOUNDS: usize = 4_000_000;

/// The worst margin over a level.
#[derive(Debug, Clone)]
pub struct WorstField {
    /// The cells.
    pub grid: Grid,
    /// For a panel at each cell: the least margin of any device, dB, row by row from the lower
    /// left.
    pub margin_db: Vec<f64>,
}

/// Works out the worst margin for a panel at `height_m` above the plan's zero anywhere on a level;
/// `None` for a level without walls. With repeaters in the plan a device counts with the better of
/// its margin to the panel and, over a repeater, the lower of the two hops'. Of a calibration only
/// what goes with a device counts, at the place where the panel hung as anywhere else.
///
/// Devices in `without`, indices of [`Reach::transmitters`], do not count: what nothing can reach
/// would make the whole field dark. `misses` is the share of a device's power that the forecast may
/// leave out, see [`field_where`]. `progress` is given how many parts in a thousand are done.
///
/// # Errors
/// [`SiteError::TooManyCells`].
pub fn worst_field(
    reach: &Reach<'_, '_>,
    level: &Level,
    height_m: f64,
    without: &[usize],
    misses: f64,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<Option<WorstField>, SiteError> {
    let grid = grid_at(reach.site, level, height_m)?;
    Ok(grid.map(|grid| WorstField {
        grid,
        margin_db: worst_over(reach, &grid, without, misses, progress),
    }))
}

/// The same in the cells of a grid, dB.
#[must_use]
pub fn worst_over(
    reach: &Reach<'_, '_>,
    grid: &Grid,
    without: &[usize],
    misses: f64,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let relays = onward_fields((reach, misses), grid);
    let counted = reach.transmitters.iter().enumerate();
    let fields: Vec<MarginField<'_>> = counted
        .filter(|(number, _)| !without.contains(number))
        .map(|(_, transmitter)| MarginField::new((reach, misses), transmitter, grid, &relays))
        .collect();
    let mut worst = vec![f64::INFINITY; grid.columns * grid.rows];
    let band = (MOST_BOUNDS / (grid.columns * fields.len()).max(1)).clamp(1, grid.rows);
    for first in (0..grid.rows).step_by(band) {
        lower(&fields, grid, first..grid.rows.min(first + band), &mut worst);
        progress((first + band).min(grid.rows) as u64 * 1000 / grid.rows as u64);
    }
    worst.iter().map(|ratio| 10.0 * ratio.log10()).collect()
}

/// Lowers the worst margin in some rows to that of the worst device.
fn lower(fields: &[MarginField<'_>], grid: &Grid, rows: Range<usize>, worst: &mut [f64]) {
    let cells = rows.start * grid.columns..rows.end * grid.columns;
    let all = Mask::new(grid, rows.clone(), |_| true);
    let bounds: Vec<Vec<f64>> =
        fields.iter().map(|field| field.bound(&all, true)[cells.clone()].to_vec()).collect();
    let mut lowest = vec![0; cells.len()];
    for (cell, lowest) in lowest.iter_mut().enumerate() {
        let numbers = 0..fields.len();
        let number = numbers.min_by(|a, b| bounds[*a][cell].total_cmp(&bounds[*b][cell]));
        *lowest = number.unwrap_or(0);
    }
    for (number, field) in fields.iter().enumerate() {
        let is_lowest = |cell: usize| lowest[cell - cells.start] == number;
        field.lower(worst, &Mask::new(grid, rows.clone(), is_lowest));
    }
    for (number, field) in fields.iter().enumerate() {
        let may_undercut = |cell: usize| {
            let place = cell - cells.start;
            lowest[place] != number && bounds[number][place] < worst[cell]
        };
        let mask = Mask::new(grid, rows.clone(), may_undercut);
        if mask.is_empty() {
            continue;
        }
        let direct = field.bound(&mask, false);
        let still_may = |cell: usize| mask.holds(cell) && direct[cell] < worst[cell];
        field.lower(worst, &Mask::new(grid, rows.clone(), still_may));
    }
}

/// Margin of each repeater of the plan over the cells, as a ratio.
fn onward_fields((reach, misses): (&Reach<'_, '_>, f64), grid: &Grid) -> Vec<Vec<f64>> {
    let all = Mask::new(grid, 0..grid.rows, |_| true);
    let is_repeater = |one: &&Transmitter<'_>| one.device.kind == DeviceKind::Repeater;
    let repeaters = reach.transmitters.iter().filter(is_repeater);
    let own = |repeater| MarginField::new((reach, misses), repeater, grid, &[]);
    repeaters.map(|repeater| own(repeater).whole(&all)).collect()
}

/// One device's margin over the cells, as a ratio.
struct MarginField<'a> {
    reach: &'a Reach<'a, 'a>,
    misses: f64,
    transmitter: &'a Transmitter<'a>,
    grid: &'a Grid,
    /// The margin at no loss at all, as a ratio.
    lossless: f64,
    direct_only: Model,
    direct: ImageTree,
    /// The margin over the plan's repeaters, cell by cell; empty where there are none.
    relayed: Vec<f64>,
}

impl<'a> MarginField<'a> {
    fn new(
        (reach, misses): (&'a Reach<'_, '_>, f64),
        transmitter: &'a Transmitter<'_>,
        grid: &'a Grid,
        relays: &[Vec<f64>],
    ) -> Self {
        let mut relayed = Vec::new();
        for (first, onward) in transmitter.to_repeaters.iter().zip(relays) {
            let first = first.margin.to_ratio().0;
            relayed.resize(onward.len(), 0.0);
            for (relayed, onward) in relayed.iter_mut().zip(onward) {
                *relayed = f64::max(*relayed, first.min(*onward));
            }
        }
        let losses = losses_anywhere(reach.site, transmitter.device);
        let ledger = Ledger::new(&transmitter.link, &reach.site.model, Db(0.0), losses);
        Self {
            reach,
            misses,
            transmitter,
            grid,
            lossless: ledger.margin_db.to_ratio().0,
            direct_only: Model { reflections: 0, ..reach.site.model },
            direct: transmitter.tree.transmitter(),
            relayed,
        }
    }

    /// What the margin is at least in some cells: that of the direct path, or over a repeater; of
    /// the direct path `roughly` only what is left without what comes round edges. Interference
    /// with reflected waves may take from it, but no more than the forecast lets it, and nothing
    /// from what is scattered.
    fn bound(&self, wanted: &Mask, roughly: bool) -> Vec<f64> {
        let z = self.transmitter.device.height_m;
        self.margins(|view| {
            let view = View { model: &self.direct_only, at_least: roughly, ..view };
            least_where(&view, &self.direct, z, (self.grid, wanted))
        })
    }

    /// The margin in some cells.
    fn whole(&self, wanted: &Mask) -> Vec<f64> {
        let (tree, z) = (&self.transmitter.tree, self.transmitter.device.height_m);
        self.margins(|view| field_where(&view, tree, z, (self.grid, wanted), self.misses, &|_| {}))
    }

    fn view(&self) -> Option<View<'_>> {
        let view = self.reach.site.view(self.transmitter.link.frequency)?;
        Some(View { listener: ListenerEnd::Far, ..view })
    }

    /// Lowers the worst margin to this device's in some cells.
    fn lower(&self, worst: &mut [f64], wanted: &Mask) {
        if wanted.is_empty() {
            return;
        }
        for (cell, (worst, own)) in worst.iter_mut().zip(self.whole(wanted)).enumerate() {
            if wanted.holds(cell) {
                *worst = worst.min(own);
            }
        }
    }

    /// The margins for gains in all cells, as ratios.
    fn margins(&self, gains: impl FnOnce(View<'_>) -> Vec<f64>) -> Vec<f64> {
        let nothing = || vec![0.0; self.grid.columns * self.grid.rows];
        let own = self.view().map_or_else(nothing, gains).into_iter().map(|g| g * self.lossless);
        if self.relayed.is_empty() {
            own.collect()
        } else {
            own.zip(&self.relayed).map(|(own, relayed)| own.max(*relayed)).collect()
        }
    }
}
