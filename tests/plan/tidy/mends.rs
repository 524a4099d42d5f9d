//! Each mend by itself: the exact text before and after, and the words for it.

use plan::read_house;
use plan::tidy::{TidySettings, tidied};

use crate::tidy::support::{door, doubts, mends, plan_of, tidy, vocabulary, wall};

/// Tidies a plan of features into one of other features, with these words for what was mended.
fn becomes(before: &[&str], after: &[&str], words: &[&str]) {
    let done = tidy(&plan_of(before));
    assert_eq!(mends(&done), words);
    assert_eq!(done.text, plan_of(after));
}

/// Tidies a plan that must stay as it is, with these words for what is doubtful.
fn stays(features: &[&str], words: &[&str]) {
    let text = plan_of(features);
    let done = tidy(&text);
    assert_eq!(mends(&done), [""; 0]);
    assert_eq!(doubts(&done), words);
    assert!(done.text == text);
}

const BOX: &str = "[[0, 0], [4, 0], [4, 3], [0, 3], [0, 0]]";

#[test]
fn ends_that_nearly_meet_are_drawn_to_the_first_of_them() {
    becomes(
        &[&wall("a", "brick", "[[0, 0], [3, 4]]"), &wall("b", "stud", "[[3.00, 4.02], [7, 4]]")],
        &[&wall("a", "brick", "[[0, 0], [3, 4]]"), &wall("b", "stud", "[[3.00, 4.0], [7, 4]]")],
        &["6: b: moved the end at (3, 4.02) by 0.02 m to the end of wall a at (3, 4)"],
    );
}

#[test]
fn an_end_goes_to_the_corner_where_more_walls_meet() {
    becomes(
        &[&wall("a", "stud", "[[4.03, 3.01], [8, 7]]"), &wall("outer", "brick", BOX)],
        &[&wall("a", "stud", "[[4.0, 3.0], [8, 7]]"), &wall("outer", "brick", BOX)],
        &["5: a: moved the end at (4.03, 3.01) by 0.032 m to the corner of wall outer at (4, 3)"],
    );
}

#[test]
fn a_wall_that_all_but_closes_is_closed() {
    becomes(
        &[&wall("outer", "brick", "[[0, 0], [4, 0], [4, 3], [0, 3], [0.01, 0.02]]")],
        &[&wall("outer", "brick", "[[0, 0], [4, 0], [4, 3], [0, 3], [0.0, 0.0]]")],
        &["5: outer: moved the end at (0.01, 0.02) by 0.022 m to its other end at (0, 0)"],
    );
}

#[test]
fn a_gap_and_an_overshoot_at_a_wall_are_closed_along_the_walls_own_line() {
    becomes(
        &[
            &wall("outer", "brick", BOX),
            &wall("gap", "stud", "[[1, 0.04], [1, 1]]"),
            &wall("over", "stud", "[[2, 1], [3.01, 3.03]]"),
        ],
        &[
            &wall("outer", "brick", BOX),
            &wall("gap", "stud", "[[1, 0.0], [1, 1]]"),
            &wall("over", "stud", "[[2, 1], [2.995, 3.0]]"),
        ],
        &[
            "6: gap: moved the end at (1, 0.04) by 0.04 m onto wall outer at (1, 0)",
            "7: over: moved the end at (3.01, 3.03) by 0.034 m onto wall outer at (2.995, 3)",
        ],
    );
}

#[test]
fn two_ends_that_overshoot_each_other_meet_where_their_lines_cross() {
    becomes(
        &[
            &wall("a", "brick", "[[0, 0], [4.045, 0]]"),
            &wall("b", "brick", "[[4, -0.045], [4, 3]]"),
        ],
        &[&wall("a", "brick", "[[0, 0], [4.0, 0]]"), &wall("b", "brick", "[[4, 0.0], [4, 3]]")],
        &[
            "5: a: moved the end at (4.045, 0) by 0.045 m to the corner with wall b at (4, 0)",
            "6: b: moved the end at (4, -0.045) by 0.045 m to the corner with wall a at (4, 0)",
        ],
    );
}

#[test]
fn a_wall_in_pieces_is_made_one_and_keeps_the_first_id_and_its_openings() {
    becomes(
        &[
            &wall("north", "brick", "[[0, 0], [2, 0]]"),
            &wall("rest", "brick", "[[6, 0], [2.01, 0]]"),
            &door("door", "[[3, 0], [3.9, 0]]"),
        ],
        &[&wall("north", "brick", "[[0, 0], [6, 0]]"), &door("door", "[[3, 0], [3.9, 0]]")],
        &[
            "6: rest: moved the end at (2.01, 0) by 0.01 m to the end of wall north at (2, 0)",
            "6: rest: joined to wall north at (2, 0), which it goes on in one line",
        ],
    );
}

#[test]
fn overlapping_walls_in_one_line_are_made_one() {
    becomes(
        &[&wall("a", "brick", "[[0, 0], [3, 0]]"), &wall("b", "brick", "[[2, 0], [5, 0]]")],
        &[&wall("a", "brick", "[[0, 0], [5, 0]]")],
        &[
            "6: b: cut the wall to what runs from (3, 0) to (5, 0): the rest lies on wall a",
            "6: b: joined to wall a at (3, 0), which it goes on in one line",
        ],
    );
}

#[test]
fn walls_that_differ_in_anything_or_meet_others_are_not_joined() {
    let named = wall("b", "brick", "[[2, 0], [5, 0]]")
        .replace(r#""kind": "wall""#, r#""kind": "wall", "name": "Porch""#);
    let ends = "5: a: the end at (0, 0) stands free";
    stays(
        &[&wall("a", "brick", "[[0, 0], [2, 0]]"), &named],
        &[ends, "6: b: the end at (5, 0) stands free"],
    );
    stays(
        &[
            &wall("a", "brick", "[[0, 0], [2, 0]]"),
            &wall("b", "brick", "[[2, 0], [5, 0]]"),
            &wall("c", "brick", "[[2, 0], [2, 5]]"),
        ],
        &[ends, "6: b: the end at (5, 0) stands free", "7: c: the end at (2, 5) stands free"],
    );
}

#[test]
fn walls_that_cross_get_a_point_there_both() {
    becomes(
        &[
            &wall("a", "brick", "[[0, 0], [4, 0]]"),
            &wall("b", "stud", "[[1, -1], [1.5, 2]]"),
            &wall("c", "stud", "[[3, -1, 7], [3, 2, 7]]"),
        ],
        &[
            &wall("a", "brick", "[[0, 0], [1.167, 0.0], [3.0, 0.0], [4, 0]]"),
            &wall("b", "stud", "[[1, -1], [1.167, 0.0], [1.5, 2]]"),
            &wall("c", "stud", "[[3, -1, 7], [3.0, 0.0], [3, 2, 7]]"),
        ],
        &[
            "5: a: put in a point at (1.167, 0), where it crosses wall b",
            "5: a: put in a point at (3, 0), where it crosses wall c",
            "6: b: put in a point at (1.167, 0), where it crosses wall a",
            "7: c: put in a point at (3, 0), where it crosses wall a",
        ],
    );
}

#[test]
fn a_wall_that_crosses_another_in_its_door_is_told_only() {
    stays(
        &[
            &wall("outer", "brick", BOX),
            &wall("b", "stud", "[[1, -1], [1, 3]]"),
            &door("door", "[[0.5, 0], [1.5, 0]]"),
        ],
        &[
            "6: b: it crosses wall outer at (1, 0), where the opening \"door\" is",
            "6: b: the end at (1, -1) stands free",
        ],
    );
}

#[test]
fn an_opening_off_its_wall_by_less_than_the_wall_is_thick_is_put_on_it() {
    becomes(
        &[
            &wall("outer", "brick", BOX),
            &door("near", "[[1, 0.03], [1.9, 0.02]]"),
            &door("far", "[[4.09, 1], [4.09, 1.90]]"),
        ],
        &[
            &wall("outer", "brick", BOX),
            &door("near", "[[1, 0.0], [1.9, 0.0]]"),
            &door("far", "[[4.0, 1], [4.0, 1.90]]"),
        ],
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
fn an_opening_that_reaches_beyond_its_wall_is_cut_to_it() {
    becomes(
        &[&wall("outer", "brick", BOX), &door("door", "[[3.2, 0], [4.08, 0]]")],
        &[&wall("outer", "brick", BOX), &door("door", "[[3.2, 0], [4.0, 0]]")],
        &["6: door: cut off 0.08 m that reached beyond the end of wall outer at (4, 0)"],
    );
}

#[test]
fn openings_that_overlap_a_little_are_cut_apart() {
    becomes(
        &[
            &wall("outer", "brick", BOX),
            &door("first", "[[1.96, 0], [2.8, 0]]"),
            &door("second", "[[1, 0], [2, 0]]"),
        ],
        &[
            &wall("outer", "brick", BOX),
            &door("first", "[[1.96, 0], [2.8, 0]]"),
            &door("second", "[[1, 0], [1.96, 0]]"),
        ],
        &["7: second: cut off 0.04 m that overlapped the opening \"first\""],
    );
}

#[test]
fn openings_move_with_their_wall() {
    becomes(
        &[
            &wall("outer", "brick", BOX),
            &wall("inner", "stud", "[[0.04, 3], [4, 0.04]]"),
            &door("door", "[[1, 2.282], [2, 1.535]]"),
        ],
        &[
            &wall("outer", "brick", BOX),
            &wall("inner", "stud", "[[0.0, 3], [4, 0.0]]"),
            &door("door", "[[0.985, 2.262], [1.983, 1.513]]"),
        ],
        &[
            "6: inner: moved the end at (0.04, 3) by 0.04 m to the corner of wall outer at (0, 3)",
            "6: inner: moved the end at (4, 0.04) by 0.04 m to the corner of wall outer at (4, 0)",
            "7: door: moved the opening by 0.028 m onto the middle of wall inner",
        ],
    );
}

#[test]
fn walls_without_length_and_repeated_points_are_taken_out() {
    becomes(
        &[
            &wall("none", "brick", "[[1, 1], [1, 1]]"),
            &wall(
                "outer",
                "brick",
                "[[0, 0], [4, 0], [4, 0], [4, 3], [0, 3], [0, 0.0005], [0, 0]]",
            ),
            &wall("nought", "brick", "[[2, 2], [2, 2], [2, 2.0002]]"),
        ],
        &[&wall("outer", "brick", BOX)],
        &[
            "5: none: took the wall out: it has no length",
            "6: outer: took out the point (4, 0), which repeats the one beside it",
            "6: outer: took out the point (0, 0.001), which repeats the one beside it",
            "7: nought: took the wall out: it has no length",
        ],
    );
}

#[test]
fn a_wall_that_lies_on_others_is_taken_out_or_cut() {
    becomes(
        &[
            &wall("outer", "brick", BOX),
            &wall("twice", "brick", "[[4, 0], [4, 2], [4, 3]]"),
            &wall("room", "brick", "[[4, 0], [7, 0], [7, 2], [4, 2], [4, 0]]"),
        ],
        &[&wall("outer", "brick", BOX), &wall("room", "brick", "[[4, 0], [7, 0], [7, 2], [4, 2]]")],
        &[
            "6: twice: took the wall out: it lies on wall outer",
            "7: room: cut the wall to what runs from (4, 0) to (4, 2): the rest lies on wall outer",
        ],
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
fn what_is_not_safe_is_told_only() {
    stays(
        &[
            &wall("outer", "brick", BOX),
            &wall("other", "stud", "[[0, 0], [4, 0]]"),
            &wall("beside", "brick", "[[0.5, 2.96], [3.5, 2.96]]"),
            &wall("short", "stud", "[[2, 0], [2, 2.5]]").replace("2.5]", "2.84]"),
        ],
        &[
            "6: other: 4 m of it lie on wall outer, which is built otherwise (\"brick\")",
            "7: beside: over 3 m it runs beside wall outer, 0.04 m apart",
            "7: beside: the end at (0.5, 2.96) lies 0.04 m off wall outer",
            "7: beside: the end at (3.5, 2.96) lies 0.04 m off wall outer",
            "8: short: the end at (2, 2.84) stops 0.12 m short of wall beside",
        ],
    );
}

#[test]
fn walls_of_different_make_are_not_drawn_onto_one_another() {
    stays(
        &[&wall("outer", "brick", BOX), &wall("lining", "stud", "[[0.03, 0.02], [3.98, 0.02]]")],
        &[
            "6: lining: over 3.95 m it runs beside wall outer, 0.02 m apart",
            "6: lining: the end at (0.03, 0.02) lies 0.02 m off wall outer",
            "6: lining: the end at (3.98, 0.02) lies 0.02 m off wall outer",
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

#[test]
fn devices_are_told_of_and_never_touched() {
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
            "7: b: the sensor hangs in the place of \"a\"",
            "10: far-side: the sensor hangs 0.12 m outside every wall of its level",
        ],
    );
}

#[test]
fn an_opening_between_two_walls_or_half_off_its_wall_is_told_only() {
    stays(
        &[
            &wall("a", "brick", "[[0, 0], [9, 0]]"),
            &wall("b", "brick", "[[0, 0.08], [9, 0.08]]"),
            &door("door", "[[1, 0.04], [2, 0.04]]"),
        ],
        &[
            "5: a: the end at (0, 0) stops 0.08 m short of wall b",
            "5: a: the end at (9, 0) stops 0.08 m short of wall b",
            "6: b: the end at (0, 0.08) stops 0.08 m short of wall a",
            "6: b: the end at (9, 0.08) stops 0.08 m short of wall a",
            "7: door: the opening lies 0.04 m off wall a and as near to wall b",
        ],
    );
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
        let features: Vec<&str> = features.iter().map(String::as_str).collect();
        let text = plan_of(&features);
        let settings = TidySettings::default();
        let faults = tidied("p", &text, &vocabulary(), &settings).unwrap_err();
        let reader = read_house("p", text.as_bytes(), &vocabulary()).unwrap_err();
        assert_eq!(faults, reader);
    }
}
