//! Properties of the wrong sort, out of range, or missing; levels; constructions; links.

use crate::faults::support::{
    SOUND, area, check, check_features, line, plan_of, point, with_features, with_top,
};

const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";

#[test]
fn bad_properties_one_by_one() {
    check_features(
        "wrong_sort",
        &[
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
        ],
    );
    // Drawing programs write empty attributes as null.
    check_features(
        "null",
        &[
            point(
                "\"kind\": \"sensor\", \"height\": null, \"number\": null, \"link\": null",
                "[2, 2]",
            ),
            line("\"kind\": \"wall\", \"construction\": null", "[[1, 1], [2, 1]]"),
        ],
    );
    check_features(
        "absurd_height",
        &[
            line(&format!("{WALL}, \"top\": 2400"), "[[1, 1], [2, 1]]"),
            point("\"kind\": \"sensor\", \"height\": -5000", "[2, 2]"),
        ],
    );
    check_features(
        "top_below_base",
        &[
            line(&format!("{WALL}, \"base\": 2, \"top\": 1"), "[[1, 1], [2, 1]]"),
            line(&format!("{WALL}, \"base\": 3"), "[[1, 2], [2, 2]]"),
            line(
                "\"kind\": \"opening\", \"construction\": \"door-hollow\", \"base\": 2, \"top\": 1",
                "[[1, 0], [2, 0]]",
            ),
        ],
    );
    check(
        "wall_outside_level",
        &with_features(&line(&format!("{WALL}, \"base\": 2.7, \"top\": 5.1"), "[[1, 1], [2, 1]]")),
    );
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
    check(
        "measured",
        &with_top(
            "\"constructions\": {\n    \"empty\": {\"loss_db\": {}},\n    \"list\": {\"loss_db\": \
             [9.5]},\n    \"negative\": {\"loss_db\": {\"868.3\": -9.5}},\n    \"key\": {\"loss_db\": \
             {\"868,3\": 9.5, \"1e12\": 3}},\n    \"text\": {\"loss_db\": {\"868.3\": \
             \"9.5\"}},\n    \"again\": {\"loss_db\": {\"868\": 9.5, \"868.0\": 9}}},",
        ),
    );
    check(
        "link_ranges",
        &with_top(
            "\"link\": {\"like\": \"eu-868\",\n    \"bandwidth_khz\": -25,\n    \"eirp_dbm\": \
             140,\n    \"sensitivity_dbm\": 105,\n    \"frequency_mhz\": 868300000,\n    \"bursts\": \
             0,\n    \"checkin_min\": 60,\n    \"window_min\": 15,\n    \"snr_needed_db\": \"9\"},",
        ),
    );
    check_features(
        "level",
        &[
            line(&format!("{WALL}, \"level\": 1"), "[[1, 1], [2, 1]]"),
            point("\"kind\": \"sensor\", \"level\": -1", "[2, 2]"),
        ],
    );
    check_features(
        "life_safety",
        &[
            point("\"kind\": \"sensor\", \"role\": \"fire\", \"supervised\": false", "[2, 2]"),
            point(
                "\"kind\": \"sensor\", \"role\": \"carbon-monoxide\", \"supervised\": false",
                "[2, 3]",
            ),
            point("\"kind\": \"sensor\", \"role\": \"interior\", \"supervised\": false", "[2, 4]"),
        ],
    );
}

#[test]
fn missing_constructions() {
    let ring = "[[[1, 1], [2, 1], [2, 2], [1, 1]]]";
    check_features(
        "missing_construction",
        &[
            line("\"kind\": \"wall\"", "[[1, 1], [2, 1]]"),
            line("\"kind\": \"opening\"", "[[1, 0], [2, 0]]"),
            area("\"kind\": \"slab\"", ring),
            area("\"kind\": \"obstacle\"", ring),
        ],
    );
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
fn places_count_characters_not_bytes() {
    let sensor = point("\"kind\": \"sensor\", \"name\": \"Küche 🚪\", \"height\": \"x\"", "[2, 2]");
    check("columns", &plan_of("", &format!("{SOUND},\n{sensor}")));
}
