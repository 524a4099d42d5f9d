//! The shipped plans, and the schema as a document.
//!
//! Checked by hand besides with a second validator, the Python package jsonschema 4.26.0
//! (`Draft202012Validator`), on 26 November 2026: the schema keeps to its meta-schema, and each of
//! the six shipped plans keeps to the schema.

use plan::Vocabulary;
use plan::schema::plan_schema;
use serde_json::Value;

use crate::schema::support::{Judge, house, reader_verdict, schema};

/// Checks the shipped plans, of which there are six.
fn all_keep_to(judge: &Judge) {
    for (name, text) in fixtures::plan_texts() {
        let plan: Value = serde_json::from_str(&text).unwrap();
        judge.verdict(&plan).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
}

#[test]
fn every_shipped_plan_keeps_to_the_schema() {
    all_keep_to(&Judge::new());
}

#[test]
fn a_house_with_everything_keeps_to_it_and_is_read() {
    assert_eq!(Judge::new().verdict(&house()), Ok(()));
    assert_eq!(reader_verdict(&house()), Ok(()));
}

#[test]
fn the_schema_keeps_to_its_meta_schema() {
    let mut schemas = boon::Schemas::new();
    let mut compiler = boon::Compiler::new();
    let meta = "https://json-schema.org/draft/2020-12/schema";
    assert_eq!(schema()["$schema"], meta);
    let index = compiler.compile(meta, &mut schemas).unwrap();
    schemas.validate(&schema(), index).unwrap();
    let mut broken = schema();
    broken["properties"]["units"]["type"] = "length".into();
    assert!(schemas.validate(&broken, index).is_err());
}

#[test]
fn the_same_names_give_the_same_text() {
    assert_eq!(schema().to_string(), schema().to_string());
}

#[test]
fn it_is_called_by_a_name_and_has_a_title() {
    let schema = schema();
    assert_eq!(schema["$id"], "urn:drillonce:plan");
    assert_eq!(schema["title"], "Plan");
    // Nothing in it leads outside but the draft that it is written in.
    let text = schema.to_string();
    assert_eq!(text.matches("://").count(), 1);
}

#[test]
fn without_names_it_leaves_names_open() {
    all_keep_to(&Judge::of(plan_schema(&Vocabulary::default())));
}
