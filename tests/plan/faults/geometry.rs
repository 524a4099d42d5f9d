//! Coordinates, lines and outlines.

use crate::faults::support::{
    area, check, check_features, check_outcome, feature, line, outcome, plan_of, point,
    with_features, with_top,
};

const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";
const SLAB: &str = "\"kind\": \"slab\", \"construction\": \"concrete\"";
const OUTLET: &str = "\"kind\": \"outlet\"";

#[test]
fn bad_geometry_one_by_one() {
    check("overflow", &with_features(&point(OUTLET, "[1, -1e999]")));
    check("absurd", &with_features(&line(WALL, "[[1, 1], [2, 1], [499823.1, 5411234.9]]")));
    check("extent", &with_features(&line(WALL, "[[1, 1], [2, 1], [2, 2900]]")));
    check("third_coordinate", &with_features(&line(WALL, "[[1, 1, 0], [2, 1, 0]]")));
    check("no_length", &with_features(&line(WALL, "[[3, 3], [3, 3]]")));
    check("repeated_point", &with_features(&line(WALL, "[[3, 3], [4, 3], [4, 3.0004], [4, 5]]")));
    check("bow_tie", &with_features(&area(SLAB, "[[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]]")));
    check(
        "pinched",
        &with_features(&area(SLAB, "[[[0, 0], [2, 2], [0, 4], [4, 4], [2, 2], [4, 0], [0, 0]]]")),
    );
    check(
        "spike",
        &with_features(&area(SLAB, "[[[0, 0], [4, 0], [4, 4], [4, -2], [0, 4], [0, 0]]]")),
    );
    check("not_closed", &with_features(&area(SLAB, "[[[0, 0], [4, 0], [4, 4], [0, 4]]]")));
    check("two_corners", &with_features(&area(SLAB, "[[[0, 0], [4, 0], [0, 0]]]")));
    check_features(
        "positions_none",
        &[
            line(WALL, "[[1, 1], [2]]"),
            line(WALL, "[[1, 1], [1, 2, 3, 4, 5]]"),
            line(WALL, "[[1, 1], 7]"),
            line(WALL, "[[1, 1], [\"2\", 1]]"),
            line(WALL, "[[1, 1], [null, 1]]"),
            line(WALL, "[1, 1]"),
            line(WALL, "[[1, 1]]"),
            line(WALL, "[]"),
            line(WALL, "\"1 1, 2 1\""),
            point(OUTLET, "[[1, 1]]"),
            area(SLAB, "[]"),
            area(SLAB, "7"),
            area(SLAB, "[[0, 0], [1, 0], [1, 1], [0, 0]]"),
        ],
    );
    check_features(
        "geometry_types",
        &[
        feature(WALL, "Polygon", "[[[0, 0], [1, 0], [1, 1], [0, 0]]]"),
        feature(WALL, "Linestring", "[[0, 0], [1, 0]]"),
        feature(SLAB, "MultiPolygon", "[]"),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": {}}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": null}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": 5}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": {\"type\": \
         \"Point\", \"coordinate\": [1, 2]}}"
            .into(),
        ],
    );
    check_features(
        "no_area",
        &[
            area(SLAB, "[[[0, 0], [2, 0], [4, 0], [0, 0]]]"),
            area(SLAB, "[[[1, 1], [1, 1], [1, 1], [1, 1]]]"),
        ],
    );
    check_features(
        "hole_outside",
        &[
            area(
                SLAB,
                "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]],\n      [[6, 1], [7, 1], [7, 2], [6, 1]]]",
            ),
            area(
                SLAB,
                "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]],\n      [[3, 1], [7, 1], [7, 2], [3, 1]]]",
            ),
        ],
    );
    // A stairwell, one that touches the outer ring in a corner, and repeated points: all is well.
    check_features(
        "sound_outlines",
        &[
            area(
                SLAB,
                "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]], [[1, 1], [2, 1], [2, 2], [1, 1]]]",
            ),
            area(
                SLAB,
                "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]], [[0, 0], [2, 1], [2, 2], [0, 0]]]",
            ),
            area(SLAB, "[[[0, 0], [4, 0], [4, 0], [4, 4], [0, 4], [0, 0.0001], [0, 0]]]"),
        ],
    );
}

/// A drawing that lies a little way from its zero is not taken for degrees.
#[test]
fn longitudes_and_latitudes_and_a_small_site_near_its_zero() {
    let degrees = "[[13.40010, 52.52001], [13.40024, 52.52001], [13.40024, 52.52009]]";
    for (name, wall, panel, sensor) in [
        ("degrees", degrees, "[13.40012, 52.52002]", "[13.40020, 52.52006]"),
        ("small_site", "[[13.4, 52.5], [14.4, 52.5]]", "[13.5, 52.5]", "[14.2, 52.5]"),
    ] {
        let (panel, sensor) =
            (point("\"kind\": \"panel\"", panel), point("\"kind\": \"sensor\"", sensor));
        check(name, &plan_of("", &[line(WALL, wall), panel, sensor].join(",\n")));
    }
}

#[test]
fn an_outline_that_crosses_itself_in_feet() {
    let plan = with_top("\"units\": \"ft\",").replace(
        "\n  ]\n}",
        &format!(",\n{}\n  ]\n}}", area(SLAB, "[[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]]")),
    );
    check("bow_tie_feet", &plan);
}

#[test]
fn an_outline_of_too_many_positions() {
    let mut ring: Vec<String> = (0..5_000).map(|n| format!("[{n}, 0]")).collect();
    ring.extend(["[0, 1]".to_owned(), "[0, 0]".to_owned()]);
    let plan = with_features(&area(SLAB, &format!("[[{}]]", ring.join(", "))));
    check_outcome("many_corners", &outcome(plan.as_bytes()));
}
