//! Faults as they come while a plan is drawn: the rest of the plan stays in use.

use std::time::{Duration, Instant};

use geo::Coord;
use plan::{LenientReading, read_house, read_leniently};

use crate::faults::support::{area, line, plan_of, point, vocabulary};
use crate::lenient::promises::survives_leniently;

const WALL: &str = "\"kind\": \"wall\", \"construction\": \"concrete\"";
const DOOR: &str = "\"kind\": \"opening\", \"construction\": \"door-hollow\"";

/// Two walls, a door on the second, a panel and a sensor.
fn room() -> Vec<String> {
    vec![
        line(WALL, "[[0, 0], [10, 0]]"),
        line(WALL, "[[0, 5], [10, 5]]"),
        line(DOOR, "[[2, 5], [3, 5]]"),
        point("\"kind\": \"panel\"", "[1, 1]"),
        point("\"kind\": \"sensor\", \"number\": 4", "[9, 1]"),
    ]
}

fn read(features: &[String]) -> LenientReading {
    let text = plan_of("", &features.join(",\n"));
    let reading = read_leniently("plan.geojson", text.as_bytes(), &vocabulary());
    let strict = read_house("plan.geojson", text.as_bytes(), &vocabulary());
    let strict = strict.map_or_else(|faults| faults, |reading| reading.warnings);
    let said: Vec<_> = reading.faults.iter().map(|fault| fault.diagnostic.clone()).collect();
    assert_eq!(said, strict);
    reading
}

/// What the plan has and what it has not, and each fault with its feature and place.
fn shown(reading: &LenientReading) -> String {
    let mut out = String::new();
    for (what, is_used) in [("used", true), ("left out", false)] {
        let features = reading.features.iter().filter(|it| it.is_used == is_used);
        let ids =
            features.map(|it| if it.is_faulty { format!("{}!", it.id) } else { it.id.clone() });
        out += &format!("{what}: {}\n", ids.collect::<Vec<_>>().join(", "));
    }
    for fault in &reading.faults {
        let at = fault.at.map(|at| format!("({}, {})", at.x, at.y));
        let feature = fault.feature.map(|number| reading.features[number].id.as_str());
        let (feature, at) = (feature.unwrap_or("-"), at.unwrap_or_default());
        out += &format!("{feature} {at}: {}\n", fault.diagnostic.what);
    }
    out
}

#[test]
fn a_sound_plan() {
    insta::assert_snapshot!(shown(&read(&room())), @r#"
    used: wall-1, wall-2, opening-1, panel-1, sensor-1
    left out:
    "#);
}

#[test]
fn an_opening_off_its_wall() {
    let mut features = room();
    features[2] = line(DOOR, "[[2, 5], [3, 5.5]]");
    insta::assert_snapshot!(shown(&read(&features)), @r#"
    used: wall-1, wall-2, panel-1, sensor-1
    left out: opening-1!
    opening-1 (3, 5.5): the opening is on no wall: the nearest, wall-2, is 0.5 m away
    "#);
}

#[test]
fn a_wall_with_two_equal_points_and_its_door() {
    let mut features = room();
    features[1] = line(WALL, "[[0, 5], [10, 5], [10, 5]]");
    let reading = read(&features);
    insta::assert_snapshot!(shown(&reading), @r#"
    used: wall-1, panel-1, sensor-1
    left out: wall-2!, opening-1
    wall-2 (10, 5): the wall has the same point twice in a row
    "#);
    // Without a wall the door has another one to be on.
    features.push(line(WALL, "[[1, 5], [4, 5]]"));
    let reading = read(&features);
    insta::assert_snapshot!(shown(&reading), @r#"
    used: wall-1, opening-1, panel-1, sensor-1, wall-3
    left out: wall-2!
    wall-2 (10, 5): the wall has the same point twice in a row
    "#);
    let plan = reading.plan.unwrap();
    assert_eq!(plan.walls[plan.openings[0].wall].id, "wall-3");
}

#[test]
fn an_unknown_construction_and_a_number_twice() {
    let mut features = room();
    features[0] = line("\"kind\": \"wall\", \"construction\": \"jelly\"", "[[0, 0], [10, 0]]");
    features.push(point("\"kind\": \"sensor\", \"number\": 4", "[9, 2]"));
    features.push(point("\"kind\": \"sensor\", \"number\": 5, \"height\": \"x\"", "[9, 3]"));
    insta::assert_snapshot!(shown(&read(&features)), @r#"
    used: wall-2, opening-1, panel-1, sensor-1
    left out: wall-1!, sensor-2!, sensor-3!
    wall-1 (0, 0): construction "jelly" is not known
    sensor-2 (9, 2): two devices have the number 4 (see line 12)
    sensor-3 (9, 3): "height" must be a finite number, not text, "x"
    "#);
}

#[test]
fn an_id_twice_or_none_at_all() {
    let mut features = room();
    features.push(
        point("\"kind\": \"keypad\"", "[9, 2]")
            .replace("{\"type\": \"Feature\",", "{\"type\": \"Feature\", \"id\": \"wall-1\","),
    );
    features.push("    7".to_owned());
    features.push(point("\"kind\": \"tree\"", "[9, 2]"));
    features.push(point("", "[9, 2]"));
    insta::assert_snapshot!(shown(&read(&features)), @r#"
    used: wall-1, wall-2, opening-1, panel-1, sensor-1
    left out: #6!, #7!, tree-1, #9!
    #6 (9, 2): two features have this id (see line 4)
    #7 : a feature must be an object, not 7
    tree-1 (9, 2): the kind "tree" is not known, so the feature is not used
    #9 (9, 2): the property "kind" is missing
    "#);
}

#[test]
fn shapes_that_are_none() {
    let mut features = room();
    features.push(line(WALL, "[[0, 0], [1], [2, 2]]"));
    features.push(line(WALL, "[]"));
    features.push(point("\"kind\": \"sensor\"", "null"));
    features.push(area("\"kind\": \"roam\"", "[[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]]"));
    features.push(area("\"kind\": \"roam\"", "[[[0, 0], [4, 0], [4, 3]]]"));
    let reading = read(&features);
    insta::assert_snapshot!(shown(&reading), @r#"
    used: wall-1, wall-2, opening-1, panel-1, sensor-1
    left out: wall-3!, wall-4!, sensor-2!, roam-1!, roam-2!
    wall-3 (0, 0): a position must be [x, y], but this has 1 value
    wall-4 : a line needs at least two positions
    sensor-2 : the geometry member "coordinates" is missing
    roam-1 (4, 0): the outline crosses itself near (2, 2) (see column 55)
    roam-2 (4, 3): the outline is not closed
    "#);
    let lines = |number: usize| reading.features[number].lines.clone();
    assert_eq!(lines(5), [[Coord { x: 0.0, y: 0.0 }, Coord { x: 2.0, y: 2.0 }]]);
    assert!(lines(6).is_empty() && lines(7).is_empty());
    assert_eq!(lines(8)[0].len(), 5);
    assert_eq!(reading.features[8].geometry, "Polygon");
}

#[test]
fn openings_that_overlap() {
    let mut features = room();
    for (from, to) in [("2.5", "6"), ("3", "4"), ("5", "7"), ("2.2", "2.4")] {
        features.push(line(DOOR, &format!("[[{from}, 5], [{to}, 5]]")));
    }
    insta::assert_snapshot!(shown(&read(&features)), @r#"
    used: wall-1, wall-2, opening-1, panel-1, sensor-1, opening-3, opening-4
    left out: opening-2!, opening-5!
    opening-2 (2.5, 5): the opening overlaps opening-1 on wall-2 (see line 9)
    opening-5 (2.2, 5): the opening overlaps opening-1 on wall-2 (see line 9)
    "#);
}

#[test]
fn what_is_too_far_out() {
    let mut features = room();
    features.push(point("\"kind\": \"siren\"", "[9, 90000]"));
    features.push(point("\"kind\": \"siren\"", "[-80000, 9]"));
    insta::assert_snapshot!(shown(&read(&features)), @r#"
    used: wall-1, wall-2, opening-1, panel-1, sensor-1
    left out: siren-1!, siren-2
    siren-1 (9, 90000): the plan reaches from (-80000, 0) to (10, 90000) m, over 2000 m
    "#);
    // More than a slip of the pen: nothing is left to go by.
    for number in 0..40 {
        features.push(point("\"kind\": \"siren\"", &format!("[{}, 0]", 1_000 * number)));
    }
    assert!(read(&features).plan.is_none());
}

#[test]
fn faults_of_the_whole_file() {
    let features = room().join(",\n");
    for top in ["\"units\": \"furlong\",", "\"levels\": [],", "\"link\": 7,", "\"name\": 7,"] {
        let text = plan_of(top, &features);
        let reading = read_leniently("plan.geojson", text.as_bytes(), &vocabulary());
        assert!(reading.plan.is_none(), "{top}");
        assert_eq!(reading.features.len(), 5);
        assert_eq!(reading.features[0].lines[0].len(), 2);
        assert!(reading.features.iter().all(|it| !it.is_used));
        assert!(reading.faults.iter().any(|it| it.feature.is_none() && it.at.is_none()));
    }
    for text in ["", "{", "[]", "{\"features\": 7}", "\u{feff}"] {
        let reading = read_leniently("plan.geojson", text.as_bytes(), &vocabulary());
        assert!(reading.plan.is_none() && reading.features.is_empty(), "{text}");
        assert!(!reading.faults.is_empty());
    }
    let degrees = [
        point("\"kind\": \"panel\"", "[13.001, 52.001]"),
        line(WALL, "[[13.0012, 52.0], [13.001, 52.0]]"),
    ];
    let reading = read(&degrees);
    assert!(reading.plan.is_none());
    assert_eq!(reading.features.len(), 2);
}

#[test]
fn a_plan_in_feet_is_placed_in_metres() {
    let mut features = room();
    features[2] = line(DOOR, "[[2, 5], [3, 5.5]]");
    let text = plan_of("\"units\": \"ft\",", &features.join(",\n"));
    let reading = read_leniently("plan.geojson", text.as_bytes(), &vocabulary());
    let fault = &reading.faults[0];
    assert_eq!((fault.feature, fault.at), (Some(2), Some(Coord { x: 3.0, y: 5.5 } * 0.3048)));
    assert_eq!(reading.features[0].lines[0][1], Coord { x: 10.0 * 0.3048, y: 0.0 });
    assert_eq!((reading.metres_per_unit, reading.levels.len()), (0.3048, 1));
}

/// The house with which fuzzing begins, a fault of each sort in it.
#[test]
fn a_house_with_faults() {
    let text = include_str!("../../fuzz/seeds/house-with-faults.geojson");
    let reading = read_leniently("plan.geojson", text.as_bytes(), &vocabulary());
    insta::assert_snapshot!(shown(&reading), @r#"
    used: outer, opening-2, opening-3, 17, panel, sensor-1, keypad-1, roam-1, mountable-1, stairs-1
    left out: front!, wall-2!, slab-1!, obstacle-1!, outlet-1!, #16!
    front (2, 0.4): the opening is on no wall of level 0: the nearest, outer, is 0.4 m away
    wall-2 (4, 8): the wall has the same point twice in a row
    slab-1 (6, 5): the outline crosses itself near (5.5, 6) (see column 95)
    obstacle-1 (1, 3): construction "jelly" is not known
    outlet-1 (0.1, 3): the plan has no level 7
    #16 : two features have this id (see line 22)
    #16 : a position must be [x, y], but this has 1 value
    "#);
    survives_leniently(text.as_bytes(), &vocabulary());
}

/// However many faults there are, reading takes about twice the time of reading strictly.
#[test]
fn thousands_of_faults() {
    let mut features = room();
    let more = (0..6_000).map(|number| {
        let (x, y) = (f64::from(number % 77), f64::from(number / 77) + 6.0);
        match number % 4 {
            0 => line(WALL, &format!("[[{x}, {y}], [{x}, {y}]]")),
            1 => line(DOOR, "[[2, 5], [3, 5]]"),
            2 => point("\"kind\": \"sensor\", \"number\": 4", &format!("[{x}, {y}]")),
            _ => line("\"kind\": \"wall\"", &format!("[[{x}, {y}], [{}, {y}]]", x + 1.0)),
        }
    });
    features.extend(more);
    let start = Instant::now();
    let reading = read(&features);
    assert!(start.elapsed() < Duration::from_secs(20), "{:?}", start.elapsed());
    println!("6000 faults: {:?} for both readers", start.elapsed());
    let used: Vec<usize> = (0..features.len()).filter(|it| reading.features[*it].is_used).collect();
    assert_eq!(used, [0, 1, 2, 3, 4]);
    assert_eq!(reading.features.iter().filter(|it| it.is_faulty).count(), 6_000);
}
