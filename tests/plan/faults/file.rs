//! The file as such: encoding, syntax, limits, the envelope.

use std::fs;

use plan::{MAX_FEATURES, MAX_FILE_BYTES, MAX_POSITIONS, read_file};

use crate::faults::support::{
    SOUND, check, check_outcome, outcome, plan_of, shown, vocabulary, with_features, with_top,
};

#[test]
fn a_sound_plan_has_nothing_to_mend() {
    check("sound", &with_top(""));
}

#[test]
fn an_empty_file() {
    check("empty", " \n ");
}

#[test]
fn a_byte_order_mark() {
    check("byte_order_mark", &format!("\u{feff}{}", with_top("")));
}

#[test]
fn utf_16() {
    check_outcome("utf_16", &outcome(b"\xff\xfe{\0}\0"));
}

#[test]
fn bytes_that_are_not_utf_8() {
    check_outcome("not_utf_8", &outcome(b"{\"type\":\n \"Feature\xc3\x28\"}"));
}

#[test]
fn text_that_is_not_json() {
    check("not_json", "<html>\n");
}

#[test]
fn a_file_that_is_cut_off() {
    let whole = with_top("");
    check("cut_off", &whole[..whole.len() / 2]);
}

#[test]
fn a_missing_comma() {
    check(
        "missing_comma",
        &with_top("").replace("\"FeatureCollection\",", "\"FeatureCollection\""),
    );
}

#[test]
fn a_comma_before_a_bracket() {
    check("trailing_comma", &with_top("").replace("[0, 0]]}}", "[0, 0],]}}"));
}

#[test]
fn a_comment() {
    check("comment", &with_top("// the ground floor"));
}

#[test]
fn not_a_number() {
    check("not_a_number", &with_top("").replace("[10, 8]", "[NaN, 8]"));
}

#[test]
fn minus_infinity() {
    check("minus_infinity", &with_top("").replace("[10, 8]", "[10, -Infinity]"));
}

#[test]
fn single_quotation_marks() {
    check("single_quotation_marks", "{'type': 'FeatureCollection'}");
}

#[test]
fn text_after_the_end() {
    check("text_after_the_end", &format!("{}{{}}", with_top("")));
}

#[test]
fn a_bare_list() {
    check("bare_list", "[1, 2]");
}

#[test]
fn a_single_feature() {
    check("single_feature", "{\"type\": \"Feature\", \"geometry\": null, \"properties\": {}}");
}

#[test]
fn a_misspelt_collection() {
    check("misspelt_collection", &with_top("").replace("FeatureCollection", "FeatureColection"));
}

#[test]
fn no_type() {
    check("no_type", &format!("{{\"features\": [\n{SOUND}]}}"));
}

#[test]
fn features_that_are_no_list() {
    check("features_no_list", "{\"type\": \"FeatureCollection\", \"features\": {}}");
}

#[test]
fn features_of_another_type() {
    check(
        "feature_type",
        &with_features(
            "    {\"type\": \"feature\", \"properties\": {\"kind\": \"outlet\"},\n     \"geometry\": \
             {\"type\": \"Point\", \"coordinates\": [1, 2]}},\n    7,\n    {\"type\": \"Feature\", \
             \"geometry\": null},\n    {\"type\": \"Feature\", \"properties\": {}, \"geometry\": null}",
        ),
    );
}

#[test]
fn an_unknown_top_level_member() {
    check("unknown_top_member", &with_top("\"unit\": \"ft\", \"author\": \"Ana\","));
}

#[test]
fn an_unknown_feature_member() {
    check(
        "unknown_feature_member",
        &with_features(
            "    {\"type\": \"Feature\", \"geometri\": 1, \"construction\": \"concrete\", \
             \"properties\": {\"kind\": \"outlet\"},\n     \"geometry\": {\"type\": \"Point\", \
             \"coordinates\": [1, 2]}}",
        ),
    );
}

#[test]
fn a_name_that_stands_twice() {
    check("twice", &with_top("\"units\": \"m\",\n  \"units\": \"ft\","));
}

#[test]
fn nesting_too_deep() {
    check_outcome("nesting", &outcome("[".repeat(100_000).as_bytes()));
}

#[test]
fn too_many_features() {
    let feature = "{\"type\":\"Feature\",\"properties\":{\"kind\":\"x\"},\"geometry\":null}";
    let features = vec![feature; MAX_FEATURES + 1].join(",\n");
    check_outcome("features", &outcome(plan_of("", &features).as_bytes()));
}

#[test]
fn too_many_positions() {
    let positions = (0..=MAX_POSITIONS)
        .map(|number| format!("[{},{}]", number % 1000, number / 1000))
        .collect::<Vec<_>>()
        .join(",");
    let wall = crate::faults::support::line(
        "\"kind\": \"wall\", \"construction\": \"concrete\"",
        &format!("[{positions}]"),
    );
    check_outcome("positions", &outcome(with_features(&wall).as_bytes()));
}

#[test]
fn too_large_a_text() {
    check_outcome("too_large", &outcome(&vec![b' '; MAX_FILE_BYTES + 1]));
}

#[test]
fn only_the_first_faults_are_listed() {
    let walls = vec![crate::faults::support::line("\"kind\": \"wall\"", "[[0, 0], [1, 1]]"); 1_000];
    let outcome = outcome(with_features(&walls.join(",\n")).as_bytes());
    let lines: Vec<&str> = outcome.lines().collect();
    assert_eq!(lines.len(), 2 * 201, "two hundred faults and one line that counts the others");
    assert_eq!(
        lines[0],
        "fault  plan.geojson:10:39  wall-2: the property \"construction\" is missing"
    );
    assert_eq!(lines[400], "fault  plan.geojson:408:39  and 800 more after this place");
}

/// The places in messages of the operating system differ, so only ours are compared.
#[test]
fn files_that_cannot_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let read = |path: &std::path::Path| shown(&read_file(path, &vocabulary()).unwrap_err());
    let missing = read(&folder.path().join("none.geojson"));
    assert!(missing.contains("none.geojson  the file cannot be read: "), "{missing}");
    let a_folder = read(folder.path());
    assert!(a_folder.contains("  this is a folder\n       mend: give the name"), "{a_folder}");
    let large = folder.path().join("large.geojson");
    // A sparse file: it takes no room, and must not be read to be refused.
    fs::File::create(&large).unwrap().set_len(1 << 40).unwrap();
    let large = read(&large);
    assert!(large.contains("the file has 1099511627776 bytes; at most 16777216"), "{large}");
}

#[test]
fn a_file_gives_the_plan_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("corner house.geojson");
    fs::write(&path, with_top("")).unwrap();
    assert_eq!(read_file(&path, &vocabulary()).unwrap().plan.name, "corner house");
    fs::write(&path, with_top("\"name\": \"Mill Lane\",")).unwrap();
    assert_eq!(read_file(&path, &vocabulary()).unwrap().plan.name, "Mill Lane");
}
