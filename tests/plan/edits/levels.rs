//! Storeys added and changed: the text that comes of it, to the byte.

use plan::edit::{Change, EditError, edited, edited_leniently};
use plan::{Vocabulary, read_leniently};

const ONE: &str = r#"{
  "type": "FeatureCollection",
  "units": "ft",
  "features": [
    {"type": "Feature", "properties": {"kind": "wall", "construction": "brick"}, "geometry": {"type": "LineString", "coordinates": [[0, 0], [9, 0]]}},
    {"type": "Feature", "properties": {"kind": "cat"}, "geometry": {"type": "Point", "coordinates": [1, 1]}},
    {"type": "Feature", "properties": {"kind": "sensor", "level": null}, "geometry": {"type": "Point", "coordinates": [1, 1]}},
    {"type": "Feature", "properties": {"kind": "panel", "level": 0}, "geometry": {"type": "Point", "coordinates": [2, 1]}}
  ]
}"#;

const TWO: &str = r#"{"type": "FeatureCollection", "levels": [
    {"level": 0, "name": "Ground", "floor": 0, "ceiling": 2.40},
    {"level": 1, "floor": 2.7, "ceiling": 5.1, "under": "air"}
  ], "features": []}"#;

fn add(number: i32, name: Option<&str>, floor_m: f64, ceiling_m: f64) -> Change {
    Change::AddLevel { number, name: name.map(str::to_owned), floor_m, ceiling_m }
}

fn set(number: i32, name: Option<&str>, heights_m: [Option<f64>; 2]) -> Change {
    let [floor_m, ceiling_m] = heights_m;
    Change::SetLevel { number, name: name.map(str::to_owned), floor_m, ceiling_m }
}

#[test]
fn a_second_level_makes_the_first_one_be_named() {
    let text = edited_leniently(ONE, &[add(1, Some("Up"), 3.048, 6.096)]).unwrap();
    let expected = ONE
        .replace("\"construction\": \"brick\"", "\"construction\": \"brick\", \"level\": 0")
        .replace("\"level\": null", "\"level\": 0");
    let levels = ",\n  \"levels\": [{\"level\": 0, \"floor\": 0.0, \"ceiling\": 7.874}, \
                  {\"level\": 1, \"name\": \"Up\", \"floor\": 10.0, \"ceiling\": 20.0}]\n}";
    let end = expected.len() - 2;
    assert_eq!(text, format!("{}{levels}", &expected[..end]));
    let brick = Vocabulary { constructions: vec!["brick".to_owned()], ..Vocabulary::default() };
    let [before, after] = [ONE, &text].map(|it| read_leniently("", it.as_bytes(), &brick));
    assert!(before.plan.is_some() && after.plan.is_some(), "{:?}", after.faults);
    assert_eq!(before.faults.len(), after.faults.len(), "{:?}", after.faults);
}

#[test]
fn a_level_more_is_laid_out_as_the_last_one() {
    let text = edited_leniently(TWO, &[add(2, None, 5.4, 7.8)]).unwrap();
    let last = "{\"level\": 1, \"floor\": 2.7, \"ceiling\": 5.1, \"under\": \"air\"}";
    let more = format!("{last},\n    {{\"level\": 2, \"floor\": 5.4, \"ceiling\": 7.8}}");
    assert_eq!(text, TWO.replace(last, &more));
}

#[test]
fn only_what_is_said_of_a_level_changes() {
    let named = edited_leniently(TWO, &[set(0, Some("Shop"), [None, None])]).unwrap();
    assert_eq!(named, TWO.replace("Ground", "Shop"));
    let named = edited_leniently(TWO, &[set(1, Some("Flat"), [None, Some(5.2)])]).unwrap();
    let more = "\"ceiling\": 5.2, \"under\": \"air\", \"name\": \"Flat\"";
    assert_eq!(named, TWO.replace("\"ceiling\": 5.1, \"under\": \"air\"", more));
    let same = edited_leniently(TWO, &[set(0, None, [Some(0.0), Some(2.4)])]).unwrap();
    assert_eq!(same, TWO);
    let one = edited_leniently(ONE, &[set(0, Some("Hut"), [None, Some(2.4384)])]).unwrap();
    let level = "{\"level\": 0, \"name\": \"Hut\", \"floor\": 0.0, \"ceiling\": 8.0}";
    assert!(one.contains(&format!("\"levels\": [{level}]")), "{one}");
}

#[test]
fn levels_that_would_be_refused_are_not_written() {
    let no = |text, change| edited_leniently(text, &[change]).unwrap_err();
    assert_eq!(no(TWO, add(1, None, 6.0, 8.0)), EditError::LevelTaken(1));
    assert_eq!(no(ONE, add(0, None, 6.0, 8.0)), EditError::LevelTaken(0));
    assert_eq!(no(TWO, set(7, None, [None, None])), EditError::NoLevel(7));
    assert_eq!(no(TWO, add(2, None, f64::NAN, 8.0)), EditError::NotFinite);
    for change in [
        add(2, None, 4.0, 8.0),
        add(2, None, 8.0, 7.0),
        add(5000, None, 6.0, 8.0),
        set(0, None, [None, Some(3.0)]),
        set(1, None, [Some(1e9), None]),
    ] {
        let why = no(TWO, change.clone());
        assert!(matches!(why, EditError::Refused(_)), "{change:?}: {why}");
    }
}

#[test]
fn what_follows_knows_the_new_level() {
    let panel = |level| Change::Move {
        id: "panel-1".to_owned(),
        position: (2.0, 1.0).into(),
        level: Some(level),
        height_above_floor_m: None,
    };
    let changes = [add(1, None, 3.0, 6.0), panel(1)];
    assert!(edited_leniently(ONE, &changes).unwrap().contains("\"kind\": \"panel\", \"level\": 1"));
    let brick = Vocabulary { constructions: vec!["brick".to_owned()], ..Vocabulary::default() };
    let plan = plan::read("", ONE.as_bytes(), &brick).unwrap().plan;
    let text = edited(ONE, &plan, &changes).unwrap();
    assert_eq!(text, edited_leniently(ONE, &changes).unwrap());
}
