//! Each change on a plan in a layout of its own: the text that comes of it, to the byte.

use geo::Coord;
use plan::edit::{Change, EditError, edited_leniently};

const PLAN: &str = r#"{"type":"FeatureCollection", "colour" : "red",
  "features": [
    {"type": "Feature", "properties": {"kind": "wall", "construction": "concrete"}, "bbox": [0, 0, 4, 3], "geometry": {"type": "LineString", "coordinates": [[0, 0], [4.0, 0.00, 7],  [4, 3]]}},
    {"type": "Feature", "properties": {"kind": "wall", "construction": "brick" , "top": 2.40}, "geometry": {"type": "LineString", "coordinates": [[0, 3], [4, 3]]}},
    {"type": "Feature", "id": "p", "properties": {"kind": "panel", "vendor":{"x": [1 ,2]}, "height" : 15e-1 }, "geometry": {"type": "Point", "coordinates": [ 1, 1.50, 7 ]}},
    {"type": "Feature", "properties": {}, "geometry": {"type": "Point", "coordinates": [9, 9]}},
    {"type": "Feature", "id": "p", "properties": {"kind": "sensor"}, "geometry": {"type": "Point", "coordinates": [3, 1]}},
    {"type": "Feature", "id": "hall", "properties": {"kind": "roam"}, "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [4, 0], [4, 3], [0, 0]], [[1, 1], [2, 1], [1.5, 0.5], [1, 1]]]}}   ]
}"#;

fn corners(corners: &[(f64, f64)]) -> Vec<Coord<f64>> {
    corners.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect()
}

fn shape(id: &str, now: &[(f64, f64)]) -> Change {
    Change::Shape { id: id.to_owned(), corners: corners(now) }
}

fn moved(id: &str, x: f64, y: f64) -> Change {
    let position = Coord { x, y };
    Change::Move { id: id.to_owned(), position, level: None, height_above_floor_m: None }
}

fn set(id: &str, properties: &[(&str, Option<&str>)]) -> Change {
    let owned =
        |(name, value): &(&str, Option<&str>)| ((*name).to_owned(), value.map(str::to_owned));
    Change::Set { id: id.to_owned(), properties: properties.iter().map(owned).collect() }
}

fn removed(id: &str) -> Change {
    Change::Remove { id: id.to_owned() }
}

/// Checks that a change replaces one piece of the plan by another.
#[track_caller]
fn check(change: Change, old: &str, new: &str) {
    assert_eq!(PLAN.matches(old).count(), 1, "{old}");
    let text = edited_leniently(PLAN, &[change]).unwrap();
    assert_eq!(text, PLAN.replace(old, new));
}

#[test]
fn a_point_is_moved() {
    check(moved("p", 1.000_4, 2.0), "[ 1, 1.50, 7 ]", "[ 1, 2.0, 7 ]");
    check(moved("#4", 9.0, -0.000_1), "[9, 9]", "[9, 0.0]");
    check(moved("#5", 3.25, 1.0), "[3, 1]", "[3.25, 1]");
    let hung = |height_m| Change::Move {
        id: "p".to_owned(),
        position: Coord { x: 1.0, y: 1.5 },
        level: Some(0),
        height_above_floor_m: Some(height_m),
    };
    check(hung(2.1), "15e-1", "2.1");
    assert_eq!(edited_leniently(PLAN, &[hung(1.5)]).unwrap(), PLAN);
}

#[test]
fn a_point_gets_a_height() {
    let change = Change::Move {
        id: "#4".to_owned(),
        position: Coord { x: 9.0, y: 9.0 },
        level: Some(0),
        height_above_floor_m: Some(1.0),
    };
    check(change, "\"properties\": {}", "\"properties\": {\"height\": 1.0}");
}

#[test]
fn a_line_gets_other_corners() {
    let before = "[[0, 0], [4.0, 0.00, 7],  [4, 3]]";
    for (now, new, sides) in [
        // One moved, one put in, one taken out, all new.
        (
            &[(0.0, 0.0), (4.0, 1.0), (4.0, 3.0)][..],
            "[[0, 0], [4.0, 1.0, 7],  [4, 3]]",
            "[0, 0, 4, 3]",
        ),
        (
            &[(0.0, 0.0), (2.0, -1.0), (4.0, 0.0), (4.0, 3.0)],
            "[[0, 0], [2.0, -1.0], [4.0, 0.00, 7], [4, 3]]",
            "[0, -1.0, 4, 3]",
        ),
        (&[(0.0, 0.0), (4.0, 3.0)], "[[0, 0], [4, 3]]", "[0, 0, 4, 3]"),
        (&[(1.0, 1.0), (1.0, 2.0)], "[[1.0, 1.0], [1.0, 2.0]]", "[1.0, 1.0, 1.0, 2.0]"),
    ] {
        let text = edited_leniently(PLAN, &[shape("wall-1", now)]).unwrap();
        assert_eq!(text, PLAN.replace(before, new).replace("[0, 0, 4, 3]", sides));
    }
    let same = shape("wall-1", &[(0.0, 0.000_4), (4.0, 0.0), (4.0, 3.0)]);
    assert_eq!(edited_leniently(PLAN, &[same]).unwrap(), PLAN);
}

#[test]
fn an_outline_gets_other_corners() {
    let ring = "[[0, 0], [4, 0], [4, 3], [0, 0]]";
    let open = shape("hall", &[(0.0, 0.0), (4.0, 0.0), (4.0, 2.5)]);
    check(open, ring, "[[0, 0], [4, 0], [4, 2.5], [0, 0]]");
    let closed = shape("hall", &[(0.5, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.5, 0.0)]);
    check(closed, ring, "[[0.5, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0], [0.5, 0.0]]");
    let more = shape("hall", &[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]);
    check(more, ring, "[[0, 0], [4, 0], [4, 3], [0.0, 3.0], [0, 0]]");
}

#[test]
fn what_is_no_list_of_positions_is_written_anew() {
    let broken = PLAN.replace("[[0, 3], [4, 3]]", "[[0, 3], [4]]");
    let text = edited_leniently(&broken, &[shape("wall-2", &[(0.0, 3.0), (5.0, 3.0)])]).unwrap();
    assert_eq!(text, PLAN.replace("[[0, 3], [4, 3]]", "[[0.0, 3.0], [5.0, 3.0]]"));
    let broken = PLAN.replace("[ 1, 1.50, 7 ]", "null");
    let text = edited_leniently(&broken, &[moved("p", 2.0, 3.0)]).unwrap();
    assert_eq!(text, PLAN.replace("[ 1, 1.50, 7 ]", "[2.0, 3.0]"));
    let broken = PLAN.replace("[[0, 0], [4, 0], [4, 3], [0, 0]]", "7");
    let corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)];
    let text = edited_leniently(&broken, &[shape("hall", &corners)]).unwrap();
    let ring = "[[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 0.0]]";
    assert_eq!(text, PLAN.replace("[[0, 0], [4, 0], [4, 3], [0, 0]]", ring));
    let rings = "[[[0, 0], [4, 0], [4, 3], [0, 0]], [[1, 1], [2, 1], [1.5, 0.5], [1, 1]]]";
    let broken = PLAN.replace(rings, "[[0, 0], [4, 0], [4, 3], [0, 0]]");
    let text = edited_leniently(&broken, &[shape("hall", &corners)]).unwrap();
    assert_eq!(text, PLAN.replace(rings, &format!("[{ring}]")));
}

#[test]
fn properties_are_set_and_taken_out() {
    let old = "{\"kind\": \"wall\", \"construction\": \"brick\" , \"top\": 2.40}";
    let wall =
        |changes: &[(&str, Option<&str>)], new: &str| check(set("wall-2", changes), old, new);
    wall(
        &[("construction", Some("\"stud\""))],
        "{\"kind\": \"wall\", \"construction\": \"stud\" , \"top\": 2.40}",
    );
    wall(&[("top", None)], "{\"kind\": \"wall\", \"construction\": \"brick\"}");
    wall(&[("construction", None)], "{\"kind\": \"wall\" , \"top\": 2.40}");
    wall(&[("construction", None), ("top", None), ("no such", None)], "{\"kind\": \"wall\"}");
    wall(
        &[("base", Some(" 1.50 ")), ("top", None), ("a \"b\"", Some("{\"x\":[1.0,{}], \"y\":[]}"))],
        "{\"kind\": \"wall\", \"construction\": \"brick\" , \"base\": 1.50 , \"a \\\"b\\\"\": \
         {\"x\": [1.0, {}], \"y\": []}}",
    );
    wall(&[("top", Some("1")), ("top", Some("2.4"))], old);
    let all = [("kind", None), ("top", None), ("construction", None)];
    let text = edited_leniently(PLAN, &[set("wall-2", &all)]).unwrap();
    let geometry = "\"geometry\": {\"type\": \"LineString\", \"coordinates\": [[0, 3], [4, 3]]}";
    let named = format!("{{}}, {geometry}, \"id\": \"wall-2\"}}");
    assert_eq!(text, PLAN.replace(&format!("{old}, {geometry}}}"), &named));
    let more = [all[0], all[1], all[2], ("a", Some("[1]"))];
    let text = edited_leniently(PLAN, &[set("wall-2", &more)]).unwrap();
    let named = named.replacen("{}", "{\"a\": [1]}", 1);
    assert_eq!(text, PLAN.replace(&format!("{old}, {geometry}}}"), &named));
    wall(&[("top", Some("1")), ("top", None)], "{\"kind\": \"wall\", \"construction\": \"brick\"}");
    check(set("#4", &[("kind", Some("\"room\""))]), "{}", "{\"kind\": \"room\"}");
    // What had no id of its own keeps the one that it went by.
    let text = edited_leniently(PLAN, &[set("wall-1", &[("kind", Some("\"stairs\""))])]).unwrap();
    let expected = PLAN
        .replacen("\"wall\"", "\"stairs\"", 1)
        .replace("[4, 3]]}},\n    {\"type\"", "[4, 3]]}, \"id\": \"wall-1\"},\n    {\"type\"");
    let second = "[[0, 3], [4, 3]]}, \"id\": \"wall-";
    assert_eq!(text, expected.replace(&format!("{second}1"), &format!("{second}2")));
}

#[test]
fn changes_one_after_the_other() {
    let changes = [
        moved("p", 2.0, 3.0),
        set("wall-1", &[("top", Some("2"))]),
        moved("p", 4.0, 3.0),
        removed("wall-1"),
        set("wall-2", &[("top", None)]),
        shape("wall-2", &[(0.0, 3.0), (5.0, 3.0)]),
    ];
    let text = edited_leniently(PLAN, &changes).unwrap();
    let mut one_by_one = PLAN.to_owned();
    for change in changes {
        one_by_one = edited_leniently(&one_by_one, &[change]).unwrap();
    }
    assert_eq!(text, one_by_one);
    assert!(text.contains("[ 4.0, 3.0, 7 ]") && text.contains("[[0, 3], [5.0, 3]]"), "{text}");
    let gone = edited_leniently(PLAN, &[removed("hall"), moved("hall", 1.0, 1.0)]).unwrap_err();
    assert_eq!(gone, EditError::NoFeature("hall".to_owned()));
    assert!(!gone.fix().is_empty());
}

#[test]
fn a_feature_is_taken_out_and_the_others_keep_their_ids() {
    let lines: Vec<&str> = PLAN.lines().collect();
    let text = edited_leniently(PLAN, &[removed("wall-1")]).unwrap();
    let expected = PLAN
        .replace(&format!("{}\n", lines[2]), "")
        .replace("[[0, 3], [4, 3]]}}", "[[0, 3], [4, 3]]}, \"id\": \"wall-2\"}");
    assert_eq!(text, expected);
    let text = edited_leniently(PLAN, &[removed("hall")]).unwrap();
    let last = lines[7].strip_suffix("   ]").unwrap();
    assert_eq!(text, PLAN.replace(&format!(",\n{last}"), ""));
    let all = ["wall-1", "wall-2", "p", "p", "hall", "#1"].map(removed);
    let text = edited_leniently(PLAN, &all).unwrap();
    assert_eq!(text, format!("{}\n  \"features\": [\n       ]\n}}", lines[0]));
}

#[test]
fn a_feature_is_added() {
    let feature = r#"{"type":"Feature","id":"hall","bbox":[0,0,0,0],"properties":{"kind":"outlet","height":1.50,"maker":{"a":null}},
        "geometry":{"type":"Point","coordinates":[1,2.00004]}}"#;
    let change = Change::Add { feature: feature.to_owned() };
    let new = "\n    {\"type\": \"Feature\", \"id\": \"hall-2\", \"properties\": {\"kind\": \
               \"outlet\", \"height\": 1.50, \"maker\": {\"a\": null}}, \"geometry\": {\"type\": \
               \"Point\", \"coordinates\": [1, 2.0]}}";
    check(change, "   ]\n}", &format!(",{new}   ]\n}}"));
    // Into a plan in feet: coordinates are turned into feet, properties are not.
    let feet = PLAN.replace("\"colour\" : \"red\"", "\"units\": \"ft\"");
    let feature = feature.replace("[1,2.00004]", "[[0.3048,-3.048],[0,\"x\"]]");
    let text = edited_leniently(&feet, &[Change::Add { feature }]).unwrap();
    let new = new.replace("[1, 2.0]", "[[1.0, -10.0], [0, \"x\"]]");
    assert_eq!(text, feet.replace("   ]\n}", &format!(",{new}   ]\n}}")));
    // Without an id it goes by kind and number, unless another feature has that id.
    let wall = r#"{"type":"Feature","properties":{"kind":"wall"},"geometry":null}"#;
    let add = || Change::Add { feature: wall.to_owned() };
    let text = edited_leniently(PLAN, &[add()]).unwrap();
    assert!(!text.contains("wall-"), "{text}");
    let taken = PLAN.replace("\"hall\"", "\"wall-3\"");
    let text = edited_leniently(&taken, &[add()]).unwrap();
    assert!(text.contains("\"geometry\": null, \"id\": \"wall-3-2\"}"), "{text}");
}

#[test]
fn what_cannot_be_changed() {
    let outcome = |change: Change| edited_leniently(PLAN, &[change]).unwrap_err();
    for id in ["no such", "", "#0", "#7", "#-1", "wall-3", "sensor-1"] {
        for change in [
            moved(id, 1.0, 1.0),
            shape(id, &[(0.0, 0.0), (1.0, 1.0)]),
            set(id, &[("a", Some("1"))]),
            removed(id),
        ] {
            assert_eq!(outcome(change), EditError::NoFeature(id.to_owned()));
        }
    }
    assert_eq!(outcome(moved("hall", 1.0, 1.0)), EditError::NoPoint("hall".to_owned()));
    assert_eq!(outcome(shape("p", &[(0.0, 0.0), (1.0, 1.0)])), EditError::NoLine("p".to_owned()));
    for (id, least) in [("wall-1", 2), ("hall", 3)] {
        let few = [(0.0, 0.0), (1.0, 1.0), (0.0, 0.0)];
        let id = id.to_owned();
        let few = &few[..if least == 2 { 1 } else { 3 }];
        assert_eq!(outcome(shape(&id, few)), EditError::TooFewCorners { id, least });
    }
    assert_eq!(outcome(moved("p", f64::NAN, 1.0)), EditError::NotFinite);
    assert_eq!(outcome(moved("p", f64::MAX, 1.0)), EditError::NotFinite);
    let far = shape("hall", &[(0.0, 0.0), (1.0, f64::INFINITY), (2.0, 2.0)]);
    assert_eq!(outcome(far), EditError::NotFinite);
    let deep = format!("{}1{}", "[".repeat(40), "]".repeat(40));
    for value in ["", "x", "{", "1 2", "NaN", "\"", deep.as_str()] {
        let error = outcome(set("p", &[("top", Some(value))]));
        assert_eq!(error, EditError::NotJson("top".to_owned()), "{value}");
        let error = outcome(Change::Add { feature: value.to_owned() });
        assert_eq!(error, EditError::NotAFeature, "{value}");
    }
    assert_eq!(outcome(Change::Add { feature: "[]".to_owned() }), EditError::NotAFeature);
    let elsewhere = Change::Move {
        id: "p".to_owned(),
        position: Coord { x: 1.0, y: 1.0 },
        level: Some(3),
        height_above_floor_m: None,
    };
    assert_eq!(outcome(elsewhere), EditError::NoLevel(3));
    let nested = format!("{}1{}", "[".repeat(30), "]".repeat(30));
    let error = outcome(set("p", &[("top", Some(&nested))]));
    assert!(matches!(error, EditError::Refused(_)), "{error}");
    for other in ["", "[]", "{", "{}", "{\"features\": {}}"] {
        let error = edited_leniently(other, &[moved("p", 1.0, 1.0)]).unwrap_err();
        assert_eq!(error, EditError::NotThisPlan, "{other}");
    }
}
