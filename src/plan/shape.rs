//! Geometry of a feature: parsed by the `geojson` crate, with the place of every position.
//!
//! The `geojson` crate says what is wrong but not where. So the coordinates are first walked as
//! located JSON, which finds every ill-formed position at its own place; what passes is handed to
//! `geojson` and turned into `geo` types.

use geo::{Coord, Geometry, LineString, MapCoords};

use super::diagnostic::Diagnostics;
use super::fields::Fields;
use super::json::{Sort, Value};
use super::limits::{MAX_COORDINATE_M, MAX_POSITIONS};
use super::members::POINT;
use super::names::{mend_name, one_of, quoted, with_article};

/// Ordinates that one position may have before it is taken for a mistake (RFC 7946 §3.1.1
/// discourages more than three).
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
    /// The place of a position, by ring and index.
    pub(super) fn place(&self, ring: usize, index: usize) -> usize {
        self.places.get(ring).and_then(|ring| ring.get(index)).copied().unwrap_or_default()
    }

    /// The line, if the shape is one.
    pub(super) fn line(&self) -> Option<&LineString<f64>> {
        match &self.geometry {
            Geometry::LineString(line) => Some(line),
            _ => None,
        }
    }

    /// The point, if the shape is one.
    pub(super) fn point(&self) -> Option<Coord<f64>> {
        match &self.geometry {
            Geometry::Point(point) => Some(point.0),
            _ => None,
        }
    }
}

/// How far all positions of a plan reach.
#[derive(Debug, Clone, Default)]
pub(super) struct Extent {
    /// Number of positions read so far.
    pub(super) count: usize,
    /// Lowest and highest position along x, then along y, each with its place.
    pub(super) ends: Option<[(Coord<f64>, usize); 4]>,
    sum: Coord<f64>,
    /// The place of the first position.
    pub(super) first_at: usize,
}

impl Extent {
    fn add(&mut self, coord: Coord<f64>, at: usize) {
        self.count += 1;
        self.sum = self.sum + coord;
        let Some(ends) = &mut self.ends else {
            self.ends = Some([(coord, at); 4]);
            self.first_at = at;
            return;
        };
        let [left, right, low, high] = ends;
        if coord.x < left.0.x {
            *left = (coord, at);
        }
        if coord.x > right.0.x {
            *right = (coord, at);
        }
        if coord.y < low.0.y {
            *low = (coord, at);
        }
        if coord.y > high.0.y {
            *high = (coord, at);
        }
    }

    /// Lower left and upper right corner, in metres.
    pub(super) fn corners(&self) -> Option<(Coord<f64>, Coord<f64>)> {
        let [left, right, low, high] = self.ends.as_ref()?;
        Some((Coord { x: left.0.x, y: low.0.y }, Coord { x: right.0.x, y: high.0.y }))
    }

    /// The place of the position that stands out most from the others along the longer side.
    pub(super) fn outlier_at(&self) -> usize {
        let Some([left, right, low, high]) = self.ends.as_ref() else {
            return 0;
        };
        #[expect(clippy::cast_precision_loss, reason = "a count far below 2^52")]
        let mean = self.sum / self.count as f64;
        if right.0.x - left.0.x >= high.0.y - low.0.y {
            if right.0.x - mean.x >= mean.x - left.0.x { right.1 } else { left.1 }
        } else if high.0.y - mean.y >= mean.y - low.0.y {
            high.1
        } else {
            low.1
        }
    }
}

/// What the reader of shapes needs to know.
pub(super) struct ShapeReader<'f> {
    /// Metres of one unit of the file.
    pub(super) metres_per_unit: f64,
    /// The extent so far; every position is added.
    pub(super) extent: &'f mut Extent,
    /// Where faults go.
    pub(super) faults: &'f mut Diagnostics,
    /// The feature that faults are put down to.
    pub(super) feature: &'f str,
    /// Whether a third coordinate was warned of: once a feature is enough.
    pub(super) warned_of_third: bool,
}

impl ShapeReader<'_> {
    fn fault(&mut self, at: usize, what: impl Into<String>, mend: &str) {
        self.faults.fault(at, Some(self.feature), || (what, mend));
    }

    /// Reads a geometry that must be of one of the types; `kind` names the feature in messages.
    pub(super) fn read(&mut self, value: Value<'_>, kind: &str, types: &[&str]) -> Option<Shape> {
        let (a_kind, wanted) = (with_article(kind), one_of(types.iter().copied()));
        if value.sort() != Sort::Object {
            let what = format!("the geometry of {a_kind} is {}", value.described());
            self.fault(value.at, what, &format!("{a_kind} needs a geometry of type {wanted}"));
            return None;
        }
        let fields = Fields::of(value, &POINT, "a geometry", Some(self.feature), self.faults);
        let Some(given) = fields.text("type", self.faults) else {
            fields.need("type", &format!("{a_kind} needs type {wanted}"), self.faults);
            return None;
        };
        if !types.contains(&given.as_str()) {
            let at = fields.place("type");
            self.faults.fault(at, Some(self.feature), || {
                if TYPES.contains(&given.as_str()) {
                    let mend = format!("draw it as {wanted}; one feature for each part");
                    return (format!("{a_kind} cannot be drawn as {given}"), mend);
                }
                let mend = mend_name(&given, TYPES, &format!("{a_kind} is drawn as {wanted}"));
                (format!("the geometry type {} is not known", quoted(&given)), mend)
            });
            return None;
        }
        let Some(coordinates) = fields.value("coordinates") else {
            fields.need("coordinates", "give the positions: [x, y] each", self.faults);
            return None;
        };
        let places = self.places(coordinates, &given)?;
        let geometry = match value.raw.parse::<geojson::Geometry>() {
            Ok(geometry) => Geometry::<f64>::try_from(geometry),
            Err(error) => Err(error),
        };
        match geometry {
            Ok(geometry) => {
                let scale = self.metres_per_unit;
                let geometry =
                    geometry.map_coords(|coord| Coord { x: coord.x * scale, y: coord.y * scale });
                Some(Shape { geometry, places })
            }
            Err(error) => {
                let reason = error.to_string();
                let reason = reason.split(" at line ").next().unwrap_or_default();
                let what = format!("the geometry is not valid: {}", super::names::shown(reason));
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
                if coordinates.sort() != Sort::List {
                    let what = format!(
                        "the coordinates of a Polygon must be a list of rings, but here is {}",
                        coordinates.described()
                    );
                    self.fault(coordinates.at, what, "write [[[x, y], …, the first again]]");
                    return None;
                }
                let rings = coordinates.items();
                if rings.is_empty() {
                    let what = "the polygon has no ring";
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
        if list.sort() != Sort::List {
            let what =
                format!("{holder} must be a list of positions, but here is {}", list.described());
            self.fault(list.at, what, "write [[x, y], [x, y], …]");
            return None;
        }
        let items = list.items();
        if items.first().is_some_and(|first| first.sort() == Sort::Number) {
            let what = format!("{holder} must be a list of positions, but here is a single one");
            self.fault(list.at, what, "write [[x, y], [x, y], …]");
            return None;
        }
        let read: Vec<_> = items.into_iter().map(|item| self.position(item)).collect();
        read.into_iter().collect()
    }

    /// Checks one position and gives its place.
    fn position(&mut self, value: Value<'_>) -> Option<usize> {
        if value.sort() != Sort::List {
            let what = format!("a position must be [x, y], but here is {}", value.described());
            self.fault(value.at, what, "give two numbers in a list");
            return None;
        }
        let ordinates = value.items();
        if !(2..=MAX_ORDINATES).contains(&ordinates.len()) {
            let what =
                format!("a position must be [x, y], but here are {} values", ordinates.len());
            self.fault(value.at, what, "give two numbers in a list");
            return None;
        }
        if let Some(extra) = ordinates.get(2)
            && !self.warned_of_third
        {
            self.warned_of_third = true;
            let what = "a third coordinate is not used";
            let mend = "heights go into \"height\", \"base\" and \"top\"";
            self.faults.warning(extra.at, Some(self.feature), || (what, mend));
        }
        let numbers: Vec<_> = ordinates.iter().map(|ordinate| self.ordinate(*ordinate)).collect();
        if self.extent.count == MAX_POSITIONS {
            let what = format!("the plan has more than {MAX_POSITIONS} positions");
            let mend = "simplify the drawing, or split the site into several plans";
            self.extent.count += 1;
            self.fault(value.at, what, mend);
        }
        if self.extent.count > MAX_POSITIONS {
            return None;
        }
        match numbers.as_slice() {
            [Some(x), Some(y), rest @ ..] if rest.iter().all(Option::is_some) => {
                self.extent.add(Coord { x: *x, y: *y }, value.at);
                Some(value.at)
            }
            _ => None,
        }
    }

    /// One ordinate in metres.
    fn ordinate(&mut self, value: Value<'_>) -> Option<f64> {
        let Some(number) = value.number() else {
            let what = if value.sort() == Sort::Number {
                format!("the coordinate {} is too large for a number", value.described())
            } else {
                format!("a coordinate must be a number, but here is {}", value.described())
            };
            self.fault(value.at, what, "give a finite number");
            return None;
        };
        let metres = number * self.metres_per_unit;
        if metres.abs() > MAX_COORDINATE_M {
            let what = format!(
                "the coordinate {} lies more than {} km from the plan's zero",
                value.described(),
                MAX_COORDINATE_M / 1_000.0
            );
            let mend = "take a corner of the building as the zero and subtract it from every \
                        coordinate; check \"units\"";
            self.fault(value.at, what, mend);
            return None;
        }
        Some(metres)
    }
}
