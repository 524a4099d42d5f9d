//! What waits for a slow reader.

use std::fs;

use crate::client::{Served, moves};
use serde_json::{Value, json};
use serve::{Frame, Outbox, Slot};
use tungstenite::Message;

fn text(text: &str) -> Frame {
    Frame::Text(text.to_owned().into())
}

#[test]
fn of_each_kind_the_newest_waits_in_its_place() {
    let outbox = Outbox::default();
    for number in 0..1000 {
        outbox.put(Slot::Plan, text(&format!("plan {number}")));
        outbox.put(Slot::Table, text(&format!("table {number}")));
        outbox.put(Slot::Map, text(&format!("map {number}")));
        outbox.put(Slot::Note, text(&format!("note {number}")));
        outbox.put(Slot::Answer("explain"), text(&format!("explain {number}")));
    }
    assert!(outbox.len() <= 40, "{}", outbox.len());
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let next = || runtime.block_on(outbox.next());
    assert_eq!(next(), text("plan 999"));
    assert_eq!(next(), text("table 999"));
    assert_eq!(next(), text("map 999"));
    assert_eq!(next(), text("note 0"), "what was said first is not lost");
}

#[test]
fn a_slow_reader_gets_the_newest_and_holds_nobody_up() {
    // A long note makes every plan larger than what the system keeps for a connection.
    let text = fs::read_to_string(fixtures::floorplan("workshop")).unwrap();
    let mut plan: Value = serde_json::from_str(&text).unwrap();
    let features = plan["features"].as_array_mut().unwrap();
    let panel = features.iter_mut().find(|one| one["properties"]["kind"] == "panel").unwrap();
    panel["properties"]["note"] = "n".repeat(200_000).into();
    let id = panel["id"].as_str().unwrap().to_owned();
    let served = Served::of(&plan.to_string());
    let mut slow = served.page("slow");
    let mut quick = served.page("quick");
    const EDITS: u32 = 120;
    for seq in 1..=EDITS {
        let x = 2.0 + f64::from(seq) * 0.01;
        quick.say(&moves("edit", seq, &id, [x, 2.0]));
        quick.wait_for("plan", |plan| plan["version"] == seq + 1);
    }
    quick.table(EDITS);
    let mut plans = 0;
    loop {
        let Some(Message::Text(text)) = slow.next() else { continue };
        let value: Value = serde_json::from_str(&text).unwrap();
        plans += u32::from(value["type"] == "plan");
        if value["type"] == "table" && value["seq"] == EDITS && value["partial"] == json!(false) {
            break;
        }
    }
    assert!(plans < EDITS / 2, "{plans} of {EDITS} plans were kept for a page that does not read");
}
