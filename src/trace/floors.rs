//! Floors by their height: what lies at one height is one sheet.
//!
//! A plan may have a slab for every room. A path meets them all at one place of its length, and
//! where that place is says which of them it meets; so it is followed once a sheet, not once a slab.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::index::bounding_box;
use super::plane::Point;
use super::screen::Floor;

/// From so many floors on a sheet has an index: fewer are gone through as fast.
const INDEXED_FROM: usize = 16;

/// The floors of a plan.
#[derive(Debug, Clone, Default)]
pub struct Floors {
    all: Vec<Floor>,
    /// In the order of the first floor of each.
    sheets: Vec<Sheet>,
}

/// The floors at one height.
#[derive(Debug, Clone)]
struct Sheet {
    height: f64,
    /// Indices of its floors, ascending.
    floors: Vec<u32>,
    index: Option<RTree<GeomWithData<Rectangle<[f64; 2]>, u32>>>,
}

impl Floors {
    /// Puts floors in order by their height.
    #[must_use]
    pub fn new(all: Vec<Floor>) -> Self {
        let mut sheets: Vec<Sheet> = Vec::new();
        for (floor, id) in all.iter().zip(0u32..) {
            match sheets.iter_mut().find(|sheet| sheet.height == floor.height) {
                Some(sheet) => sheet.floors.push(id),
                None => {
                    sheets.push(Sheet { height: floor.height, floors: vec![id], index: None });
                }
            }
        }
        for sheet in sheets.iter_mut().filter(|sheet| sheet.floors.len() >= INDEXED_FROM) {
            let boxes = sheet.floors.iter().map(|&id| {
                let (low, high) = bounding_box(&all[id as usize].outline.exterior().0);
                GeomWithData::new(Rectangle::from_corners(low.into(), high.into()), id)
            });
            sheet.index = Some(RTree::bulk_load(boxes.collect()));
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

    /// Calls `visit` with every floor of a sheet that extends over a place, in plan order.
    #[inline]
    pub fn each_over<'f>(&'f self, sheet: u32, place: Point, mut visit: impl FnMut(&'f Floor)) {
        let Some(sheet) = self.sheets.get(sheet as usize) else { return };
        let floor = |id: &u32| Some(&self.all[*id as usize]).filter(|floor| floor.covers(place));
        let Some(index) = &sheet.index else {
            sheet.floors.iter().filter_map(floor).for_each(visit);
            return;
        };
        let found = index.locate_in_envelope_intersecting(&AABB::from_point(place.into()));
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
