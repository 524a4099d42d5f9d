//! Rooms as enclosures, and what rings in them.

use std::collections::BTreeMap;

use fixtures::{plan_of, site_with};
use forecast::{Adding, Edges, Model, SurfaceNames, Surfaces};
use plan::Plan;
use serde_json::{Value, json};
use trace::{Enclosure, Point, Scene};

fn feature(id: &str, sort: &str, coordinates: Value, mut properties: Value) -> Value {
    properties["level"] = properties.get("level").cloned().unwrap_or(json!(0));
    json!({"type": "Feature", "id": id, "properties": properties,
        "geometry": {"type": sort, "coordinates": coordinates}})
}

fn wall(id: &str, line: Value, construction: &str) -> Value {
    feature(id, "LineString", line, json!({"kind": "wall", "construction": construction}))
}

fn point(id: &str, kind: &str, at: [f64; 2]) -> Value {
    feature(id, "Point", json!(at), json!({"kind": kind, "height": 1.2}))
}

fn slab(id: &str, level: i32, ring: Value, construction: &str) -> Value {
    let tight = json!({"kind": "slab", "level": level, "construction": construction,
        "joint": "tight"});
    feature(id, "Polygon", json!([ring]), tight)
}

fn text(features: Vec<Value>) -> String {
    json!({"type": "FeatureCollection", "name": "Two rooms", "units": "m",
        "levels": [{"level": 0, "name": "Ground", "floor": 0.0, "ceiling": 2.5},
            {"level": 1, "name": "Loft", "floor": 2.6, "ceiling": 4.6}],
        "link": "us-345", "features": features})
    .to_string()
}

fn ring(x0: f64, x1: f64) -> Value {
    json!([[x0, 0.0], [x1, 0.0], [x1, 4.0], [x0, 4.0], [x0, 0.0]])
}

/// Two rooms side by side, with a door between them, and a loft over the left one.
fn house() -> Vec<Value> {
    let on_first = json!([[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0], [0.0, 0.0]]);
    let mut loft = wall("loft", on_first, "stud-partition");
    loft["properties"]["level"] = json!(1);
    vec![
        wall("outside", ring(0.0, 10.0), "brick-half"),
        wall("middle", json!([[6.0, 0.0], [6.0, 4.0]]), "stud-partition"),
        feature(
            "door",
            "LineString",
            json!([[6.0, 1.0], [6.0, 1.9]]),
            json!({"kind": "opening", "base": 0.0, "top": 2.0, "construction": "door-hollow"}),
        ),
        loft,
        slab("ground", 0, ring(0.0, 10.0), "floor-concrete"),
        slab("upper", 1, ring(0.0, 6.0), "floor-timber"),
        point("panel", "panel", [2.0, 3.0]),
        point("sensor", "sensor", [8.0, 3.0]),
    ]
}

fn scene(plan: &Plan) -> (Scene, SurfaceNames) {
    let names = SurfaceNames::new(plan);
    (Scene::new(plan, &|name| names.facts(name)), names)
}

/// Areas by construction and room beyond.
fn areas(
    plan: &Plan,
    names: &SurfaceNames,
    room: &Enclosure,
) -> BTreeMap<(String, Option<u32>), f64> {
    let used = ["brick-half", "stud-partition", "door-hollow", "floor-concrete", "floor-timber"];
    assert!(!plan.walls.is_empty());
    let name = |surface| used.iter().find(|name| names.facts(name).surface == surface);
    let named = |surface| name(surface).map_or("air", |name| name).to_owned();
    let mut areas = BTreeMap::new();
    for face in &room.faces {
        *areas.entry((named(face.surface), face.beyond)).or_default() += face.area_m2;
    }
    areas
}

/// The first layer of an outside wall lies outside, whichever way the wall is drawn; that of a wall
/// between rooms to the left.
#[test]
fn layers_are_known_from_outside_in() {
    let turned = |id: &str| {
        let mut features = house();
        let wall = features.iter_mut().find(|feature| feature["id"] == id).unwrap();
        wall["geometry"]["coordinates"].as_array_mut().unwrap().reverse();
        features
    };
    for features in [house(), turned("outside"), turned("middle")] {
        let plan = plan_of(&text(features));
        let (scene, _) = scene(&plan);
        let centre = Point { x: 5.0, y: 2.0 };
        for screen in scene.screens.iter().filter(|screen| screen.top < 2.6) {
            let id = &scene.features[screen.body.feature as usize];
            let to_centre = screen.first_layer * screen.offset(centre);
            match id.as_str() {
                "outside" => assert!(to_centre < 0.0, "{screen:?}"),
                _ => assert!(screen.first_layer > 0.0, "{screen:?}"),
            }
        }
    }
}

/// A wall with foil on its inner face throws a wave back into the room, and takes up what strikes
/// its bricks; drawn the other way round it is the same house.
#[test]
fn the_face_that_is_met_reflects() {
    let gain = |line: Value, sensor: [f64; 2]| {
        let features = vec![
            wall("outside", line, "foil-board-brick"),
            point("panel", "panel", [2.0, 3.0]),
            point("sensor", "sensor", sensor),
        ];
        let plan = plan_of(&text(features));
        let model = Model { adding: Adding::Powers, openings: Edges::Sharp, ..Model::default() };
        let site = site_with(&plan, model);
        forecast::Assessment::new(&site).unwrap().sensors[0].hop.path_loss.0
    };
    let reversed = json!([[0.0, 0.0], [0.0, 4.0], [10.0, 4.0], [10.0, 0.0], [0.0, 0.0]]);
    let (here, there) = (gain(ring(0.0, 10.0), [8.0, 3.0]), gain(reversed, [8.0, 3.0]));
    assert!((here - there).abs() < 1e-9, "{here} {there}");
    let names = ["foil-board-brick".to_owned()];
    let plan = plan_of(&text(house()));
    let names = SurfaceNames::of(&plan, names.iter());
    let surfaces = Surfaces::new(&plan, &names, units::Hertz(345e6), &Model::default());
    let foil = surfaces.get(names.facts("foil-board-brick").surface);
    for cos in [0.3, 0.6, 1.0] {
        let (bricks, foil) = (foil.reflected(0, cos), foil.reflected(1, cos));
        assert!(bricks < 0.75 && foil > 0.95, "{cos}: {bricks} {foil}");
    }
}

#[test]
fn a_room_is_closed_by_what_stands_about_it() {
    let plan = plan_of(&text(house()));
    let (scene, names) = scene(&plan);
    let rooms = &scene.enclosures;
    let at = |x: f64, z: f64| rooms.at(Point { x, y: 2.0 }, z);
    let (left, right, loft) = (at(3.0, 1.2), at(8.0, 1.2), at(3.0, 3.5));
    assert_eq!(rooms.all().len(), 3);
    assert!(left.is_some() && right.is_some() && loft.is_some());
    assert_eq!(at(8.0, 3.5), None, "there is no loft over the right one");
    assert_eq!(at(20.0, 1.2), None);
    let found = areas(&plan, &names, &rooms.all()[left.unwrap() as usize]);
    let area = |name: &str, beyond| found.get(&(name.to_owned(), beyond)).copied().unwrap_or(0.0);
    // Walls count by pieces of a quarter of a metre, so to the half thickness at their ends.
    let walls = area("brick-half", None);
    assert!((walls - (6.0 + 6.0 + 4.0) * 2.5).abs() < 1.0, "{walls}");
    let door = area("door-hollow", right);
    assert!((door - 0.9 * 2.0).abs() < 0.55, "{door}");
    let partition = area("stud-partition", right);
    assert!((partition + door - 4.0 * 2.5).abs() < 0.5, "{partition}");
    // Floors count along the faces of the walls.
    let inside: f64 = geo::Area::unsigned_area(&rooms.all()[left.unwrap() as usize].outline);
    approx::assert_relative_eq!(area("floor-concrete", None), inside, max_relative = 1e-6);
    let under_loft = area("floor-timber", loft);
    assert!(under_loft > 0.95 * inside && under_loft <= inside + 1e-6, "{under_loft} {inside}");
    let right_room = areas(&plan, &names, &rooms.all()[right.unwrap() as usize]);
    let open: f64 = right_room.iter().filter(|((name, _), _)| name == "air").map(|x| x.1).sum();
    assert!(open > 14.0, "the right room is open above: {right_room:?}");
}

/// What two rooms have in common both of them have.
#[test]
fn both_sides_of_a_face_are_as_large() {
    for (name, text) in fixtures::plan_texts() {
        let plan = plan_of(&text);
        let (scene, _) = scene(&plan);
        let rooms = scene.enclosures.all();
        let between = |from: u32, to: u32| -> f64 {
            let faces = rooms[from as usize].faces.iter();
            faces.filter(|face| face.beyond == Some(to)).map(|face| face.area_m2).sum()
        };
        let count = u32::try_from(rooms.len()).unwrap();
        for (from, to) in (0..count).flat_map(|from| (0..from).map(move |to| (from, to))) {
            let (there, back) = (between(from, to), between(to, from));
            assert!((there - back).abs() < 1e-6, "{name}: {from} {to}: {there} {back}");
        }
    }
}

/// Decibels that a sensor beside a partition hears less than free space, for what closes the room
/// about both ends.
fn loss(outside: &str, floors: &str) -> f64 {
    let mut features = vec![
        wall("outside", ring(0.0, 10.0), outside),
        wall("screen", json!([[5.0, 1.0], [5.0, 4.0]]), "sheet-metal"),
        point("panel", "panel", [2.0, 3.0]),
        point("sensor", "sensor", [8.0, 3.0]),
    ];
    if !floors.is_empty() {
        features.push(slab("floor", 0, ring(0.0, 10.0), floors));
        features.push(slab("roof", 1, ring(0.0, 10.0), floors));
    }
    let plan = plan_of(&text(features));
    let site = site_with(&plan, Model { openings: Edges::Soft, ..Model::default() });
    forecast::Assessment::new(&site).unwrap().sensors[0].hop.path_loss.0
}

#[test]
fn a_metal_room_rings_more_the_more_it_is_closed() {
    let open = loss("stud-partition", "");
    let bricks = loss("brick-solid", "");
    let walls = loss("sheet-metal", "");
    let covered = loss("sheet-metal", "sheet-metal");
    assert!(
        open > bricks && bricks > walls && walls > covered,
        "{open} {bricks} {walls} {covered}"
    );
    assert!(walls - covered > 3.0, "{walls} {covered}");
}
