//! What is not fixed stays byte for byte, however it is laid out and whatever else the plan holds.

use plan::read_house;
use plan::tidy::{TidySettings, tidied};

use crate::tidy::support::{door, fixes, plan_of, tidy, vocabulary, wall};

#[test]
fn unknown_things_layout_and_spelling_of_numbers_stay() {
    let before = "\u{20}{\"type\":\"FeatureCollection\",\r\n\t\"made by\" : {\"a\":[1 , 2.50]},\r\n\t\"features\":[\r\n\
        {\"type\":\"Feature\",\"properties\":{\"kind\":\"wall\",\"construction\":\"brick\",\"colour\":null},\"bbox\":[0,0,4.02,3],\r\n\
        \t\"geometry\":{\"coordinates\":[\r\n\t\t[ 0e0,0.00 ],\r\n\t\t[ 40.0E-1,0,7.10 ],\r\n\t\t[ 4 , 3 ]\r\n\t],\"type\":\"LineString\"}},\r\n\
        {\"type\":\"Feature\",\"properties\":{\"kind\":\"tree\",\"height\":1e1},\"geometry\":null},\r\n\
        {\"id\":7,\"type\":\"Feature\",\"bbox\":[4.020,3,9,9.0],\"properties\":{\"kind\":\"wall\",\"construction\":\"stud\"},\r\n\
        \t\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[4.020,3],[9,9.0]]}}\r\n]}\r\n\r\n";
    let done = tidy(before);
    let after = before
        .replace("[[4.020,3],[9,9.0]]", "[[4.0,3],[9,9.0]]")
        .replace("\"bbox\":[4.020,3,9,9.0]", "\"bbox\":[4.0,3,9,9.0]");
    assert_eq!(done.text, after);
    assert_eq!(
        fixes(&done),
        ["12: 7: moved the end at (4.02, 3) by 0.02 m to the end of wall wall-1 at (4, 3)"]
    );
}

#[test]
fn a_point_put_in_is_laid_out_like_those_beside_it() {
    let spread = "[\n      [ 0, 1 ],\n      [ 4, 1 ]\n    ]";
    let text = plan_of(&[&wall("a", "brick", spread), &wall("b", "stud", "[[2,0],[2,3]]")]);
    let after = text
        .replace(spread, "[\n      [ 0, 1 ],\n      [ 2.0, 1.0 ],\n      [ 4, 1 ]\n    ]")
        .replace("[[2,0],[2,3]]", "[[2,0],[2.0,1.0],[2,3]]");
    assert_eq!(tidy(&text).text, after);
}

#[test]
fn features_go_with_their_comma_and_line_wherever_they_stand() {
    let a = wall("a", "brick", "[[0, 0], [4, 0]]");
    let none = wall("none", "brick", "[[9, 9], [9, 9]]");
    let nought = wall("nought", "brick", "[[9, 8], [9, 8]]");
    for before in [
        vec![&a, &none],
        vec![&none, &a],
        vec![&none, &nought, &a],
        vec![&none, &a, &nought],
        vec![&a, &none, &nought],
    ] {
        let before: Vec<&str> = before.iter().map(|feature| feature.as_str()).collect();
        assert_eq!(tidy(&plan_of(&before)).text, plan_of(&[&a]), "{before:?}");
    }
    let empty = plan_of(&[&none, &nought]);
    let inner = empty.find("{\"type\": \"Feature\"").unwrap()..empty.rfind("\n  ]").unwrap();
    let mut all_gone = empty.clone();
    all_gone.replace_range(inner, "");
    assert_eq!(tidy(&empty).text, all_gone);
}

#[test]
fn a_plan_in_feet_is_fixed_in_feet() {
    let text = plan_of(&[
        &wall("a", "brick", "[[0, 0], [10, 0]]"),
        &wall("b", "stud", "[[5, 0.16], [5, 9]]"),
        &wall("c", "stud", "[[7, 0.17], [7, 9]]"),
    ])
    .replace("\"name\": \"House\"", "\"units\": \"ft\"");
    let done = tidy(&text);
    assert_eq!(done.text, text.replace("[5, 0.16]", "[5, 0.0]"));
    assert_eq!(fixes(&done), ["6: b: moved the end at (5, 0.16) by 0.16 ft onto wall a at (5, 0)"]);
    let left: Vec<&str> = done.left.iter().map(|doubt| doubt.what.as_str()).collect();
    assert!(left.contains(&"the end at (7, 0.17) stops 0.17 ft short of wall a"), "{left:?}");
}

#[test]
fn walls_of_different_levels_are_strangers() {
    let levels = "\"levels\": [{\"level\": 0, \"floor\": 0, \"ceiling\": 2.4}, \
                  {\"level\": 1, \"floor\": 2.6, \"ceiling\": 5}]";
    let on = |level: &str, text: String| {
        text.replace("\"kind\"", &format!("\"level\": {level}, \"kind\""))
    };
    let text = plan_of(&[
        &on("0", wall("a", "brick", "[[0, 0], [10, 0]]")),
        &on("1", wall("b", "brick", "[[0, 0], [10, 0]]")),
        &on("1", wall("c", "stud", "[[5, 0.03], [5, 9]]")),
        &on("0", wall("d", "stud", "[[10.02, 0], [10.02, 9]]")),
    ])
    .replace("\"name\": \"House\"", levels);
    assert_eq!(
        fixes(&tidy(&text)),
        [
            "7: c: moved the end at (5, 0.03) by 0.03 m onto wall b at (5, 0)",
            "8: d: moved the end at (10.02, 0) by 0.02 m to the end of wall a at (10, 0)",
        ]
    );
}

#[test]
fn the_tolerance_can_be_chosen() {
    let text = plan_of(&[
        &wall("a", "brick", "[[0, 0], [10, 0]]"),
        &wall("b", "stud", "[[5, 0.12], [5, 9]]"),
    ]);
    for (snap_m, moved) in [(0.1, 0), (0.15, 1), (f64::INFINITY, 1), (-1.0, 0), (f64::NAN, 0)] {
        let settings = TidySettings { snap_m };
        let done = tidied("plan.geojson", &text, &vocabulary(), &settings).unwrap();
        assert_eq!(done.fixes.len(), moved, "{snap_m}");
    }
}

#[test]
fn what_is_no_plan_is_refused_in_the_readers_words() {
    let none = plan_of(&[""; 0]).replace("\"features\"", "\"pictures\"");
    let degrees = plan_of(&[&wall("a", "brick", "[[13.4, 52.5], [13.4001, 52.5]]")]);
    for text in ["", "{", "[1, 2]", "{\"type\": \"Topology\"}", &none, &degrees] {
        let faults = tidied("p", text, &vocabulary(), &TidySettings::default()).unwrap_err();
        let reader = read_house("p", text.as_bytes(), &vocabulary()).unwrap_err();
        assert_eq!(faults, reader, "{text}");
    }
}

#[test]
fn faults_that_are_left_are_told_together_and_those_that_would_be_fixed_are_not() {
    let text = plan_of(&[
        &wall("none", "brick", "[[1, 1], [1, 1]]"),
        &wall("a", "brik", "[[0, 0], [10, 0]]"),
        &door("lost", "[[5, 5], [6, 5]]"),
        &door("off", "[[5, 0.08], [6, 0.08]]"),
    ]);
    let faults = tidied("p", &text, &vocabulary(), &TidySettings::default()).unwrap_err();
    let words: Vec<String> =
        faults.iter().map(|fault| format!("{}: {}", fault.line, fault.what)).collect();
    assert_eq!(
        words,
        [
            "6: construction \"brik\" is not known",
            "7: the opening is on no wall: the nearest, a, is 5 m away",
        ]
    );
}
