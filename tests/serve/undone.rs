//! However much is drawn, taken out, put right and taken back, no byte is lost.

use std::fs;

use crate::client::{Page, Served};
use fixtures::Dice;
use serde_json::{Value, json};

/// How many steps are tried.
const STEPS: u32 = 500;

/// After so many the page waits until all are made.
const AT_ONCE: u32 = 10;

/// A change of one of the features, or a new one.
fn change(dice: &mut Dice, features: &[Value], number: u32) -> Value {
    let place = |dice: &mut Dice| json!([dice.within(0.0, 9.0), dice.within(0.0, 7.0)]);
    // Places near one another: walls that all cross would only cost time.
    let near = |dice: &mut Dice, count| -> Vec<Value> {
        let (x, y) = (dice.within(0.0, 9.0), dice.within(0.0, 7.0));
        let point = |_| json!([x + dice.within(-0.5, 0.5), y + dice.within(-0.5, 0.5)]);
        (0..count).map(point).collect()
    };
    let feature = &features[dice.below(features.len())];
    let (id, shape) = (&feature["id"], &feature["geometry"]["type"]);
    let name = ["Attic ä", "\"x\"", "", "Küche 🏠"][dice.below(4)];
    match dice.below(6) {
        0 | 1 if shape == "Point" => json!({"do": "move", "id": id, "to": place(dice)}),
        0 | 1 => {
            let count = 3 + dice.below(3);
            let corners = near(dice, count);
            json!({"do": "shape", "id": id, "coordinates": corners})
        }
        2 => json!({"do": "set", "id": id, "properties": {"name": name, "number": number}}),
        3 => json!({"do": "set", "id": id, "properties": {"name": null, "level": 0}}),
        4 => {
            let line = near(dice, 2);
            json!({"do": "add", "feature": {
                "type": "Feature",
                "properties": {"kind": "wall", "construction": "brick-half", "level": 0},
                "geometry": {"type": "LineString", "coordinates": line},
            }})
        }
        _ => json!({"do": "remove", "id": id}),
    }
}

/// A step of any kind.
fn step(dice: &mut Dice, features: &[Value], number: u32) -> Value {
    match dice.below(40) {
        0 => json!({"type": "tidy"}),
        1 => json!({"type": "level", "do": "add", "name": format!("Storey {number}")}),
        2 => json!({"type": "level", "do": "set", "number": 0, "name": format!("Ground {number}")}),
        3 => json!({"type": "undo"}),
        _ => {
            let changes: Vec<Value> =
                (0..=dice.below(3)).map(|_| change(dice, features, number)).collect();
            json!({"type": "edit", "seq": number, "changes": changes})
        }
    }
}

/// Waits until the server has done all that was said; the last plan that it sent, if any.
fn caught_up(page: &mut Page, number: u32) -> Option<Value> {
    page.say(&json!({"type": "measure", "seq": number, "texts": []}));
    let mut plan = None;
    loop {
        let said = page.wait_of(&["plan", "measured"]);
        if said["type"] == "measured" && said["seq"] == number {
            return plan;
        }
        plan = Some(said).filter(|said| said["type"] == "plan").or(plan);
    }
}

fn saved(page: &mut Page, served: &Served, name: &str) -> String {
    page.say(&json!({"type": "save", "as": name}));
    page.wait("saved");
    fs::read_to_string(served.folder.path().join(name)).unwrap()
}

#[test]
fn five_hundred_steps_are_taken_back_and_made_again_to_the_byte() {
    let served = Served::shipped("bungalow");
    let first = fs::read_to_string(&served.plan).unwrap();
    let mut dice = Dice::new(7);
    let mut page = served.page("t");
    let mut shown = page.wait("plan");
    for number in 1..=STEPS {
        let step = step(&mut dice, shown["features"].as_array().unwrap(), number);
        page.say(&step);
        if number % AT_ONCE == 0 {
            shown = caught_up(&mut page, number).unwrap_or(shown);
        }
    }
    let steps = shown["undo"].as_u64().unwrap();
    assert!(steps > u64::from(STEPS) / 2, "only {steps} steps");
    let last = saved(&mut page, &served, "last.geojson");
    assert_ne!(last, first);
    for (way, expected, copy) in
        [("undo", &first, "undone.geojson"), ("redo", &last, "redone.geojson")]
    {
        for number in 1..=u32::try_from(steps).unwrap() {
            page.say(&json!({"type": way}));
            if number % AT_ONCE == 0 {
                caught_up(&mut page, STEPS + number);
            }
        }
        let text = saved(&mut page, &served, copy);
        assert!(text == *expected, "{way} does not give it back");
    }
}
