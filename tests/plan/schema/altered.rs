//! Plans altered at random: whatever the reader accepts keeps to the schema.

use std::cell::Cell;

use plan::schema::{kinds, objects};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};

use crate::schema::support::{Judge, house, reader_verdict};

/// One way to alter a plan. Places are shares of all values of the plan.
#[derive(Debug, Clone)]
enum Alter {
    Remove(Index),
    Replace(Index, Value),
    /// The value of the second place also at the first.
    Copy(Index, Index),
    /// A member gets the name of another.
    Rename(Index, &'static str),
    /// An object gets one more member.
    Add(Index, &'static str, Value),
    /// The first number at or after a place changes by a factor and an amount.
    Shift(Index, f64, f64),
    /// A feature becomes one of another kind.
    Retarget(Index, &'static str),
}

/// Names that mean something somewhere in a plan, and some that do not.
fn member_names() -> Vec<&'static str> {
    let mut names = vec!["colour", "Name", ""];
    names.extend(objects().flat_map(|(_, members)| members));
    names.extend(kinds().flat_map(|kind| kind.properties));
    names.sort_unstable();
    names.dedup();
    names
}

fn scrap() -> impl Strategy<Value = Value> {
    let scraps = json!([
        null, true, false, 0, 1, -1, 2.0, 0.5, 4, 1000, 1e7, -0.0, "", "x", "m", "ft", "open",
        "fire", "us-345", "brick-half", "brick", "wall", "Point", "lamp", [], {}, [0, 0],
        [[0, 0], [10, 0]], [1, 1, 1], {"like": "us-345"}, {"868": 3},
        [{"material": "brick", "thickness_mm": 100}], {"kind": "lamp"},
        {"type": "Feature", "properties": {"kind": "lamp"}},
        {"level": 7, "floor": 90, "ceiling": 93}, {"layers": null, "loss_db": {"1e3": 1}},
    ]);
    select(scraps.as_array().unwrap().clone())
}

fn alter() -> impl Strategy<Value = Alter> {
    let place = any::<Index>;
    let name = || select(member_names());
    let kind = select(kinds().map(|kind| kind.name).chain(["lamp"]).collect::<Vec<_>>());
    prop_oneof![
        3 => place().prop_map(Alter::Remove),
        4 => (place(), scrap()).prop_map(|(at, value)| Alter::Replace(at, value)),
        2 => (place(), place()).prop_map(|(to, from)| Alter::Copy(to, from)),
        2 => (place(), name()).prop_map(|(at, name)| Alter::Rename(at, name)),
        4 => (place(), name(), scrap()).prop_map(|(at, name, value)| Alter::Add(at, name, value)),
        3 => (place(), select(vec![1.0, 1.0, -1.0, 0.5, 1000.0]), select(vec![0.0, 0.25, 1.0, -3.0]))
            .prop_map(|(at, factor, amount)| Alter::Shift(at, factor, amount)),
        1 => (place(), kind).prop_map(|(at, kind)| Alter::Retarget(at, kind)),
    ]
}

/// The pointers of every value in a plan.
fn pointers(value: &Value, here: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                let name = name.replace('~', "~0").replace('/', "~1");
                pointers(member, &format!("{here}/{name}"), found);
            }
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                pointers(item, &format!("{here}/{index}"), found);
            }
        }
        _ => {}
    }
    found.push(here.to_owned());
}

fn altered(plan: &mut Value, alter: &Alter) {
    let mut all = Vec::new();
    pointers(plan, "", &mut all);
    let pick = |at: &Index| all[at.index(all.len())].as_str();
    match alter {
        Alter::Remove(at) => {
            let (parent, name) = pick(at).rsplit_once('/').unwrap_or_default();
            match plan.pointer_mut(parent) {
                Some(Value::Object(members)) => drop(members.remove(name)),
                Some(Value::Array(items)) => drop(items.remove(name.parse().unwrap())),
                _ => {}
            }
        }
        Alter::Replace(at, value) => *plan.pointer_mut(pick(at)).unwrap() = value.clone(),
        Alter::Copy(to, from) => {
            let value = plan.pointer(pick(from)).unwrap().clone();
            *plan.pointer_mut(pick(to)).unwrap() = value;
        }
        Alter::Rename(at, new) => {
            let (parent, name) = pick(at).rsplit_once('/').unwrap_or_default();
            if let Some(Value::Object(members)) = plan.pointer_mut(parent)
                && let Some(value) = members.remove(name)
            {
                members.insert((*new).to_owned(), value);
            }
        }
        Alter::Add(at, name, value) => {
            let mut at = pick(at);
            // The nearest object around the place.
            while !plan.pointer(at).unwrap().is_object() {
                let Some((parent, _)) = at.rsplit_once('/') else {
                    return;
                };
                at = parent;
            }
            plan.pointer_mut(at).unwrap()[*name] = value.clone();
        }
        Alter::Shift(at, factor, amount) => {
            let start = at.index(all.len());
            let mut later = all[start..].iter();
            if let Some(at) = later.find(|at| plan.pointer(at).unwrap().is_number()) {
                let number = plan.pointer_mut(at).unwrap();
                *number = json!(number.as_f64().unwrap() * factor + amount);
            }
        }
        Alter::Retarget(at, kind) => {
            if let Some(Value::Array(features)) = plan.get_mut("features")
                && !features.is_empty()
            {
                let index = at.index(features.len());
                if let Some(properties) = features[index].get_mut("properties")
                    && properties.is_object()
                {
                    properties["kind"] = json!(kind);
                }
            }
        }
    }
}

#[test]
fn what_the_reader_accepts_keeps_to_the_schema() {
    let judge = Judge::new();
    let mut plans: Vec<Value> = fixtures::plan_texts()
        .iter()
        .map(|(_, text)| serde_json::from_str(text).unwrap())
        .collect();
    // Half of all cases go to the plan that has everything.
    plans.extend(vec![house(); plans.len()]);
    let (accepted, both_refused) = (Cell::new(0_u32), Cell::new(0_u32));
    let mut config = Config::with_source_file(file!());
    config.failure_persistence = None;
    config.cases = config.cases.max(1_000);
    let mut runner = TestRunner::new(config);
    let cases = (0..plans.len(), prop::collection::vec(alter(), 1..5));
    runner
        .run(&cases, |(which, alters)| {
            let mut plan = plans[which].clone();
            for alter in &alters {
                altered(&mut plan, alter);
            }
            let verdict = judge.verdict(&plan);
            if reader_verdict(&plan).is_ok() {
                accepted.set(accepted.get() + 1);
                prop_assert_eq!(verdict, Ok(()));
            } else if verdict.is_err() {
                both_refused.set(both_refused.get() + 1);
            }
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{error}"));
    let (accepted, both_refused) = (accepted.get(), both_refused.get());
    assert!(
        accepted > 100 && both_refused > 300,
        "{accepted} accepted, {both_refused} refused by both"
    );
}
