//! Floors by their height: what lies side by side at one height is one sheet.
//!
//! A plan may have a slab for every room. A path meets them all at one place of its length, and
//! where that place is says which of them it meets; so it is followed once a sheet, not once a
//! slab.
//! Floors one over the other at one height are on sheets of their own: each mirrors by itself.

use rstar::{AABB, RTree};

use super::index::{Boxed, bounding_box, boxed};
use super::plane::Point;
use super::screen::Floor;

/// From so many floors on a sheet's index is asked: fewer are gone through as fast.
const INDEXED_FROM: usize = 16;

/// Most sheets at one height: what more lies there goes on the last, of which a path is reflected
/// at the first floor only. No building has so many, and it bounds the paths of a hostile plan.
const MOST_SHEETS: usize = 8;

/// Floors that share less than this have their edges in common, metres.
const EDGE_M: f64 = 1e-6;

/// The floors of a plan.
#[derive(Debug, Clone, Default)]
pub struct Floors {
    all: Vec<Floor>,
    /// In the order of the first floor of each.
    sheets: Vec<Sheet>,
}

/// Floors at one height, side by side.
#[derive(Debug, Clone)]
struct Sheet {
    height: f64,
    /// Indices of its floors, ascending.
    floors: Vec<u32>,
    index: RTree<Boxed>,
}

impl Floors {
    /// Puts floors in order by their height.
    #[must_use]
    pub fn new(all: Vec<Floor>) -> Self {
        let mut sheets: Vec<Sheet> = Vec::new();
        for (floor, id) in all.iter().zip(0u32..) {
            let (low, high) = bounding_box(&floor.outline.exterior().0);
            let inner = AABB::from_corners(
                [low.x + EDGE_M, low.y + EDGE_M],
                [(high.x - EDGE_M).max(low.x), (high.y - EDGE_M).max(low.y)],
            );
            let at_height = || sheets.iter().enumerate().filter(|it| it.1.height == floor.height);
            let is_free = |sheet: &Sheet| {
                sheet.index.locate_in_envelope_intersecting(&inner).next().is_none()
            };
            let free = at_height().find(|(_, sheet)| is_free(sheet));
            let last = || at_height().nth(MOST_SHEETS - 1);
            let number = free.or_else(last).map(|(number, _)| number).unwrap_or_else(|| {
                let (height, floors, index) = (floor.height, Vec::new(), RTree::new());
                sheets.push(Sheet { height, floors, index });
                sheets.len() - 1
            });
            sheets[number].floors.push(id);
            sheets[number].index.insert(boxed(&floor.outline.exterior().0, 0.0, id));
        }
        Self { all, sheets }
    }

    /// All of them, in plan order.
    #[must_use]
    pub fn all(&self) -> &[Floor] {
        &self.all
    }

    /// The height of every sheet, metres above the plan's zero, with its number.
    pub(super) fn heights(&self) -> impl Iterator<Item = (u32, f64)> {
        (0u32..).zip(self.sheets.iter().map(|sheet| sheet.height))
    }

    pub(super) fn height(&self, sheet: u32) -> Option<f64> {
        self.sheets.get(sheet as usize).map(|sheet| sheet.height)
    }

    /// The floors of a sheet, in plan order.
    pub fn of(&self, sheet: u32) -> impl Iterator<Item = &Floor> {
        let floors = self.sheets.get(sheet as usize).map(|sheet| &sheet.floors[..]);
        floors.unwrap_or_default().iter().map(|id| &self.all[*id as usize])
    }

    /// Calls `visit` with every floor of a sheet that extends over a place, in plan order.
    #[inline]
    pub fn each_over<'f>(&'f self, sheet: u32, place: Point, mut visit: impl FnMut(&'f Floor)) {
        let Some(sheet) = self.sheets.get(sheet as usize) else { return };
        let floor = |id: &u32| Some(&self.all[*id as usize]).filter(|floor| floor.covers(place));
        if sheet.floors.len() < INDEXED_FROM {
            sheet.floors.iter().filter_map(floor).for_each(visit);
            return;
        }
        let found = sheet.index.locate_in_envelope_intersecting(&AABB::from_point(place.into()));
        let mut near: Vec<u32> = found.map(|found| found.data).collect();
        near.sort_unstable();
        for floor in near.iter().filter_map(floor) {
            visit(floor);
        }
    }

    /// The first floor of a sheet that extends over a place.
    #[must_use]
    pub fn over(&self, sheet: u32, place: Point) -> Option<&Floor> {
        let mut first = None;
        self.each_over(sheet, place, |floor| first = first.or(Some(floor)));
        first
    }
}
