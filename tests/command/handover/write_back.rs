//! Numbers written into the text of a plan, all else byte for byte.

use drillonce::forecast::vocabulary;
use drillonce::job::schedule::missing_numbers;
use drillonce::plan::edit::{Change, EditError, edited};
use drillonce::plan::{MAX_NUMBER, Plan, read};

use crate::handover::{house, plan, shipped};

/// A text without its `number` properties, whatever its layout.
fn without_numbers(text: &str) -> String {
    let mut value: serde_json::Value = serde_json::from_str(text).unwrap();
    for feature in value["features"].as_array_mut().unwrap() {
        feature["properties"].as_object_mut().unwrap().remove("number");
    }
    value.to_string()
}

/// The shipped plans and a house, without numbers, in several layouts.
fn layouts() -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut plans = shipped();
    plans.push((
        "house".to_owned(),
        house(&[("a", 1.0, 1.0, r#""name":"A""#), ("b", 2.0, 2.0, "")]),
    ));
    for (name, text) in plans {
        let line = without_numbers(&text);
        let value: serde_json::Value = serde_json::from_str(&line).unwrap();
        let pretty = serde_json::to_string_pretty(&value).unwrap();
        all.push((format!("{name} over CRLF lines"), pretty.replace('\n', "\r\n")));
        all.push((format!("{name} over many lines"), pretty));
        all.push((format!("{name} in one line"), line));
    }
    all
}

fn change(id: &str, number: u32) -> Change {
    Change::Number { id: id.to_owned(), number }
}

/// How much two texts agree from the left.
fn common(a: &[u8], b: &[u8]) -> usize {
    a.iter().zip(b).take_while(|(a, b)| a == b).count()
}

fn numbers(plan: &Plan) -> Vec<Option<u32>> {
    plan.devices.iter().map(|device| device.number).collect()
}

#[test]
fn each_number_is_one_piece_put_into_the_text() {
    for (name, text) in layouts() {
        let plan = plan(&text);
        let mut now = text.clone();
        for numbering in missing_numbers(&plan) {
            let next = edited(&now, &plan, &[change(&numbering.id, numbering.number)]).unwrap();
            let (old, new) = (now.as_bytes(), next.as_bytes());
            let head = common(old, new);
            let put = new.len() - old.len();
            assert_eq!(&old[head..], &new[head + put..], "{name}: {}", numbering.id);
            let piece = format!("\"number\":{}", numbering.number);
            // The piece that was put in may begin with what was there before it, such as a comma.
            let window = String::from_utf8_lossy(&new[head.saturating_sub(40)..head + put]);
            let bare: String = window.split_whitespace().collect();
            assert!(bare.contains(&piece), "{name}: {window}");
            now = next;
        }
        let again = read("", now.as_bytes(), &vocabulary()).unwrap().plan;
        let wanted = job::schedule::with_numbers(plan.clone(), &missing_numbers(&plan));
        assert_eq!(numbers(&again), numbers(&wanted), "{name}");
        // Nothing else is said: the JSON without the numbers is the JSON before.
        let before: serde_json::Value = serde_json::from_str(&text).unwrap();
        let after: serde_json::Value = serde_json::from_str(&without_numbers(&now)).unwrap();
        assert_eq!(before, after, "{name}");
    }
}

#[test]
fn a_number_that_is_there_is_replaced_and_the_same_one_left_as_it_is_spelt() {
    let text = house(&[
        ("a", 1.0, 1.0, r#""number": 7.0 , "name":"A""#),
        ("b", 2.0, 2.0, r#""number":null"#),
    ]);
    let plan = plan(&text);
    assert_eq!(edited(&text, &plan, &[change("a", 7)]).unwrap(), text);
    assert_eq!(edited(&text, &plan, &[change("a", 12)]).unwrap(), text.replace("7.0", "12"));
    assert_eq!(edited(&text, &plan, &[change("b", 3)]).unwrap(), text.replace("null", "3"));
}

#[test]
fn a_device_without_an_id_goes_by_its_place_among_its_kind() {
    let text = house(&[("a", 1.0, 1.0, r#""name":"A""#), ("b", 2.0, 2.0, r#""name":"B""#)]);
    let text = text.replace(r#""id":"b","#, "");
    let plan = plan(&text);
    let changed = edited(&text, &plan, &[change("sensor-2", 5)]).unwrap();
    assert_eq!(changed, text.replace(r#""name":"B""#, r#""name":"B","number":5"#));
}

#[test]
fn what_cannot_be_numbered_is_refused() {
    let text = house(&[("a", 1.0, 1.0, r#""number":1"#), ("b", 2.0, 2.0, "")]);
    let plan = plan(&text);
    let refusal = |id, number| edited(&text, &plan, &[change(id, number)]).unwrap_err();
    assert_eq!(refusal("nobody", 2), EditError::NoDevice("nobody".to_owned()));
    // A wall is no device.
    assert_eq!(refusal("shell", 2), EditError::NoDevice("shell".to_owned()));
    assert_eq!(refusal("b", MAX_NUMBER + 1), EditError::Number(MAX_NUMBER + 1));
    // A number that another device has: the plan with it is refused.
    let clash = refusal("b", 1);
    assert!(
        matches!(&clash, EditError::Refused(fault) if fault.what.contains("number 1")),
        "{clash}"
    );
}
