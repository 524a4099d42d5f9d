//! The JSON Schema of a plan's file, for editors: made from the table of members.
//!
//! The rule: the schema never refuses what the reader accepts. Therefore members and kinds that
//! nobody knows are allowed (the reader warns of them), `null` stands for an absent member, and
//! members that the reader knows but does not look at may hold anything. What the reader refuses is
//! refused as far as a schema can say it; it cannot say whether an opening lies on a wall.

mod across;

use serde_json::{Map, Value, json};

use super::Vocabulary;
use super::limits::{MAX_COORDINATE_M, MAX_HEIGHT_M, MAX_LOSS_DB, MAX_OUTLINE_POSITIONS};
use super::members::{
    FEATURE, Holds, KIND, KINDS, KindRow, LIFE_SAFETY, Member, Members, OBJECTS, Object, PLAN, rows,
};
use super::shape::MAX_ORDINATES;
use super::unit::FOOT;
use input::json::MAX_MEMBERS;

/// The schema's name, no address (RFC 8141 §2 gives the form; from memory, not confirmed).
const ID: &str = "urn:drillonce:plan";

/// Largest height in a file in feet, rounded up; `across` has the bound of one in metres.
const MAX_HEIGHT: f64 = (MAX_HEIGHT_M / FOOT.metres).ceil();

/// Largest coordinate in the file where it is drawn in feet; as [`MAX_HEIGHT`].
const MAX_COORDINATE: f64 = (MAX_COORDINATE_M / FOOT.metres).ceil();

/// A character that is no space in any dialect of regular expressions.
const NOT_BLANK: &str = "[^ \\t\\n\\r]";

/// A decimal number as the reader takes it from a member's name; no pattern says its range.
const FREQUENCY: &str = r"^\+?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$";

/// Fewest positions of a ring: three corners and the first again.
const FEWEST_OF_RING: usize = 4;

/// The JSON Schema (draft 2020-12) of a plan's file.
///
/// It accepts everything that [`super::read_house`] accepts with the same vocabulary, and refuses
/// of the rest what a schema can tell. Links, mounts and materials are those of the vocabulary; an
/// empty list of it leaves them open. Built-in constructions are examples, because a plan may bring
/// its own; only where it brings none they are all there is. Same vocabulary, same schema, in the
/// same order of members.
#[must_use]
pub fn plan_schema(vocabulary: &Vocabulary) -> Value {
    let mut definitions = beside_objects(vocabulary);
    for Object { name, says, members, .. } in OBJECTS.into_iter().filter(|o| o.name != PLAN.name) {
        definitions.insert((*name).to_owned(), object(says, members));
    }
    for row in &KINDS {
        definitions.insert(capitalised(row.name), drawn(row));
        definitions.insert(properties_name(row), properties(row));
    }
    if let Some(feature) = definitions.get_mut(FEATURE.name) {
        feature["allOf"] = KINDS.iter().map(consequence).collect();
    }
    let mut schema = object(PLAN.says, PLAN.members);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["$id"] = json!(ID);
    schema["title"] = json!(PLAN.name);
    schema["allOf"] = across::conditions(&vocabulary.constructions);
    schema["$defs"] = Value::Object(definitions);
    schema
}

/// What is defined beside objects: names, positions, and what may be said in several ways.
fn beside_objects(vocabulary: &Vocabulary) -> Map<String, Value> {
    let positions = schema_of(Holds::List(&Holds::Coordinate, 2, MAX_ORDINATES));
    let ring = Holds::List(&Holds::A("Position"), FEWEST_OF_RING, MAX_OUTLINE_POSITIONS);
    let name = |says, words: &[String]| {
        let mut name = described(says, schema_of(Holds::Text));
        if !words.is_empty() {
            name["enum"] = json!(words);
        }
        name
    };
    let either = |says, ways: &[(&'static str, &str)]| {
        let ways = ways.iter().map(|(name, says)| described(says, schema_of(Holds::A(name))));
        described(says, json!({"anyOf": ways.collect::<Vec<_>>()}))
    };
    let (point, area) = (("PointGeometry", "A point."), ("AreaGeometry", "An area."));
    let definitions = json!({
        "ConstructionName": {
            "type": "string",
            "examples": vocabulary.constructions,
            "description": "The name of a construction: a built-in one (`drillonce catalogue` \
                            lists them) or one of the plan's own `constructions`.",
        },
        "LinkName": name(
            "The name of a built-in link; `drillonce catalogue` lists them.", &vocabulary.links,
        ),
        "MaterialName": name(
            "The name of a material; `drillonce catalogue --sources` lists them.",
            &vocabulary.materials,
        ),
        "MountName": name(
            "How to mount a device: on what, which decides how much its antenna suffers.",
            &vocabulary.mounts,
        ),
        "Position": described(
            "A position in the plan's unit: [x, y], x to the right and y up, within 100 km of the \
             plan's zero. Further coordinates are not used.",
            positions,
        ),
        "Ring": described(
            "A ring: corners in the order in which one walks round, the first again at the end.",
            schema_of(ring),
        ),
        "AnyGeometry": either(
            "A point, a line or an area.", &[point, ("LineGeometry", "A line."), area],
        ),
        "PointOrAreaGeometry": either("A point or an area.", &[point, area]),
        "Link": either(
            "A radio link: the name of a built-in one, or an object that says what to change of \
             one.",
            &[
                ("LinkName", "The name of a built-in link."),
                ("ChangedLink", "A link that differs from a built-in one."),
            ],
        ),
        "Construction": either(
            "A construction of your own: either its layers, or its measured loss.",
            &[
                ("LayeredConstruction", "Known by its layers, from which the loss is computed."),
                ("MeasuredConstruction", "Known by its measured loss."),
            ],
        ),
        "Layer": either(
            "One layer: a material with its thickness, or a thin conducting film.",
            &[("BulkLayer", "A material of a thickness."), ("FilmLayer", "A film that conducts.")],
        ),
    });
    definitions.as_object().cloned().unwrap_or_default()
}

/// A kind of feature that the reader knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownKind {
    /// Its word, the property `kind`.
    pub name: &'static str,
    /// The `GeoJSON` geometry types that may draw it.
    pub geometry: &'static [&'static str],
    /// Every property that it knows, `kind` among them.
    pub properties: Vec<&'static str>,
}

/// Every kind of feature that the reader knows, in the order in which its messages list them.
pub fn kinds() -> impl Iterator<Item = KnownKind> {
    KINDS.iter().map(|row| KnownKind {
        name: row.name,
        geometry: row.types,
        properties: rows(row.members).map(|member| member.name).collect(),
    })
}

/// Every object with members of fixed names, but for properties: its name in the schema, and those.
pub fn objects() -> impl Iterator<Item = (&'static str, Vec<&'static str>)> {
    OBJECTS.iter().map(|object| (object.name, object.names()))
}

/// An object with members of fixed names.
fn object(says: &str, members: Members) -> Value {
    let all = rows(members).map(|member| (member.name.to_owned(), member_schema(member)));
    let needed: Vec<&str> = rows(members).filter(|row| row.needed).map(|row| row.name).collect();
    let properties: Map<String, Value> = all.collect();
    let mut object = described(says, json!({"type": "object", "properties": properties}));
    if !needed.is_empty() {
        object["required"] = json!(needed);
    }
    object
}

fn member_schema(member: &Member) -> Value {
    let mut schema = schema_of(member.holds);
    if !member.needed {
        schema = or_null(schema);
    }
    described(member.says(), schema)
}

fn described(says: &str, mut schema: Value) -> Value {
    schema["description"] = json!(says);
    schema
}

/// What a member may hold that must be there.
fn schema_of(holds: Holds) -> Value {
    let within = |sort: &str, (least, most): (f64, f64)| {
        let (least, most) = (plain(least), plain(most));
        json!({"type": sort, "minimum": least, "maximum": most})
    };
    match holds {
        Holds::Anything => json!({}),
        Holds::Absent => json!({"type": "null"}),
        Holds::Text | Holds::Kind => json!({"type": "string"}),
        Holds::Id => json!({"type": ["string", "number"], "pattern": NOT_BLANK}),
        Holds::Flag => json!({"type": "boolean"}),
        Holds::Height => within("number", (-MAX_HEIGHT, MAX_HEIGHT)),
        Holds::Coordinate => {
            let bounded = within("number", (-MAX_COORDINATE, MAX_COORDINATE));
            described("A coordinate in the plan's unit.", bounded)
        }
        Holds::Number(least, _) if least.is_infinite() => json!({"type": "number"}),
        Holds::Number(..) => within("number", holds.bounds()),
        Holds::Above(most) => {
            let mut above = json!({"type": "number", "exclusiveMinimum": 0});
            if most.is_finite() {
                above["maximum"] = plain(most);
            }
            above
        }
        Holds::Whole(..) | Holds::OwnLevel | Holds::Level => within("integer", holds.bounds()),
        Holds::Always(word) => json!({"type": "string", "enum": [word]}),
        Holds::OneOf(words) => json!({"type": "string", "enum": words}),
        Holds::Known(words) => json!({"type": "string", "examples": words}),
        Holds::A(name) => json!({"$ref": format!("#/$defs/{name}")}),
        Holds::List(of, least, most) => {
            let mut list = json!({"type": "array", "items": schema_of(*of)});
            if least > 0 {
                list["minItems"] = json!(least);
            }
            if most < usize::MAX {
                list["maxItems"] = json!(most);
            }
            list
        }
        Holds::Map(of) => json!({
            "type": "object",
            "additionalProperties": schema_of(Holds::A(of)),
            "maxProperties": MAX_MEMBERS,
        }),
        Holds::Losses => json!({
            "type": "object",
            "additionalProperties": described(
                "Loss at this frequency, dB: how much weaker the signal is behind.",
                within("number", (0.0, MAX_LOSS_DB)),
            ),
            "minProperties": 1,
            "maxProperties": MAX_MEMBERS,
            "propertyNames": {"pattern": FREQUENCY},
        }),
        Holds::Properties => {
            let mut properties = object("", &[KIND]);
            properties["properties"]["kind"]["examples"] =
                KINDS.iter().map(|row| row.name).collect();
            properties
        }
    }
}

/// The same, or `null` for a member that is absent.
fn or_null(mut schema: Value) -> Value {
    if schema.get("$ref").is_some() {
        return json!({"anyOf": [schema, {"type": "null"}]});
    }
    if let Some(Value::Array(words)) = schema.get_mut("enum") {
        words.push(Value::Null);
    }
    match schema.get_mut("type") {
        Some(Value::Array(sorts)) => sorts.push(json!("null")),
        Some(sort) if sort != "null" => *sort = json!([sort, "null"]),
        _ => {}
    }
    schema
}

/// A number as JSON, a whole one without a decimal point.
fn plain(number: f64) -> Value {
    #[expect(clippy::cast_possible_truncation, reason = "a whole number far below 2^53")]
    if number.fract() == 0.0 && number.abs() < 1e9 {
        return json!(number as i64);
    }
    json!(number)
}

fn drawn(row: &KindRow) -> Value {
    let geometry = match row.types {
        ["Point"] => "PointGeometry",
        ["LineString"] => "LineGeometry",
        ["Polygon"] => "AreaGeometry",
        ["Point", "Polygon"] => "PointOrAreaGeometry",
        _ => "AnyGeometry",
    };
    let reference = json!({"$ref": format!("#/$defs/{}", properties_name(row))});
    let drawn = json!({
        "type": "object",
        "required": ["geometry", "properties"],
        "properties": {
            "geometry": described("How it is drawn.", schema_of(Holds::A(geometry))),
            "properties": described("What it is.", reference),
        },
    });
    described(row.says.trim_start(), drawn)
}

/// The properties of a kind. A device on which a life hangs must be supervised.
fn properties(row: &KindRow) -> Value {
    let mut properties = object(&format!("Properties of {}.", row.what), row.members);
    properties["properties"]["kind"] =
        json!({"type": "string", "const": row.name, "description": row.stands_for});
    if rows(row.members).any(|member| member.name == "supervised") {
        properties["if"] =
            json!({"required": ["role"], "properties": {"role": {"enum": LIFE_SAFETY}}});
        properties["then"] = json!({"properties": {"supervised": {"enum": [true, null]}}});
    }
    properties
}

/// What follows from a kind. Conditions in place of a choice between types make an editor say what
/// is wrong with the wall, not that it is no siren either.
fn consequence(row: &KindRow) -> Value {
    let then = json!({"$ref": format!("#/$defs/{}", capitalised(row.name))});
    json!({"if": is_of_kind(&[row.name]), "then": then})
}

fn is_of_kind(words: &[&str]) -> Value {
    let kind = match words {
        [word] => json!({"const": word}),
        _ => json!({"enum": words}),
    };
    let properties = json!({"required": ["kind"], "properties": {"kind": kind}});
    json!({"required": ["properties"], "properties": {"properties": properties}})
}

fn properties_name(row: &KindRow) -> String {
    format!("{}Properties", capitalised(row.name))
}

fn capitalised(word: &str) -> String {
    let (first, rest) = word.split_at_checked(1).unwrap_or_default();
    format!("{}{rest}", first.to_uppercase())
}
