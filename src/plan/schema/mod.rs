//! The JSON Schema of a plan's file, for editors: made from types that mirror the format.
//!
//! The reader itself goes through the text by hand, because its messages say places. So the types
//! here are made for the schema alone, and no value of them ever is. What ties them to the reader:
//! they take every bound from its constants, and tests hold their members against those that it
//! knows and hold what it accepts against the schema.
//!
//! The rule: the schema never refuses what the reader accepts. Therefore members and kinds that
//! nobody knows are allowed (the reader warns of them), `null` stands for an absent member, and
//! members that the reader knows but does not look at may hold anything. What the reader refuses is
//! refused as far as a schema can say it; it cannot say whether an opening lies on a wall.

#![expect(
    dead_code,
    reason = "values of these types are never made: the schema is derived from them"
)]

mod across;
mod calibration;
mod constructions;
mod features;
mod geometry;
mod known;
mod link;
mod properties;
mod top;

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, json_schema};
use serde_json::{Map, Value, json};

pub use known::{Holder, KnownKind, kinds, members};

use super::Vocabulary;
use super::frame::{FOOT, LEVEL_NUMBERS};
use super::limits::{MAX_COORDINATE_M, MAX_HEIGHT_M};

/// What the schema is called: a name, no address (RFC 8141 §2 gives the form; from memory, not
/// confirmed).
const ID: &str = "urn:drillonce:plan";

/// Largest height in the file where it is drawn in feet, rounded up; a plan in metres has a bound of its
/// own, see `across`.
const MAX_HEIGHT: f64 = (MAX_HEIGHT_M / FOOT.metres).ceil();

/// Largest coordinate in the file where it is drawn in feet; as [`MAX_HEIGHT`].
const MAX_COORDINATE: f64 = (MAX_COORDINATE_M / FOOT.metres).ceil();

/// The JSON Schema (draft 2020-12) of a plan's file.
///
/// It accepts everything that [`super::read_house`] accepts with the same vocabulary, and refuses of the
/// rest what a schema can tell. Links, mounts and materials are those of the vocabulary; an empty list of
/// it leaves them open. Built-in constructions are examples, because a plan may bring its own; only where
/// it brings none they are all there is. Same vocabulary, same schema, in the same order of members.
#[must_use]
pub fn plan_schema(vocabulary: &Vocabulary) -> Value {
    let generator =
        SchemaSettings::draft2020_12().with_transform(RecursiveTransform(tidied)).into_generator();
    let mut schema = generator.into_root_schema_for::<top::PlanFile>();
    schema.insert("$id".to_owned(), ID.into());
    schema.insert("allOf".to_owned(), across::conditions(&vocabulary.constructions));
    let mut schema = schema.to_value();
    if let Some(definitions) = schema.get_mut("$defs").and_then(Value::as_object_mut) {
        let closed = [
            ("LinkName", &vocabulary.links),
            ("MountName", &vocabulary.mounts),
            ("MaterialName", &vocabulary.materials),
        ];
        for (name, words) in closed {
            if !words.is_empty() {
                give_words(definitions, name, "enum", words);
            }
        }
        let examples = &vocabulary.constructions;
        give_words(definitions, "ConstructionName", "examples", examples);
    }
    schema
}

/// Gives the words of a list to a definition under a keyword.
fn give_words(definitions: &mut Map<String, Value>, name: &str, keyword: &str, words: &[String]) {
    if let Some(definition) = definitions.get_mut(name).and_then(Value::as_object_mut) {
        definition.insert(keyword.to_owned(), json!(words));
    }
}

/// Takes out what only Rust's types say, and joins the lines of a docstring as a reader of prose does.
fn tidied(schema: &mut Schema) {
    schema.remove("format");
    if let Some(Value::String(description)) = schema.get_mut("description") {
        let paragraphs: Vec<String> = description
            .split("\n\n")
            .map(|paragraph| paragraph.split_whitespace().collect::<Vec<_>>().join(" "))
            .collect();
        *description = paragraphs.join("\n\n");
    }
    for bound in ["minimum", "maximum", "exclusiveMinimum"] {
        if let Some(value) = schema.get_mut(bound)
            && let Some(number) = value.as_f64()
        {
            *value = plain(number);
        }
    }
}

/// A number as JSON, a whole one without a decimal point.
fn plain(number: f64) -> Value {
    #[expect(clippy::cast_possible_truncation, reason = "a whole number far below 2^53")]
    if number.fract() == 0.0 && number.abs() < 1e9 {
        return json!(number as i64);
    }
    json!(number)
}

/// A member that the reader does not look at: it may hold anything.
struct Anything;

impl JsonSchema for Anything {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Anything".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> Schema {
        json_schema!(true)
    }
}

/// The number of a level.
#[derive(JsonSchema)]
#[schemars(inline, extend("minimum" = LEVEL_NUMBERS.0, "maximum" = LEVEL_NUMBERS.1))]
struct LevelNumber(i32);

/// A height in the plan's unit.
#[derive(JsonSchema)]
#[schemars(inline, extend("minimum" = -MAX_HEIGHT, "maximum" = MAX_HEIGHT))]
struct Height(f64);

/// A coordinate in the plan's unit.
#[derive(JsonSchema)]
#[schemars(inline, extend("minimum" = -MAX_COORDINATE, "maximum" = MAX_COORDINATE))]
struct Coordinate(f64);
