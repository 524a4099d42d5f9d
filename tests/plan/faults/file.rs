//! The file as such: encoding, syntax, limits, the envelope.

use std::fs;

use plan::{MAX_FEATURES, MAX_FILE_BYTES, MAX_POSITIONS, read_file};

use crate::faults::support::{
    SOUND, check, check_outcome, line, outcome, plan_of, shown, vocabulary, with_features, with_top,
};

#[test]
fn bad_files_one_by_one() {
    let whole = with_top("");
    check("sound", &whole);
    check("cut_off", &whole[..whole.len() / 2]);
    check("empty", " \n ");
    check("byte_order_mark", &format!("\u{feff}{}", with_top("")));
    check_outcome("utf_16", &outcome(b"\xff\xfe{\0}\0"));
    check_outcome("not_utf_8", &outcome(b"{\"type\":\n \"Feature\xc3\x28\"}"));
    check("not_json", "<html>\n");
    check("missing_comma", &whole.replace("\"FeatureCollection\",", "\"FeatureCollection\""));
    check("trailing_comma", &with_top("").replace("[0, 0]]}}", "[0, 0],]}}"));
    check("comment", &with_top("// the ground floor"));
    check("not_a_number", &with_top("").replace("[10, 8]", "[NaN, 8]"));
    check("minus_infinity", &with_top("").replace("[10, 8]", "[10, -Infinity]"));
    check("single_quotation_marks", "{'type': 'FeatureCollection'}");
    check("text_after_the_end", &format!("{}{{}}", with_top("")));
    check("bare_list", "[1, 2]");
    check("single_feature", "{\"type\": \"Feature\", \"geometry\": null, \"properties\": {}}");
    check("misspelt_collection", &with_top("").replace("FeatureCollection", "FeatureColection"));
    check("no_type", &format!("{{\"features\": [\n{SOUND}]}}"));
    check("features_no_list", "{\"type\": \"FeatureCollection\", \"features\": {}}");
    check(
        "feature_type",
        &with_features(
            "    {\"type\": \"feature\", \"properties\": {\"kind\": \"outlet\"},\n     \"geometry\": \
             {\"type\": \"Point\", \"coordinates\": [1, 2]}},\n    7,\n    {\"type\": \"Feature\", \
             \"geometry\": null},\n    {\"type\": \"Feature\", \"properties\": {}, \"geometry\": null}",
        ),
    );
    check("unknown_top_member", &with_top("\"unit\": \"ft\", \"author\": \"Ana\","));
    check(
        "unknown_feature_member",
        &with_features(
            "    {\"type\": \"Feature\", \"geometri\": 1, \"construction\": \"concrete\", \
             \"properties\": {\"kind\": \"outlet\"},\n     \"geometry\": {\"type\": \"Point\", \
             \"coordinates\": [1, 2]}}",
        ),
    );
    check("twice", &with_top("\"units\": \"m\",\n  \"units\": \"ft\","));
    check_outcome("nesting", &outcome("[".repeat(100_000).as_bytes()));
    check_outcome("too_large", &outcome(&vec![b' '; MAX_FILE_BYTES + 1]));
}

#[test]
fn too_many_features() {
    let feature = "{\"type\":\"Feature\",\"properties\":{\"kind\":\"x\"},\"geometry\":null}";
    let features = vec![feature; MAX_FEATURES + 1].join(",\n");
    check_outcome("features", &outcome(plan_of("", &features).as_bytes()));
}

#[test]
fn too_many_positions() {
    let positions = (0..=MAX_POSITIONS).map(|n| format!("[{},{}]", n % 1000, n / 1000));
    let positions = format!("[{}]", positions.collect::<Vec<_>>().join(","));
    let wall = line("\"kind\": \"wall\", \"construction\": \"concrete\"", &positions);
    check_outcome("positions", &outcome(with_features(&wall).as_bytes()));
}

#[test]
fn only_the_first_faults_are_listed() {
    let walls = vec![line("\"kind\": \"wall\"", "[[0, 0], [1, 1]]"); 1_000];
    let outcome = outcome(with_features(&walls.join(",\n")).as_bytes());
    let lines: Vec<&str> = outcome.lines().collect();
    assert_eq!(lines.len(), 2 * 201, "two hundred faults and one line that counts the others");
    let first = "fault  plan.geojson:10:39  wall-2: the property \"construction\" is missing";
    assert_eq!(lines[0], first);
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
    assert!(a_folder.contains("  it is a folder\n        fix: give the name"), "{a_folder}");
    let large = folder.path().join("large.geojson");
    // A sparse file: it takes no room, and must not be read to be refused.
    fs::File::create(&large).unwrap().set_len(1 << 40).unwrap();
    let large = read(&large);
    assert!(large.contains("the file has 1099511627776 bytes, more than 16777216"), "{large}");
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
