//! Geometry of a feature: parsed by the `geojson` crate, with the place of every position.
//!
//! The `geojson` crate says what is wrong but not where. So the coordinates are first walked as
//! located JSON, which finds every ill-formed position at its own place; what passes is handed to
//! `geojson` and turned into `geo` types.

use geo::{BoundingRect, Coord, Geometry, LineString, MapCoords, MultiPoint};

use super::fields::Fields;
use super::limits::{MAX_COORDINATE_M, MAX_POSITIONS};
use super::members::POINT;
use super::unit::Unit;
use input::json::{Sort, Value};
use input::{Diagnostics, fix_name, one_of, quoted, shown, with_article};

/// Most ordinates of a position (RFC 7946 §3.1.1 discourages more than three).
pub(super) const MAX_ORDINATES: usize = 4;

/// The types of `GeoJSON` (RFC 7946 §1.4), to tell a misspelt one from one that does not fit.
pub(super) const TYPES: [&str; 7] = [
    "Point",
    "LineString",
    "Polygon",
    "MultiPoint",
    "MultiLineString",
    "MultiPolygon",
    "GeometryCollection",
];

/// A geometry in metres, and where each of its positions stands.
pub(super) struct Shape {
    pub(super) geometry: Geometry<f64>,
    /// One list for a point or line, one for each ring of a polygon, in the geometry's order.
    pub(super) places: Vec<Vec<usize>>,
}

impl Shape {
    pub(super) fn place(&self, ring: usize, index: usize) -> usize {
        self.places.get(ring).and_then(|ring| ring.get(index)).copied().unwrap_or_default()
    }

    pub(super) fn line(&self) -> Option<&LineString<f64>> {
        match &self.geometry {
            Geometry::LineString(line) => Some(line),
            _ => None,
        }
    }

    pub(super) fn point(&self) -> Option<Coord<f64>> {
        match &self.geometry {
            Geometry::Point(point) => Some(point.0),
            _ => None,
        }
    }
}

#[derive(Debug, Clone, Default)]
pub(super) struct Extent {
    /// Every position read so far, metres, with its place.
    pub(super) positions: Vec<(Coord<f64>, usize)>,
    /// Whether there are more than are read.
    pub(super) is_full: bool,
}

impl Extent {
    /// Lower left and upper right corner, in metres.
    pub(super) fn corners(&self) -> Option<(Coord<f64>, Coord<f64>)> {
        let all = MultiPoint::from_iter(self.positions.iter().map(|(coord, _)| *coord));
        all.bounding_rect().map(|around| (around.min(), around.max()))
    }

    /// The place of the position that stands out most along the longer side; of equals the first.
    pub(super) fn outlier_at(&self) -> usize {
        let Some((low, high)) = self.corners() else { return 0 };
        let wide = high.x - low.x >= high.y - low.y;
        let along = |at: Coord<f64>| if wide { at.x } else { at.y };
        let sum = self.positions.iter().fold(0.0, |sum, (coord, _)| sum + along(*coord));
        #[expect(clippy::cast_precision_loss, reason = "a count far below 2^52")]
        let mean = sum / self.positions.len() as f64;
        let is_upper = along(high) - mean >= mean - along(low);
        let outlier = along(if is_upper { high } else { low });
        let mut here = self.positions.iter().filter(|(coord, _)| along(*coord) == outlier);
        here.next().map_or(0, |(_, at)| *at)
    }
}

pub(super) struct ShapeReader<'f> {
    pub(super) metres_per_unit: f64,
    /// The extent so far; every position is added.
    pub(super) extent: &'f mut Extent,
    pub(super) faults: &'f mut Diagnostics,
    pub(super) feature: &'f str,
    /// Whether a third coordinate was warned of: once a feature is enough.
    pub(super) warned_of_third: bool,
}

impl ShapeReader<'_> {
    fn fault(&mut self, at: usize, what: impl Into<String>, fix: &str) {
        self.faults.fault(at, Some(self.feature), || (what, fix));
    }

    /// Reads a geometry that must be of one of the types; `kind` names the feature in messages.
    pub(super) fn read(&mut self, value: Value<'_>, kind: &str, types: &[&str]) -> Option<Shape> {
        let (a_kind, wanted) = (with_article(kind), one_of(types.iter().copied()));
        if value.sort() != Sort::Object {
            let what = format!("the geometry of {a_kind} is {}", value.described());
            self.fault(value.at, what, &format!("{a_kind} needs a geometry of type {wanted}"));
            return None;
        }
        let fields = Fields::of(value, &POINT, "a geometry", Some(self.feature), self.faults)?;
        let Some(given) = fields.text("type", self.faults) else {
            fields.need("type", &format!("{a_kind} needs type {wanted}"), self.faults);
            return None;
        };
        if !types.contains(&given.as_str()) {
            let at = fields.place("type");
            self.faults.fault(at, Some(self.feature), || {
                if TYPES.contains(&given.as_str()) {
                    let fix = format!("draw it as {wanted}, one feature per part");
                    return (format!("{a_kind} cannot be drawn as {given}"), fix);
                }
                let fix = fix_name(&given, TYPES, &format!("{a_kind} is drawn as {wanted}"));
                (format!("the geometry type {} is not known", quoted(&given)), fix)
            });
            return None;
        }
        let Some(coordinates) = fields.value("coordinates") else {
            fields.need("coordinates", "give the positions: [x, y] each", self.faults);
            return None;
        };
        let places = self.places(coordinates, &given)?;
        let geometry = value.raw.parse::<geojson::Geometry>().and_then(Geometry::<f64>::try_from);
        match geometry {
            Ok(geometry) => {
                let geometry = geometry.map_coords(|coord| coord * self.metres_per_unit);
                Some(Shape { geometry, places })
            }
            Err(error) => {
                let reason = error.to_string();
                let reason = shown(reason.split(" at line ").next().unwrap_or_default());
                let what = format!("the geometry is not valid: {reason}");
                self.fault(value.at, what, &format!("{a_kind} is drawn as {wanted}"));
                None
            }
        }
    }

    /// Walks the coordinates of a type; nothing if anything in them is ill-formed.
    fn places(&mut self, coordinates: Value<'_>, kind: &str) -> Option<Vec<Vec<usize>>> {
        match kind {
            "Point" => Some(vec![vec![self.position(coordinates)?]]),
            "LineString" => {
                let places = self.positions(coordinates, "a LineString")?;
                if places.len() < 2 {
                    let what = "a line needs at least two positions";
                    self.fault(coordinates.at, what, "give both ends: [[x, y], [x, y]]");
                    return None;
                }
                Some(vec![places])
            }
            _ => {
                let rings = coordinates.items();
                if rings.is_empty() {
                    let what = match coordinates.sort() {
                        Sort::List => "the polygon has no ring".to_owned(),
                        _ => format!(
                            "the coordinates of a Polygon must be a list of rings, not {}",
                            coordinates.described()
                        ),
                    };
                    self.fault(coordinates.at, what, "write [[[x, y], …, the first again]]");
                    return None;
                }
                // Every ring is read, so that every fault in them is found.
                let read: Vec<_> =
                    rings.into_iter().map(|ring| self.positions(ring, "a ring")).collect();
                read.into_iter().collect()
            }
        }
    }

    fn positions(&mut self, list: Value<'_>, holder: &str) -> Option<Vec<usize>> {
        let items = list.items();
        let is_one = items.first().is_some_and(|first| first.sort() == Sort::Number);
        if list.sort() != Sort::List || is_one {
            let found = if is_one { "a single one".to_owned() } else { list.described() };
            let what = format!("{holder} must be a list of positions, not {found}");
            self.fault(list.at, what, "write [[x, y], [x, y], …]");
            return None;
        }
        let read: Vec<_> = items.into_iter().map(|item| self.position(item)).collect();
        read.into_iter().collect()
    }

    /// Checks one position and gives its place.
    fn position(&mut self, value: Value<'_>) -> Option<usize> {
        let ordinates = value.items();
        if !(2..=MAX_ORDINATES).contains(&ordinates.len()) {
            let found = match value.sort() {
                Sort::List if ordinates.len() == 1 => "has 1 value".to_owned(),
                Sort::List => format!("has {} values", ordinates.len()),
                _ => format!("is {}", value.described()),
            };
            let what = format!("a position must be [x, y], but this {found}");
            self.fault(value.at, what, "give two numbers in a list");
            return None;
        }
        if let Some(extra) = ordinates.get(2)
            && !self.warned_of_third
        {
            self.warned_of_third = true;
            let what = "a third coordinate is not used";
            let fix = "heights go into \"height\", \"base\" and \"top\"";
            self.faults.warning(extra.at, Some(self.feature), || (what, fix));
        }
        let numbers: Vec<_> = ordinates.iter().map(|ordinate| self.ordinate(*ordinate)).collect();
        if self.extent.positions.len() == MAX_POSITIONS {
            if !std::mem::replace(&mut self.extent.is_full, true) {
                let what = format!("the plan has more than {MAX_POSITIONS} positions");
                let fix = "simplify the drawing, or split the site into several plans";
                self.fault(value.at, what, fix);
            }
            return None;
        }
        match numbers.as_slice() {
            [Some(x), Some(y), rest @ ..] if rest.iter().all(Option::is_some) => {
                self.extent.positions.push((Coord { x: *x, y: *y }, value.at));
                Some(value.at)
            }
            _ => None,
        }
    }

    /// One ordinate in metres.
    fn ordinate(&mut self, value: Value<'_>) -> Option<f64> {
        let Some(number) = value.number() else {
            let found = value.described();
            let what = match value.sort() {
                Sort::Number => format!("the coordinate {found} is too large for a number"),
                _ => format!("a coordinate must be a number, not {found}"),
            };
            self.fault(value.at, what, "give a finite number");
            return None;
        };
        let metres = number * self.metres_per_unit;
        if metres.abs() > MAX_COORDINATE_M {
            let found = value.described();
            let farthest = Unit::of(self.metres_per_unit).whole(MAX_COORDINATE_M);
            let what =
                format!("the coordinate {found} is more than {farthest} from the plan's zero");
            let fix = "make a corner of the building the zero, and check \"units\"";
            self.fault(value.at, what, fix);
            return None;
        }
        Some(metres)
    }
}
