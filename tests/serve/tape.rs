//! A tape-measure list: drawn as it is typed, made the plan, kept beside its file.

use std::fs;
use std::time::{Duration, Instant};

use crate::client::{Page, Served};
use forecast::vocabulary;
use import::{Kind, Known, Settings};
use serde_json::{Value, json};
use serve::Listed;

pub const LIST: &str = "name Wren Corner\nroom Hall 2.0 x 5.0\n\
    room Kitchen 3.6 x 3.2 right-of Hall\ndoor Hall Kitchen 0.8\npanel Hall left at 1.0\n";

pub fn typed(page: &mut Page, seq: u32, text: &str) -> Value {
    page.say(&json!({"type": "tape", "seq": seq, "text": text}));
    page.wait_for("tape", |answer| answer["number"] == seq)
}

fn rooms(answer: &Value) -> Vec<&str> {
    let features = answer["plan"]["features"].as_array().unwrap();
    let rooms = features.iter().filter(|feature| feature["kind"] == "room");
    rooms.map(|room| room["properties"]["name"].as_str().unwrap()).collect()
}

fn imported(list: &str) -> String {
    let known = Known { vocabulary: vocabulary() };
    let settings = Settings { known, ..Settings::default() };
    import::draft(Kind::Tape, "list.txt", list.as_bytes(), &settings).unwrap().text()
}

#[test]
fn a_list_is_drawn_as_far_as_it_has_no_faults() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    page.say(&json!({"type": "tape", "seq": 1}));
    let starter = page.wait_for("tape", |answer| answer["number"] == 1);
    assert!(starter["text"].as_str().unwrap().contains("room Hall"), "{starter}");
    assert_eq!(starter["faults"], json!([]));
    let all = typed(&mut page, 2, LIST);
    assert_eq!((rooms(&all), &all["faults"]), (vec!["Hall", "Kitchen"], &json!([])));
    assert!(!all["assumed"].as_array().unwrap().is_empty());
    // What hangs on a line with a fault is left out with it.
    let broken = typed(&mut page, 3, &LIST.replace("x 3.2", "by"));
    assert_eq!(rooms(&broken), ["Hall"]);
    let lines: Vec<u64> = broken["faults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["line"].as_u64().unwrap())
        .collect();
    assert_eq!(lines[0], 3);
    let features = broken["plan"]["features"].as_array().unwrap().iter();
    let kinds: Vec<&str> = features.map(|feature| feature["kind"].as_str().unwrap()).collect();
    assert!(kinds.contains(&"panel") && !kinds.contains(&"opening"), "{kinds:?}");
    for nothing in ["", "hello", "# only a remark", "room", "\u{0}\u{1}"] {
        let answer = typed(&mut page, 4, nothing);
        assert_eq!(answer["plan"], Value::Null);
        assert!(!answer["faults"].as_array().unwrap().is_empty(), "{nothing:?}");
    }
}

#[test]
fn of_what_is_typed_quickly_the_newest_is_answered() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    for seq in 1..=300 {
        let text = format!("{LIST}room Store {}.0 x 2.0 left-of Hall\n", 1 + seq % 7);
        page.say(&json!({"type": "tape", "seq": seq, "text": text}));
    }
    let answer = page.wait_for("tape", |answer| answer["number"] == 300);
    assert_eq!(rooms(&answer).len(), 3);
    // Whoever comes in later goes on with it.
    let mut other = served.page("o");
    other.say(&json!({"type": "tape", "seq": 1}));
    assert_eq!(other.wait("tape")["text"], answer["text"]);
}

#[test]
fn a_list_becomes_the_plan_in_one_step_and_is_kept_beside_it() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    page.wait("plan");
    page.say(&json!({"type": "use", "text": LIST}));
    let plan = page.wait_for("plan", |plan| plan["undo"] == 1);
    assert_eq!(plan["name"], "Wren Corner");
    page.wait("used");
    page.say(&json!({"type": "save", "as": "plan.geojson"}));
    let saved = page.wait("saved");
    assert_eq!(saved["list"], json!({"file": "plan.txt", "kept": true}));
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), imported(LIST));
    let place = served.folder.path().join("plan.txt");
    assert_eq!(fs::read_to_string(&place).unwrap(), LIST);
    // The next list takes the place of the one that was written here.
    let next = LIST.replace("Wren Corner", "Wren Lane");
    page.say(&json!({"type": "use", "text": next}));
    page.wait("used");
    page.say(&json!({"type": "save", "as": null}));
    assert_eq!(page.wait("saved")["list"]["kept"], true);
    assert_eq!(fs::read_to_string(&place).unwrap(), next);
    // But not that of somebody else.
    fs::write(&place, "my own notes\n").unwrap();
    page.say(&json!({"type": "use", "text": LIST}));
    page.wait("used");
    page.say(&json!({"type": "save", "as": null}));
    assert_eq!(page.wait("saved")["list"], json!({"file": "plan.txt", "kept": false}));
    assert_eq!(fs::read_to_string(&place).unwrap(), "my own notes\n");
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), imported(LIST));
    page.say(&json!({"type": "undo"}));
    page.say(&json!({"type": "undo"}));
    page.say(&json!({"type": "undo"}));
    let plan = page.wait_for("plan", |plan| plan["undo"] == 0);
    assert_eq!(plan["features"], json!([]));
    assert_eq!(
        fs::read_dir(served.folder.path())
            .unwrap()
            .filter(|entry| {
                !entry.as_ref().unwrap().file_name().to_string_lossy().starts_with('.')
            })
            .count(),
        2
    );
}

#[test]
fn what_stands_beside_a_plan_is_taken_for_its_list_only_if_it_is_one() {
    let served = Served::shipped("workshop");
    let beside = served.folder.path().join("plan.txt");
    let asked = |text: &str, tab: &str| {
        fs::write(&beside, text).unwrap();
        let mut page = served.page(tab);
        page.say(&json!({"type": "tape", "seq": 1}));
        page.wait("tape")["text"].as_str().unwrap().to_owned()
    };
    let starter = asked("Key under the mat: 4711\n", "a");
    assert!(starter.contains("room Hall") && !starter.contains("4711"), "{starter}");
    assert_eq!(asked(LIST, "b"), LIST);
}

#[test]
fn a_list_with_faults_or_beyond_bounds_changes_nothing() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    page.wait("plan");
    page.say(&json!({"type": "use", "text": "room Hall 2.0 x\n"}));
    let why = page.wait("refused");
    assert!(why["what"].as_str().unwrap().starts_with("line 1 of the list"), "{why}");
    for kind in ["use", "tape"] {
        let long = "# a long remark\n".repeat(5_000);
        page.say(&json!({"type": kind, "seq": 1, "text": long}));
        assert!(page.wait("refused")["what"].as_str().unwrap().contains("longer"));
    }
    page.say(&json!({"type": "save", "as": "other.geojson"}));
    assert!(page.wait("saved")["list"].is_null());
    let names = fs::read_dir(served.folder.path()).unwrap();
    let lists = names.filter(|name| {
        name.as_ref().unwrap().path().extension().is_some_and(|ending| ending == "txt")
    });
    assert_eq!(lists.count(), 0);
}

#[test]
fn no_list_within_the_bounds_takes_long() {
    let chain = |line: fn(usize) -> String| -> String {
        let lines = (0..5_000).map(line);
        let mut text = lines.collect::<Vec<_>>().join("\n");
        text.truncate(60_000);
        text
    };
    let lists = [
        chain(|at| format!("room r{at} 1 x 1 right-of r{}", at.saturating_sub(1))),
        chain(|at| format!("room r{at} 1 x 1 right-of r{}", at + 1)),
        chain(|_| "room Hall 2 x 2".to_owned()),
        chain(
            |at| if at == 0 { "room A 9 x 9".to_owned() } else { format!("motion A number {at}") },
        ),
        chain(|at| format!("door A {at}")),
        "\"".repeat(60_000),
        "room \"".repeat(10_000),
    ];
    for list in &lists {
        let started = Instant::now();
        let read = Listed::read(list);
        let took = started.elapsed();
        assert!(took < Duration::from_secs(8), "{took:?} for {}", &list[..40]);
        assert!(read.members().contains_key("faults"));
    }
}
