//! The shipped plans, and the schema as a document.
//!
//! Checked by hand besides with a second validator, the Python package jsonschema 4.26.0
//! (`Draft202012Validator`), on 26 November 2026: the schema keeps to its meta-schema, and each of
//! the six shipped plans keeps to the schema.

use plan::Vocabulary;
use plan::schema::plan_schema;
use serde_json::Value;

use crate::schema::support::{Judge, house, reader_verdict, schema};

/// The plans that are shipped.
pub const SHIPPED: [(&str, &str); 6] = [
    ("annexe", include_str!("../../../floorplans/annexe.geojson")),
    ("brick-house", include_str!("../../../floorplans/brick-house.geojson")),
    ("bungalow", include_str!("../../../floorplans/bungalow.geojson")),
    ("corner-shop", include_str!("../../../floorplans/corner-shop.geojson")),
    ("foil-garage", include_str!("../../../floorplans/foil-garage.geojson")),
    ("workshop", include_str!("../../../floorplans/workshop.geojson")),
];

#[test]
fn every_shipped_plan_keeps_to_the_schema() {
    let judge = Judge::new();
    for (name, text) in SHIPPED {
        let plan: Value = serde_json::from_str(text).unwrap();
        judge.verdict(&plan).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
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
    let judge = Judge::of(plan_schema(&Vocabulary::default()));
    for (name, text) in SHIPPED {
        let plan: Value = serde_json::from_str(text).unwrap();
        judge.verdict(&plan).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
}
