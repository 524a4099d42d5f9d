//! The map as `GeoJSON`: tags flat in a feature's properties, or under `tags`.

use std::collections::BTreeMap;
use std::fmt;

use geo::{Coord, LineString, MultiPolygon, Polygon};
use serde::Deserialize;
use serde::de::{Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::Value;
use serde_json::value::RawValue;

use super::element::{Element, MAX_VALUE_BYTES, Shape, Tags, shape_of_line};
use super::{Bad, MAX_ELEMENTS, MAX_POSITIONS, checked_place, line_of};

/// Largest single feature, in bytes (our own choice).
const MAX_FEATURE_BYTES: usize = 4 << 20;

/// What `kind` says in a plan of our own.
const KINDS: [&str; 13] = [
    "wall",
    "opening",
    "slab",
    "obstacle",
    "panel",
    "sensor",
    "repeater",
    "keypad",
    "siren",
    "roam",
    "mountable",
    "outlet",
    "stairs",
];

/// The file's outermost object; features are not looked into yet.
#[derive(Debug, Default)]
struct Collection<'t> {
    kind: Option<String>,
    features: Option<Vec<&'t RawValue>>,
}

/// A list of features, not longer than it may be.
struct Features<'t>(Vec<&'t RawValue>);

impl<'de> Deserialize<'de> for Features<'de> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Features<'de>;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a list of features")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut features = Vec::new();
                while let Some(feature) = list.next_element::<&RawValue>()? {
                    if features.len() == MAX_ELEMENTS {
                        return Err(A::Error::custom(format!(
                            "there are more than {MAX_ELEMENTS} features"
                        )));
                    }
                    features.push(feature);
                }
                Ok(Features(features))
            }
        }
        from.deserialize_seq(Reader)
    }
}

impl<'de> Deserialize<'de> for Collection<'de> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Collection<'de>;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a FeatureCollection")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut all = Collection::default();
                while let Some(name) = map.next_key::<String>()? {
                    match name.as_str() {
                        "type" => all.kind = Some(map.next_value()?),
                        "features" => all.features = Some(map.next_value::<Features<'de>>()?.0),
                        _ => {
                            map.next_value::<IgnoredAny>()?;
                        }
                    }
                }
                Ok(all)
            }
        }
        from.deserialize_map(Reader)
    }
}

/// Reads the elements of a file.
pub(super) fn read(text: &str) -> Result<Vec<Element>, Bad> {
    let all: Collection<'_> = serde_json::from_str(text).map_err(|error| {
        Bad::at(
            error.line(),
            error.column(),
            format!("the file is not GeoJSON: {}", reason(&error)),
            "export the map as GeoJSON again, whole",
        )
    })?;
    let features = match (all.kind.as_deref(), all.features) {
        (Some("FeatureCollection"), Some(features)) => features,
        _ => {
            return Err(Bad::whole(
                "the file is not a FeatureCollection",
                "export the map as GeoJSON with \"type\": \"FeatureCollection\" and \"features\"",
            ));
        }
    };
    let mut elements = Vec::new();
    let mut positions = 0;
    for raw in features {
        let element = feature(raw.get(), &mut positions);
        elements.extend(element.map_err(|bad| bad.below(line_of(text, raw.get())))?);
    }
    Ok(elements)
}

/// What `serde_json` says, without the place, which stands in the fault already.
fn reason(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or_default().to_owned()
}

/// One feature; nothing for one without tags or geometry.
fn feature(text: &str, positions: &mut usize) -> Result<Option<Element>, Bad> {
    if text.len() > MAX_FEATURE_BYTES {
        return Err(Bad::whole("the feature is larger than 4 MiB", "export the building alone"));
    }
    let value: Value = serde_json::from_str(text).map_err(|error| {
        Bad::at(
            error.line(),
            error.column(),
            format!("the feature cannot be read: {}", reason(&error)),
            "export the map as GeoJSON again",
        )
    })?;
    let empty = Value::Null;
    let member = |name: &str| value.get(name).unwrap_or(&empty);
    let properties = member("properties");
    let id = id(member("id"), properties);
    let about = |bad: Bad| bad.of(&id);
    if !value.is_object() {
        return Err(Bad::whole("a feature is not an object", "export the map as GeoJSON again"));
    }
    let own = properties.get("kind").and_then(Value::as_str);
    if own.is_some_and(|kind| KINDS.contains(&kind)) && properties.get("indoor").is_none() {
        return Err(about(Bad::whole(
            "this is a plan already: its features say their \"kind\"",
            "use it as it is; import reads maps and drawings",
        )));
    }
    let tags = tags(properties.get("tags").unwrap_or(properties)).map_err(about)?;
    let geometry = member("geometry");
    if tags.0.is_empty() || geometry.is_null() {
        return Ok(None);
    }
    let shape = shape(geometry, &tags, positions).map_err(about)?;
    Ok(shape.map(|shape| Element { id, tags, shape }))
}

/// `way/12`, from the feature's `id`, or its properties' `@id`, or their `type` and `id`.
fn id(given: &Value, properties: &Value) -> String {
    let text = |value: &Value| match value {
        Value::String(text) => Some(text.chars().take(64).collect::<String>()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    };
    let sort = properties.get("type").and_then(Value::as_str);
    let sort = sort.filter(|sort| ["node", "way", "relation"].contains(sort));
    let own = properties.get("id").and_then(text);
    let typed = || Some(format!("{}/{}", sort?, own.as_ref()?));
    properties
        .get("@id")
        .and_then(text)
        .or_else(|| text(given).filter(|id| id.contains('/')))
        .or_else(typed)
        .or_else(|| text(given))
        .unwrap_or_default()
}

fn tags(properties: &Value) -> Result<Tags, Bad> {
    let mut tags = BTreeMap::new();
    for (key, value) in properties.as_object().into_iter().flatten() {
        let value = match value {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            _ => continue,
        };
        if value.len() > MAX_VALUE_BYTES {
            return Err(Bad::whole(
                format!("the value of a tag is longer than {MAX_VALUE_BYTES} bytes"),
                "shorten it: a tag's value is a few words",
            ));
        }
        tags.insert(key.clone(), value);
    }
    Ok(Tags(tags))
}

/// The shape of a geometry; nothing for a kind that is not read.
fn shape(geometry: &Value, tags: &Tags, positions: &mut usize) -> Result<Option<Shape>, Bad> {
    let at = geometry.get("coordinates").unwrap_or(&Value::Null);
    let shape = match geometry.get("type").and_then(Value::as_str) {
        Some("Point") => Shape::Node(position(at, positions)?),
        Some("LineString") => shape_of_line(line(at, positions)?, tags),
        Some("Polygon") => Shape::Area(MultiPolygon::new(vec![area(at, positions)?])),
        Some("MultiPolygon") => {
            let areas: Result<Vec<_>, Bad> =
                list(at, "a list of polygons")?.iter().map(|one| area(one, positions)).collect();
            Shape::Area(MultiPolygon::new(areas?))
        }
        Some("MultiPoint" | "MultiLineString" | "GeometryCollection") => return Ok(None),
        _ => {
            return Err(Bad::whole(
                "the feature's geometry has no type that GeoJSON knows",
                "give it a Point, LineString, Polygon or MultiPolygon",
            ));
        }
    };
    Ok(Some(shape))
}

fn list<'v>(value: &'v Value, what: &str) -> Result<&'v [Value], Bad> {
    value.as_array().map(Vec::as_slice).ok_or_else(|| {
        Bad::whole(format!("the coordinates must be {what}"), "export the map as GeoJSON again")
    })
}

fn position(value: &Value, positions: &mut usize) -> Result<Coord<f64>, Bad> {
    let numbers = list(value, "longitude and latitude")?;
    let number = |index: usize| numbers.get(index).and_then(Value::as_f64);
    *positions += 1;
    if *positions > MAX_POSITIONS {
        return Err(Bad::whole(
            format!("the map has more than {MAX_POSITIONS} positions"),
            "export the building alone",
        ));
    }
    checked_place(number(0), number(1))
}

fn line(value: &Value, positions: &mut usize) -> Result<Vec<Coord<f64>>, Bad> {
    let line: Result<Vec<_>, Bad> =
        list(value, "a list of positions")?.iter().map(|at| position(at, positions)).collect();
    let line = line?;
    if line.len() < 2 {
        return Err(Bad::whole("a line has fewer than two positions", "draw it from end to end"));
    }
    Ok(line)
}

fn area(value: &Value, positions: &mut usize) -> Result<Polygon<f64>, Bad> {
    let rings: Result<Vec<LineString<f64>>, Bad> = list(value, "a list of rings")?
        .iter()
        .map(|ring| line(ring, positions).map(LineString::new))
        .collect();
    let mut rings = rings?.into_iter();
    let Some(outer) = rings.next() else {
        return Err(Bad::whole("a polygon has no ring", "draw its outline, or take it out"));
    };
    Ok(Polygon::new(outer, rings.collect()))
}
