//! Names that are not known, and the nearest known one.

use crate::faults::support::{area, check, check_features, line, point, with_features, with_top};

#[test]
fn unknown_names_one_by_one() {
    check_features(
        "construction",
        &[
            line("\"kind\": \"wall\", \"construction\": \"brik-half\"", "[[1, 1], [2, 1]]"),
            line("\"kind\": \"wall\", \"construction\": \"Brick_Half\"", "[[1, 2], [2, 2]]"),
            line("\"kind\": \"wall\", \"construction\": \"stud\"", "[[1, 3], [2, 3]]"),
            line("\"kind\": \"wall\", \"construction\": \"papier-mâché\"", "[[1, 4], [2, 4]]"),
            area(
                "\"kind\": \"obstacle\", \"construction\": \"concret\"",
                "[[[1, 5], [2, 5], [2, 6], [1, 5]]]",
            ),
        ],
    );
    check(
        "material",
        &with_top(
            "\"constructions\": {\"x\": {\"layers\": [\n    {\"material\": \"plasterbord\", \
             \"thickness_mm\": 12.5},\n    {\"material\": \"unobtainium\", \"thickness_mm\": 1}]}},",
        ),
    );
    check("link", &with_top("\"link\": \"eu-886\","));
    check("link_inline", &with_top("\"link\": {\"like\": \"us319\", \"eirp\": 3},"));
    let sensor = point("\"kind\": \"sensor\", \"link\": \"zz\"", "[2, 2]");
    check("link_of_device", &with_features(&sensor));
    let door = "\"kind\": \"opening\", \"construction\": \"door-hollow\", \"state\": \"opne\"";
    check("state", &with_features(&line(door, "[[1, 0], [2, 0]]")));
    check("units", &with_top("\"units\": \"feet\","));
    check("units_mm", &with_top("\"units\": \"mm\","));
    check_features(
        "mount",
        &[
            point("\"kind\": \"sensor\", \"mount\": \"metal frame\"", "[2, 2]"),
            point("\"kind\": \"sensor\", \"mount\": \"glue\"", "[2, 3]"),
        ],
    );
    check_features(
        "kind",
        &[
            point("\"kind\": \"senser\"", "[2, 2]"),
            point("\"kind\": \"cat flap\"", "[2, 2]"),
            "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"note\"}, \"geometry\": null}"
                .into(),
        ],
    );
    check_features(
        "property",
        &[
            point("\"kind\": \"sensor\", \"hieght\": 2.1", "[2, 2]"),
            line(
                "\"kind\": \"wall\", \"construction\": \"concrete\", \"colour\": \"red\"",
                "[[1, 1], [2, 1]]",
            ),
        ],
    );
    check_features(
        "role",
        &[
            point("\"kind\": \"sensor\", \"role\": \"perimiter\"", "[2, 2]"),
            point("\"kind\": \"sensor\", \"role\": \"doorbell\"", "[2, 3]"),
        ],
    );
}

/// A user's own construction is as good as a built-in one, and may be the nearest.
#[test]
fn a_users_own_construction() {
    let own = "\"constructions\": {\"larder\": {\"layers\": [{\"material\": \"brick\", \
               \"thickness_mm\": 100}]}},";
    let wall = |name: &str| {
        line(&format!("\"kind\": \"wall\", \"construction\": \"{name}\""), "[[1, 1], [2, 1]]")
    };
    let plan =
        |name: &str| with_top(own).replace("\n  ]\n}", &format!(",\n{}\n  ]\n}}", wall(name)));
    check("own_construction", &plan("larder"));
    check("own_construction_misspelt", &plan("ladrer"));
}

/// What a file says cannot reach the terminal raw, nor flood it.
#[test]
fn names_are_tamed() {
    let name = format!("\\u001b[31mred\\u202e{}", "x".repeat(500));
    let wall = format!("\"kind\": \"wall\", \"construction\": \"{name}\"");
    check("tamed", &with_features(&line(&wall, "[[1, 1], [2, 1]]")));
}
