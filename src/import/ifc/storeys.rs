//! The storeys of a model as levels of the plan.

use std::collections::{BTreeMap, BTreeSet};

use super::links::Links;
use super::notes::{Notes, Weight};
use super::space::Space;
use crate::{CEILING_M, FLOOR_THICKNESS_M, whole_file};
use plan::{Diagnostic, Level, MAX_LEVELS, quoted};

/// A storey so little above another is part of it, metres (our own choice: no one can stand
/// between them).
const LEAST_STOREY_M: f64 = 1.5;
/// Lowest and highest room that is believed, metres (our own choice).
const CEILINGS_M: (f64, f64) = (1.5, 12.0);
/// A wall no lower than this stands on a floor, metres; bases of walls nearer than the second are
/// on one (our own choice).
const LEAST_WALL_M: f64 = 1.8;
const ONE_FLOOR_M: f64 = 0.3;
/// So many walls above all storeys make one more, where the model has no spaces (our own choice:
/// two may be gables).
const LEAST_WALLS: usize = 3;
/// How far what stands on a floor may be from it, metres (our own choice: screed, and steps).
pub(super) const NEAR_FLOOR_M: f64 = 0.6;
/// Farthest that a storey may be from the model's zero, metres.
const FARTHEST_M: f64 = 900.0;

/// The storeys of a model, from the lowest.
#[derive(Default)]
pub(super) struct Storeys {
    pub(super) levels: Vec<Level>,
    /// The place in `levels` of each storey of the model.
    of: BTreeMap<u32, usize>,
    /// How high the plan's zero is in the model, metres.
    pub(super) zero_m: f64,
}

struct Found {
    entity: u32,
    name: Option<String>,
    said_m: Option<f64>,
    placed_m: f64,
}

impl Storeys {
    /// Finds the storeys in which walls are.
    pub(super) fn read(
        file: &str,
        space: &mut Space<'_, '_>,
        links: &Links,
        notes: &mut Notes,
    ) -> Result<Self, Diagnostic> {
        let mut found = Vec::new();
        for entity in space.model.all("IFCBUILDINGSTOREY") {
            let Some(args) = space.model.get(entity) else { continue };
            let placed_m = space.placed(args.reference(5))?.origin[2];
            let said_m = args.number(9).map(|height| height * space.metres);
            let name = args.text(2).or_else(|| args.text(7));
            found.push(Found { entity, name, said_m, placed_m });
        }
        let is_storey = |it: u32| (space.model.kind(it) == "IFCBUILDINGSTOREY").then_some(it);
        let kinds = ["IFCWALL", "IFCCURTAINWALL"];
        let inhabited = kinds.into_iter().flat_map(|kind| space.model.all(kind));
        let used: BTreeSet<u32> =
            inhabited.filter_map(|element| links.within(element, is_storey)).collect();
        if !used.is_empty() {
            for empty in found.iter().filter(|it| !used.contains(&it.entity)) {
                let taken = "were left out, because no wall is in them";
                let fix = "nothing to do if they are marks for heights";
                let at = Some((space.model, empty.entity));
                notes.tell(Weight::Expected, ("storeys", taken, fix), at);
            }
            found.retain(|it| used.contains(&it.entity));
        }
        let near = |it: &&Found| it.said_m.unwrap_or(it.placed_m).abs();
        let ground = found.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
        let mut storeys = Self {
            zero_m: ground.map_or(0.0, |it| it.placed_m - it.said_m.unwrap_or(0.0)),
            ..Self::default()
        };
        for it in &found {
            if it.said_m.is_none() {
                let taken = "have no elevation; the height of their placement was taken";
                let fix = "check \"levels\" in the plan";
                let at = Some((space.model, it.entity));
                notes.tell(Weight::Measure, ("storeys", taken, fix), at);
            }
        }
        let floor = |it: &Found| it.said_m.unwrap_or(it.placed_m - storeys.zero_m);
        found.sort_by(|a, b| floor(a).total_cmp(&floor(b)).then(a.entity.cmp(&b.entity)));
        let floors: Vec<f64> = found.iter().map(floor).collect();
        for (it, floor_m) in found.into_iter().zip(floors) {
            if floor_m.abs() > FARTHEST_M {
                let what = format!("storey #{} is at a height of {floor_m:.0} m", it.entity);
                let fix = "correct its elevation, or the unit of the model with --unit";
                let line = space.model.line(it.entity);
                return Err(Diagnostic::at(file, (line, 1), what, fix));
            }
            let last = storeys.levels.last();
            if let Some(last) = last.filter(|last| floor_m - last.floor_m < LEAST_STOREY_M) {
                if floor_m - last.floor_m > 0.05 {
                    let name = it.name.as_deref().unwrap_or("without a name");
                    let above = floor_m - last.floor_m;
                    let about = format!("storey {}", quoted(name));
                    let of = quoted(&last.name);
                    let taken = format!("is {above:.2} m above {of} and was taken as part of it");
                    let fix = "move what stands higher in the plan";
                    let at = Some((space.model, it.entity));
                    notes.tell(Weight::Measure, (&about, &taken, fix), at);
                }
                storeys.of.insert(it.entity, storeys.levels.len() - 1);
                continue;
            }
            storeys.of.insert(it.entity, storeys.levels.len());
            storeys.levels.push(level(it.name.unwrap_or_default(), floor_m));
        }
        if storeys.levels.is_empty() {
            storeys.levels.push(level("Ground".to_owned(), 0.0));
            let taken = "are none in the model: everything was taken to be on one";
            let fix = "export the model with its storeys";
            notes.tell(Weight::Missing, ("storeys", taken, fix), None);
        }
        if storeys.levels.len() > MAX_LEVELS {
            let what = format!(
                "the model has {} storeys, a plan at most {MAX_LEVELS}",
                storeys.levels.len()
            );
            return Err(whole_file(file, what, "export part of it"));
        }
        Ok(storeys)
    }

    /// Adds storeys for walls that stand more than a step above or below every floor: a model may
    /// keep two storeys in one, or all of them. Where it has spaces, one of them must be there.
    /// `heights` are those of walls from foot to head, `homes` places in the list of levels.
    ///
    /// # Errors
    /// As [`Space::placed`].
    pub(super) fn grow(
        &mut self,
        (space, links): (&mut Space<'_, '_>, &Links),
        heights: &[(f64, f64)],
        homes: &mut [&mut usize],
        notes: &mut Notes,
    ) -> Result<(), Diagnostic> {
        let high = heights.iter().filter(|(low, high)| high - low >= LEAST_WALL_M);
        let bases = high.map(|it| it.0);
        let mut bases: Vec<f64> = bases.filter(|it| self.is_apart(*it)).collect();
        bases.sort_by(f64::total_cmp);
        let mut rooms = Vec::new();
        let spaces = space.model.all("IFCSPACE").filter(|_| !bases.is_empty());
        for number in spaces.collect::<Vec<u32>>() {
            let Some(product) = space.product(number)? else { continue };
            let heights = space.whole_body(&product, links)?.heights();
            rooms.extend(heights.map(|(low_m, _)| low_m - self.zero_m));
        }
        let on_one = |a: &f64, b: &f64| b - a <= ONE_FLOOR_M;
        for bases in bases.chunk_by(on_one) {
            let floor_m = bases[bases.len() / 2];
            let is_room = |room: &f64| (room - floor_m).abs() <= ONE_FLOOR_M;
            let lived_in = rooms.iter().any(is_room);
            if !self.is_apart(floor_m)
                || !(lived_in || rooms.is_empty() && bases.len() >= LEAST_WALLS)
                || self.levels.len() >= MAX_LEVELS
            {
                continue;
            }
            let at = self.levels.partition_point(|level| level.floor_m < floor_m);
            let homes = homes.iter_mut().map(|it| &mut **it).chain(self.of.values_mut());
            homes.filter(|it| **it >= at).for_each(|it| *it += 1);
            self.levels.insert(at, level(String::new(), floor_m));
            let taken = format!("at {floor_m:.2} m was added: walls stand there");
            let fix = "check \"levels\" in the plan";
            notes.tell(Weight::Measure, ("a storey", &taken, fix), None);
        }
        self.number();
        Ok(())
    }

    /// Whether a height is so far from every floor that a storey may be there.
    fn is_apart(&self, height_m: f64) -> bool {
        height_m.abs() <= FARTHEST_M && self.nearest(height_m).1 >= LEAST_STOREY_M
    }

    /// Counts the levels from the one nearest to zero.
    fn number(&mut self) {
        let near = |level: &Level| level.floor_m.abs();
        let levels = self.levels.iter().enumerate();
        let ground = levels.min_by(|a, b| near(a.1).total_cmp(&near(b.1))).map_or(0, |it| it.0);
        for (at, level) in self.levels.iter_mut().enumerate() {
            // At most MAX_LEVELS.
            level.number = i32::try_from(at).unwrap_or(0) - i32::try_from(ground).unwrap_or(0);
            if level.name.is_empty() {
                level.name = format!("level {}", level.number);
            }
        }
    }

    /// Where the storey that an element is in stands in the list.
    pub(super) fn home(&self, links: &Links, element: u32) -> Option<usize> {
        links.within(element, |it| self.of.get(&it).copied())
    }

    /// The storey whose floor is nearest to a height, and how far off that is, metres.
    pub(super) fn nearest(&self, height_m: f64) -> (usize, f64) {
        let off = |level: &Level| (level.floor_m - height_m).abs();
        let levels = self.levels.iter().enumerate();
        let best = levels.min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        best.map_or((0, f64::INFINITY), |(at, level)| (at, off(level)))
    }

    /// The storeys that something from a height to another stands on: all of which it fills most,
    /// else its home, else the one of which it fills the most; none if it is below or above all.
    pub(super) fn covered(&self, (low_m, high_m): (f64, f64), home: Option<usize>) -> Vec<usize> {
        let share = |level: &Level| {
            let common_m = high_m.min(level.ceiling_m) - low_m.max(level.floor_m);
            common_m / (level.ceiling_m - level.floor_m)
        };
        let shares: Vec<f64> = self.levels.iter().map(share).collect();
        let most: Vec<usize> = (0..shares.len()).filter(|at| shares[*at] >= 0.6).collect();
        if !most.is_empty() {
            return most;
        }
        let home = home.filter(|at| shares[*at] > 0.1);
        let best = (0..shares.len()).max_by(|a, b| shares[*a].total_cmp(&shares[*b]));
        home.or(best.filter(|at| shares[*at] > 0.1)).into_iter().collect()
    }

    /// Sets the ceilings: below the floor of the next storey by its slab, on top by the walls.
    /// `slabs_m` are how thick the floors are, `tops_m` how high the walls of each storey reach.
    pub(super) fn ceilings(
        &mut self,
        slabs_m: &BTreeMap<usize, f64>,
        tops_m: &BTreeMap<usize, Vec<f64>>,
        notes: &mut Notes,
    ) {
        for at in 0..self.levels.len() {
            let mut tops = tops_m.get(&at).cloned().unwrap_or_default();
            tops.sort_by(f64::total_cmp);
            let floor_m = self.levels[at].floor_m;
            let by_walls = tops.get(tops.len() / 2).map(|top_m| top_m - floor_m);
            let by_walls = by_walls.filter(|high| (CEILINGS_M.0..=CEILINGS_M.1).contains(high));
            let next_m = self.levels.get(at + 1).map(|next| next.floor_m - floor_m);
            let high_m = if let Some(next_m) = next_m {
                let known = slabs_m.get(&(at + 1)).copied();
                if known.is_none() {
                    let taken = format!(
                        "were taken as {FLOOR_THICKNESS_M} m, because no slab is at their height"
                    );
                    let fix = "measure them and correct \"levels\" in the plan";
                    let about = "thickness of floors";
                    notes.tell(Weight::Measure, (about, &taken, fix), None);
                }
                let slab_m = known.unwrap_or(FLOOR_THICKNESS_M).min(next_m * 0.4);
                // A hall lower than the distance of two floors far apart keeps its own height.
                let by_walls = by_walls.filter(|high| *high < next_m * 0.6);
                by_walls.unwrap_or(next_m - slab_m)
            } else if let Some(high_m) = by_walls {
                high_m
            } else {
                let taken = format!("has no wall that says how high it is; taken as {CEILING_M} m");
                let fix = "measure it and correct \"levels\" in the plan";
                notes.tell(Weight::Measure, ("top storey", &taken, fix), None);
                CEILING_M
            };
            self.levels[at].ceiling_m = floor_m + high_m;
        }
    }
}

fn level(name: String, floor_m: f64) -> Level {
    Level { number: 0, name, floor_m, ceiling_m: floor_m + CEILING_M, is_over_air: false }
}
