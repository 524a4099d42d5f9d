//! The schema names exactly those members that the reader knows.

use std::collections::BTreeSet;

use plan::reference;
use plan::schema::{kinds, objects};
use serde_json::Value;

use crate::schema::support::schema;

/// A definition, or what a reference leads to.
fn resolved<'s>(schema: &'s Value, part: &'s Value) -> &'s Value {
    match part["$ref"].as_str() {
        Some(reference) => schema.pointer(reference.strip_prefix('#').unwrap()).unwrap(),
        None => part,
    }
}

fn names(definition: &Value) -> BTreeSet<&str> {
    let properties = definition["properties"].as_object().unwrap();
    properties.keys().map(String::as_str).collect()
}

/// The geometry types that a geometry allows.
fn types<'s>(schema: &'s Value, geometry: &'s Value) -> BTreeSet<&'s str> {
    if let Some(choices) = geometry["anyOf"].as_array() {
        return choices.iter().flat_map(|choice| types(schema, resolved(schema, choice))).collect();
    }
    let kind = &geometry["properties"]["type"];
    let only = kind["enum"].as_array().and_then(|words| words.first());
    let only = only.unwrap_or(&kind["const"]);
    BTreeSet::from([only.as_str().unwrap()])
}

/// Each kind's word and what follows from it.
fn rows(schema: &Value) -> Vec<(&str, &Value)> {
    schema["$defs"]["Feature"]["allOf"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            let word = row.pointer("/if/properties/properties/properties/kind/const");
            (word.unwrap().as_str().unwrap(), resolved(schema, &row["then"]))
        })
        .collect()
}

#[test]
fn it_has_the_kinds_that_the_reader_knows() {
    let schema = schema();
    let ours: BTreeSet<&str> = rows(&schema).into_iter().map(|(word, _)| word).collect();
    let theirs: BTreeSet<&str> = kinds().map(|kind| kind.name).collect();
    assert_eq!(ours, theirs);
    let offered = &schema["$defs"]["Feature"]["properties"]["properties"]["properties"]["kind"];
    let offered = offered["examples"].as_array().unwrap();
    let offered: BTreeSet<&str> = offered.iter().map(|word| word.as_str().unwrap()).collect();
    assert_eq!(offered, theirs);
}

#[test]
fn each_kind_has_the_properties_and_geometry_types_that_the_reader_knows() {
    let schema = schema();
    let rows = rows(&schema);
    for kind in kinds() {
        let (_, row) = rows.iter().find(|(word, _)| *word == kind.name).unwrap();
        let properties = resolved(&schema, &row["properties"]["properties"]);
        let known: BTreeSet<&str> = kind.properties.iter().copied().collect();
        assert_eq!(names(properties), known, "{}", kind.name);
        assert_eq!(properties["properties"]["kind"]["const"], kind.name);
        let geometry = resolved(&schema, &row["properties"]["geometry"]);
        let drawn: BTreeSet<&str> = kind.geometry.iter().copied().collect();
        assert_eq!(types(&schema, geometry), drawn, "{}", kind.name);
        for needed in ["geometry", "properties"] {
            let required = row["required"].as_array().unwrap();
            assert!(required.iter().any(|name| name == needed));
        }
    }
}

#[test]
fn every_object_has_the_members_that_the_reader_knows() {
    let schema = schema();
    for (name, members) in objects() {
        let definition = if name == "Plan" { &schema } else { &schema["$defs"][name] };
        assert_eq!(names(definition), members.into_iter().collect(), "{name}");
    }
}

#[test]
fn the_reference_has_every_member() {
    let text = reference::members();
    for (name, members) in objects() {
        for member in members {
            assert!(text.contains(&format!("| `{member}`")), "{name}.{member}");
        }
    }
    for kind in kinds() {
        let (_, section) = text.split_once(&format!("\n### {}\n", kind.name)).unwrap();
        let section = section.split("\n##").next().unwrap();
        let same = section.split("Properties as of `").nth(1);
        for property in kind.properties.iter().filter(|name| **name != "kind") {
            let found = section.contains(&format!("| `{property}`"));
            assert!(found || same.is_some(), "{}.{property}", kind.name);
        }
    }
}

#[test]
fn every_member_is_described() {
    let schema = schema();
    let definitions = schema["$defs"].as_object().unwrap();
    let mut seen = 0;
    for (name, definition) in definitions.iter().chain([(&"the plan".to_owned(), &schema)]) {
        assert!(definition["description"].is_string(), "{name}");
        for (member, described) in definition["properties"].as_object().into_iter().flatten() {
            let text = described["description"].as_str().unwrap_or_default();
            assert!(text.ends_with(['.', '`']), "{name}.{member}: {text}");
            assert!(!text.contains('\n'), "{name}.{member}");
            seen += 1;
        }
    }
    assert!(seen > 100, "{seen}");
}
