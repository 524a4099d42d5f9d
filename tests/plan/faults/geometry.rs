//! Coordinates, lines and outlines.

use crate::faults::support::{area, check, feature, line, plan_of, point, with_features, with_top};

const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";
const SLAB: &str = "\"kind\": \"slab\", \"construction\": \"concrete\"";
const OUTLET: &str = "\"kind\": \"outlet\"";

#[test]
fn a_number_too_large_for_a_number() {
    check("overflow", &with_features(&point(OUTLET, "[1, -1e999]")));
}

#[test]
fn an_absurd_coordinate() {
    check("absurd", &with_features(&line(WALL, "[[1, 1], [2, 1], [499823.1, 5411234.9]]")));
}

#[test]
fn a_plan_wider_than_any_site() {
    check("extent", &with_features(&line(WALL, "[[1, 1], [2, 1], [2, 2900]]")));
}

#[test]
fn longitudes_and_latitudes() {
    let plan = plan_of(
        "",
        &[
            line(WALL, "[[13.40010, 52.52001], [13.40024, 52.52001], [13.40024, 52.52009]]"),
            point("\"kind\": \"panel\"", "[13.40012, 52.52002]"),
            point("\"kind\": \"sensor\"", "[13.40020, 52.52006]"),
        ]
        .join(",\n"),
    );
    check("degrees", &plan);
}

/// A drawing that lies a little way from its zero is not taken for degrees.
#[test]
fn a_small_site_near_its_zero() {
    let plan = plan_of(
        "",
        &[
            line(WALL, "[[13.4, 52.5], [14.4, 52.5]]"),
            point("\"kind\": \"panel\"", "[13.5, 52.5]"),
            point("\"kind\": \"sensor\"", "[14.2, 52.5]"),
        ]
        .join(",\n"),
    );
    check("small_site", &plan);
}

#[test]
fn a_third_coordinate() {
    check("third_coordinate", &with_features(&line(WALL, "[[1, 1, 0], [2, 1, 0]]")));
}

#[test]
fn positions_that_are_none() {
    let walls = [
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
    ];
    check("positions_none", &with_features(&walls.join(",\n")));
}

#[test]
fn geometries_of_the_wrong_type() {
    let features = [
        feature(WALL, "Polygon", "[[[0, 0], [1, 0], [1, 1], [0, 0]]]"),
        feature(WALL, "Linestring", "[[0, 0], [1, 0]]"),
        feature(SLAB, "MultiPolygon", "[]"),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": {}}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": null}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": 5}".into(),
        "    {\"type\": \"Feature\", \"properties\": {\"kind\": \"outlet\"}, \"geometry\": {\"type\": \
         \"Point\", \"coordinate\": [1, 2]}}"
            .into(),
    ];
    check("geometry_types", &with_features(&features.join(",\n")));
}

#[test]
fn a_wall_of_no_length() {
    check("no_length", &with_features(&line(WALL, "[[3, 3], [3, 3]]")));
}

#[test]
fn a_wall_with_a_repeated_point() {
    check("repeated_point", &with_features(&line(WALL, "[[3, 3], [4, 3], [4, 3.0004], [4, 5]]")));
}

#[test]
fn an_outline_that_crosses_itself() {
    check("bow_tie", &with_features(&area(SLAB, "[[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]]")));
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
fn an_outline_that_touches_itself() {
    check(
        "pinched",
        &with_features(&area(SLAB, "[[[0, 0], [2, 2], [0, 4], [4, 4], [2, 2], [4, 0], [0, 0]]]")),
    );
}

#[test]
fn an_outline_with_a_spike() {
    check(
        "spike",
        &with_features(&area(SLAB, "[[[0, 0], [4, 0], [4, 4], [4, -2], [0, 4], [0, 0]]]")),
    );
}

#[test]
fn an_outline_that_is_not_closed() {
    check("not_closed", &with_features(&area(SLAB, "[[[0, 0], [4, 0], [4, 4], [0, 4]]]")));
}

#[test]
fn an_outline_of_two_corners() {
    check("two_corners", &with_features(&area(SLAB, "[[[0, 0], [4, 0], [0, 0]]]")));
}

#[test]
fn an_outline_without_area() {
    let slabs = [
        area(SLAB, "[[[0, 0], [2, 0], [4, 0], [0, 0]]]"),
        area(SLAB, "[[[1, 1], [1, 1], [1, 1], [1, 1]]]"),
    ];
    check("no_area", &with_features(&slabs.join(",\n")));
}

#[test]
fn a_hole_outside_its_outline() {
    let slabs = [
        area(
            SLAB,
            "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]],\n      [[6, 1], [7, 1], [7, 2], [6, 1]]]",
        ),
        area(
            SLAB,
            "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]],\n      [[3, 1], [7, 1], [7, 2], [3, 1]]]",
        ),
    ];
    check("hole_outside", &with_features(&slabs.join(",\n")));
}

/// A stairwell, one that touches the outer ring in a corner, and repeated points: all is well.
#[test]
fn outlines_that_are_sound() {
    let slabs = [
        area(SLAB, "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]], [[1, 1], [2, 1], [2, 2], [1, 1]]]"),
        area(SLAB, "[[[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]], [[0, 0], [2, 1], [2, 2], [0, 0]]]"),
        area(SLAB, "[[[0, 0], [4, 0], [4, 0], [4, 4], [0, 4], [0, 0.0001], [0, 0]]]"),
    ];
    check("sound_outlines", &with_features(&slabs.join(",\n")));
}

#[test]
fn an_outline_of_too_many_positions() {
    let mut ring: Vec<String> = (0..5_000).map(|n| format!("[{n}, 0]")).collect();
    ring.extend(["[0, 1]".to_owned(), "[0, 0]".to_owned()]);
    let plan = with_features(&area(SLAB, &format!("[[{}]]", ring.join(", "))));
    crate::faults::support::check_outcome(
        "many_corners",
        &crate::faults::support::outcome(plan.as_bytes()),
    );
}
