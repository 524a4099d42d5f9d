//! Margin over a level, and the share of a roam area that works.

use geo::{BoundingRect, Contains, Coord};

use super::field::field_where;
use super::hop::tenth_percentile;
use super::ledger::{DeviceLosses, Ledger};
use super::outweighed::MAP_MISSES;
use super::rows::Mask;
use super::site::{MAX_CELLS, Site, SiteError};
use plan::{DEFAULT_DEVICE_HEIGHT_M, DeviceKind, Level, Plan, Roam};
use radio::Link;
use trace::{Grid, Point, bounding_box};
use units::{Db, Finding, Hertz, PowerRatio};

/// How far the heatmap reaches beyond the walls, metres.
const BEYOND_WALLS_M: f64 = 1.0;

/// A portable transmitter's area.
#[derive(Debug, Clone)]
pub struct RoamResult {
    /// The area.
    pub roam: Roam,
    /// Its link.
    pub link: Link,
    /// Share of the area where nine of ten attempts from a random spot are heard, 0 to 1.
    pub share: f64,
    /// Area, square metres.
    pub area_m2: f64,
}

impl RoamResult {
    /// The share as people read it, per cent, 0 to 100: whole, and rounded down, so that 100 is all
    /// of the area, in every document alike.
    #[must_use]
    pub fn percent(&self) -> f64 {
        ((self.share * 1e4).round() / 1e2).floor()
    }
}

/// Margins over one level.
#[derive(Debug, Clone)]
pub struct LevelField {
    /// The cells.
    pub grid: Grid,
    /// Margin of a sensor at each cell, dB, row by row from the lower left.
    pub margin_db: Vec<f64>,
    /// Margin below which a sensor is failing.
    pub failing_below: Db,
    /// Margin from which a sensor is sound.
    pub sound_from: Db,
}

/// A grid that covers a box, cell by cell, at a height.
#[must_use]
pub fn covering(low: Point, high: Point, cell: f64, height: f64) -> Grid {
    let count = |length: f64| ((length / cell).ceil().max(1.0) as usize).min(MAX_CELLS);
    let (columns, rows) = (count(high.x - low.x), count(high.y - low.y));
    let half = |length: f64, count: usize| (length - (count - 1) as f64 * cell) / 2.0;
    Grid {
        origin: Point {
            x: low.x + half(high.x - low.x, columns),
            y: low.y + half(high.y - low.y, rows),
        },
        cell,
        columns,
        rows,
        height,
    }
}

/// The middle height of a level's sensors, metres above the plan's zero: the height of its heatmap.
#[must_use]
pub fn sensor_height(plan: &Plan, level: &Level) -> f64 {
    let sensors = plan.devices.iter().filter(|device| device.kind == DeviceKind::Sensor);
    let on_level = sensors.filter(|device| device.level == level.number);
    let mut heights: Vec<f64> = on_level.map(|device| device.height_m).collect();
    heights.sort_by(f64::total_cmp);
    let middle = heights.get(heights.len() / 2).copied();
    middle.unwrap_or(level.floor_m + DEFAULT_DEVICE_HEIGHT_M)
}

/// The corners of a level's heatmap: the bounding box of its walls and roam areas and a metre round
/// it. `None` for a level without walls.
#[must_use]
pub fn level_box(plan: &Plan, level: &Level) -> Option<(Point, Point)> {
    let walls = plan.walls.iter().filter(|wall| wall.level == level.number);
    let mut points: Vec<Point> = walls.flat_map(|wall| wall.line.0.iter().copied()).collect();
    if points.is_empty() {
        return None;
    }
    let roams = plan.roams.iter().filter(|roam| roam.level == level.number);
    points.extend(roams.flat_map(|roam| roam.outline.exterior().0.iter().copied()));
    let (low, high) = bounding_box(&points);
    let margin = Point { x: BEYOND_WALLS_M, y: BEYOND_WALLS_M };
    Some((low - margin, high + margin))
}

/// The grid of a level's heatmap at a height above the plan's zero, metres; `None` for a level
/// without walls.
///
/// # Errors
/// [`SiteError::TooManyCells`] beyond `MAX_CELLS`.
pub fn grid_at(site: &Site<'_>, level: &Level, height: f64) -> Result<Option<Grid>, SiteError> {
    let Some((low, high)) = level_box(site.plan, level) else {
        return Ok(None);
    };
    let grid = covering(low, high, site.model.cell_m, height);
    let cells = grid.columns.saturating_mul(grid.rows);
    if cells > MAX_CELLS {
        return Err(SiteError::TooManyCells { level: level.number, cells });
    }
    Ok(Some(grid))
}

/// Whether every level's heatmap can be drawn: to be asked before long work whose end it is.
///
/// # Errors
/// [`SiteError::TooManyCells`].
pub fn check_grids(site: &Site<'_>) -> Result<(), SiteError> {
    site.plan.levels.iter().try_for_each(|level| grid_at(site, level, 0.0).map(|_| ()))
}

/// Margin of a sensor of the plan's own link everywhere on a level; where there are repeaters, over
/// the best listener. `None` for a level without walls.
///
/// # Errors
/// [`SiteError::UnknownLink`], [`SiteError::TooManyCells`].
pub fn level_field(
    site: &Site<'_>,
    level: &Level,
    repeaters: &[Finding],
    progress: &(dyn Fn(u64) + Sync),
) -> Result<Option<LevelField>, SiteError> {
    let Some(grid) = grid_at(site, level, sensor_height(site.plan, level))? else {
        return Ok(None);
    };
    let margin_db = margins_over(site, &grid, repeaters, progress)?;
    let (failing_below, sound_from) = finding_margins(site)?;
    Ok(Some(LevelField { grid, margin_db, failing_below, sound_from }))
}

/// Margin of a sensor of the plan's own link in every cell of a grid, over the best of the panel
/// and the repeaters that are not failing.
///
/// # Errors
/// [`SiteError::UnknownLink`].
pub fn margins_over(
    site: &Site<'_>,
    grid: &Grid,
    repeaters: &[Finding],
    progress: &(dyn Fn(u64) + Sync),
) -> Result<Vec<f64>, SiteError> {
    let link = site.link(None)?;
    let usable = |number: usize| {
        number == 0 || repeaters.get(number - 1).is_some_and(|f| *f != Finding::Failing)
    };
    let gains = best_gains(site, link.frequency, grid, &usable, progress);
    let budget = Ledger::new(&link, &site.model, Db(0.0), DeviceLosses::NONE);
    let margins = gains.iter().map(|gain| budget.margin_db.0 - PowerRatio(*gain).to_loss().0);
    Ok(margins.collect())
}

/// Margins of the plan's own link below which a device with a clear path is failing, and from which
/// it is sound.
///
/// # Errors
/// [`SiteError::UnknownLink`].
pub fn finding_margins(site: &Site<'_>) -> Result<(Db, Db), SiteError> {
    let link = site.link(None)?;
    let sigma = site.clear_sigma();
    let curves = site.fault_curves(&link);
    let fading = site.model.fading(PowerRatio(0.0));
    let margin_for = |chance| curves.map_or(Db(0.0), |c| c.margin_for(chance, sigma, fading));
    let findings = site.model.findings;
    Ok((margin_for(findings.thin_below), margin_for(findings.sound_below)))
}

/// The best gain over the listeners that `usable` admits, by their number.
fn best_gains(
    site: &Site<'_>,
    frequency: Hertz,
    grid: &Grid,
    usable: &dyn Fn(usize) -> bool,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<f64> {
    let mut best = vec![0.0f64; grid.columns * grid.rows];
    let Some(view) = site.view(frequency) else {
        return best;
    };
    let all = Mask::new(grid, 0..grid.rows, |_| true);
    for (number, listener) in site.listeners().enumerate() {
        if usable(number) {
            let from_z = listener.device.height_m;
            let cells = (grid, &all);
            let gains = field_where(&view, &listener.tree, from_z, cells, MAP_MISSES, progress);
            for (best, gain) in best.iter_mut().zip(gains) {
                *best = best.max(gain);
            }
        }
    }
    best
}

/// The link budget of a portable transmitter in a roam area, but for the path loss.
#[must_use]
pub fn roam_budget(site: &Site<'_>, roam: &Roam, link: &Link) -> Ledger {
    let body = if roam.worn { site.model.body_loss_db } else { Db(0.0) };
    let losses = DeviceLosses { body, ..DeviceLosses::NONE };
    Ledger::new(link, &site.model, Db(0.0), losses)
}

/// The share of a roam area in which a portable transmitter works: the cells whose margin stays at
/// or above zero in nine of ten houses.
pub(super) fn roam_result(
    site: &Site<'_>,
    roam: &Roam,
    repeaters: &[f64],
) -> Result<RoamResult, SiteError> {
    let link = site.link(roam.link.as_ref())?;
    let budget = roam_budget(site, roam, &link);
    let sigma = site.clear_sigma();
    let area_m2 = geo::Area::unsigned_area(&roam.outline);
    let mut result = RoamResult { roam: roam.clone(), link, share: 0.0, area_m2 };
    let Some(bounds) = roam.outline.bounding_rect() else {
        return Ok(result);
    };
    // A share needs no finer cells than some ten thousand.
    let fine = (bounds.width() * bounds.height() / 10_000.0).sqrt();
    let cell = site.model.cell_m.max(fine);
    let grid = covering(bounds.min(), bounds.max(), cell, roam.height_m);
    let usable = |number: usize| {
        number == 0
            || repeaters
                .get(number - 1)
                .is_some_and(|chance| Finding::of(*chance, site.model.findings) != Finding::Failing)
    };
    let gains = best_gains(site, result.link.frequency, &grid, &usable, &|_| {});
    let (mut inside, mut works) = (0u32, 0u32);
    for (number, gain) in gains.iter().enumerate() {
        let centre = grid.centre(number % grid.columns, number / grid.columns);
        if roam.outline.contains(&Coord { x: centre.x, y: centre.y }) {
            inside += 1;
            let margin = budget.margin_db - PowerRatio(*gain).to_loss();
            works += u32::from(tenth_percentile(margin, sigma).0 >= 0.0);
        }
    }
    if inside > 0 {
        result.share = f64::from(works) / f64::from(inside);
    }
    Ok(result)
}
