//! Maps that must be refused, or of which a part must be left out.

use import::{Draft, Kind};

use crate::known::{imported, plain, refused};

const ROOM: &str = "<tag k='indoor' v='room'/><tag k='level' v='0'/>";

/// Four nodes of a room of some 8 × 11 m.
const NODES: &str = "<node id='1' lat='47.0' lon='-30.0'/><node id='2' lat='47.0' lon='-29.9999'/>\
    <node id='3' lat='47.0001' lon='-29.9999'/><node id='4' lat='47.0001' lon='-30.0'/>";

fn way(id: u32, nodes: &[u32], tags: &str) -> String {
    let nodes: String = nodes.iter().map(|node| format!("<nd ref='{node}'/>")).collect();
    format!("<way id='{id}'>{nodes}{tags}</way>\n")
}

fn osm(inside: &str) -> String {
    format!("<?xml version='1.0' encoding='UTF-8'?>\n<osm version='0.6'>\n{inside}\n</osm>\n")
}

fn read(inside: &str) -> Draft {
    imported(Kind::OsmXml, "map.osm", osm(inside).as_bytes(), &plain()).0
}

fn said(kind: Kind, bytes: &[u8]) -> String {
    let faults = refused(kind, "map", bytes);
    assert_eq!(faults.len(), 1);
    faults[0].to_string()
}

fn xml_says(text: &str, words: &str, line: usize) {
    let faults = refused(Kind::OsmXml, "map.osm", text.as_bytes());
    assert!(faults[0].what.contains(words), "{}", faults[0]);
    assert_eq!(faults[0].line, line, "{}", faults[0]);
}

#[test]
fn a_map_that_declares_entities_is_refused_before_they_are_used() {
    let bomb = "<?xml version='1.0'?>\n<!DOCTYPE osm [<!ENTITY a 'aaaaaaaa'>\
        <!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;'><!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'>]>\n\
        <osm><node id='1' lat='0' lon='0'><tag k='name' v='&c;'/></node></osm>";
    xml_says(bomb, "declares entities", 2);
    let outside = "<!DOCTYPE osm SYSTEM 'file:///etc/passwd'><osm/>";
    xml_says(outside, "declares entities", 1);
    xml_says(
        &osm("<node id='1' lat='0' lon='0'><tag k='name' v='&c;'/></node>"),
        "not well formed",
        3,
    );
}

#[test]
fn files_that_break_off_or_nest_too_deep_are_refused_with_their_line() {
    let whole = osm(&format!("{NODES}{}", way(9, &[1, 2, 3, 4, 1], ROOM)));
    for end in (60..whole.len() - 8).step_by(7) {
        if whole.is_char_boundary(end) {
            refused(Kind::OsmXml, "map.osm", &whole.as_bytes()[..end]);
        }
    }
    xml_says("<?xml version='1.0'?>\n<osm>\n<node id='1' lat='0' lon='0'/>\n", "ends before", 4);
    let deep = format!("<osm>{}", "<a>".repeat(100_000));
    xml_says(&deep, "nested more than", 1);
    xml_says("<html></html>", "not a map", 1);
    xml_says("<osm></way></osm>", "not well formed", 1);
}

#[test]
fn other_encodings_are_refused() {
    xml_says("<?xml version='1.0' encoding='ISO-8859-1'?><osm/>", "encoding", 1);
    assert!(said(Kind::OsmXml, b"\xff\xfe<\0o\0s\0m\0>\0").contains("UTF-16"));
    assert!(said(Kind::OsmXml, b"<osm>\n\xe4</osm>").contains("not UTF-8"));
    // A map in GeoJSON is read as Latin-1, and then is no collection.
    let latin = said(Kind::IndoorGeojson, b"{\"type\":\n\"\xe4\"}");
    assert!(latin.contains("not a FeatureCollection"), "{latin}");
}

#[test]
fn an_id_stands_once_and_a_value_is_short() {
    let twice = "<node id='1' lat='0' lon='0'/>\n<node id='1' lat='0' lon='1'/>";
    let faults = refused(Kind::OsmXml, "map.osm", osm(twice).as_bytes());
    assert!(faults[0].what.contains("twice"));
    assert_eq!(faults[0].feature.as_deref(), Some("node/1"));
    let long =
        format!("<node id='1' lat='0' lon='0'><tag k='name' v='{}'/></node>", "x".repeat(5_000));
    xml_says(&osm(&long), "longer than 4096 bytes", 3);
    let many: String = (0..100).map(|n| format!(" a{n}='1'")).collect();
    xml_says(&osm(&format!("<node id='1'{many}/>")), "attributes", 3);
    xml_says(&osm("<node id='1' lat='91' lon='0'/>"), "not a longitude and latitude", 3);
    xml_says(&osm("<node id='1' lat='NaN' lon='0'/>"), "not a longitude and latitude", 3);
    xml_says(&osm("<node id='1'/>"), "not a longitude and latitude", 3);
    xml_says(&osm(""), "holds no building", 0);
}

#[test]
fn a_way_without_some_of_its_nodes_is_left_out_and_told() {
    let draft = read(&format!(
        "{NODES}{}{}",
        way(9, &[1, 2, 3, 4, 1], ROOM),
        way(10, &[1, 2, 77, 1], ROOM)
    ));
    assert_eq!(draft.pieces.len(), 4);
    let guess = &draft.guesses[0];
    assert_eq!(guess.about, "way/10");
    assert!(guess.taken.contains("lacks some of its nodes"));
}

#[test]
fn what_an_editor_marked_as_deleted_is_not_there() {
    let gone =
        way(9, &[1, 2, 3, 4, 1], ROOM).replace("<way id='9'>", "<way id='9' action='delete'>");
    xml_says(&osm(&format!("{NODES}{gone}")), "holds no building", 0);
}

#[test]
fn a_multipolygon_is_strung_together_and_a_loop_of_relations_ends() {
    let more = "<node id='5' lat='47.00004' lon='-29.99996'/><node id='6' lat='47.00004' lon='-29.99994'/>\
        <node id='7' lat='47.00006' lon='-29.99994'/>";
    let members = |extra: &str| {
        format!(
            "<relation id='50'><member type='way' ref='20' role='outer'/>\
            <member type='way' ref='21' role='outer'/><member type='way' ref='22' role='inner'/>{extra}\
            <tag k='type' v='multipolygon'/>{ROOM}</relation>"
        )
    };
    let ways = format!(
        "{}{}{}",
        way(20, &[1, 2, 3], ""),
        way(21, &[1, 4, 3], ""), // the other way round
        way(22, &[5, 6, 7, 5], "")
    );
    let draft = read(&format!("{NODES}{more}{ways}{}", members("")));
    assert_eq!(draft.pieces.len(), 7, "four sides and three of the hole");
    // A relation that is its own member is no ring.
    let own = members("<member type='relation' ref='50' role='outer'/>");
    assert_eq!(read(&format!("{NODES}{more}{ways}{own}")).pieces.len(), 7);
    let broken = format!(
        "{NODES}{more}{}{}{}",
        way(20, &[1, 2, 3], ""),
        way(22, &[5, 6, 7, 5], ROOM),
        members("").replace("<member type='way' ref='21' role='outer'/>", "")
    );
    let draft = read(&broken);
    assert_eq!(draft.guesses[0].taken, "was left out: its outline is not closed");
    let twice = members("<member type='way' ref='20' role='outer'/>");
    let draft = read(&format!("{NODES}{more}{ways}{}{twice}", way(9, &[1, 2, 3, 4, 1], ROOM)));
    assert_eq!(draft.guesses[0].taken, "was left out: it names a way twice");
}

#[test]
fn a_geojson_that_is_none_is_refused_with_its_place() {
    let says = |text: &str, words: &str| {
        let said = said(Kind::IndoorGeojson, text.as_bytes());
        assert!(said.contains(words), "{said}");
    };
    says("{\"type\": \"FeatureCollection\",\n \"features\": [}", "map:2:15");
    says("{\"type\": \"Feature\", \"geometry\": null}", "not a FeatureCollection");
    says(&format!("{}{}", "[".repeat(100_000), "]".repeat(100_000)), "not GeoJSON");
    let deep = format!("{}{}", "[".repeat(500), "]".repeat(500));
    let text =
        format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{{\"geometry\": {deep}}}]}}");
    says(&text, "recursion limit");
    let far = "{\"type\": \"FeatureCollection\", \"features\": [\n{\"type\": \"Feature\", \"id\": \"node/3\",\
        \"properties\": {\"door\": \"yes\"}, \"geometry\": {\"type\": \"Point\", \"coordinates\": [500, 0]}}]}";
    says(far, "map:2:1");
    says(far, "node/3");
}

#[test]
fn a_plan_is_not_imported_again() {
    let plan = include_bytes!("../../../floorplans/bungalow.geojson");
    let said = said(Kind::IndoorGeojson, plan);
    assert!(said.contains("this is already a plan"), "{said}");
}
