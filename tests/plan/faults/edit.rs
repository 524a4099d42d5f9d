//! Changes to the text of a plan: just what was asked for, everything else byte for byte.

use std::sync::LazyLock;

use geo::Coord;
use plan::edit::{Change, EditError, edited};
use plan::{Device, DeviceKind, Plan, Vocabulary, read};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::faults::support::{SOUND, house, house_in_feet, plan_of, vocabulary};

/// The shipped plans and the house of these tests, in several layouts: name, text, and the names
/// that it may use.
pub(crate) static PLANS: LazyLock<Vec<(String, String, Vocabulary)>> = LazyLock::new(plans);

fn plans() -> Vec<(String, String, Vocabulary)> {
    let shipped = fixtures::plan_texts().into_iter();
    let mut plans: Vec<_> =
        shipped.map(|(name, text)| (name, text, forecast::vocabulary())).collect();
    plans.push(("house".to_owned(), house(), vocabulary()));
    plans.push(("house in feet".to_owned(), house_in_feet(), vocabulary()));
    let mut all = Vec::new();
    for (name, text, names) in plans {
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let layouts = [
            ("", text.clone()),
            (" with CRLF", text.replace('\n', "\r\n")),
            (" in one line", value.to_string()),
            (" over many lines", serde_json::to_string_pretty(&value).unwrap()),
            (" without a last line end", text.trim_end().to_owned()),
        ];
        for (layout, text) in layouts {
            all.push((format!("{name}{layout}"), text, names.clone()));
        }
    }
    all
}

pub(crate) fn plan(text: &str, names: &Vocabulary) -> Plan {
    read("plan.geojson", text.as_bytes(), names).unwrap().plan
}

/// Everything in a plan but the devices that are named.
pub(crate) fn others(plan: &Plan, without: &[&str]) -> String {
    let mut plan = plan.clone();
    plan.devices.retain(|device| !without.contains(&device.id.as_str()));
    format!("{plan:?}")
}

/// Whether a device hangs there, to half a thousandth of the plan's unit.
fn hangs(plan: &Plan, device: &Device, level: i32, position: Coord<f64>, height_m: f64) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 0.000_501 * plan.metres_per_unit;
    device.level == level
        && near(device.position.x, position.x)
        && near(device.position.y, position.y)
        && near(device.height_m, plan.level(level).unwrap().floor_m + height_m)
}

/// What stands in the second text in place of a piece of the first, by their common head and tail.
pub(crate) fn difference<'t>(before: &'t str, after: &'t str) -> (&'t str, &'t str) {
    let head: usize = before
        .chars()
        .zip(after.chars())
        .take_while(|(a, b)| a == b)
        .map(|(a, _)| a.len_utf8())
        .sum();
    let (before, after) = (&before[head..], &after[head..]);
    let tail: usize = before
        .chars()
        .rev()
        .zip(after.chars().rev())
        .take_while(|(a, b)| a == b)
        .map(|(a, _)| a.len_utf8())
        .sum();
    (&before[..before.len() - tail], &after[..after.len() - tail])
}

/// A text without its numbers.
fn without_numbers(text: &str) -> String {
    text.chars().filter(|c| !c.is_ascii_digit() && !matches!(c, '.' | '-' | '+' | 'e')).collect()
}

/// The lines of a text in order of their content, which the order of members does not change.
fn sorted_lines(text: &str) -> Vec<&str> {
    let mut lines: Vec<&str> =
        text.lines().map(|line| line.strip_suffix(',').unwrap_or(line)).collect();
    lines.sort_unstable();
    lines
}

fn repeater(id: &str, plan: &Plan, position: Coord<f64>, capacity: Option<u32>) -> Change {
    Change::AddRepeater {
        id: id.to_owned(),
        name: "Over the \"stairs\"".to_owned(),
        level: plan.levels[0].number,
        position,
        height_above_floor_m: 0.3,
        capacity,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn a_moved_panel_and_nothing_else(
        x in -3.0..25.0_f64, y in -3.0..25.0_f64, height_m in 0.0..2.3_f64, upstairs: bool,
        which: Index
    ) {
        let position = Coord { x, y };
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let before = plan(text, names);
        let level = if upstairs { before.levels.last() } else { before.levels.first() };
        let level = level.unwrap().number;
        let change = Change::MovePanel { level, position, height_above_floor_m: height_m };
        let new = edited(text, &before, &[change]).unwrap();
        let after = plan(&new, names);
        let panel = after.panel().unwrap();
        prop_assert!(hangs(&after, panel, level, position, height_m), "{name}: {panel:?}");
        let id = panel.id.as_str();
        prop_assert_eq!(others(&before, &[id]), others(&after, &[id]), "{}", name);
        let mut kept = panel.clone();
        let old = before.panel().unwrap();
        (kept.level, kept.position, kept.height_m) = (old.level, old.position, old.height_m);
        prop_assert_eq!(format!("{:?}", kept), format!("{:?}", old), "{}", name);
        // Only numbers were changed, in the panel's own text; the house's panel got a height.
        let (gone, come) = difference(text, &new);
        prop_assert!(gone.len() < 300 && come.len() < 300, "{name}: {gone} became {come}");
        let is_shipped = !name.starts_with("house");
        if is_shipped {
            prop_assert_eq!(without_numbers(text), without_numbers(&new), "{}", name);
        }
        // Moved back, the text is as it was.
        let back = Change::MovePanel {
            level: old.level,
            position: old.position,
            height_above_floor_m: old.height_m - before.level(old.level).unwrap().floor_m,
        };
        let back = edited(&new, &after, &[back]).unwrap();
        if is_shipped {
            prop_assert_eq!(&back, text, "{}", name);
        }
    }

    #[test]
    fn an_added_repeater_and_nothing_else(
        x in -3.0..25.0_f64, y in -3.0..25.0_f64, capacity in proptest::option::of(1..=1000_u32),
        which: Index
    ) {
        let position = Coord { x, y };
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let before = plan(text, names);
        let changes = ["added", "added"].map(|id| repeater(id, &before, position, capacity));
        let new = edited(text, &before, &changes).unwrap();
        let after = plan(&new, names);
        prop_assert_eq!(others(&before, &[]), others(&after, &["added", "added-2"]), "{}", name);
        let level = before.levels[0].number;
        for device in &after.devices[before.devices.len()..] {
            prop_assert!(hangs(&after, device, level, position, 0.3), "{name}: {device:?}");
            prop_assert_eq!(device.kind, DeviceKind::Repeater);
            prop_assert_eq!(device.capacity, capacity);
            prop_assert_eq!(&device.name, "Over the \"stairs\"");
        }
        // The new text is the old one with one piece put in.
        let (gone, come) = difference(text, &new);
        prop_assert_eq!(gone, "", "{}", name);
        // It is laid out as its surroundings are.
        if text.contains("\r\n") {
            prop_assert_eq!(come.matches('\n').count(), come.matches("\r\n").count());
            prop_assert!(come.contains("\r\n"));
        }
        if name.ends_with("one line") {
            let value: serde_json::Value = serde_json::from_str(&new).unwrap();
            prop_assert_eq!(value.to_string().len(), new.len(), "{}", name);
        }
        if name.ends_with("many lines") {
            let value: serde_json::Value = serde_json::from_str(&new).unwrap();
            let pretty = serde_json::to_string_pretty(&value).unwrap();
            prop_assert_eq!(sorted_lines(&pretty), sorted_lines(&new), "{}", name);
        }
    }
}

/// A plan of two small rooms with what drillonce does not know.
const FOREIGN: &str = r#"{"type":"FeatureCollection", "colour" : "red",
  "features": [
    {"type": "Feature", "properties": {"kind": "wall", "construction": "concrete"}, "geometry": {"type": "LineString", "coordinates": [[0, 0], [4, 0], [4, 3]]}},
    {"type": "Feature", "id": "panel-2", "properties": {"kind": "panel", "vendor":{"x": [1 ,2]}, "height" : 15e-1 }, "bbox": [1, 1.50, 1, 1.50], "geometry": {"type": "Point", "coordinates": [ 1, 1.50, 7 ]}},
    {"type": "Feature", "properties": {"kind": "tree"}, "geometry": {"type": "Point", "coordinates": [9, 9]}},
    {"type": "Feature", "properties": {"kind": "sensor"}, "geometry": {"type": "Point", "coordinates": [3, 1]}}   ]
}"#;

fn move_panel(x: f64, y: f64, height_m: f64) -> Change {
    Change::MovePanel { level: 0, position: Coord { x, y }, height_above_floor_m: height_m }
}

#[test]
fn what_is_not_known_stays() {
    let before = plan(FOREIGN, &vocabulary());
    let still = edited(FOREIGN, &before, &[move_panel(1.0, 1.5, 1.5)]).unwrap();
    assert_eq!(still, FOREIGN, "the panel hangs there already");

    let moved = edited(FOREIGN, &before, &[move_panel(1.0, -0.000_1, 1.2)]).unwrap();
    let expected = FOREIGN
        .replace("[1, 1.50, 1, 1.50]", "[1, 0.0, 1, 0.0]")
        .replace("[ 1, 1.50, 7 ]", "[ 1, 0.0, 7 ]")
        .replace("15e-1", "1.2");
    assert_eq!(moved, expected);

    let added = edited(
        FOREIGN,
        &before,
        &[repeater("panel-2", &before, Coord { x: 3.0, y: 0.123_45 }, None)],
    )
    .unwrap();
    let expected = FOREIGN.replace(
        "   ]\n}",
        ",\n    {\"type\": \"Feature\", \"id\": \"panel-2-2\", \"geometry\": {\"type\": \"Point\", \
         \"coordinates\": [3.0, 0.123]}, \"properties\": {\"kind\": \"repeater\", \"name\": \"Over \
         the \\\"stairs\\\"\", \"level\": 0, \"height\": 0.3}}   ]\n}",
    );
    assert_eq!(added, expected);
}

#[test]
fn ids_that_features_have_without_saying_so_are_taken() {
    let before = plan(FOREIGN, &vocabulary());
    let text = edited(
        FOREIGN,
        &before,
        &["sensor-1", "tree-1", " panel ", "panel"]
            .map(|id| repeater(id, &before, Coord { x: 1.0, y: 1.0 }, Some(1))),
    )
    .unwrap();
    let ids: Vec<String> =
        plan(&text, &vocabulary()).devices.into_iter().map(|device| device.id).collect();
    assert_eq!(ids, ["panel-2", "sensor-1", "sensor-1-2", "tree-1-2", "panel", "panel-3"]);
}

/// Drawing programs write empty attributes as null; a level is written only where it says anything.
#[test]
fn a_height_that_is_null_or_absent() {
    for (old, new) in [
        ("{\"kind\": \"panel\", \"height\": null}", "{\"kind\": \"panel\", \"height\": 1.2}"),
        ("{\"kind\": \"panel\"}", "{\"kind\": \"panel\", \"height\": 1.2}"),
        ("{\"kind\":\"panel\"}", "{\"kind\":\"panel\",\"height\":1.2}"),
        ("{\n  \"kind\" :  \"panel\"\n}", "{\n  \"kind\" :  \"panel\",\n  \"height\" :  1.2\n}"),
        (
            "{\"kind\": \"panel\", \"level\": null}",
            "{\"kind\": \"panel\", \"level\": null, \"height\": 1.2}",
        ),
        (
            "{\"level\": 0.0, \"kind\": \"panel\"}",
            "{\"level\": 0.0, \"kind\": \"panel\", \"height\": 1.2}",
        ),
    ] {
        let text = |panel: &str| plan_of("", SOUND).replace("{\"kind\": \"panel\"}", panel);
        let before = plan(&text(old), &vocabulary());
        let after = edited(&text(old), &before, &[move_panel(1.0, 1.0, 1.2)]).unwrap();
        assert_eq!(after, text(new));
    }
}

#[test]
fn a_plan_without_a_panel_gets_one() {
    let (before, whole) = (plan(&plan_of("", SOUND), &vocabulary()), plan_of("", SOUND));
    let panel = "    {\"type\": \"Feature\", \"id\": \"panel\", \"properties\": {\"kind\": \
                 \"panel\"},\n     \"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 1]}},\n";
    let without = whole.replace(panel, "");
    assert_ne!(without, whole);
    let text = edited(&without, &before, &[move_panel(2.0, 3.0, 1.4)]).unwrap();
    let (gone, come) = difference(&without, &text);
    assert_eq!(gone, "");
    assert!(come.contains("\"kind\": \"panel\", \"name\": \"Panel\", \"level\": 0"), "{come}");
    let after = plan(&text, &vocabulary());
    let panel = after.panel().unwrap();
    assert!(hangs(&after, panel, 0, Coord { x: 2.0, y: 3.0 }, 1.4));
}

#[test]
fn what_cannot_be_changed() {
    let text = plan_of("", SOUND);
    let before = plan(&text, &vocabulary());
    let outcome = |change: Change| edited(&text, &before, &[change]).unwrap_err();
    let here = Coord { x: 1.0, y: 1.0 };
    let elsewhere = Change::MovePanel { level: 3, position: here, height_above_floor_m: 1.5 };
    assert_eq!(outcome(elsewhere), EditError::NoLevel(3));
    assert_eq!(outcome(move_panel(f64::NAN, 1.0, 1.5)), EditError::NotFinite);
    assert_eq!(outcome(move_panel(1.0, 1.0, f64::INFINITY)), EditError::NotFinite);
    assert_eq!(outcome(repeater(" ", &before, here, None)), EditError::NoId);
    for capacity in [0, 1001] {
        let change = repeater("r", &before, here, Some(capacity));
        assert_eq!(outcome(change), EditError::Capacity(capacity));
    }
    for far in [3e3, 1e9, 1e300] {
        let error = outcome(move_panel(far, 1.0, 1.5));
        assert!(matches!(error, EditError::Refused(_)), "{error}");
    }
    for other in ["", "[]", "{", "{}", "{\"features\": []}", "{\"features\": {}}"] {
        let error = edited(other, &before, &[move_panel(1.0, 1.0, 1.5)]).unwrap_err();
        assert!(
            matches!(error, EditError::NotThisPlan | EditError::Refused(_)),
            "{other}: {error}"
        );
    }
    let in_feet = text.replace("\"features\"", "\"units\": \"ft\",\n  \"features\"");
    let error = edited(&in_feet, &before, &[move_panel(1.0, 1.0, 1.5)]).unwrap_err();
    assert_eq!(error, EditError::NotThisPlan);
    assert_eq!(edited(&text, &before, &[]).unwrap(), text);
}
