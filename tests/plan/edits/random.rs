//! Random changes to shipped plans: nothing but the feature is touched, and undoing them gives the
//! first text back.

use geo::Coord;
use input::Diagnostics;
use input::json::Value;
use plan::edit::{Change, EditError, edited_leniently};
use plan::{Sketch, Vocabulary, read_leniently};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::faults::edit::PLANS;

fn sketches(text: &str, names: &Vocabulary) -> Vec<Sketch> {
    read_leniently("plan.geojson", text.as_bytes(), names).features
}

/// What the file says of a feature, without what the reader made of it.
fn said(sketch: &Sketch) -> (String, String, Vec<Vec<Coord<f64>>>, String) {
    let Sketch { id, kind, lines, properties, .. } = sketch.clone();
    (id, kind, lines, properties)
}

fn features(text: &str) -> Vec<Value<'_>> {
    let top = Value::whole(text).members(None, &mut Diagnostics::new(""));
    top.into_iter().find(|it| it.key == "features").unwrap().value.items()
}

/// Checks that two texts differ in nothing but one feature.
#[track_caller]
fn only(before: &str, after: &str, number: usize) {
    let ([old, new], all) = ([before, after].map(|it| features(it)[number]), features(before));
    assert_eq!(all.len(), features(after).len());
    assert_eq!(before[..old.at], after[..new.at]);
    assert_eq!(before[old.end()..], after[new.end()..]);
}

fn made(text: &str, change: Change) -> String {
    edited_leniently(text, &[change]).unwrap()
}

fn set(id: &str, name: &str, value: Option<&str>) -> Change {
    let properties = vec![(name.to_owned(), value.map(str::to_owned))];
    Change::Set { id: id.to_owned(), properties }
}

fn close(a: Coord<f64>, b: Coord<f64>, metres_per_unit: f64) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 0.000_501 * metres_per_unit;
    near(a.x, b.x) && near(a.y, b.y)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..Default::default() })]

    #[test]
    fn a_shape_there_and_back(
        x in -3.0..25.0_f64, y in -3.0..25.0_f64, which: Index, feature: Index, corner: Index,
        more: bool
    ) {
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let all = sketches(text, names);
        let number = feature.index(all.len());
        let Sketch { id, geometry, lines, .. } = all[number].clone();
        let per_unit = read_leniently("", text.as_bytes(), names).metres_per_unit;
        let to = Coord { x, y };
        let (there, back, now) = if geometry == "Point" {
            let change = |position| {
                let (level, height_above_floor_m) = (None, None);
                Change::Move { id: id.clone(), position, level, height_above_floor_m }
            };
            (change(to), change(lines[0][0]), vec![to])
        } else {
            let mut corners = lines[0].clone();
            if geometry == "Polygon" {
                corners.pop();
            }
            let was = corners.clone();
            let at = corner.index(corners.len());
            if more {
                corners.insert(at, to);
            } else {
                corners[at] = to;
            }
            let change = |corners| Change::Shape { id: id.clone(), corners };
            let mut ring = corners.clone();
            if geometry == "Polygon" {
                ring.push(corners[0]);
            }
            (change(corners), change(was), ring)
        };
        let after = made(text, there);
        only(text, &after, number);
        let found = sketches(&after, names);
        for (index, (before, after)) in all.iter().zip(&found).enumerate() {
            if index != number {
                prop_assert_eq!(said(before), said(after), "{}", name);
                continue;
            }
            prop_assert_eq!(&before.properties, &after.properties);
            prop_assert_eq!(&before.lines[1..], &after.lines[1..]);
            prop_assert_eq!(after.lines[0].len(), now.len());
            for (a, b) in after.lines[0].iter().zip(&now) {
                prop_assert!(close(*a, *b, per_unit), "{name}: {a:?} is not {b:?}");
            }
        }
        let again = made(&after, back);
        if !name.starts_with("house") {
            prop_assert_eq!(&again, text, "{}", name);
        }
    }

    #[test]
    fn a_property_there_and_back(
        which: Index, feature: Index, property: Index,
        value in "[a-z\"\\\\é]{0,8}", number in -99..99_i32
    ) {
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let all = sketches(text, names);
        let at = feature.index(all.len());
        let id = &all[at].id;
        let before: serde_json::Value = serde_json::from_str(&all[at].properties).unwrap();
        for new in [serde_json::Value::from(value), (f64::from(number) + 0.5).into(), serde_json::json!({"a": [1, {}]})] {
            // One that is not there.
            let after = made(text, set(id, "a \"new\" one", Some(&new.to_string())));
            only(text, &after, at);
            let now: serde_json::Value =
                serde_json::from_str(&sketches(&after, names)[at].properties).unwrap();
            let mut wanted = before.clone();
            wanted["a \"new\" one"] = new.clone();
            prop_assert_eq!(now, wanted, "{}", name);
            prop_assert_eq!(&made(&after, set(id, "a \"new\" one", None)), text, "{}", name);
            // One that is.
            let members = before.as_object().unwrap();
            let (key, old) = members.iter().nth(property.index(members.len())).unwrap();
            if key == "kind" || old.is_object() {
                continue;
            }
            let after = made(text, set(id, key, Some(&new.to_string())));
            only(text, &after, at);
            let now: serde_json::Value =
                serde_json::from_str(&sketches(&after, names)[at].properties).unwrap();
            prop_assert_eq!(&now[key], &new, "{}", name);
            let back = made(&after, set(id, key, Some(&old.to_string())));
            if name.contains(" in one line") || name.contains(" over many lines") {
                prop_assert_eq!(&back, text, "{}", name);
            }
            let gone = made(text, set(id, key, None));
            only(text, &gone, at);
            let mut wanted = before.clone();
            wanted.as_object_mut().unwrap().remove(key);
            let now: serde_json::Value =
                serde_json::from_str(&sketches(&gone, names)[at].properties).unwrap();
            prop_assert_eq!(now, wanted, "{}", name);
        }
    }

    #[test]
    fn a_feature_in_and_out(which: Index, feature: Index, x in -3.0..25.0_f64) {
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let all = sketches(text, names);
        let at = feature.index(all.len());
        // A copy of a feature, its coordinates as they are: in feet they become others.
        let copy = features(text)[at].raw.to_owned();
        let after = made(text, Change::Add { feature: copy });
        let found = sketches(&after, names);
        prop_assert_eq!(found.len(), all.len() + 1);
        for (before, after) in all.iter().zip(&found) {
            prop_assert_eq!(said(before), said(after), "{}", name);
        }
        let new = found.last().unwrap();
        let value = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
        prop_assert_eq!(value(&new.properties), value(&all[at].properties));
        prop_assert!(all.iter().all(|it| it.id != new.id), "{name}: {} is taken", new.id);
        let last = features(text).last().unwrap().end();
        let tail = after.len() - (text.len() - last);
        prop_assert_eq!((&after[..last], &after[tail..]), (&text[..last], &text[last..]));
        prop_assert_eq!(&made(&after, Change::Remove { id: new.id.clone() }), text, "{}", name);

        let gone = made(text, Change::Remove { id: all[at].id.clone() });
        let found = sketches(&gone, names);
        let others = all.iter().enumerate().filter(|(number, _)| *number != at);
        let others: Vec<_> = others.map(|(_, it)| said(it)).collect();
        prop_assert_eq!(found.iter().map(said).collect::<Vec<_>>(), others, "{}", name);
        // Only ids were written down, and none where all have one.
        if !name.starts_with("house") {
            let mut pieces: Vec<&str> = features(text).iter().map(|it| it.raw).collect();
            pieces.remove(at);
            let left = features(&gone);
            prop_assert_eq!(left.iter().map(|it| it.raw).collect::<Vec<_>>(), pieces);
            let cut = text.len() - gone.len();
            let length = features(text)[at].raw.len();
            prop_assert!(cut > length && cut < length + 20, "{name}: {cut} bytes for {length}");
        }
        // What is gone cannot be changed.
        let change = set(&all[at].id, "x", Some(&x.to_string()));
        let refused = edited_leniently(&gone, &[change]).unwrap_err();
        prop_assert_eq!(refused, EditError::NoFeature(all[at].id.clone()));
    }
}

/// Many changes of all features at once, as when all are dragged together.
#[test]
fn two_hundred_changes() {
    for (name, text, names) in PLANS.iter() {
        let all = sketches(text, names);
        let changes: Vec<Change> = (0..200)
            .map(|number| set(&all[number % all.len()].id, "x", Some(&number.to_string())))
            .collect();
        let start = std::time::Instant::now();
        let after = edited_leniently(text, &changes).unwrap();
        let took = start.elapsed();
        if !name.contains(' ') {
            println!("{name}: 200 changes to {} bytes in {took:?}", text.len());
        }
        let now = sketches(&after, names);
        for (number, sketch) in now.iter().enumerate().take(200) {
            let properties: serde_json::Value = serde_json::from_str(&sketch.properties).unwrap();
            let wanted = number + (199 - number) / all.len() * all.len();
            assert_eq!(properties["x"], wanted, "{name}");
        }
        let back: Vec<Change> = all.iter().map(|it| set(&it.id, "x", None)).collect();
        assert_eq!(&edited_leniently(&after, &back).unwrap(), text, "{name}");
    }
}
