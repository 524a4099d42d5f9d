//! A member of the archive as features, each with its line in the text.

use geo::{Coord, LineString, Point, Polygon};
use serde::Deserialize;
use serde::de::IgnoredAny;
use serde_json::value::RawValue;
use serde_json::{Map, Value};

use super::notes::{Notes, Why};
use crate::collection::Collection;
use input::json::{offset, offset_of, reason};
use input::{Diagnostic, is_hidden, place_of_byte, quoted, tame};

/// Longest name that is taken over, in characters.
const LONGEST_NAME: usize = 80;

#[derive(Clone, Copy)]
pub(super) struct Member<'t> {
    /// Its name in the archive, such as `unit.geojson`.
    pub(super) name: &'t str,
    /// Archive and name.
    pub(super) place: &'t str,
    pub(super) text: &'t str,
}

/// A feature before its properties are understood.
pub(super) struct Feature<'t> {
    member: Member<'t>,
    at: usize,
    /// Its id, or its number in the file where it has none.
    pub(super) id: String,
    /// Nothing where it is not drawn at all.
    pub(super) geometry: Option<&'t RawValue>,
    /// An object.
    pub(super) properties: Value,
}

#[derive(Deserialize)]
struct RawFeature<'t> {
    id: Option<Value>,
    #[serde(borrow)]
    geometry: Option<&'t RawValue>,
    properties: Option<Map<String, Value>>,
}

#[derive(Deserialize)]
struct RawGeometry<'t> {
    #[serde(rename = "type")]
    kind: String,
    #[serde(borrow)]
    coordinates: Option<&'t RawValue>,
}

type Position = Vec<f64>;

impl<'t> Member<'t> {
    fn fault(&self, at: usize, feature: Option<&str>, what: String, fix: &str) -> Diagnostic {
        Diagnostic {
            feature: feature.map(|id| tame(id).chars().take(60).collect()),
            ..Diagnostic::at(self.place, place_of_byte(self.text, at), what, fix)
        }
    }

    fn ill_formed(
        &self,
        piece: &str,
        feature: Option<&str>,
        error: &serde_json::Error,
    ) -> Diagnostic {
        let at = offset(self.text, piece) + offset_of(piece, error.line(), error.column());
        let what = format!("not as the format requires: {}", tame(&reason(error)));
        let fix = "export the archive again, with GeoJSON FeatureCollections";
        self.fault(at, feature, what, fix)
    }

    /// All its features; those that are ill-formed are faults.
    pub(super) fn features(self, notes: &mut Notes) -> Vec<Feature<'t>> {
        let collection: Collection<'t> = match serde_json::from_str(self.text) {
            Ok(collection) => collection,
            Err(error) => {
                notes.faults.note(self.ill_formed(self.text, None, &error));
                return Vec::new();
            }
        };
        let what = format!("the member is {}, not a FeatureCollection", quoted(collection.kind()));
        let Some(features) = collection.features() else {
            let fix = "write {\"type\": \"FeatureCollection\", \"features\": […]}";
            notes.faults.note(self.fault(0, None, what, fix));
            return Vec::new();
        };
        let mut read = Vec::new();
        for (number, raw) in features.into_iter().enumerate() {
            match serde_json::from_str::<RawFeature<'t>>(raw.get()) {
                Ok(feature) => read.push(Feature {
                    member: self,
                    at: offset(self.text, raw.get()),
                    id: match feature.id {
                        Some(Value::String(id)) => id,
                        Some(Value::Number(id)) => id.to_string(),
                        _ => format!("number {}", number + 1),
                    },
                    geometry: feature.geometry,
                    properties: Value::Object(feature.properties.unwrap_or_default()),
                }),
                Err(error) => notes.faults.note(self.ill_formed(raw.get(), None, &error)),
            }
        }
        read
    }

    /// How many features it has, as far as that can be seen.
    pub(super) fn count(&self) -> usize {
        #[derive(Deserialize)]
        struct Counted {
            features: Option<Vec<IgnoredAny>>,
        }
        let counted = serde_json::from_str::<Counted>(self.text).ok();
        counted.and_then(|counted| counted.features).map_or(0, |all| all.len())
    }
}

impl Feature<'_> {
    pub(super) fn fault(&self, what: String, fix: &str) -> Diagnostic {
        self.member.fault(self.at, Some(&self.id), what, fix)
    }

    /// Notes that it is not in the plan.
    pub(super) fn leave_out(&self, notes: &mut Notes, reason: Why) {
        notes.leave_out(self.member.name, &self.id, reason);
    }

    /// A property that is text and not empty.
    pub(super) fn text(&self, name: &str) -> Option<&str> {
        let text = self.properties[name].as_str()?.trim();
        (!text.is_empty()).then_some(text)
    }

    pub(super) fn list(&self, name: &str) -> Vec<String> {
        let texts =
            self.properties[name].as_array().into_iter().flatten().filter_map(Value::as_str);
        texts.map(str::to_owned).collect()
    }

    /// A name in several languages, an object with language tags for keys (as the examples of the
    /// standard's pages have it): the English one, else the first by the language's tag.
    pub(super) fn label(&self, name: &str) -> Option<String> {
        let text = match &self.properties[name] {
            Value::String(text) => text,
            Value::Object(languages) => {
                let english = languages.get("en").and_then(Value::as_str);
                let mut others: Vec<(&String, &str)> = languages
                    .iter()
                    .filter_map(|(tag, text)| Some((tag, text.as_str()?)))
                    .collect();
                others.sort_unstable();
                english.or_else(|| others.first().map(|(_, text)| *text))?
            }
            _ => return None,
        };
        let text = plain_name(text);
        (!text.is_empty()).then_some(text)
    }

    /// Its areas in degrees, x east and y north. Without a geometry, or with one that encloses
    /// nothing, it is noted and nothing comes back.
    pub(super) fn areas(&self, notes: &mut Notes) -> Option<Vec<Polygon<f64>>> {
        let geometry = self.geometry(notes)?;
        let polygons: Vec<Vec<Vec<Position>>> = match geometry.kind.as_str() {
            "Polygon" => vec![self.coordinates(&geometry, notes)?],
            "MultiPolygon" => self.coordinates(&geometry, notes)?,
            _ => {
                self.leave_out(notes, Why::OtherGeometry);
                return None;
            }
        };
        let mut areas = Vec::new();
        for rings in polygons {
            let lines: Option<Vec<_>> =
                rings.into_iter().map(|ring| self.line_of(ring, notes)).collect();
            let mut lines = lines?.into_iter();
            if let Some(outer) = lines.next().filter(|ring| corners(ring) >= 3) {
                areas.push(Polygon::new(outer, lines.filter(|ring| corners(ring) >= 3).collect()));
            }
        }
        if areas.is_empty() {
            self.leave_out(notes, Why::Empty);
            return None;
        }
        Some(areas)
    }

    /// Its line in degrees, as [`Feature::areas`].
    pub(super) fn line(&self, notes: &mut Notes) -> Option<LineString<f64>> {
        let geometry = self.geometry(notes)?;
        if geometry.kind != "LineString" {
            self.leave_out(notes, Why::OtherGeometry);
            return None;
        }
        let positions = self.coordinates::<Vec<Position>>(&geometry, notes)?;
        let line = self.line_of(positions, notes)?;
        if line.0.len() < 2 {
            self.leave_out(notes, Why::Empty);
            return None;
        }
        Some(line)
    }

    fn geometry(&self, notes: &mut Notes) -> Option<RawGeometry<'_>> {
        if self.geometry.is_none() {
            self.leave_out(notes, Why::NoGeometry);
        }
        self.parsed(self.geometry?, notes)
    }

    fn coordinates<'g, T: Deserialize<'g>>(
        &self,
        geometry: &RawGeometry<'g>,
        notes: &mut Notes,
    ) -> Option<T> {
        if geometry.coordinates.is_none() {
            let what = "the geometry has no coordinates".to_owned();
            notes.faults.note(self.fault(what, "export the archive again"));
        }
        self.parsed(geometry.coordinates?, notes)
    }

    /// A part of the text as a value; what is ill-formed is noted.
    fn parsed<'g, T: Deserialize<'g>>(&self, raw: &'g RawValue, notes: &mut Notes) -> Option<T> {
        let parsed = serde_json::from_str(raw.get());
        parsed
            .map_err(|e| notes.faults.note(self.member.ill_formed(raw.get(), Some(&self.id), &e)))
            .ok()
    }

    /// Positions as a line; one that is on no map is a fault.
    fn line_of(&self, positions: Vec<Position>, notes: &mut Notes) -> Option<LineString<f64>> {
        let mut line = Vec::with_capacity(positions.len());
        for position in positions {
            let (what, fix) = match position.as_slice() {
                &[x, y, ..] if x.abs() <= 360.0 && y.abs() <= 90.0 => {
                    line.push(Coord { x, y });
                    continue;
                }
                [x, y, ..] => (
                    format!("({x}, {y}) is not a longitude and latitude"),
                    "export the archive in WGS 84, longitude first",
                ),
                _ => {
                    let what = "a position has fewer than two numbers".to_owned();
                    (what, "write [longitude, latitude]")
                }
            };
            notes.faults.note(self.fault(what, fix));
            return None;
        }
        Some(LineString::new(line))
    }

    /// The point that it is to be labelled at, in degrees.
    pub(super) fn display_point(&self) -> Option<Point<f64>> {
        let at = &self.properties["display_point"]["coordinates"];
        let (x, y) = (at[0].as_f64()?, at[1].as_f64()?);
        (x.abs() <= 360.0 && y.abs() <= 90.0).then(|| Point::new(x, y))
    }
}

/// A name on one line, not too long, without characters that play tricks with a terminal.
pub(super) fn plain_name(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let words = words.join(" ");
    let harmless = words.chars().filter(|character| !is_hidden(*character));
    harmless.take(LONGEST_NAME).collect::<String>().trim().to_owned()
}

fn corners(ring: &LineString<f64>) -> usize {
    let mut seen: Vec<Coord<f64>> = Vec::new();
    seen.extend(ring.0.first());
    seen.extend(ring.coords().find(|corner| !seen.contains(corner)));
    seen.extend(ring.coords().find(|corner| !seen.contains(corner)));
    seen.len()
}
