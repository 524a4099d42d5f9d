//! The map as `GeoJSON`: tags flat in a feature's properties, or under `tags`.

use geo::{Coord, LineString, MultiPolygon, Polygon};
use serde_json::Value;

use super::element::{Element, MAX_VALUE_BYTES, Shape, Tags, shape_of_line};
use super::{Bad, MAX_POSITIONS, checked_place};
use crate::collection::Collection;
use input::json::{offset, reason};
use plan::place_of_byte;

/// Largest single feature, in bytes (our own choice).
const MAX_FEATURE_BYTES: usize = 4 << 20;

/// What `kind` says in a plan of our own.
const KINDS: &str = "wall opening slab obstacle panel sensor repeater keypad siren \
                     roam mountable outlet stairs";

/// What is to be done about a map that is no good `GeoJSON`.
const AGAIN: &str = "export the map as GeoJSON again";

pub(super) fn read(text: &str) -> Result<Vec<Element>, Bad> {
    let all: Collection<'_> = serde_json::from_str(text).map_err(|error| {
        let what = format!("the file is not GeoJSON: {}", reason(&error));
        let bad = Bad::whole(what, "export the whole map as GeoJSON again");
        bad.put((error.line(), error.column()))
    })?;
    let no_collection = || {
        let fix = "export the map as GeoJSON with \"type\": \"FeatureCollection\" and \"features\"";
        Bad::whole("the file is not a FeatureCollection", fix)
    };
    let mut elements = Vec::new();
    let mut positions = 0;
    for raw in all.features().ok_or_else(no_collection)? {
        let element = feature(raw.get(), &mut positions);
        let at = || place_of_byte(text, offset(text, raw.get()));
        elements.extend(element.map_err(|bad| bad.below(at()))?);
    }
    Ok(elements)
}

/// One feature; nothing for one without tags or geometry.
fn feature(text: &str, positions: &mut usize) -> Result<Option<Element>, Bad> {
    if text.len() > MAX_FEATURE_BYTES {
        return Err(Bad::whole("the feature is larger than 4 MiB", "export the building alone"));
    }
    let value: Value = serde_json::from_str(text).map_err(|error| {
        let what = format!("the feature cannot be read: {}", reason(&error));
        Bad::whole(what, AGAIN).put((error.line(), error.column()))
    })?;
    let properties = &value["properties"];
    let id = id(&value["id"], properties);
    let about = |bad: Bad| bad.of(&id);
    if !value.is_object() {
        return Err(Bad::whole("a feature is not an object", AGAIN));
    }
    let own = properties["kind"].as_str();
    if own.is_some_and(|own| KINDS.split(' ').any(|kind| kind == own))
        && properties.get("indoor").is_none()
    {
        let what = "this is already a plan: its features have a \"kind\"";
        let fix = "use it as it is";
        return Err(about(Bad::whole(what, fix)));
    }
    let tags = tags(properties.get("tags").unwrap_or(properties)).map_err(about)?;
    let geometry = &value["geometry"];
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
    let sort = properties["type"].as_str();
    let sort = sort.filter(|sort| ["node", "way", "relation"].contains(sort));
    let typed = || Some(format!("{}/{}", sort?, text(&properties["id"])?));
    text(&properties["@id"])
        .or_else(|| text(given).filter(|id| id.contains('/')))
        .or_else(typed)
        .or_else(|| text(given))
        .unwrap_or_default()
}

fn tags(properties: &Value) -> Result<Tags, Bad> {
    let mut tags = Tags::default();
    for (key, value) in properties.as_object().into_iter().flatten() {
        let value = match value {
            Value::String(text) => text.clone(),
            Value::Number(number) => number.to_string(),
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            _ => continue,
        };
        if value.len() > MAX_VALUE_BYTES {
            let what = format!("the value of a tag is longer than {MAX_VALUE_BYTES} bytes");
            return Err(Bad::whole(what, "shorten it"));
        }
        tags.0.insert(key.clone(), value);
    }
    Ok(tags)
}

/// The shape of a geometry; nothing for a kind that is not read.
fn shape(geometry: &Value, tags: &Tags, positions: &mut usize) -> Result<Option<Shape>, Bad> {
    let at = &geometry["coordinates"];
    let shape = match geometry["type"].as_str() {
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
            let what = "the geometry's type is not one of GeoJSON's";
            return Err(Bad::whole(what, "give it a Point, LineString, Polygon or MultiPolygon"));
        }
    };
    Ok(Some(shape))
}

fn list<'v>(value: &'v Value, what: &str) -> Result<&'v [Value], Bad> {
    let list = value.as_array().map(Vec::as_slice);
    list.ok_or_else(|| Bad::whole(format!("the coordinates must be {what}"), AGAIN))
}

fn position(value: &Value, positions: &mut usize) -> Result<Coord<f64>, Bad> {
    let numbers = list(value, "longitude and latitude")?;
    let number = |index: usize| numbers.get(index).and_then(Value::as_f64);
    *positions += 1;
    if *positions > MAX_POSITIONS {
        let what = format!("the map has more than {MAX_POSITIONS} positions");
        return Err(Bad::whole(what, "export the building alone"));
    }
    checked_place(number(0), number(1))
}

fn line(value: &Value, positions: &mut usize) -> Result<Vec<Coord<f64>>, Bad> {
    let places = list(value, "a list of positions")?.iter();
    let line = places.map(|at| position(at, positions)).collect::<Result<Vec<_>, Bad>>()?;
    if line.len() < 2 {
        return Err(Bad::whole("a line has fewer than two positions", "draw it from end to end"));
    }
    Ok(line)
}

fn area(value: &Value, positions: &mut usize) -> Result<Polygon<f64>, Bad> {
    let rings = list(value, "a list of rings")?.iter();
    let rings = rings.map(|ring| line(ring, positions).map(LineString::new));
    let mut rings = rings.collect::<Result<Vec<_>, Bad>>()?.into_iter();
    let Some(outer) = rings.next() else {
        return Err(Bad::whole("a polygon has no ring", "draw its outline, or remove it"));
    };
    Ok(Polygon::new(outer, rings.collect()))
}
