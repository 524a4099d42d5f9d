//! The features of an archive that matter, first in degrees and then in metres.

use geo::{Coord, LineString, MapCoords, Point, Polygon};

use super::categories::{Leaf, Space};
use crate::{LocalFrame, whole_file};
use plan::{Diagnostic, MAX_EXTENT_M, quoted};

/// Most corners of all spaces and levels together (our own choice: a plan holds 20,000 walls).
pub(super) const MAX_CORNERS: usize = 60_000;

/// The archive's features.
#[derive(Debug, Default)]
pub(super) struct Site {
    /// The venue's name.
    pub(super) name: Option<String>,
    pub(super) floors: Vec<Floor>,
    pub(super) units: Vec<Unit>,
    pub(super) openings: Vec<Opening>,
}

/// A level of a building.
#[derive(Debug)]
pub(super) struct Floor {
    pub(super) id: String,
    pub(super) ordinal: i32,
    pub(super) name: Option<String>,
    /// Its outline, else the footprint of its building; nothing where neither is drawn.
    pub(super) areas: Vec<Polygon<f64>>,
    /// Whether that is its building's footprint.
    pub(super) by_footprint: bool,
}

/// A space, or what stands between spaces.
#[derive(Debug)]
pub(super) struct Unit {
    pub(super) id: String,
    /// `unit.geojson` or `fixture.geojson`.
    pub(super) member: &'static str,
    pub(super) space: Space,
    /// Its name, else what it is.
    pub(super) name: String,
    /// Whether it has a name of its own.
    pub(super) named: bool,
    /// Index of its level.
    pub(super) floor: usize,
    pub(super) areas: Vec<Polygon<f64>>,
    pub(super) label_at: Option<Point<f64>>,
}

/// A door or a way through.
#[derive(Debug)]
pub(super) struct Opening {
    pub(super) id: String,
    pub(super) name: Option<String>,
    pub(super) category: String,
    pub(super) leaf: Leaf,
    /// The material of its leaf, as the archive has it.
    pub(super) material: Option<String>,
    /// Index of its level.
    pub(super) floor: usize,
    pub(super) line: LineString<f64>,
}

impl Site {
    pub(super) fn corners(&self) -> usize {
        let floors = self.floors.iter().flat_map(|floor| &floor.areas);
        let units = self.units.iter().flat_map(|unit| &unit.areas);
        let rings = |area: &Polygon<f64>| {
            let holes = area.interiors().iter();
            area.exterior().0.len() + holes.map(|hole| hole.0.len()).sum::<usize>()
        };
        let lines = self.openings.iter().map(|opening| opening.line.0.len());
        floors.chain(units).map(rings).sum::<usize>() + lines.sum::<usize>()
    }

    /// All places, with the feature that each belongs to.
    fn places(&self) -> impl Iterator<Item = (Coord<f64>, &'static str, &str)> {
        let of = |areas: &'_ [Polygon<f64>]| {
            let rings = areas
                .iter()
                .flat_map(|area| std::iter::once(area.exterior()).chain(area.interiors()));
            rings.flat_map(|ring| ring.0.clone()).collect::<Vec<_>>()
        };
        let floors = self.floors.iter();
        let floors = floors.flat_map(move |floor| {
            let places = of(&floor.areas).into_iter();
            places.map(|at| (at, "level", floor.id.as_str()))
        });
        let units = self.units.iter().flat_map(move |unit| {
            let places = of(&unit.areas).into_iter();
            places.map(|at| (at, "unit", unit.id.as_str()))
        });
        let openings = self.openings.iter().flat_map(|opening| {
            let places = opening.line.0.iter();
            places.map(|at| (*at, "opening", opening.id.as_str()))
        });
        floors.chain(units).chain(openings)
    }

    /// From degrees to metres, from the lower left corner of everything.
    ///
    /// # Errors
    /// A fault for a site wider than a plan may be.
    pub(super) fn in_metres(mut self, file: &str) -> Result<Self, Vec<Diagnostic>> {
        let wrap = self.across_the_date_line();
        let east = move |x: f64| if wrap && x < 0.0 { x + 360.0 } else { x };
        let mut corner: Option<Coord<f64>> = None;
        for (at, _, _) in self.places() {
            let x = east(at.x);
            let low = corner.get_or_insert(Coord { x, y: at.y });
            low.x = low.x.min(x);
            low.y = low.y.min(at.y);
        }
        let Some(corner) = corner else {
            return Ok(self);
        };
        let frame = LocalFrame::at(corner.x, corner.y);
        let local = |at: Coord<f64>| frame.local(at.x, at.y);
        for area in self.floors.iter_mut().flat_map(|floor| &mut floor.areas) {
            *area = area.map_coords(local);
        }
        for unit in &mut self.units {
            for area in &mut unit.areas {
                *area = area.map_coords(local);
            }
            unit.label_at = unit.label_at.map(|at| at.map_coords(local));
        }
        for opening in &mut self.openings {
            opening.line = opening.line.map_coords(local);
        }
        self.check_extent(file)?;
        Ok(self)
    }

    /// Whether the site lies on both sides of the 180° meridian: some of it in the far east, some in the far
    /// west.
    fn across_the_date_line(&self) -> bool {
        let (mut east, mut west) = (f64::NEG_INFINITY, f64::INFINITY);
        for (at, _, _) in self.places() {
            east = east.max(at.x);
            west = west.min(at.x);
        }
        east - west > 180.0
    }

    /// A plan holds one site.
    fn check_extent(&self, file: &str) -> Result<(), Vec<Diagnostic>> {
        let mut first: Option<(Coord<f64>, &str, &str)> = None;
        for place in self.places() {
            let start = *first.get_or_insert(place);
            let apart = place.0 - start.0;
            // Measured from the first feature to the farther one, half of it each way at the most.
            if apart.x.abs().max(apart.y.abs()) > MAX_EXTENT_M {
                return Err(vec![whole_file(
                    file,
                    format!(
                        "{} {} lies {:.1} km from {} {}: a plan reaches over 2 km at most",
                        place.1,
                        quoted(place.2),
                        apart.x.hypot(apart.y) / 1e3,
                        start.1,
                        quoted(start.2)
                    ),
                    "export one building, or one group of buildings, alone",
                )]);
            }
        }
        let zero = Coord::<f64> { x: 0.0, y: 0.0 };
        let (mut low, mut high) = (zero, zero);
        for (at, _, _) in self.places() {
            low = Coord { x: low.x.min(at.x), y: low.y.min(at.y) };
            high = Coord { x: high.x.max(at.x), y: high.y.max(at.y) };
        }
        let size = high - low;
        if size.x.max(size.y) > MAX_EXTENT_M - 1.0 {
            return Err(vec![whole_file(
                file,
                format!(
                    "the site is {:.1} km wide: a plan reaches over 2 km at most",
                    size.x.max(size.y) / 1e3
                ),
                "export one building, or one group of buildings, alone",
            )]);
        }
        Ok(())
    }
}
