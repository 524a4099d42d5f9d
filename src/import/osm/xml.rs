//! The map as OSM XML, the form in which editors keep it.

use std::borrow::Cow;
use std::collections::BTreeMap;

use geo::Coord;
use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use super::element::{Element, MAX_VALUE_BYTES, Shape, Tags, shape_of_line};
use super::notes::{LEFT_OUT, Notes};
use super::rings::{Member, multipolygon};
use super::{Bad, MAX_ELEMENTS, MAX_POSITIONS, checked_place, utf8};
use plan::{place_of_byte, quoted};

/// Deepest nesting; a map needs three.
const MAX_DEPTH: usize = 16;
/// Most attributes of one element; a node has ten.
const MAX_ATTRIBUTES: usize = 32;
/// Most tags of the whole file (our own choice).
const MAX_TAGS: usize = 1_000_000;
/// What is to be done about a map that is no good XML.
const AGAIN: &str = "export the map as OSM XML again";

#[derive(Default)]
struct Open {
    /// `node`, `way` or `relation`.
    sort: &'static str,
    id: String,
    at: usize,
    dropped: bool,
    place: (Option<f64>, Option<f64>),
    tags: Tags,
    nodes: Vec<String>,
    members: Vec<Member>,
}

#[derive(Default)]
struct Map {
    nodes: BTreeMap<String, (Coord<f64>, Tags)>,
    ways: BTreeMap<String, (Vec<String>, Tags)>,
    relations: BTreeMap<String, (Vec<Member>, Tags)>,
    positions: usize,
    tags: usize,
}

pub(super) fn read(bytes: &[u8], notes: &mut Notes) -> Result<Vec<Element>, Bad> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(other_encoding("UTF-16"));
    }
    let text = utf8(bytes)?;
    let mut reader = Reader::from_str(text);
    reader.config_mut().expand_empty_elements = true;
    let mut map = Map::default();
    let mut depth = 0_usize;
    let mut open: Option<Open> = None;
    let mut seen_root = false;
    loop {
        let at = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let here = |bad: Bad| bad.put(place_of_byte(text, at));
        let event = reader.read_event().map_err(|error| {
            let at = usize::try_from(reader.error_position()).unwrap_or(usize::MAX);
            ill_formed(&error.to_string()).put(place_of_byte(text, at))
        })?;
        match event {
            Event::Start(start) => {
                depth += 1;
                if depth > MAX_DEPTH {
                    let what = format!("elements are nested more than {MAX_DEPTH} deep");
                    return Err(here(Bad::whole(what, AGAIN)));
                }
                if depth == 1 {
                    root(&start).map_err(here)?;
                    seen_root = true;
                } else {
                    begin(&start, depth, at, &mut open, &mut map).map_err(here)?;
                }
            }
            Event::End(_) => {
                depth = depth.saturating_sub(1);
                if depth == 1
                    && let Some(done) = open.take()
                {
                    let at = done.at;
                    keep(done, &mut map).map_err(|bad| bad.put(place_of_byte(text, at)))?;
                }
            }
            Event::DocType(_) => {
                let what = "the file declares entities or a document type";
                let fix = "remove the line <!DOCTYPE …>; a map needs none";
                return Err(here(Bad::whole(what, fix)));
            }
            Event::Decl(declared) => {
                if let Some(encoding) = declared.encoding() {
                    let encoding = encoding.map_err(|e| here(ill_formed(&e.to_string())))?;
                    let same = ["utf-8", "utf8", "us-ascii"];
                    if !same.contains(&encoding.to_ascii_lowercase().as_str()) {
                        return Err(here(other_encoding(&encoding)));
                    }
                }
            }
            Event::Eof => break,
            // Words between elements, comments and instructions say nothing about the map.
            _ => {}
        }
    }
    if depth > 0 || !seen_root {
        let bad = Bad::whole(
            "the file ends before the map does",
            "copy or export the whole map \
                                                                   again",
        );
        return Err(bad.put(place_of_byte(text, text.len())));
    }
    Ok(elements(map, notes))
}

fn ill_formed(reason: &str) -> Bad {
    Bad::whole(format!("the XML is not well formed: {}", plan::tame(reason)), AGAIN)
}

fn other_encoding(encoding: &str) -> Bad {
    let what = format!("the file is in the encoding {}", quoted(encoding));
    Bad::whole(what, "save it as UTF-8")
}

/// There is more of something than is read.
fn too_many(what: &str) -> Bad {
    Bad::whole(format!("the map{what}"), "export the building alone")
}

fn root(start: &BytesStart<'_>) -> Result<(), Bad> {
    if start.name().as_ref() == "osm" {
        return Ok(());
    }
    let name = plan::tame(start.name().as_ref());
    let what = format!("the file begins with <{name}>, not <osm>, so it is not a map");
    Err(Bad::whole(what, "export the map as OSM XML"))
}

fn attributes<'s, const N: usize>(
    start: &'s BytesStart<'_>,
    names: [&str; N],
) -> Result<[Option<Cow<'s, str>>; N], Bad> {
    let mut found = [const { None }; N];
    for (number, attribute) in start.attributes().with_checks(false).enumerate() {
        if number == MAX_ATTRIBUTES {
            let what = format!("an element has more than {MAX_ATTRIBUTES} attributes");
            return Err(Bad::whole(what, AGAIN));
        }
        let attribute = attribute.map_err(|error| ill_formed(&error.to_string()))?;
        let Some(slot) = names.iter().position(|name| *name == attribute.key.as_ref()) else {
            continue;
        };
        if attribute.value.len() > MAX_VALUE_BYTES {
            let what = format!("a value is longer than {MAX_VALUE_BYTES} bytes");
            return Err(Bad::whole(what, "shorten it"));
        }
        let value = attribute.normalized_value(XmlVersion::Implicit1_0);
        let value = value.map_err(|error| ill_formed(&error.to_string()))?;
        if let Some(place) = found.get_mut(slot) {
            if place.is_some() {
                return Err(ill_formed("an attribute is given twice"));
            }
            *place = Some(value);
        }
    }
    Ok(found)
}

fn begin(
    start: &BytesStart<'_>,
    depth: usize,
    at: usize,
    open: &mut Option<Open>,
    map: &mut Map,
) -> Result<(), Bad> {
    let name = start.name();
    match (depth, name.as_ref(), open.as_mut()) {
        (2, "node", _) => *open = Some(opened(start, "node", at)?),
        (2, "way", _) => *open = Some(opened(start, "way", at)?),
        (2, "relation", _) => *open = Some(opened(start, "relation", at)?),
        (3, "tag", Some(open)) => {
            let [key, value] = attributes(start, ["k", "v"])?;
            map.tags += 1;
            if map.tags > MAX_TAGS {
                return Err(too_many(&format!(" has more than {MAX_TAGS} tags")));
            }
            if let (Some(key), Some(value)) = (key, value) {
                open.tags.0.insert(key.into_owned(), value.into_owned());
            }
        }
        (3, "nd", Some(open)) if open.sort == "way" => {
            let [node] = attributes(start, ["ref"])?;
            count(map)?;
            open.nodes.extend(node.map(Cow::into_owned));
        }
        (3, "member", Some(open)) if open.sort == "relation" => {
            let [sort, way, role] = attributes(start, ["type", "ref", "role"])?;
            count(map)?;
            open.members.push(Member {
                way: (sort.as_deref() == Some("way")).then(|| way.unwrap_or_default().into_owned()),
                inner: role.as_deref() == Some("inner"),
            });
        }
        _ => {}
    }
    Ok(())
}

fn count(map: &mut Map) -> Result<(), Bad> {
    map.positions += 1;
    let too_many = || too_many(&format!("'s ways have more than {MAX_POSITIONS} positions"));
    (map.positions <= MAX_POSITIONS).then_some(()).ok_or_else(too_many)
}

fn opened(start: &BytesStart<'_>, sort: &'static str, at: usize) -> Result<Open, Bad> {
    let [id, lat, lon, action, visible] =
        attributes(start, ["id", "lat", "lon", "action", "visible"])?;
    let number = |text: Option<Cow<'_, str>>| text.and_then(|text| text.trim().parse().ok());
    let Some(id) = id.filter(|id| !id.is_empty()) else {
        return Err(Bad::whole(format!("a {sort} has no id"), AGAIN));
    };
    Ok(Open {
        sort,
        id: id.chars().take(64).collect(),
        at,
        dropped: action.as_deref() == Some("delete") || visible.as_deref() == Some("false"),
        place: (number(lon), number(lat)),
        ..Open::default()
    })
}

/// Puts an element that has ended where it belongs.
fn keep(done: Open, map: &mut Map) -> Result<(), Bad> {
    if done.dropped {
        return Ok(());
    }
    let id = format!("{}/{}", done.sort, done.id);
    if map.nodes.len() + map.ways.len() + map.relations.len() == MAX_ELEMENTS {
        return Err(too_many(&format!(" has more than {MAX_ELEMENTS} nodes, ways and relations")));
    }
    let twice = match done.sort {
        "node" => {
            let place = checked_place(done.place.0, done.place.1).map_err(|bad| bad.of(&id))?;
            map.nodes.insert(done.id, (place, done.tags)).is_some()
        }
        "way" => map.ways.insert(done.id, (done.nodes, done.tags)).is_some(),
        _ => map.relations.insert(done.id, (done.members, done.tags)).is_some(),
    };
    if twice {
        let fix = "give each node, way and relation its own id";
        return Err(Bad::whole("the id is given twice", fix).of(&id));
    }
    Ok(())
}

fn elements(map: Map, notes: &mut Notes) -> Vec<Element> {
    let mut elements = Vec::new();
    let mut lines: BTreeMap<&str, Vec<(&str, Coord<f64>)>> = BTreeMap::new();
    for (id, (nodes, tags)) in &map.ways {
        let line: Option<Vec<(&str, Coord<f64>)>> =
            nodes.iter().map(|node| Some((node.as_str(), map.nodes.get(node)?.0))).collect();
        // A way of which a piece is missing would give walls where there are none.
        let Some(line) = line.filter(|line| line.len() >= 2) else {
            if !tags.0.is_empty() {
                let about = format!("way/{}", plan::tame(id));
                let taken = "was left out: the file lacks some of its nodes";
                notes.tell(LEFT_OUT, about, taken, "export the map with all nodes of its ways");
            }
            continue;
        };
        if !tags.0.is_empty() {
            let shape = shape_of_line(line.iter().map(|(_, at)| *at).collect(), tags);
            elements.push(Element { id: format!("way/{id}"), tags: tags.clone(), shape });
        }
        lines.insert(id, line);
    }
    let mut left = MAX_POSITIONS;
    for (id, (members, tags)) in &map.relations {
        if !tags.has("type", &["multipolygon"]) {
            continue;
        }
        match multipolygon(members, &lines, &mut left) {
            Ok(areas) => {
                let (id, shape) = (format!("relation/{id}"), Shape::Area(areas));
                elements.push(Element { id, tags: tags.clone(), shape });
            }
            Err(reason) => {
                let about = format!("relation/{}", plan::tame(id));
                let fix = "fix the multipolygon in a map editor, or export all its ways";
                notes.tell(LEFT_OUT, about, format!("was left out: {reason}"), fix);
            }
        }
    }
    for (id, (at, tags)) in map.nodes {
        if !tags.0.is_empty() {
            elements.push(Element { id: format!("node/{id}"), tags, shape: Shape::Node(at) });
        }
    }
    elements
}
