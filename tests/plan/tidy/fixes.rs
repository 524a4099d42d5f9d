//! Each fix by itself: the exact text before and after, and the words for it.

use plan::read_house;
use plan::tidy::{TidySettings, tidied};

use crate::tidy::support::{door, doubts, fixes, plan_of, tidy, vocabulary, wall};

/// Tidies a plan of features into one of other features, with these words for what was fixed.
fn becomes(before: &[impl AsRef<str>], after: &[impl AsRef<str>], words: &[&str]) {
    let done = tidy(&plan_of(before));
    assert_eq!(fixes(&done), words);
    assert_eq!(done.text, plan_of(after));
}

/// Features, a line each: id, construction, line, and after an arrow what the line becomes.
fn drawn(drawing: &str) -> [Vec<String>; 2] {
    let mut states = [Vec::new(), Vec::new()];
    for row in drawing.lines().map(str::trim) {
        let (feature, after) = row.split_once(" -> ").unwrap_or((row, ""));
        let [id, make, line] = feature.splitn(3, ' ').collect::<Vec<_>>()[..] else {
            panic!("{row}");
        };
        let feature = |line: &str| match (make, line) {
            ("door", _) => door(id, line),
            (_, "BOX") => wall(id, make, BOX),
            _ => wall(id, make, line),
        };
        states[0].push(feature(line));
        if after != "nothing" {
            states[1].push(feature(if after.is_empty() { line } else { after }));
        }
    }
    states
}

fn becomes_drawn(drawing: &str, words: &[&str]) {
    let [before, after] = drawn(drawing);
    becomes(&before, &after, words);
}

fn stays_drawn(drawing: &str, words: &[&str]) {
    stays(&drawn(drawing)[0], words);
}

/// Tidies a plan that must stay as it is, with these words for what is doubtful.
fn stays(features: &[impl AsRef<str>], words: &[&str]) {
    let text = plan_of(features);
    let done = tidy(&text);
    assert_eq!(fixes(&done), [""; 0]);
    assert_eq!(doubts(&done), words);
    assert!(done.text == text);
}

const BOX: &str = "[[0, 0], [4, 0], [4, 3], [0, 3], [0, 0]]";

#[test]
fn each_fix_has_its_text_and_its_words() {
    // Ends that nearly meet are drawn to the first of them.
    becomes_drawn(
        "a brick [[0, 0], [3, 4]]
         b stud [[3.00, 4.02], [7, 4]] -> [[3.00, 4.0], [7, 4]]",
        &["6: b: moved the end at (3, 4.02) by 0.02 m to the end of wall a at (3, 4)"],
    );
    // An end goes to the corner where more walls meet.
    becomes_drawn(
        "a stud [[4.03, 3.01], [8, 7]] -> [[4.0, 3.0], [8, 7]]
         outer brick BOX",
        &["5: a: moved the end at (4.03, 3.01) by 0.032 m to the corner of wall outer at (4, 3)"],
    );
    // A wall that all but closes is closed.
    becomes_drawn(
        "outer brick [[0, 0], [4, 0], [4, 3], [0, 3], [0.01, 0.02]] -> [[0, 0], [4, 0], [4, 3], [0, 3], [0.0, 0.0]]",
        &["5: outer: moved the end at (0.01, 0.02) by 0.022 m to its other end at (0, 0)"],
    );
    // A gap and an overshoot at a wall are closed along the walls own line.
    becomes_drawn(
        "outer brick BOX
         gap stud [[1, 0.04], [1, 1]] -> [[1, 0.0], [1, 1]]
         over stud [[2, 1], [3.01, 3.03]] -> [[2, 1], [2.995, 3.0]]",
        &[
            "6: gap: moved the end at (1, 0.04) by 0.04 m onto wall outer at (1, 0)",
            "7: over: moved the end at (3.01, 3.03) by 0.034 m onto wall outer at (2.995, 3)",
        ],
    );
    // Two ends that overshoot each other meet where their lines cross.
    becomes_drawn(
        "a brick [[0, 0], [4.045, 0]] -> [[0, 0], [4.0, 0]]
         b brick [[4, -0.045], [4, 3]] -> [[4, 0.0], [4, 3]]",
        &[
            "5: a: moved the end at (4.045, 0) by 0.045 m to the corner with wall b at (4, 0)",
            "6: b: moved the end at (4, -0.045) by 0.045 m to the corner with wall a at (4, 0)",
        ],
    );
    // A wall in pieces is made one and keeps the first id and its openings.
    becomes_drawn(
        "north brick [[0, 0], [2, 0]] -> [[0, 0], [6, 0]]
         rest brick [[6, 0], [2.01, 0]] -> nothing
         door door [[3, 0], [3.9, 0]]",
        &[
            "6: rest: moved the end at (2.01, 0) by 0.01 m to the end of wall north at (2, 0)",
            "6: rest: joined to wall north at (2, 0), which it goes on in one line",
        ],
    );
    // Overlapping walls in one line are made one.
    becomes_drawn(
        "a brick [[0, 0], [3, 0]] -> [[0, 0], [5, 0]]
         b brick [[2, 0], [5, 0]] -> nothing",
        &[
            "6: b: cut the wall to the part from (3, 0) to (5, 0): the rest is on wall a",
            "6: b: joined to wall a at (3, 0), which it goes on in one line",
        ],
    );
    // Walls that cross get a point there both.
    becomes_drawn(
        "a brick [[0, 0], [4, 0]] -> [[0, 0], [1.167, 0.0], [3.0, 0.0], [4, 0]]
         b stud [[1, -1], [1.5, 2]] -> [[1, -1], [1.167, 0.0], [1.5, 2]]
         c stud [[3, -1, 7], [3, 2, 7]] -> [[3, -1, 7], [3.0, 0.0], [3, 2, 7]]",
        &[
            "5: a: put in a point at (1.167, 0), where it crosses wall b",
            "5: a: put in a point at (3, 0), where it crosses wall c",
            "6: b: put in a point at (1.167, 0), where it crosses wall a",
            "7: c: put in a point at (3, 0), where it crosses wall a",
        ],
    );
    // An opening that reaches beyond its wall is cut to it.
    becomes_drawn(
        "outer brick BOX
         door door [[3.2, 0], [4.08, 0]] -> [[3.2, 0], [4.0, 0]]",
        &["6: door: cut off 0.08 m that reached beyond the end of wall outer at (4, 0)"],
    );
    // Openings that overlap a little are cut apart.
    becomes_drawn(
        "outer brick BOX
         first door [[1.96, 0], [2.8, 0]]
         second door [[1, 0], [2, 0]] -> [[1, 0], [1.96, 0]]",
        &["7: second: cut off 0.04 m that overlapped the opening \"first\""],
    );
    // Openings move with their wall.
    becomes_drawn(
        "outer brick BOX
         inner stud [[0.04, 3], [4, 0.04]] -> [[0.0, 3], [4, 0.0]]
         door door [[1, 2.282], [2, 1.535]] -> [[0.985, 2.262], [1.983, 1.513]]",
        &[
            "6: inner: moved the end at (0.04, 3) by 0.04 m to the corner of wall outer at (0, 3)",
            "6: inner: moved the end at (4, 0.04) by 0.04 m to the corner of wall outer at (4, 0)",
            "7: door: moved the opening by 0.028 m onto the middle of wall inner",
        ],
    );
    // Walls without length and repeated points are taken out.
    becomes_drawn(
        "none brick [[1, 1], [1, 1]] -> nothing
         outer brick [[0, 0], [4, 0], [4, 0], [4, 3], [0, 3], [0, 0.0005], [0, 0]] -> BOX
         nought brick [[2, 2], [2, 2], [2, 2.0002]] -> nothing",
        &[
            "5: none: took the wall out: it has no length",
            "6: outer: took out the point (4, 0), which repeats the one beside it",
            "6: outer: took out the point (0, 0.001), which repeats the one beside it",
            "7: nought: took the wall out: it has no length",
        ],
    );
    // A wall that lies on others is taken out or cut.
    becomes_drawn(
        "outer brick BOX
         twice brick [[4, 0], [4, 2], [4, 3]] -> nothing
         room brick [[4, 0], [7, 0], [7, 2], [4, 2], [4, 0]] -> [[4, 0], [7, 0], [7, 2], [4, 2]]",
        &[
            "6: twice: removed the wall: it is on wall outer",
            "7: room: cut the wall to the part from (4, 0) to (4, 2): the rest is on wall outer",
        ],
    );
}

#[test]
fn what_is_doubtful_stays_and_is_told() {
    // A wall that crosses another in its door is told only.
    stays_drawn(
        "outer brick BOX
         b stud [[1, -1], [1, 3]]
         door door [[0.5, 0], [1.5, 0]]",
        &[
            "6: b: it crosses wall outer at (1, 0), where the opening \"door\" is",
            "6: b: the end at (1, -1) meets no wall",
        ],
    );
    // What is not safe is told only.
    stays(
        &[
            &wall("outer", "brick", BOX),
            &wall("other", "stud", "[[0, 0], [4, 0]]"),
            &wall("beside", "brick", "[[0.5, 2.96], [3.5, 2.96]]"),
            &wall("short", "stud", "[[2, 0], [2, 2.5]]").replace("2.5]", "2.84]"),
        ],
        &[
            "6: other: 4 m of it is on wall outer, of another construction (\"brick\")",
            "7: beside: for 3 m it runs beside wall outer, 0.04 m away",
            "7: beside: the end at (0.5, 2.96) is 0.04 m off wall outer",
            "7: beside: the end at (3.5, 2.96) is 0.04 m off wall outer",
            "8: short: the end at (2, 2.84) stops 0.12 m short of wall beside",
        ],
    );
    // Walls of different make are not drawn onto one another.
    stays_drawn(
        "outer brick BOX
         lining stud [[0.03, 0.02], [3.98, 0.02]]",
        &[
            "6: lining: for 3.95 m it runs beside wall outer, 0.02 m away",
            "6: lining: the end at (0.03, 0.02) is 0.02 m off wall outer",
            "6: lining: the end at (3.98, 0.02) is 0.02 m off wall outer",
        ],
    );
    // Devices are told of and never touched.
    stays(
        &[
            &wall("outer", "brick", BOX),
            &device("a", "sensor", "[1, 1]", ""),
            &device("b", "sensor", "[1.01, 1]", ""),
            &device("above", "sensor", "[1, 1]", ", \"height\": 2.2"),
            &device("other", "keypad", "[1, 1]", ""),
            &device("far-side", "sensor", "[4.12, 1]", ""),
            &device("horn", "siren", "[4.12, 2]", ""),
        ],
        &[
            "7: b: the sensor is in the same place as \"a\"",
            "10: far-side: the sensor is 0.12 m outside the walls of its level",
        ],
    );
    // An opening between two walls or half off its wall is told only.
    stays_drawn(
        "a brick [[0, 0], [9, 0]]
         b brick [[0, 0.08], [9, 0.08]]
         door door [[1, 0.04], [2, 0.04]]",
        &[
            "5: a: the end at (0, 0) stops 0.08 m short of wall b",
            "5: a: the end at (9, 0) stops 0.08 m short of wall b",
            "6: b: the end at (0, 0.08) stops 0.08 m short of wall a",
            "6: b: the end at (9, 0.08) stops 0.08 m short of wall a",
            "7: door: the opening is 0.04 m off wall a and as near to wall b",
        ],
    );
}

#[test]
fn walls_that_differ_in_anything_or_meet_others_are_not_joined() {
    let named = wall("b", "brick", "[[2, 0], [5, 0]]")
        .replace(r#""kind": "wall""#, r#""kind": "wall", "name": "Porch""#);
    let ends = "5: a: the end at (0, 0) meets no wall";
    stays(
        &[&wall("a", "brick", "[[0, 0], [2, 0]]"), &named],
        &[ends, "6: b: the end at (5, 0) meets no wall"],
    );
    stays_drawn(
        "a brick [[0, 0], [2, 0]]
         b brick [[2, 0], [5, 0]]
         c brick [[2, 0], [2, 5]]",
        &[ends, "6: b: the end at (5, 0) meets no wall", "7: c: the end at (2, 5) meets no wall"],
    );
}

#[test]
fn an_opening_off_its_wall_by_less_than_the_wall_is_thick_is_put_on_it() {
    becomes_drawn(
        "outer brick BOX
         near door [[1, 0.03], [1.9, 0.02]] -> [[1, 0.0], [1.9, 0.0]]
         far door [[4.09, 1], [4.09, 1.90]] -> [[4.0, 1], [4.0, 1.90]]",
        &[
            "6: near: moved the opening by 0.03 m onto the middle of wall outer",
            "7: far: moved the opening by 0.09 m onto the middle of wall outer",
        ],
    );
    let thick =
        wall("outer", "brick", BOX).replace("\"brick\"", "\"brick\", \"thickness_mm\": 400");
    becomes(
        &[&thick, &door("far", "[[4.2, 1], [4.2, 1.9]]")],
        &[&thick, &door("far", "[[4.0, 1], [4.0, 1.9]]")],
        &["6: far: moved the opening by 0.2 m onto the middle of wall outer"],
    );
}

#[test]
fn ids_that_would_change_are_written_down() {
    let nameless = |text: String| text.replace(r#""id": "", "#, "");
    let stud = nameless(wall("", "stud", "[[1, 0], [1, 3]]"));
    becomes(
        &[&wall("outer", "brick", BOX), &wall("none", "brick", "[[1, 1], [1, 1]]"), &stud],
        &[&wall("outer", "brick", BOX), &stud.replace("}}", r#"}, "id": "wall-3"}"#)],
        &[
            "6: none: took the wall out: it has no length",
            "7: wall-3: wrote down the id that it went by: a wall before it is gone",
        ],
    );
}

#[test]
fn a_wall_above_another_is_no_double() {
    let upper =
        wall("upper", "brick", "[[0, 0], [4, 0]]").replace("\"kind\"", "\"base\": 1.2, \"kind\"");
    let lower =
        wall("lower", "brick", "[[0, 0], [4, 0]]").replace("\"kind\"", "\"top\": 1.2, \"kind\"");
    stays(&[&lower, &upper], &[]);
}

fn device(id: &str, kind: &str, coordinates: &str, more: &str) -> String {
    format!(
        r#"{{"type": "Feature", "id": "{id}", "geometry": {{"type": "Point", "coordinates": {coordinates}}}, "properties": {{"kind": "{kind}"{more}}}}}"#
    )
}

/// The reader's fault stays: to cut so much off would change the door.
#[test]
fn an_opening_far_beyond_its_wall_or_over_another_is_refused_by_the_reader() {
    for doors in [
        vec![door("door", "[[3.2, 0], [4.3, 0]]")],
        vec![door("one", "[[1, 0], [2, 0]]"), door("two", "[[1.8, 0], [2.6, 0]]")],
    ] {
        let mut features = vec![wall("outer", "brick", BOX)];
        features.extend(doors);
        let text = plan_of(&features);
        let settings = TidySettings::default();
        let faults = tidied("p", &text, &vocabulary(), &settings).unwrap_err();
        let reader = read_house("p", text.as_bytes(), &vocabulary()).unwrap_err();
        assert_eq!(faults, reader);
    }
}

#[test]
fn a_wall_that_a_door_would_lose_stays_and_the_rest_is_fixed() {
    let thick = |id: &str, mm: u32, line: &str| {
        wall(id, "brick", line).replace("\"kind\"", &format!("\"thickness_mm\": {mm}, \"kind\""))
    };
    // Two leaves side by side whose ends are within reach of one another, a door in the thin one;
    // and two walls that miss one another by a hand.
    let plan = plan_of(&[
        thick("leaf", 152, "[[0.173, -0.042], [0.951, 3.207]]"),
        thick("thin", 51, "[[0.82, 3.421], [0.0, 0.0]]"),
        door("d", "[[0.784, 3.273], [0.009, 0.037]]"),
        wall("north", "brick", "[[10.0, 0.0], [14.0, 0.0]]"),
        wall("east", "brick", "[[14.0, 0.12], [14.0, 4.0]]"),
    ]);
    let at = |snap_m: f64| {
        let settings = TidySettings { snap_m };
        let done = tidied("plan.geojson", &plan, &vocabulary(), &settings).unwrap();
        read_house("plan.geojson", done.text.as_bytes(), &vocabulary()).unwrap();
        let again = tidied("plan.geojson", &done.text, &vocabulary(), &settings).unwrap();
        assert_eq!(again.fixes, []);
        done.fixes.len()
    };
    assert!(at(0.15) > 0);
    assert!(at(0.25) > 0);
}
