//! The features of an archive that matter, first in degrees and then in metres.

use geo::{
    BoundingRect, Coord, CoordsIter, Line, LineString, MapCoords, MultiPoint, Point, Polygon,
};

use super::categories::{Leaf, Space};
use crate::{CEILING_M, FLOOR_THICKNESS_M, LocalFrame, whole_file};
use plan::{Diagnostic, MAX_EXTENT_M, quoted};

/// Most corners of all spaces and levels together (our own choice: a plan holds 20,000 walls).
pub(super) const MAX_CORNERS: usize = 60_000;

#[derive(Default)]
pub(super) struct Venue {
    pub(super) name: Option<String>,
    pub(super) floors: Vec<Floor>,
    pub(super) units: Vec<Unit>,
    pub(super) openings: Vec<Opening>,
}

pub(super) struct Floor {
    pub(super) id: String,
    pub(super) ordinal: i32,
    pub(super) name: Option<String>,
    /// Its outline, else the footprint of its building; nothing where neither is drawn.
    pub(super) areas: Vec<Polygon<f64>>,
    pub(super) by_footprint: bool,
}

pub(super) struct Unit {
    pub(super) id: String,
    /// `unit.geojson` or `fixture.geojson`.
    pub(super) member: &'static str,
    pub(super) space: Space,
    /// Its name, else what it is.
    pub(super) name: String,
    pub(super) named: bool,
    pub(super) floor: usize,
    pub(super) areas: Vec<Polygon<f64>>,
    pub(super) label_at: Option<Point<f64>>,
}

pub(super) struct Opening {
    pub(super) id: String,
    pub(super) name: Option<String>,
    pub(super) category: String,
    pub(super) leaf: Leaf,
    pub(super) material: Option<String>,
    pub(super) floor: usize,
    pub(super) line: LineString<f64>,
}

/// Height of a level's floor above that of ordinal 0, metres.
pub(super) fn floor_m(ordinal: i32) -> f64 {
    f64::from(ordinal) * (CEILING_M + FLOOR_THICKNESS_M)
}

/// A straight wall, to the millimetre.
#[derive(Clone, Copy)]
pub(super) struct Wall {
    pub(super) level: i32,
    pub(super) line: Line<f64>,
    pub(super) outside: bool,
}

impl Venue {
    pub(super) fn corners(&self) -> usize {
        self.places().count()
    }

    fn places(&self) -> impl Iterator<Item = (Coord<f64>, &'static str, &str)> {
        let floors = self.floors.iter().map(|floor| (&floor.areas, "level", floor.id.as_str()));
        let units = self.units.iter().map(|unit| (&unit.areas, "unit", unit.id.as_str()));
        let areas = floors.chain(units).flat_map(|(areas, sort, id)| {
            areas.iter().flat_map(Polygon::coords_iter).map(move |at| (at, sort, id))
        });
        let openings = self.openings.iter().flat_map(|opening| {
            opening.line.coords().map(|at| (*at, "opening", opening.id.as_str()))
        });
        areas.chain(openings)
    }

    /// From degrees to metres, from the lower left corner; a fault if wider than a plan may be.
    pub(super) fn in_metres(mut self, file: &str) -> Result<Self, Vec<Diagnostic>> {
        // On both sides of the 180° meridian: some of it in the far east, some in the far west.
        let around = MultiPoint::from_iter(self.places().map(|(at, ..)| at)).bounding_rect();
        let wrap = around.is_some_and(|around| around.width() > 180.0);
        let east = move |x: f64| if wrap && x < 0.0 { x + 360.0 } else { x };
        let places = self.places().map(|(at, ..)| Coord { x: east(at.x), ..at });
        let around = MultiPoint::from_iter(places).bounding_rect();
        let Some(corner) = around.map(|around| around.min()) else { return Ok(self) };
        let frame = LocalFrame::at(corner.x, corner.y);
        let local = |at: Coord<f64>| frame.local(at.x, at.y);
        let areas = self.floors.iter_mut().flat_map(|floor| &mut floor.areas);
        for area in areas.chain(self.units.iter_mut().flat_map(|unit| &mut unit.areas)) {
            *area = area.map_coords(local);
        }
        for unit in &mut self.units {
            unit.label_at = unit.label_at.map(|at| at.map_coords(local));
        }
        for opening in &mut self.openings {
            opening.line = opening.line.map_coords(local);
        }
        self.check_extent(file)?;
        Ok(self)
    }

    /// A plan holds one site.
    fn check_extent(&self, file: &str) -> Result<(), Vec<Diagnostic>> {
        let wide = |what: String| {
            let fix = "export one building, or one group of buildings, alone";
            vec![whole_file(file, format!("{what}; a plan is at most 2 km across"), fix)]
        };
        let Some(first) = self.places().next() else { return Ok(()) };
        for (at, sort, id) in self.places() {
            let apart = at - first.0;
            // Measured from the first feature to the farther one, half of it each way at the most.
            if apart.x.abs().max(apart.y.abs()) > MAX_EXTENT_M {
                let km = apart.x.hypot(apart.y) / 1e3;
                let (id, of) = (quoted(id), quoted(first.2));
                return Err(wide(format!("{sort} {id} is {km:.1} km from {} {of}", first.1)));
            }
        }
        // From the zero, which is the corner of all.
        let all = std::iter::once(Coord::zero()).chain(self.places().map(|(at, ..)| at));
        let around = MultiPoint::from_iter(all).bounding_rect();
        let size_m = around.map_or(0.0, |around| around.width().max(around.height()));
        if size_m > MAX_EXTENT_M - 1.0 {
            return Err(wide(format!("the site is {:.1} km wide", size_m / 1e3)));
        }
        Ok(())
    }
}
