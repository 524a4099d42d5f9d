//! Small maps, one thing at a time.

use geo::{Euclidean, Geometry, Length};
use import::{Draft, Kind, Piece, Settings, What};
use plan::Plan;

use crate::known::{imported, plain};

/// A feature of `GeoJSON`: its tags as members, its geometry's type and coordinates.
fn feature(tags: &str, form: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type": "Feature", "properties": {{{tags}}}, "geometry": {{"type": "{form}", "coordinates": {coordinates}}}}}"#
    )
}

/// Positions in degrees as a list.
fn positions(points: impl IntoIterator<Item = (f64, f64)>) -> String {
    let points: Vec<String> = points.into_iter().map(|(x, y)| format!("[{x}, {y}]")).collect();
    format!("[{}]", points.join(", "))
}

/// An area of four corners in degrees.
pub fn rectangle(tags: &str, corners: [(f64, f64); 4]) -> String {
    let ring = positions(corners.into_iter().chain([corners[0]]));
    feature(tags, "Polygon", &format!("[{ring}]"))
}

/// A whole file.
pub fn collection(features: &[String]) -> String {
    format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}", features.join(",\n"))
}

/// Metres east and north of the corner as degrees, at 47° N 30° W: pyproj 3.7.2 gives 76.0560 m for
/// a thousandth of a degree of longitude and 111.1709 m for one of latitude.
fn degrees((x, y): (f64, f64)) -> (f64, f64) {
    (-30.0 + x / 76_056.0, 47.0 + y / 111_170.9)
}

/// The corners of a rectangle, in degrees.
fn corners(x: f64, y: f64, width: f64, depth: f64) -> [(f64, f64); 4] {
    [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)].map(degrees)
}

fn room(tags: &str, x: f64, y: f64, width: f64, depth: f64) -> String {
    rectangle(tags, corners(x, y, width, depth))
}

fn line(tags: &str, points: &[(f64, f64)]) -> String {
    feature(tags, "LineString", &positions(points.iter().copied().map(degrees)))
}

fn node(tags: &str, at: (f64, f64)) -> String {
    let (x, y) = degrees(at);
    feature(tags, "Point", &format!("[{x}, {y}]"))
}

fn read_with(features: &[String], settings: &Settings) -> (Draft, Plan) {
    let text = collection(features);
    imported(Kind::IndoorGeojson, "map", text.as_bytes(), settings)
}

fn read(features: &[String]) -> (Draft, Plan) {
    read_with(features, &plain())
}

fn length(piece: &Piece) -> f64 {
    match &piece.shape {
        Geometry::LineString(line) => Euclidean.length(line),
        _ => 0.0,
    }
}

/// Metres of wall on a level, of one construction or of all.
fn metres(draft: &Draft, on: i32, of: Option<&str>) -> f64 {
    let walls = draft.pieces.iter().filter(|piece| {
        piece.level == on
            && matches!(&piece.what, What::Wall { construction, .. } if of.is_none_or(|of| of == construction))
    });
    walls.map(length).sum()
}

fn told(draft: &Draft, words: &str) -> bool {
    draft.guesses.iter().any(|guess| format!("{} {}", guess.about, guess.taken).contains(words))
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.02
}

const ROOM: &str = r#""indoor": "room", "level": "0""#;

#[test]
fn tags_may_stand_flat_or_under_tags() {
    let flat = read(&[room(ROOM, 0.0, 0.0, 4.0, 3.0)]);
    let nested = format!(r#""type": "way", "id": 7, "tags": {{{ROOM}}}"#);
    let under = read(&[room(&nested, 0.0, 0.0, 4.0, 3.0)]);
    assert_eq!(flat.0.pieces, under.0.pieces);
    assert!(close(metres(&flat.0, 0, None), 14.0));
}

#[test]
fn a_multipolygon_of_geojson_has_parts_and_holes() {
    let ring = |x: f64, y: f64, width: f64, depth: f64| {
        let corners = corners(x, y, width, depth);
        positions(corners.into_iter().chain([corners[0]]))
    };
    let parts = format!(
        "[[{}, {}], [{}]]",
        ring(0.0, 0.0, 8.0, 6.0),
        ring(2.0, 2.0, 2.0, 2.0),
        ring(20.0, 0.0, 4.0, 3.0)
    );
    let (draft, _) = read(&[feature(ROOM, "MultiPolygon", &parts)]);
    assert!(close(metres(&draft, 0, None), 28.0 + 8.0 + 14.0));
}

#[test]
fn a_level_is_a_number_a_list_or_a_range() {
    for (level, numbers, half) in [
        (r#""level": "0""#, vec![0], false),
        (r#""level": 2"#, vec![2], false),
        (r#""level": "0;1""#, vec![0, 1], false),
        (r#""level": "0-2""#, vec![0, 1, 2], false),
        (r#""level": "-1""#, vec![-1], false),
        (r#""level": "-3--1""#, vec![-3, -2, -1], false),
        (r#""level": "-1-1;4""#, vec![-1, 0, 1, 4], false),
        (r#""level": "0.5""#, vec![0], true),
        (r#""level": "-0.5""#, vec![-1], true),
        (r#""level": "0", "repeat_on": "2;4""#, vec![0, 2, 4], false),
        (r#""name": "Hall""#, vec![0], false),
    ] {
        let tags = format!(r#""indoor": "room", {level}"#);
        let (draft, _) = read(&[room(&tags, 0.0, 0.0, 4.0, 3.0)]);
        let found: Vec<i32> = draft.levels.iter().map(|level| level.number).collect();
        assert_eq!((found, told(&draft, "half levels")), (numbers, half), "{level}");
    }
}

#[test]
fn storeys_follow_the_heights_that_the_map_gives() {
    let stack = |features: &[String]| -> Vec<(i32, f64, f64)> {
        let (draft, _) = read(features);
        let to_mm = |m: f64| (m * 1_000.0).round() / 1_000.0;
        let levels = draft.levels.iter();
        levels.map(|it| (it.number, to_mm(it.floor_m), to_mm(it.ceiling_m))).collect()
    };
    let at = |level: i32, more: &str| {
        let tags = format!(r#""indoor": "room", "level": "{level}"{more}"#);
        room(&tags, 0.0, 0.0, 4.0, 3.0)
    };
    // Nothing said: 2.4 m of room and 0.3 m of floor, upwards and downwards.
    assert_eq!(
        stack(&[at(-1, ""), at(0, ""), at(2, "")]),
        [(-1, -2.7, -0.3), (0, 0.0, 2.4), (2, 5.4, 7.8)]
    );
    // A room of three metres lifts the level above it.
    assert_eq!(stack(&[at(0, r#", "height": "3 m""#), at(1, "")]), [(0, 0.0, 3.0), (1, 3.3, 5.7)]);
    // Eight metres and two levels are four metres from floor to floor.
    let building =
        room(r#""building": "yes", "height": "8", "building:levels": "2""#, 0.0, 0.0, 4.0, 3.0);
    assert_eq!(stack(&[building, at(0, ""), at(1, "")]), [(0, 0.0, 3.7), (1, 4.0, 7.7)]);
    // Nonsense is not used.
    assert_eq!(stack(&[at(0, r#", "height": "300""#)]), [(0, 0.0, 2.4)]);
}

#[test]
fn corridors_are_open_to_one_another_and_areas_bring_no_walls() {
    let corridor = r#""indoor": "corridor", "level": "0""#;
    let (draft, _) = read(&[
        room(corridor, 0.0, 0.0, 6.0, 2.0),
        room(corridor, 6.0, 0.0, 2.0, 2.0),
        room(ROOM, 0.0, 2.0, 8.0, 4.0),
    ]);
    // Outside 2 × (8 + 6); between room and corridors 8; none between the corridors.
    assert!(close(metres(&draft, 0, Some("brick-cavity")), 28.0));
    assert!(close(metres(&draft, 0, Some("brick-half")), 8.0));
    let (draft, _) = read(&[
        room(r#""indoor": "area", "level": "0""#, 0.0, 0.0, 6.0, 2.0),
        room(ROOM, 0.0, 2.0, 6.0, 4.0),
    ]);
    assert!(close(metres(&draft, 0, None), 20.0), "the room's own walls alone");
    assert!(told(&draft, "sides of areas"));
}

#[test]
fn the_outline_of_the_building_is_wall_where_no_room_reaches_it() {
    let building = room(r#""building": "yes""#, 0.0, 0.0, 10.0, 8.0);
    // Drawn to the inner face of the walls, 0.3 m in, it is the same wall, not a second one.
    let (draft, _) = read(&[building, room(ROOM, 0.3, 0.3, 4.0, 7.4)]);
    let walls = metres(&draft, 0, None);
    // The room's 22.8 m, and of the outline what lies right of x = 4.3 m: 2 × 5.7 + 8.
    assert!((walls - (22.8 + 11.4 + 8.0)).abs() < 0.05, "{walls}");
    // The room's side towards the rest of the building is no outside wall.
    assert!(close(metres(&draft, 0, Some("brick-half")), 7.4));
    // Without any room the outline is all there is, once a level.
    let tags = r#""building": "yes", "building:levels": "2""#;
    let (draft, _) = read(&[room(tags, 0.0, 0.0, 10.0, 8.0)]);
    assert!(close(metres(&draft, 0, None), 36.0) && close(metres(&draft, 1, None), 36.0));
}

#[test]
fn a_drawn_wall_is_a_strip_or_an_outline_and_a_side_gives_way_to_it() {
    let wall = r#""indoor": "wall", "level": "0", "material": "brick""#;
    let (draft, _) = read(&[room(wall, 0.0, 0.0, 4.0, 0.2)]);
    let [piece] = draft.pieces.as_slice() else { panic!("{:?}", draft.pieces) };
    assert!(close(length(piece), 4.0));
    let What::Wall { thickness_mm: Some(thick), .. } = piece.what else { panic!("{piece:?}") };
    assert!((thick - 200.0).abs() < 3.0);
    // A block of two metres each way is no strip.
    let (draft, _) = read(&[room(wall, 0.0, 0.0, 2.0, 2.0)]);
    assert!(close(metres(&draft, 0, None), 8.0));
    // Along a room's side it is that side, and the sides beside it are drawn out to it.
    let (draft, _) = read(&[room(ROOM, 0.0, 0.0, 4.0, 3.0), line(wall, &[(0.0, 3.1), (4.0, 3.1)])]);
    assert!(close(metres(&draft, 0, None), 14.0 + 2.0 * 0.1));
    assert!(close(metres(&draft, 0, Some("brick-half")), 4.0));
}

#[test]
fn the_user_says_what_a_material_is_and_may_leave_it_out() {
    let wall = |material: &str, y: f64| {
        let tags = format!(r#""indoor": "wall", "level": "0", "material": "{material}""#);
        line(&tags, &[(0.0, y), (4.0, y)])
    };
    let features = [wall("brick", 0.0), wall("straw", 2.0), wall("cloth", 4.0), wall("jelly", 6.0)];
    let mut settings = plain();
    settings.map.insert("straw".to_owned(), "lath-and-plaster".to_owned());
    settings.map.insert("cloth".to_owned(), "none".to_owned());
    settings.inside = Some("block-light".to_owned());
    let (draft, _) = read_with(&features, &settings);
    let names = draft.pieces.iter().filter_map(|piece| match &piece.what {
        What::Wall { construction, .. } => Some(construction.as_str()),
        _ => None,
    });
    assert_eq!(names.collect::<Vec<_>>(), ["brick-half", "lath-and-plaster", "block-light"]);
    assert!(told(&draft, "jelly") && told(&draft, "cloth") && !told(&draft, "straw"));
}

#[test]
fn doors_lie_on_walls_within_five_centimetres_and_apart() {
    let door = r#""door": "yes", "level": "0""#;
    let (draft, plan) = read(&[
        room(ROOM, 0.0, 0.0, 4.0, 3.0),
        node(door, (2.0, 0.04)),
        node(door, (2.5, 0.0)),  // overlaps the first
        node(door, (2.0, 0.07)), // too far off
        node(door, (0.0, 3.0)),  // at a corner: moved along the wall until it fits
        line(r#""door": "yes", "level": "0""#, &[(4.0, 1.0), (4.0, 2.2)]),
        line(r#""door": "yes", "level": "0""#, &[(3.5, 0.0), (4.0, 0.5)]), // round the corner
    ]);
    assert_eq!(plan.openings.len(), 3);
    let widths: Vec<f64> = plan.openings.iter().map(|o| o.to_m - o.from_m).collect();
    assert!(widths.iter().filter(|width| close(**width, 0.9)).count() == 2, "{widths:?}");
    assert!(widths.iter().any(|width| close(*width, 1.2)), "{widths:?}");
    assert!(told(&draft, "overlaps another opening"));
    let lost = draft.guesses.iter().filter(|guess| guess.taken.contains("is on no wall"));
    assert_eq!(lost.map(|guess| guess.pieces).sum::<usize>(), 2);
}

#[test]
fn a_way_in_is_an_entrance_or_an_outside_door_of_the_ground_floor() {
    let entries = |door: &str, at: (f64, f64)| {
        let upper = r#""indoor": "room", "level": "1""#;
        let (_, plan) = read(&[
            room(ROOM, 0.0, 0.0, 4.0, 3.0),
            room(ROOM, 4.0, 0.0, 4.0, 3.0),
            room(upper, 0.0, 0.0, 4.0, 3.0),
            node(door, at),
        ]);
        let [opening] = plan.openings.as_slice() else { panic!("{:?}", plan.openings) };
        opening.entry
    };
    assert!(entries(r#""door": "yes", "level": "0""#, (2.0, 0.0)));
    assert!(!entries(r#""door": "yes", "level": "0""#, (4.0, 1.5)));
    assert!(!entries(r#""door": "yes", "level": "1""#, (2.0, 0.0)));
    assert!(entries(r#""entrance": "yes", "level": "1""#, (2.0, 0.0)));
    assert!(!entries(r#""entrance": "emergency", "level": "0""#, (2.0, 0.0)));
    // Half a metre off the wall, as on the outline of the building.
    assert!(entries(r#""entrance": "main", "level": "0""#, (2.0, -0.5)));
}

#[test]
fn steps_lead_from_the_lower_level_unless_they_go_down() {
    let ends = |tags: &str| {
        let both = r#""indoor": "room", "level": "0;1""#;
        let (draft, plan) =
            read(&[room(both, 0.0, 0.0, 4.0, 6.0), line(tags, &[(1.0, 1.0), (1.0, 4.0)])]);
        let stairs = plan.stairs.iter().map(|stairs| {
            let up = stairs.line.0.first().map(|at| at.y) < stairs.line.0.last().map(|at| at.y);
            (stairs.level, stairs.to_level, up)
        });
        (stairs.collect::<Vec<_>>(), told(&draft, "stairs need a line and two levels"))
    };
    assert_eq!(ends(r#""highway": "steps", "level": "0;1""#), (vec![(0, 1, true)], false));
    let down = r#""highway": "steps", "level": "0;1", "incline": "down""#;
    assert_eq!(ends(down), (vec![(0, 1, false)], false));
    assert_eq!(ends(r#""highway": "steps", "level": "0""#), (vec![], true));
}

#[test]
fn a_floor_has_the_hole_of_a_courtyard() {
    let upper = r#""indoor": "corridor", "level": "1""#;
    let (draft, _) = read(&[
        room(ROOM, 0.0, 0.0, 9.0, 9.0),
        room(upper, 0.0, 0.0, 9.0, 3.0),
        room(upper, 0.0, 6.0, 9.0, 3.0),
        room(upper, 0.0, 3.0, 3.0, 3.0),
        room(upper, 6.0, 3.0, 3.0, 3.0),
    ]);
    let slabs = draft.pieces.iter().filter_map(|piece| match (&piece.what, &piece.shape) {
        (What::Slab { .. }, Geometry::Polygon(area)) => Some(geo::Area::unsigned_area(area)),
        _ => None,
    });
    let slabs: Vec<f64> = slabs.collect();
    // 9 × 9 without 3 × 3; none under the lowest level.
    assert_eq!(slabs.len(), 1);
    assert!((slabs[0] - 72.0).abs() < 0.1, "{slabs:?}");
}

#[test]
fn rooms_drawn_to_the_faces_of_their_walls_share_them() {
    // Two rooms of 4 × 3 m with 0.2 m between them; below both a corridor, 0.2 m off.
    let (draft, plan) = read(&[
        room(ROOM, 0.0, 2.2, 4.0, 3.0),
        room(ROOM, 4.2, 2.2, 4.0, 3.0),
        room(r#""indoor": "corridor", "level": "0""#, 0.0, 0.0, 8.2, 2.0),
        node(r#""door": "yes", "level": "0""#, (4.0, 4.0)), // on the one face
        node(r#""door": "yes", "level": "0""#, (2.0, 2.1)), // in the middle
        node(r#""door": "yes", "level": "0""#, (6.0, 2.0)), // on the other face
    ]);
    // One wall between the rooms, and one between them and the corridor, drawn out over the gap.
    let inside = metres(&draft, 0, Some("brick-half"));
    assert!(close(inside, 3.0 + 8.2), "{inside}");
    // Outside: the edge of 8.2 × 5.2 m, corners and all.
    let outside = metres(&draft, 0, Some("brick-cavity"));
    assert!(close(outside, 2.0 * (8.2 + 5.2)), "{outside}");
    assert_eq!(plan.openings.len(), 3);
    assert!(told(&draft, "faces of their walls"));
    // A cupboard within a room faces nothing: the room keeps its walls, and it keeps its own.
    let (draft, _) = read(&[room(ROOM, 0.0, 0.0, 4.0, 3.0), room(ROOM, 0.3, 0.3, 1.0, 1.0)]);
    assert!(close(metres(&draft, 0, None), 14.0 + 4.0));
}
