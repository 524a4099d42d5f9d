//! What features have to do with one another: openings and walls, ids, numbers, panel and sensors.

use crate::faults::support::{
    SOUND, check, check_features, check_outcome, line, outcome, plan_of, point, with_features,
    with_top,
};

const DOOR: &str = "\"kind\": \"opening\", \"construction\": \"door-hollow\"";
const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";

#[test]
fn bad_sites_one_by_one() {
    check_features(
        "no_wall",
        &[
            line(DOOR, "[[1, 0.31], [2, 0.31]]"),
            line(DOOR, "[[1, 0], [2, 0.06]]"),
            line(&format!("{DOOR}, \"level\": 0"), "[[4, 4], [4, 5]]"),
        ],
    );
    check_features(
        "over_the_end",
        &[
            line(WALL, "[[2, 3], [4, 3]]"),
            line(WALL, "[[4, 3], [6, 3]]"),
            line(DOOR, "[[3.5, 3], [4.5, 3]]"),
            line(DOOR, "[[0, 7], [1, 8]]"),
            line(DOOR, "[[9.5, 0], [10.5, 0]]"),
        ],
    );
    check_features(
        "opening_no_length",
        &[line(DOOR, "[[1, 0], [1, 0]]"), line(DOOR, "[[1, -0.04], [1, 0.04]]")],
    );
    check_features(
        "overlap",
        &[
            line(DOOR, "[[1, 0], [2, 0]]"),
            line(DOOR, "[[2.5, 0], [1.9, 0]]"),
            line(DOOR, "[[2.5, 0], [3, 0]]"),
        ],
    );
    check_features(
        "above_the_other",
        &[
            line(&format!("{DOOR}, \"top\": 1.9"), "[[1, 0], [2, 0]]"),
            line(&format!("{DOOR}, \"base\": 1.9"), "[[1, 0], [2, 0]]"),
        ],
    );
    check("one_number", &with_features(&point("\"kind\": \"keypad\", \"number\": 1", "[2, 2]")));
    check_features(
        "one_serial",
        &[
            point("\"kind\": \"sensor\", \"serial\": \"0a1-2B3\"", "[2, 2]"),
            point("\"kind\": \"sensor\", \"serial\": \" 0A1-2b3\"", "[3, 2]"),
            point("\"kind\": \"sensor\", \"serial\": \"0A1-2B4\"", "[4, 2]"),
        ],
    );
    check("no_devices", &plan_of("", &line(WALL, "[[1, 1], [2, 1]]")));
    check("two_panels", &with_features(&point("\"kind\": \"panel\"", "[2, 2]")));
    check_features(
        "outside",
        &[
            point("\"kind\": \"sensor\"", "[10.25, 4]"),
            point("\"kind\": \"sensor\"", "[12, 4]"),
            point("\"kind\": \"siren\"", "[12, 4]"),
        ],
    );
}

#[test]
fn an_opening_where_there_are_no_walls() {
    let features =
        SOUND.replace("wall", "mountable").replace(", \"construction\": \"brick-solid\"", "");
    check("no_walls", &plan_of("", &format!("{features},\n{}", line(DOOR, "[[1, 0], [2, 0]]"))));
}

const TWO_LEVELS: &str = "\"levels\": [{\"level\": 0, \"floor\": 0, \"ceiling\": 2.4},\n    \
                          {\"level\": 1, \"floor\": 2.7, \"ceiling\": 5.1}],";

fn two_storeys(features: &[String]) -> String {
    let mut all = vec![
        line(&format!("{WALL}, \"level\": 0"), "[[0, 0], [9, 0]]"),
        line(&format!("{WALL}, \"level\": 1"), "[[0, 0], [9, 0]]"),
        point("\"kind\": \"panel\", \"level\": 0", "[2, 0]"),
        point("\"kind\": \"sensor\", \"level\": 1", "[3, 0]"),
    ];
    all.extend_from_slice(features);
    plan_of(TWO_LEVELS, &all.join(",\n"))
}

/// Sill and head that were measured from the upper floor instead of the plan's zero.
#[test]
fn an_opening_above_or_below_its_wall() {
    let doors = [
        line(&format!("{DOOR}, \"level\": 1, \"base\": 0.9, \"top\": 2.1"), "[[1, 0], [2, 0]]"),
        line(&format!("{DOOR}, \"level\": 0, \"base\": 2.5"), "[[1, 0], [2, 0]]"),
        line(&format!("{DOOR}, \"level\": 0, \"base\": 3, \"top\": 4"), "[[3, 0], [4, 0]]"),
    ];
    check("above_wall", &two_storeys(&doors));
}

#[test]
fn an_opening_that_reaches_beyond_its_wall() {
    let features = [
        line(&format!("{DOOR}, \"level\": 0, \"top\": 2.6"), "[[1, 0], [2, 0]]"),
        line(&format!("{WALL}, \"level\": 0, \"top\": 5.1"), "[[0, 3], [9, 3]]"),
        line(&format!("{DOOR}, \"top\": 3"), "[[1, 3], [2, 3]]"),
    ];
    check("beyond_wall", &two_storeys(&features));
}

#[test]
fn an_opening_that_may_belong_to_two_levels() {
    let doors = [
        line(DOOR, "[[1, 0], [2, 0]]"),
        line(&format!("{DOOR}, \"base\": 3.6"), "[[1, 0], [2, 0]]"),
    ];
    check("two_levels", &two_storeys(&doors));
}

#[test]
fn two_features_with_one_id() {
    let twice = |kind: &str| {
        format!(
            "    {{\"type\": \"Feature\", \"id\": \"hall\", \"properties\": {{\"kind\": \"{kind}\"}},\n     \
             \"geometry\": {{\"type\": \"Point\", \"coordinates\": [2, 2]}}}}"
        )
    };
    check("one_id", &with_features(&twice("outlet")));
    check(
        "one_default_id",
        &with_features(
            &twice("sensor")
                .replace("hall", "outlet-1")
                .replace("\n     \"geometry\"", "\"geometry\"")
                .replace("sensor", "keypad"),
        )
        .replace("\n  ]\n}", &format!(",\n{}\n  ]\n}}", point("\"kind\": \"outlet\"", "[3, 3]"))),
    );
}

#[test]
fn no_sensor() {
    let features = [line(WALL, "[[1, 1], [2, 1]]"), point("\"kind\": \"panel\"", "[1, 1]")];
    check("no_sensor", &plan_of("", &features.join(",\n")));
}

#[test]
fn heights_above_the_ceiling_or_below_the_floor() {
    check_features(
        "heights",
        &[
            point("\"kind\": \"sensor\", \"height\": 2.4", "[2, 2]"),
            point("\"kind\": \"sensor\", \"height\": 2.6", "[2, 3]"),
            point("\"kind\": \"sensor\", \"height\": -0.2", "[2, 4]"),
        ],
    );
    let feet = with_top("\"units\": \"ft\",").replace("\"number\": 1", "\"height\": 9");
    check("heights_feet", &feet);
}

/// One plan with many things wrong: all are told in one go, by place.
#[test]
fn everything_at_once() {
    let features = [
        line(
            "\"kind\": \"wall\", \"construction\": \"brik-half\", \"colour\": 3",
            "[[1, 1], [1, 1]]",
        ),
        line(DOOR, "[[5, 5], [6, 5]]"),
        point("\"kind\": \"sensor\", \"level\": 4, \"number\": 1, \"height\": \"2\"", "[2, 2]"),
    ];
    check(
        "at_once",
        &with_top("\"units\": \"ft\", \"link\": \"eu-869\",")
            .replace("\n  ]\n}", &format!(",\n{}\n  ]\n}}", features.join(",\n"))),
    );
}

#[test]
fn an_opening_amid_a_thousand_walls() {
    let mut features = vec![line(WALL, "[[1, 1], [3, 1]]"); 1_001];
    features.push(line(DOOR, "[[1, 1], [2, 1]]"));
    let plan = with_features(&features.join(",\n"));
    check_outcome("thousand_walls", &outcome(plan.as_bytes()));
}
