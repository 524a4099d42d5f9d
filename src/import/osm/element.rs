//! What both forms of a map are read into: tags, and a shape in degrees.

use std::collections::BTreeMap;

use geo::{
    Centroid, Coord, CoordsIter, Line, LineString, MapCoords, MinimumRotatedRect, MultiPolygon,
    Polygon,
};

use crate::line::length;
use plan::tame;

/// Longest value of a tag, bytes (our own choice; the map's limit, 255 letters, is from memory).
pub(super) const MAX_VALUE_BYTES: usize = 4_096;
/// Most characters of a name that are kept.
const MAX_NAME: usize = 80;

/// Where an element lies. Degrees of longitude and latitude as it is read, metres later.
pub(super) enum Shape {
    Node(Coord<f64>),
    Line(LineString<f64>),
    Area(MultiPolygon<f64>),
}

pub(super) struct Element {
    /// Such as `way/12`; empty where the file gives none.
    pub(super) id: String,
    pub(super) tags: Tags,
    pub(super) shape: Shape,
}

#[derive(Clone, Default, PartialEq)]
pub(super) struct Tags(pub(super) BTreeMap<String, String>);

impl Tags {
    /// The value of a key, if there is one that is not empty.
    pub(super) fn get(&self, key: &str) -> Option<&str> {
        let value = self.0.get(key)?.trim();
        (!value.is_empty()).then_some(value)
    }

    pub(super) fn has(&self, key: &str, values: &[&str]) -> bool {
        self.get(key).is_some_and(|value| values.contains(&value))
    }

    /// Whether a key has a value other than `no`.
    pub(super) fn is(&self, key: &str) -> bool {
        self.get(key).is_some_and(|value| value != "no")
    }

    /// A length in metres: a number, with or without `m`, or feet and inches as in `6'7"`.
    pub(super) fn metres(&self, key: &str) -> Option<f64> {
        let value = self.get(key)?;
        let metres = if let Some((feet, inches)) = value.split_once('\'') {
            let inches = inches.trim().trim_end_matches('"');
            let inches: f64 = if inches.is_empty() { 0.0 } else { inches.parse().ok()? };
            feet.trim().parse::<f64>().ok()? * 0.3048 + inches * 0.0254
        } else {
            value.trim_end_matches('m').trim().parse().ok()?
        };
        metres.is_finite().then_some(metres)
    }

    /// What people call it: its name, else its number on the door, else its use.
    pub(super) fn called(&self) -> Option<String> {
        let used = || {
            let used = self.get("room").filter(|used| !["yes", "no"].contains(used))?;
            let words = used.replace('_', " ");
            let mut letters = words.chars();
            Some(letters.next()?.to_uppercase().chain(letters).collect())
        };
        let name = self.get("name").map(str::to_owned);
        let name = name.or_else(|| self.get("ref").map(|number| format!("Room {number}")));
        let letters = name.or_else(used)?;
        let letters = letters.chars().map(|c| if c.is_control() { ' ' } else { c });
        let name: String = letters.take(MAX_NAME).collect();
        Some(name.trim().to_owned()).filter(|name| !name.is_empty())
    }

    /// Whether a closed way with these tags is an area. Steps, paths and fences are lines even
    /// where they close, unless `area=yes` says otherwise (common in the map's schema; from memory,
    /// not confirmed).
    fn close_an_area(&self) -> bool {
        let line = self.get("highway").is_some() || self.get("barrier").is_some();
        self.has("area", &["yes"]) || (self.get("indoor").is_some() || !line)
    }
}

impl Element {
    pub(super) fn about(&self) -> String {
        if self.id.is_empty() {
            let name = self.tags.called();
            return name.unwrap_or_else(|| "a feature without id".to_owned());
        }
        tame(&self.id)
    }

    /// The place in a file's order: nodes, ways and relations by number, then what has no such id.
    pub(super) fn order(&self) -> (usize, u64) {
        let (sort, number) = self.id.split_once('/').unwrap_or_default();
        let sort = ["node", "way", "relation"].iter().position(|known| *known == sort).unwrap_or(3);
        number.parse().map_or((3, u64::MAX), |number| (sort, number))
    }
}

/// The shape of a line of positions: an area if it is closed and its tags do not say otherwise.
pub(super) fn shape_of_line(points: Vec<Coord<f64>>, tags: &Tags) -> Shape {
    let closed = points.len() >= 4 && points.first() == points.last();
    let line = LineString::new(points);
    if closed && tags.close_an_area() {
        Shape::Area(MultiPolygon::new(vec![Polygon::new(line, Vec::new())]))
    } else {
        Shape::Line(line)
    }
}

impl Shape {
    /// The same with every position through a function.
    pub(super) fn map(&self, to: impl Fn(Coord<f64>) -> Coord<f64> + Copy) -> Self {
        match self {
            Self::Node(at) => Self::Node(to(*at)),
            Self::Line(line) => Self::Line(line.map_coords(to)),
            Self::Area(areas) => Self::Area(areas.map_coords(to)),
        }
    }

    pub(super) fn positions(&self) -> Vec<Coord<f64>> {
        match self {
            Self::Node(at) => vec![*at],
            Self::Line(line) => line.0.clone(),
            Self::Area(areas) => areas.coords_iter().collect(),
        }
    }
}

/// The longer middle of the smallest box around an outline, with the shorter side, metres.
pub(super) fn middle(area: &Polygon<f64>) -> Option<(Line<f64>, f64)> {
    let around = MinimumRotatedRect::minimum_rotated_rect(area)?;
    let centre = around.centroid()?.0;
    let mut edges = around.exterior().lines().take(2);
    let (a, b) = (edges.next()?, edges.next()?);
    let (long, short) = if length(a) >= length(b) { (a, b) } else { (b, a) };
    // From left to right, else upwards, however the outline runs.
    let mut half = long.delta() / 2.0;
    if half.x < -1e-9 || (half.x.abs() <= 1e-9 && half.y < 0.0) {
        half = half * -1.0;
    }
    Some((Line::new(centre - half, centre + half), length(short)))
}
