//! Properties of the wrong sort, out of range, or missing; levels; constructions; links.

use crate::faults::support::{SOUND, area, check, line, plan_of, point, with_features, with_top};

const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";

#[test]
fn values_of_the_wrong_sort() {
    let features = [
        point("\"kind\": \"sensor\", \"height\": \"1.5\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"height\": [1.5]", "[2, 2]"),
        point("\"kind\": \"sensor\", \"height\": 1e999", "[2, 2]"),
        point("\"kind\": \"sensor\", \"height\": \"tall\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"name\": 12", "[2, 2]"),
        point("\"kind\": \"sensor\", \"name\": \"\\ud800\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"supervised\": \"true\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"supervised\": 1", "[2, 2]"),
        point("\"kind\": \"sensor\", \"number\": \"4\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"number\": 4.5", "[2, 2]"),
        point("\"kind\": \"sensor\", \"number\": -4", "[2, 2]"),
        point("\"kind\": \"sensor\", \"level\": \"0\"", "[2, 2]"),
        point("\"kind\": \"sensor\", \"link\": 868", "[2, 2]"),
        point("\"kind\": 7", "[2, 2]"),
        line("\"kind\": \"wall\", \"construction\": {}", "[[1, 1], [2, 1]]"),
        "    {\"type\": \"Feature\", \"id\": true, \"properties\": {\"kind\": \"outlet\"},\n     \
         \"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 1]}}"
            .into(),
        "    {\"type\": \"Feature\", \"id\": \"p\", \"properties\": []}".into(),
    ];
    check("wrong_sort", &with_features(&features.join(",\n")));
}

/// Drawing programs write empty attributes as null.
#[test]
fn null_counts_as_absent() {
    let features = [
        point("\"kind\": \"sensor\", \"height\": null, \"number\": null, \"link\": null", "[2, 2]"),
        line("\"kind\": \"wall\", \"construction\": null", "[[1, 1], [2, 1]]"),
    ];
    check("null", &with_features(&features.join(",\n")));
}

#[test]
fn missing_constructions() {
    let ring = "[[[1, 1], [2, 1], [2, 2], [1, 1]]]";
    let features = [
        line("\"kind\": \"wall\"", "[[1, 1], [2, 1]]"),
        line("\"kind\": \"opening\"", "[[1, 0], [2, 0]]"),
        area("\"kind\": \"slab\"", ring),
        area("\"kind\": \"obstacle\"", ring),
    ];
    check("missing_construction", &with_features(&features.join(",\n")));
}

#[test]
fn absurd_heights() {
    let features = [
        line(&format!("{WALL}, \"top\": 2400"), "[[1, 1], [2, 1]]"),
        point("\"kind\": \"sensor\", \"height\": -5000", "[2, 2]"),
    ];
    check("absurd_height", &with_features(&features.join(",\n")));
}

#[test]
fn a_top_below_its_base() {
    let features = [
        line(&format!("{WALL}, \"base\": 2, \"top\": 1"), "[[1, 1], [2, 1]]"),
        line(&format!("{WALL}, \"base\": 3"), "[[1, 2], [2, 2]]"),
        line(
            "\"kind\": \"opening\", \"construction\": \"door-hollow\", \"base\": 2, \"top\": 1",
            "[[1, 0], [2, 0]]",
        ),
    ];
    check("top_below_base", &with_features(&features.join(",\n")));
}

#[test]
fn a_wall_outside_its_level() {
    check(
        "wall_outside_level",
        &with_features(&line(&format!("{WALL}, \"base\": 2.7, \"top\": 5.1"), "[[1, 1], [2, 1]]")),
    );
}

#[test]
fn an_undeclared_level() {
    let features = [
        line(&format!("{WALL}, \"level\": 1"), "[[1, 1], [2, 1]]"),
        point("\"kind\": \"sensor\", \"level\": -1", "[2, 2]"),
    ];
    check("level", &with_features(&features.join(",\n")));
}

const TWO_LEVELS: &str = "\"levels\": [{\"level\": 0, \"floor\": 0, \"ceiling\": 2.4},\n    \
                          {\"level\": 1, \"floor\": 2.7, \"ceiling\": 5.1}],";

#[test]
fn a_level_must_be_named_where_there_are_several() {
    let features = [
        line(WALL, "[[0, 0], [9, 0]]"),
        point("\"kind\": \"panel\", \"level\": 0", "[2, 2]"),
        point("\"kind\": \"sensor\"", "[2, 3]"),
        point("\"kind\": \"outlet\"", "[2, 3]"),
        line("\"kind\": \"mountable\"", "[[2, 3], [3, 3]]"),
    ];
    check("level_missing", &plan_of(TWO_LEVELS, &features.join(",\n")));
}

#[test]
fn levels_that_make_no_sense() {
    check(
        "levels",
        &with_top(
            "\"levels\": [\n    {\"level\": 0, \"floor\": 0, \"ceiling\": 2.4},\n    {\"level\": 0, \
             \"floor\": 3, \"ceiling\": 5},\n    {\"level\": 1, \"floor\": 2.2, \"ceiling\": 5},\n    \
             {\"level\": 2, \"floor\": 8, \"ceiling\": 5},\n    {\"level\": 3, \"floor\": 9},\n    \
             {\"level\": 4.5, \"floor\": 20, \"ceiling\": 22, \"nam\": \"attic\"},\n    7],",
        ),
    );
    check("levels_empty", &with_top("\"levels\": [],"));
    check("levels_no_list", &with_top("\"levels\": {\"0\": 2.4},"));
}

#[test]
fn constructions_that_make_no_sense() {
    check(
        "constructions",
        &with_top(
            "\"constructions\": {\n    \"none\": {},\n    \"both\": {\"layers\": [], \"loss_db\": \
             {}},\n    \"no layers\": {\"layers\": []},\n    \"no list\": {\"layers\": 5},\n    \
             \"no object\": [],\n    \"thin\": {\"layers\": [{\"material\": \"brick\", \"thickness_mm\": \
             0}]},\n    \"negative\": {\"layers\": [{\"material\": \"brick\", \"thickness_mm\": \
             -12}]},\n    \"in metres\": {\"layers\": [{\"material\": \"brick\", \"thickness\": \
             0.1}]},\n    \"film\": {\"layers\": [{\"sheet_resistance_ohm\": 0}]},\n    \"thick film\": \
             {\"layers\": [{\"sheet_resistance_ohm\": 5, \"thickness_mm\": 1}]},\n    \"bare\": \
             {\"layers\": [{}, 7]},\n    \"brick-half\": {\"loss_db\": {\"868.3\": 4}}},",
        ),
    );
}

#[test]
fn measured_losses_that_make_no_sense() {
    check(
        "measured",
        &with_top(
            "\"constructions\": {\n    \"empty\": {\"loss_db\": {}},\n    \"list\": {\"loss_db\": \
             [9.5]},\n    \"negative\": {\"loss_db\": {\"868.3\": -9.5}},\n    \"key\": {\"loss_db\": \
             {\"868,3\": 9.5, \"1e12\": 3}},\n    \"text\": {\"loss_db\": {\"868.3\": \
             \"9.5\"}},\n    \"again\": {\"loss_db\": {\"868\": 9.5, \"868.0\": 9}}},",
        ),
    );
}

#[test]
fn links_that_make_no_sense() {
    check(
        "link_ranges",
        &with_top(
            "\"link\": {\"like\": \"eu-868\",\n    \"bandwidth_khz\": -25,\n    \"eirp_dbm\": \
             140,\n    \"sensitivity_dbm\": 105,\n    \"frequency_mhz\": 868300000,\n    \"bursts\": \
             0,\n    \"checkin_min\": 60,\n    \"window_min\": 15,\n    \"snr_needed_db\": \"9\"},",
        ),
    );
}

#[test]
fn an_alarm_that_saves_lives_must_be_supervised() {
    let sensors = [
        point("\"kind\": \"sensor\", \"role\": \"fire\", \"supervised\": false", "[2, 2]"),
        point(
            "\"kind\": \"sensor\", \"role\": \"carbon-monoxide\", \"supervised\": false",
            "[2, 3]",
        ),
        point("\"kind\": \"sensor\", \"role\": \"interior\", \"supervised\": false", "[2, 4]"),
    ];
    check("life_safety", &with_features(&sensors.join(",\n")));
}

#[test]
fn places_count_characters_not_bytes() {
    let sensor = point("\"kind\": \"sensor\", \"name\": \"Küche 🚪\", \"height\": \"x\"", "[2, 2]");
    check("columns", &plan_of("", &format!("{SOUND},\n{sensor}")));
}
