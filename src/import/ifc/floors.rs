//! Slabs with their holes, stairs, names of rooms, columns.

use std::collections::BTreeMap;

use geo::{Area, Coord, Line, LineString, MultiPolygon, Polygon};

use super::links::Links;
use super::materials::{Constructions, face, made};
use super::notes::{Notes, Weight};
use super::shape::{Body, without};
use super::space::Space;
use super::storeys::{NEAR_FLOOR_M, Storeys};
use crate::areas::{drawn_or_at, middle, sound};
use crate::columns::{WIDEST_M, column};
use crate::line::{length, line_to_millimetre};
use crate::{FLOOR, LEAVE_OUT, Piece, Settings, What};
use plan::Diagnostic;

/// Smallest slab that is drawn, m² (our own choice).
const MIN_FLOOR_M2: f64 = 0.5;
/// Thickest slab that is believed, metres.
const THICKEST_M: f64 = 1.5;
/// How much of the points of stairs, by height, are their foot and their head.
const ENDS: f64 = 0.15;

/// A slab of the model.
pub(super) struct Slab {
    number: u32,
    /// Of the list of levels, the floor of which it is.
    pub(super) at: usize,
    pub(super) thickness_m: f64,
    areas: MultiPolygon<f64>,
}

/// Reads the slabs that are floors.
pub(super) fn slabs(
    space: &mut Space<'_, '_>,
    links: &Links,
    storeys: &Storeys,
    notes: &mut Notes,
) -> Result<Vec<Slab>, Diagnostic> {
    let mut slabs = Vec::new();
    for number in space.model.all("IFCSLAB").collect::<Vec<u32>>() {
        let at = Some((space.model, number));
        let sort = space.model.get(number).map(|args| args.word(8)).unwrap_or_default();
        if sort == b"ROOF" || sort == b"LANDING" {
            let taken = "of roofs and landings were left out";
            let fix = "draw a slab in the plan where there is a storey above";
            notes.tell(Weight::Expected, ("slabs", taken, fix), at);
            continue;
        }
        let Some(product) = space.product(number)? else { continue };
        let body = space.whole_body(&product, links)?;
        let Some((low_m, high_m)) = body.heights() else {
            let taken = "were left out, because they have no body that is read";
            notes.tell(Weight::Missing, ("slabs", taken, "draw them in the plan"), at);
            continue;
        };
        let (near, off_m) = storeys.nearest(high_m - storeys.zero_m);
        if off_m > NEAR_FLOOR_M || high_m - low_m > THICKEST_M {
            let taken = "were left out, because they are not at the height of a floor";
            let fix = "nothing to do if they are roofs, steps or ramps";
            notes.tell(Weight::Expected, ("slabs", taken, fix), at);
            continue;
        }
        let (footprint, by_hull) = body.footprint();
        if by_hull {
            let taken = "were taken as the hull around them, for their shape is not read";
            let fix = "correct their outline in the plan";
            notes.tell(Weight::Measure, ("slabs", taken, fix), at);
        }
        let mut holes: Vec<Polygon<f64>> = Vec::new();
        for opening in links.voids.get(&number).into_iter().flatten() {
            let Some(opening) = space.product(*opening)? else { continue };
            let (hole, _) = space.whole_body(&opening, links)?.footprint();
            holes.extend(hole);
        }
        let areas = without(footprint, &holes);
        slabs.push(Slab { number, at: near, thickness_m: high_m - low_m, areas });
    }
    // The thickest first: what lies on it is screed.
    slabs.sort_by(|a, b| {
        a.at.cmp(&b.at).then(b.thickness_m.total_cmp(&a.thickness_m)).then(a.number.cmp(&b.number))
    });
    Ok(slabs)
}

/// How thick the floor of each storey is.
pub(super) fn thicknesses(slabs: &[Slab]) -> BTreeMap<usize, f64> {
    let mut largest: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    for slab in slabs {
        let area = slab.areas.unsigned_area();
        let best = largest.entry(slab.at).or_insert((area, slab.thickness_m));
        if area > best.0 {
            *best = (area, slab.thickness_m);
        }
    }
    largest.into_iter().map(|(at, (_, thickness_m))| (at, thickness_m)).collect()
}

/// What is drawn besides walls and openings.
pub(super) struct Rest<'a> {
    pub(super) links: &'a Links,
    pub(super) storeys: &'a Storeys,
    pub(super) settings: &'a Settings,
    /// How far the plan is moved.
    pub(super) moved: Coord<f64>,
}

impl Rest<'_> {
    /// Draws the floors of all levels but the lowest, which is on the ground.
    pub(super) fn slabs(
        &self,
        space: &Space<'_, '_>,
        slabs: &[Slab],
        constructions: &mut Constructions,
        notes: &mut Notes,
    ) -> Vec<Piece> {
        let mut pieces = Vec::new();
        let mut covered: BTreeMap<usize, Vec<Polygon<f64>>> = BTreeMap::new();
        for slab in slabs {
            let at = Some((space.model, slab.number));
            if slab.at == 0 {
                let taken = "of the lowest storey were left out: that floor is on the ground";
                notes.tell(Weight::Expected, ("slabs", taken, "nothing to do"), at);
                continue;
            }
            let made = made(space.model, self.links, slab.number, space.metres);
            // The plan has them from the upper side down.
            let made = if made.is_upwards == Some(true) { made.reversed() } else { made };
            let mapped = made.mapped(self.settings);
            if mapped == Some(LEAVE_OUT) {
                let taken = "were left out, as asked with --map";
                notes.tell(Weight::Expected, ("slabs", taken, "drop its --map"), at);
                continue;
            }
            let by_layers = || constructions.of(&made, slab.thickness_m, self.settings, notes);
            let construction = mapped.map(str::to_owned).or_else(by_layers);
            let construction = construction.unwrap_or_else(|| {
                let taken = format!("without known layers were taken as {FLOOR}");
                let fix = "correct \"construction\" of the slabs in the plan";
                notes.tell(Weight::Taken, ("slabs", &taken, fix), at);
                FLOOR.to_owned()
            });
            let before = covered.entry(slab.at).or_default();
            let areas = without(slab.areas.clone(), before);
            for area in areas.into_iter().filter(|area| area.unsigned_area() >= MIN_FLOOR_M2) {
                let level = self.storeys.levels[slab.at].number;
                before.push(area.clone());
                let Some(outline) = sound(&self.here(&area)) else {
                    let taken = "were left out, because their outline crosses itself";
                    notes.tell(Weight::Missing, ("slabs", taken, "draw them in the plan"), at);
                    continue;
                };
                let what = What::Slab { construction: construction.clone() };
                pieces.push(Piece::new("floor", level, outline, what));
            }
        }
        pieces
    }

    /// An area where the plan is moved to.
    fn here(&self, area: &Polygon<f64>) -> Polygon<f64> {
        let ring = |ring: &LineString<f64>| -> LineString<f64> {
            ring.coords().map(|at| *at - self.moved).collect()
        };
        Polygon::new(ring(area.exterior()), area.interiors().iter().map(ring).collect())
    }

    /// Stairs from foot to head.
    pub(super) fn stairs(
        &self,
        space: &mut Space<'_, '_>,
        notes: &mut Notes,
    ) -> Result<Vec<Piece>, Diagnostic> {
        let mut pieces = Vec::new();
        let whole: Vec<u32> = space.model.all("IFCSTAIR").collect();
        let of_stair = |flight: &u32| {
            let stair = |it: u32| (space.model.kind(it) == "IFCSTAIR").then_some(());
            self.links.within(*flight, stair).is_none()
        };
        let flights = space.model.all("IFCSTAIRFLIGHT").filter(of_stair);
        let all: Vec<u32> = whole.into_iter().chain(flights).collect();
        for number in all {
            let Some(product) = space.product(number)? else { continue };
            let body = space.whole_body(&product, self.links)?;
            let at = Some((space.model, number));
            let Some((line, from, to)) = self.flight(&body) else {
                let taken = "were left out, because they lead from no storey to another, or have \
                             no body that is read";
                let fix = "draw the line that people walk in the plan";
                notes.tell(Weight::Missing, ("stairs", taken, fix), at);
                continue;
            };
            let taken = "were drawn straight from foot to head";
            let fix = "bend the line in the plan where people walk round a landing";
            notes.tell(Weight::Measure, ("stairs", taken, fix), at);
            let levels = &self.storeys.levels;
            let what = What::Stairs { to: Some(levels[to].number) };
            pieces.push(Piece::new("stairs", levels[from].number, line, what));
        }
        Ok(pieces)
    }

    fn flight(&self, body: &Body) -> Option<(Line<f64>, usize, usize)> {
        let (low_m, high_m) = body.heights()?;
        let end = |is_end: &dyn Fn(f64) -> bool| {
            let points: Vec<_> = body.points.iter().filter(|at| is_end(at[2])).collect();
            let count = points.len().max(1) as f64;
            let sum =
                points.iter().fold(Coord::zero(), |sum, at| sum + Coord { x: at[0], y: at[1] });
            sum / count - self.moved
        };
        let part_m = (high_m - low_m) * ENDS;
        let line = Line::new(
            end(&|height| height <= low_m + part_m),
            end(&|height| height >= high_m - part_m),
        );
        let zero_m = self.storeys.zero_m;
        let (from, _) = self.storeys.nearest(low_m - zero_m);
        // Railings rise above the last step.
        let tops = (from + 1)..self.storeys.levels.len();
        let reached = |at: &usize| self.storeys.levels[*at].floor_m <= high_m - zero_m + 0.4;
        let to = tops.rev().find(reached)?;
        let line = line_to_millimetre(line);
        (length(line) >= 0.1).then_some((line, from, to))
    }

    /// The names of spaces.
    pub(super) fn rooms(
        &self,
        space: &mut Space<'_, '_>,
        notes: &mut Notes,
    ) -> Result<Vec<Piece>, Diagnostic> {
        let mut pieces = Vec::new();
        for number in space.model.all("IFCSPACE").collect::<Vec<u32>>() {
            let Some(product) = space.product(number)? else { continue };
            let long = space.model.get(number).and_then(|args| args.text(7));
            let Some(name) = long.or_else(|| product.name.clone()) else { continue };
            let body = space.whole_body(&product, self.links)?;
            let (areas, _) = body.footprint();
            let largest =
                areas.iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()));
            let largest = largest.map(|it| self.here(it));
            let within = largest.as_ref().and_then(middle);
            let heights = body.heights();
            let (Some(area), Some(within), Some((low_m, _))) = (largest, within, heights) else {
                let taken = "have no body that is read, so that their names have no place";
                let fix = "add rooms to the plan where names matter";
                let at = Some((space.model, number));
                notes.tell(Weight::Expected, ("spaces", taken, fix), at);
                continue;
            };
            let (near, off_m) = self.storeys.nearest(low_m - self.storeys.zero_m);
            let by_height = (off_m <= NEAR_FLOOR_M).then_some(near);
            let Some(home) = by_height.or_else(|| self.storeys.home(self.links, number)) else {
                continue;
            };
            let level = self.storeys.levels[home].number;
            let shape = drawn_or_at(&area, within);
            pieces.push(Piece::new(&name, level, shape, What::Room).named(Some(name.clone())));
        }
        Ok(pieces)
    }

    /// Columns, on every level that they stand on.
    pub(super) fn columns(
        &self,
        space: &mut Space<'_, '_>,
        notes: &mut Notes,
    ) -> Result<Vec<Piece>, Diagnostic> {
        let mut pieces = Vec::new();
        for number in space.model.all("IFCCOLUMN").collect::<Vec<u32>>() {
            let Some(product) = space.product(number)? else { continue };
            let body = space.whole_body(&product, self.links)?;
            let at = Some((space.model, number));
            let made = made(space.model, self.links, number, space.metres);
            let mapped = made.mapped(self.settings);
            let corners = body.rectangle().zip(body.heights());
            let fits = |[a, b, c, _]: [Coord<f64>; 4]| {
                length(Line::new(a, b)).max(length(Line::new(b, c))) <= WIDEST_M
            };
            let Some((corners, (low_m, high_m))) = corners.filter(|(it, _)| fits(*it)) else {
                let taken = "were left out, because their body is not read or is too wide";
                notes.tell(Weight::Missing, ("columns", taken, "draw them in the plan"), at);
                continue;
            };
            let construction = mapped.unwrap_or_else(|| face(&made));
            if construction == LEAVE_OUT {
                continue;
            }
            let outline = Polygon::new(corners.into_iter().collect(), vec![]);
            let Some(outline) = sound(&self.here(&outline)) else {
                let taken = "were left out, because they are too thin to matter";
                notes.tell(Weight::Expected, ("columns", taken, "nothing to do"), at);
                continue;
            };
            let taken = format!("have faces of {construction}");
            let fix = "--map MATERIAL=CONSTRUCTION, or \"construction\" in the plan";
            notes.tell(Weight::Taken, ("columns", &taken, fix), None);
            let zero_m = self.storeys.zero_m;
            let home = self.storeys.home(self.links, number);
            for at in self.storeys.covered((low_m - zero_m, high_m - zero_m), home) {
                let level = self.storeys.levels[at].number;
                pieces.push(column(level, outline.clone(), construction));
            }
        }
        Ok(pieces)
    }
}
