//! What is drafted is what the plan's reader reads.

use approx::assert_abs_diff_eq;
use forecast::vocabulary;
use geo::{Geometry, LineString, Point, polygon};
use import::{
    DOOR, Draft, DraftUnit, FLOOR, INSIDE_WALL, Kind, OUTSIDE_WALL, Piece, WINDOW, What, osm,
};
use plan::{Construction, DeviceKind, Layer, Level, read};

fn piece(id: &str, shape: impl Into<Geometry<f64>>, what: What) -> Piece {
    Piece { id: id.to_owned(), name: None, level: 0, shape: shape.into(), what }
}

fn line(points: &[(f64, f64)]) -> LineString<f64> {
    LineString::from(points.to_vec())
}

fn device(kind: DeviceKind, number: Option<u32>) -> What {
    What::Device {
        kind,
        height_m: Some(2.0),
        device: Some("contact".to_owned()),
        role: Some("perimeter".to_owned()),
        number,
        room: Some("Hall \"south\"".to_owned()),
        mount: Some("frame".to_owned()),
        supervised: Some(false),
    }
}

fn house() -> Draft {
    let own = Construction::Layers(vec![
        Layer::Bulk { material: "brick".to_owned(), thickness_mm: 102.5 },
        Layer::Film { sheet_resistance_ohm: 4.0 },
    ]);
    let level = |number, name: &str, floor_m| Level {
        number,
        name: name.to_owned(),
        floor_m,
        ceiling_m: floor_m + 2.4,
        is_over_air: false,
    };
    let door = |construction: &str, open: bool, base_m| What::Opening {
        construction: construction.to_owned(),
        entry: !open,
        open,
        base_m,
        top_m: Some(2.0),
    };
    let mut upstairs = piece("", line(&[(0.0, 0.0), (0.0, 3.0)]), What::wall("stud-partition"));
    upstairs.level = 1;
    Draft {
        name: "A house".to_owned(),
        levels: vec![level(1, "First", 2.7), level(0, "Ground", 0.0)],
        link: Some("eu-868.65".to_owned()),
        constructions: [("foiled".to_owned(), own)].into(),
        pieces: vec![
            piece(
                "Outside wall",
                line(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)]),
                What::Wall {
                    construction: "foiled".to_owned(),
                    thickness_mm: Some(119.6),
                    base_m: Some(0.0),
                    top_m: Some(2.2),
                },
            ),
            upstairs,
            piece("Front door!", line(&[(1.0, 0.0), (1.9, 0.0)]), door("door-solid", false, None)),
            piece(
                "front door",
                line(&[(3.0, 3.0), (2.0, 3.0)]),
                door("glass-double", true, Some(0.9)),
            ),
            piece(
                "",
                polygon![(x: 0.0, y: 0.0), (x: 4.0, y: 0.0), (x: 4.0, y: 3.0)],
                What::Slab { construction: "floor-concrete".to_owned() },
            ),
            piece("", Point::new(2.0, 1.0), device(DeviceKind::Panel, None)),
            piece("", Point::new(1.0, 0.0), device(DeviceKind::Sensor, Some(7))),
            piece("", Point::new(0.0, 1.0), What::Outlet { height_m: None }),
            piece("", line(&[(1.0, 1.0), (3.0, 1.0)]), What::Stairs { to: Some(1) }),
            piece(
                "",
                polygon![(x: 3.0, y: 1.0), (x: 3.5, y: 1.0), (x: 3.5, y: 2.0)],
                What::Obstacle {
                    construction: "sheet-metal".to_owned(),
                    base_m: None,
                    top_m: Some(1.8),
                },
            ),
        ],
        ..Draft::default()
    }
}

#[test]
fn every_kind_of_piece_is_read_back_as_it_was_drafted() {
    for unit in [DraftUnit::Metre, DraftUnit::Foot] {
        let draft = Draft { unit, ..house() };
        let text = draft.text();
        let reading = read("house.geojson", text.as_bytes(), &vocabulary()).unwrap();
        assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
        let plan = reading.plan;
        assert_eq!(plan.name, "A house");
        assert_eq!(plan.metres_per_unit, unit.metres());
        let close = |a: f64, b: f64| assert_abs_diff_eq!(a, b, epsilon = 0.0005);
        assert_eq!(plan.levels.len(), 2);
        close(plan.levels[1].floor_m, 2.7);
        assert_eq!(plan.constructions, draft.constructions);
        assert_eq!(plan.walls.len(), 2);
        assert_eq!(plan.walls[0].id, "outside-wall");
        assert_eq!(plan.walls[0].thickness_mm, Some(120.0));
        close(plan.walls[0].top_m, 2.2);
        close(plan.walls[0].line.0[2].y, 3.0);
        assert_eq!((plan.walls[1].id.as_str(), plan.walls[1].level), ("wall-1", 1));
        let ids: Vec<&str> = plan.openings.iter().map(|o| o.id.as_str()).collect();
        assert_eq!(ids, ["front-door", "front-door-2"]);
        assert!(plan.openings[0].entry && !plan.openings[0].open && plan.openings[1].open);
        close(plan.openings[1].base_m, 0.9);
        assert_eq!(plan.slabs.len(), 1);
        let sensor = &plan.devices[1];
        assert_eq!(sensor.number, Some(7));
        assert_eq!(sensor.room.as_deref(), Some("Hall \"south\""));
        assert!(!sensor.supervised);
        close(sensor.height_m, 2.0);
        assert_eq!(plan.outlets.len(), 1);
        assert_eq!(plan.stairs[0].to_level, 1);
        close(plan.obstacles[0].top_m, 1.8);
    }
}

#[test]
fn a_plan_is_a_feature_a_line() {
    let text = house().text();
    assert!(text.starts_with("{\n  \"type\": \"FeatureCollection\",\n  \"name\": \"A house\",\n"));
    let door = "    {\"type\": \"Feature\", \"id\": \"front-door\", \"geometry\": {\"type\": \"LineString\", \
                \"coordinates\": [[1.0, 0.0], [1.9, 0.0]]}, \"properties\": {\"kind\": \"opening\", \
                \"construction\": \"door-solid\", \"level\": 0, \"top\": 2.0, \"entry\": true}},\n";
    assert!(text.contains(door), "{text}");
    let features = text.lines().filter(|line| line.contains("\"Feature\""));
    assert_eq!(features.count(), house().pieces.len());
}

#[test]
fn a_thousand_pieces_of_one_name_get_ids_of_their_own() {
    let wall = piece("Wall", line(&[(0.0, 0.0), (1.0, 0.0)]), What::wall("brick-half"));
    let draft = Draft { pieces: vec![wall; 1_000], ..Draft::default() };
    let reading = plan::read_house("x", draft.text().as_bytes(), &vocabulary()).unwrap();
    assert_eq!(reading.plan.walls[0].id, "wall");
    assert_eq!(reading.plan.walls[999].id, "wall-1000");
}

#[test]
fn a_file_s_kind_is_told_by_its_beginning_its_name_or_its_first_line() {
    for (name, bytes, kind) in [
        ("a", &b"PK\x03\x04..."[..], Some(Kind::Imdf)),
        ("a", b" \xef\xbb\xbf<osm/>", None),
        ("a", b"\xef\xbb\xbf <osm/>", Some(Kind::OsmXml)),
        ("a.txt", b"{}", Some(Kind::IndoorGeojson)),
        ("A.DXF", b"999\nremark\n", Some(Kind::Dxf)),
        ("a", b"0\r\nSECTION\r\n", Some(Kind::Dxf)),
        ("a.txt", b"nonsense", Some(Kind::Tape)),
        ("a.txt", b"\xef\xbb\xbfISO-10303-21;\nHEADER;", Some(Kind::Ifc)),
        ("a.ifc", b"nonsense", Some(Kind::Ifc)),
        ("a", b"# my house\n\nRoom Hall 2 x 3", Some(Kind::Tape)),
        ("a", b"kitchen 3 by 4", None),
        ("a", b"\n%PDF-1.7", Some(Kind::Pdf)),
        ("a.PDF", b"torn", Some(Kind::Pdf)),
        ("a.txt", b"# %PDF-1.7", Some(Kind::Tape)),
    ] {
        assert_eq!(Kind::of(name, bytes), kind, "{name} {bytes:?}");
    }
}

#[test]
fn every_construction_that_a_reader_takes_unasked_is_known() {
    let known = vocabulary().constructions;
    let usual = [OUTSIDE_WALL, INSIDE_WALL, DOOR, WINDOW, FLOOR];
    let mut count = 0;
    for name in osm::constructions_of_materials().chain(usual) {
        assert!(known.iter().any(|known| known == name), "{name}");
        count += 1;
    }
    assert!(count > 10);
}
