//! Stairs between levels, and how much a repeater can pass on.

use crate::faults::support::{area, check, line, outcome, plan_of, point, sound, with_features};

const THREE_LEVELS: &str = "\"levels\": [{\"level\": 0, \"floor\": 0, \"ceiling\": 2.4},\n    \
                            {\"level\": 2, \"floor\": 5.4, \"ceiling\": 7.8},\n    \
                            {\"level\": 1, \"floor\": 2.7, \"ceiling\": 5.1}],";

/// A house of three levels with stairs of these properties and points.
fn house(stairs: &[(&str, &str)]) -> String {
    let mut features = vec![
        line(
            "\"kind\": \"wall\", \"construction\": \"concrete\", \"level\": 0",
            "[[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]",
        ),
        point("\"kind\": \"panel\", \"level\": 0", "[2, 2]"),
        point("\"kind\": \"sensor\", \"level\": 0", "[2, 3]"),
    ];
    features.extend(stairs.iter().map(|(properties, coordinates)| {
        line(&format!("\"kind\": \"stairs\"{properties}"), coordinates)
    }));
    plan_of(THREE_LEVELS, &features.join(",\n"))
}

#[test]
fn stairs_lead_to_the_next_level_above_unless_they_say_otherwise() {
    let up = "[[4, 1], [4, 4]]";
    let plan = sound(&house(&[
        (", \"level\": 0", up),
        (", \"level\": 1", up),
        (", \"level\": 2, \"to\": 1", up),
        (", \"level\": 0, \"to\": 2, \"name\": \"Tower\"", up),
        // A winding flight may end above its first step.
        (", \"level\": 0", "[[4, 1], [5, 1], [5, 2], [4, 1]]"),
    ]))
    .plan;
    let ways: Vec<_> = plan.stairs.iter().map(|s| (s.level, s.to_level)).collect();
    assert_eq!(ways, [(0, 1), (1, 2), (2, 1), (0, 2), (0, 1)]);
    assert_eq!(plan.stairs[3].id, "stairs-4");
}

#[test]
fn stairs_that_lead_nowhere() {
    let up = "[[4, 1], [4, 4]]";
    check(
        "stairs",
        &house(&[
            ("", up),
            (", \"level\": 2", up),
            (", \"level\": 0, \"to\": 0", up),
            (", \"level\": 0, \"to\": 7", up),
            (", \"level\": 7, \"to\": 1", up),
            (", \"level\": 0, \"to\": \"up\"", up),
            (", \"level\": 0, \"construction\": \"concrete\"", up),
            (", \"level\": 0", "[[4, 1], [4, 1], [4, 1]]"),
        ]),
    );
    check("stairs_on_one_level", &with_features(&line("\"kind\": \"stairs\"", "[[4, 1], [4, 4]]")));
    check(
        "stairs_as_area",
        &with_features(&area("\"kind\": \"stairs\"", "[[[1, 1], [2, 1], [2, 2], [1, 1]]]")),
    );
}

#[test]
fn a_repeater_that_passes_nothing_on() {
    let repeater = |capacity: &str| {
        point(&format!("\"kind\": \"repeater\", \"capacity\": {capacity}"), "[2, 2]")
    };
    let features = ["0", "-3", "2.5", "1001", "\"8\"", "1", "1000", "null"].map(repeater);
    check("capacity", &with_features(&features.join(",\n")));
    let sound = ["1", "1000", "null"].map(repeater);
    assert_eq!(outcome(with_features(&sound.join(",\n")).as_bytes()), "nothing to fix");
    // Only repeaters have a capacity.
    let sensor = point("\"kind\": \"sensor\", \"capacity\": 8", "[2, 2]");
    check("capacity_of_sensor", &with_features(&sensor));
}
