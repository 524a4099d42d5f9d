//! Where a panel may hang and where not, on plans made by hand.

use geo::{Coord, Point};
use plan::Plan;
use siting::siting::spots_of;
use siting::spots::{Spot, SpotError, SpotSettings, Spots};

use crate::plans::{at, empty, mountable, obstacle, opening, outline, rectangle, wall};

pub const HOUSE: [f64; 2] = [8.0, 6.0];
/// Half the thickness of the outside wall, 215 mm of brick and 13 mm of plaster, metres.
pub const HALF_BRICK_M: f64 = 0.114;
/// Half the thickness of the partition, metres.
pub const HALF_STUD_M: f64 = 0.0575;
pub const STAND_OFF_M: f64 = 0.03;

/// Two rooms: brick outside, a partition at x = 4.
pub fn house() -> Plan {
    let mut plan = empty(1);
    outline(&mut plan, 0, "brick-solid", HOUSE);
    wall(&mut plan, "partition", 0, "stud-partition", &[[4.0, 0.0], [4.0, 6.0]]);
    plan
}

pub fn found(plan: &Plan, settings: &SpotSettings) -> Spots {
    spots_of(plan, settings).unwrap()
}

pub fn usual() -> SpotSettings {
    SpotSettings::default()
}

/// Where spots are left out for a reason.
fn out_for(spots: &Spots, word: &str) -> Vec<(Coord<f64>, String)> {
    let reasons = spots.left_out.iter().filter(|(_, r)| r.word() == word);
    reasons.map(|(spot, r)| (spot.position, r.feature().to_owned())).collect()
}

fn all(spots: &Spots) -> impl Iterator<Item = &Spot> {
    spots.allowed.iter().chain(spots.left_out.iter().map(|(spot, _)| spot))
}

#[test]
fn spots_lie_off_every_inside_face_and_nowhere_outdoors() {
    let plan = house();
    let spots = found(&plan, &usual());
    assert!(spots.left_out.is_empty() && spots.warnings.is_empty());
    for spot in &spots.allowed {
        let Coord { x, y } = spot.position;
        let inside = HALF_BRICK_M + STAND_OFF_M;
        let outer = [x, 8.0 - x, y, 6.0 - y].into_iter().fold(f64::MAX, f64::min);
        let inner = (x - 4.0).abs();
        let on_outer = spot.wall == Some(0);
        let off = if on_outer { outer - inside } else { inner - HALF_STUD_M - STAND_OFF_M };
        assert!(off.abs() < 1e-9, "{spot:?}");
        assert!(outer >= inside - 1e-9 && spot.height_m == 1.5 && spot.level == 0);
        // It looks into a room.
        let ahead = spot.position + spot.facing.unwrap() * 0.5;
        assert!(ahead.x > 0.2 && ahead.x < 7.8 && ahead.y > 0.2 && ahead.y < 5.8);
    }
    // Every quarter of a metre: the faces of two rooms of 4 m by 6 m.
    let on = |wall| spots.allowed.iter().filter(|s| s.wall == Some(wall)).count();
    assert!((42..=48).contains(&on(1)), "{}", on(1));
    assert!((96..=108).contains(&on(0)), "{}", on(0));
    let wide = SpotSettings { spacing_m: 0.5, ..usual() };
    let half = found(&plan, &wide).allowed.len();
    assert!(half * 2 >= spots.allowed.len() && half * 9 < spots.allowed.len() * 5);
}

#[test]
fn near_metal_by_distance_in_space() {
    let mut plan = house();
    obstacle(&mut plan, "tank", "sheet-metal", ([0.4, 2.0], [1.0, 3.0]), 2.0);
    obstacle(&mut plan, "chimney", "concrete-200", ([7.0, 2.0], [7.6, 3.0]), 2.0);
    let spots = found(&plan, &usual());
    let metal = out_for(&spots, "near metal");
    assert!(!metal.is_empty() && metal.iter().all(|(_, id)| id == "tank"));
    for spot in all(&spots) {
        let Coord { x, y } = spot.position;
        let off = (0.4 - x).max(x - 1.0).max(0.0).hypot((2.0 - y).max(y - 3.0).max(0.0));
        let is_out = metal.iter().any(|(p, _)| *p == spot.position);
        assert_eq!(off < 0.5, is_out, "{spot:?}");
    }
    // A low one is farther: 0.9 m below the panel's middle.
    plan.obstacles[0].top_m = 0.6;
    assert!(out_for(&found(&plan, &usual()), "near metal").is_empty());
    let wider = SpotSettings { clear_of_metal_m: 1.2, ..usual() };
    assert!(!out_for(&found(&plan, &wider), "near metal").is_empty());
}

#[test]
fn above_the_middle_of_something_metal_is_near_it() {
    let mut plan = house();
    obstacle(&mut plan, "bench", "sheet-metal", ([1.0, 1.0], [3.0, 3.0]), 1.2);
    mountable(&mut plan, 0, Point(at(2.0, 2.0)));
    mountable(&mut plan, 0, Point(at(2.0, 4.5)));
    let spots = found(&plan, &usual());
    assert_eq!(out_for(&spots, "near metal"), [(at(2.0, 2.0), "bench".to_owned())]);
    let metal = |clear_of_metal_m: f64| {
        out_for(&found(&plan, &SpotSettings { clear_of_metal_m, ..usual() }), "near metal").len()
    };
    assert_eq!((metal(0.299), metal(0.301)), (0, 1));
}

#[test]
fn a_foil_backed_wall_and_a_steel_door_are_metal() {
    let mut plan = house();
    plan.walls[1].construction = "foil-board-stud".to_owned();
    let spots = found(&plan, &usual());
    let metal = out_for(&spots, "near metal");
    assert!(metal.iter().all(|(p, id)| id == "partition" && (p.x - 4.0).abs() < 0.6));
    assert!(spots.allowed.iter().all(|s| s.wall == Some(0)));
    let mut plan = house();
    let door = opening(&mut plan, "steel", (1, 0), (2.0, 2.9), "door-steel");
    let shut = out_for(&found(&plan, &usual()), "near metal");
    assert!(!shut.is_empty() && shut.iter().all(|(_, id)| id == "steel"));
    // Swung open it is not in the wall.
    plan.openings[door].open = true;
    assert!(out_for(&found(&plan, &usual()), "near metal").is_empty());
}

#[test]
fn over_an_opening_where_it_is_as_high_as_the_panel() {
    let mut plan = house();
    let door = opening(&mut plan, "door", (1, 0), (2.0, 3.0), "door-hollow");
    let spots = found(&plan, &usual());
    let over = out_for(&spots, "over an opening");
    assert!(!over.is_empty());
    for spot in all(&spots).filter(|spot| spot.wall == Some(1)) {
        // The box is 0.3 m wide.
        let covers = (1.85..=3.15).contains(&spot.position.y);
        let near_edge = (spot.position.y - 1.85).abs().min((spot.position.y - 3.15).abs()) < 1e-6;
        let is_out = over.iter().any(|(p, _)| *p == spot.position);
        assert!(near_edge || covers == is_out, "{spot:?}");
    }
    plan.openings[door].top_m = 1.3;
    assert!(out_for(&found(&plan, &usual()), "over an opening").is_empty());
}

#[test]
fn near_a_way_in_of_the_same_room_only() {
    let mut plan = house();
    opening(&mut plan, "window", (0, 0), (3.0, 3.8), "glass-double");
    let spots = found(&plan, &usual());
    let near = out_for(&spots, "near a way in");
    assert!(near.iter().any(|(p, _)| p.x > 2.0 && p.x < 4.0));
    // The other room is as near, but a wall stands between.
    assert!(near.iter().all(|(p, id)| p.x < 4.0 && id == "window"));
    assert!(
        spots
            .allowed
            .iter()
            .any(|s| s.position.x > 4.0 && s.position.x < 4.4 && s.position.y < 0.5)
    );
    // An inner door is no way in unless the plan says so.
    let mut plan = house();
    let door = opening(&mut plan, "inner", (1, 0), (2.0, 2.9), "door-hollow");
    assert!(out_for(&found(&plan, &usual()), "near a way in").is_empty());
    plan.openings[door].entry = true;
    assert!(!out_for(&found(&plan, &usual()), "near a way in").is_empty());
}

#[test]
fn a_low_wall_keeps_no_arm_from_the_panel() {
    let mut plan = house();
    opening(&mut plan, "window", (0, 0), (3.0, 3.8), "glass-double");
    plan.walls[1].top_m = 1.0;
    let near = out_for(&found(&plan, &usual()), "near a way in");
    assert!(near.iter().any(|(p, _)| p.x > 4.0), "{near:?}");
}

#[test]
fn round_a_corner_of_the_same_wall_is_out_of_reach() {
    // One wall with a corner at (3, 3); the door is in its upright piece.
    let mut plan = house();
    let bent = wall(&mut plan, "bent", 0, "stud-partition", &[[3.0, 0.0], [3.0, 3.0], [0.0, 3.0]]);
    let door = opening(&mut plan, "door", (bent, 0), (2.0, 2.8), "door-hollow");
    plan.openings[door].entry = true;
    let near = out_for(&found(&plan, &usual()), "near a way in");
    let north_of_it = |p: &Coord<f64>| p.y > 3.0 && p.x < 3.0;
    assert!(near.iter().any(|(p, _)| p.y < 3.0 && p.x < 3.0));
    assert!(!near.iter().any(|(p, _)| north_of_it(p)), "{near:?}");
    let spots = found(&plan, &usual()).allowed;
    assert!(
        spots.iter().any(|s| north_of_it(&s.position) && s.position.x > 2.3 && s.position.y < 3.2)
    );
}

#[test]
fn an_outside_wall_only_if_wanted() {
    let plan = house();
    let settings = SpotSettings { outside_walls: false, ..usual() };
    let spots = found(&plan, &settings);
    assert!(spots.allowed.iter().all(|s| s.wall == Some(1)));
    let out = out_for(&spots, "outside wall");
    assert!(out.len() > 90 && out.iter().all(|(_, id)| id == "outside-0"));
    // A mountable drawn well off the wall still hangs on it.
    let mut plan = house();
    mountable(&mut plan, 0, Point(at(2.0, 0.55)));
    mountable(&mut plan, 0, Point(at(3.8, 3.0)));
    let spots = found(&plan, &settings);
    assert_eq!(out_for(&spots, "outside wall").len(), 1);
    assert_eq!(spots.allowed.len(), 1);
}

#[test]
fn behind_an_obstacle_that_is_high_enough() {
    let mut plan = house();
    obstacle(&mut plan, "cupboard", "concrete-200", ([5.0, 5.2], [7.0, 5.95]), 2.0);
    let spots = found(&plan, &usual());
    let behind = out_for(&spots, "behind an obstacle");
    assert!(!behind.is_empty());
    for spot in all(&spots) {
        let Coord { x, y } = spot.position;
        let is_out = behind.iter().any(|(p, _)| *p == spot.position);
        let clear = !(4.92..=7.08).contains(&x) || y < 5.0;
        assert_eq!(is_out, !clear, "{spot:?}");
    }
    plan.obstacles[0].top_m = 1.3;
    assert!(out_for(&found(&plan, &usual()), "behind an obstacle").is_empty());
}

#[test]
fn a_low_wall_carries_no_panel_and_takes_none_away() {
    let whole = found(&house(), &usual()).allowed.len();
    let mut plan = house();
    let low = wall(&mut plan, "counter", 0, "stud-partition", &[[4.0, 3.0], [8.0, 3.0]]);
    plan.walls[low].top_m = 1.0;
    let spots = found(&plan, &usual());
    assert!(spots.allowed.iter().all(|s| s.wall != Some(low)));
    assert_eq!(spots.allowed.len(), whole);
    let lower = SpotSettings { height_m: 0.8, ..usual() };
    assert!(found(&plan, &lower).allowed.iter().any(|s| s.wall == Some(low)));
    // A wall in two heights is one wall to hang on.
    let mut plan = house();
    plan.walls[1].top_m = 1.0;
    let upper = wall(&mut plan, "upper", 0, "stud-partition", &[[4.0, 0.0], [4.0, 6.0]]);
    plan.walls[upper].base_m = 1.0;
    let spots = found(&plan, &usual());
    assert_eq!(spots.allowed.len(), whole);
    assert!(spots.allowed.iter().any(|s| s.wall == Some(upper)));
}

#[test]
fn a_leaky_outline_is_told() {
    let mut plan = empty(1);
    wall(&mut plan, "u", 0, "brick-solid", &[[0.0, 0.0], [8.0, 0.0], [8.0, 6.0], [0.0, 6.0]]);
    let spots = found(&plan, &usual());
    assert_eq!(spots.warnings.len(), 1);
    assert!(spots.warnings[0].contains("level 0") && spots.warnings[0].contains("close"));
    assert!(spots.allowed.iter().any(|s| s.position.y < 0.0));
    // Mountables say themselves where they are.
    mountable(&mut plan, 0, Point(at(1.0, 0.2)));
    assert!(found(&plan, &usual()).warnings.is_empty());
}

#[test]
fn every_level_has_its_own_spots_at_its_own_height() {
    let mut plan = empty(2);
    outline(&mut plan, 0, "brick-solid", HOUSE);
    outline(&mut plan, 1, "brick-solid", [4.0, 6.0]);
    let spots = found(&plan, &usual()).allowed;
    for level in [0, 1] {
        let here: Vec<&Spot> = spots.iter().filter(|s| s.level == level).collect();
        let height_m = plan.levels[level as usize].floor_m + 1.5;
        assert!(here.len() > 60 && here.iter().all(|s| s.height_m == height_m));
        assert!(here.iter().all(|s| s.wall == Some(level as usize)));
    }
}

#[test]
fn no_face_and_no_spot_allowed_say_what_to_do() {
    let none = spots_of(&empty(1), &usual()).unwrap_err();
    assert!(matches!(none, SpotError::NoFace { .. }));
    let high = SpotSettings { height_m: 3.0, ..usual() };
    let none = spots_of(&house(), &high).unwrap_err();
    assert!(none.to_string().contains("3.00 m") && none.to_string().contains("--height"));
    let mut plan = house();
    let far = SpotSettings { clear_of_metal_m: 20.0, ..usual() };
    obstacle(&mut plan, "tank", "sheet-metal", ([1.0, 1.0], [2.0, 2.0]), 2.0);
    let said = spots_of(&plan, &far).unwrap_err().to_string();
    assert!(said.contains("near metal") && said.contains("--metal-clearance"), "{said}");
}

#[test]
fn too_many_spots_are_refused() {
    let mut plan = empty(1);
    outline(&mut plan, 0, "brick-solid", [900.0, 900.0]);
    for n in 1..60 {
        let x = 15.0 * f64::from(n);
        wall(&mut plan, &format!("w{n}"), 0, "stud-partition", &[[x, 0.0], [x, 900.0]]);
    }
    let dense = SpotSettings { spacing_m: 0.05, ..usual() };
    assert_eq!(spots_of(&plan, &dense).unwrap_err(), SpotError::TooMany);
    mountable(&mut plan, 0, rectangle([10.2, 10.0], [14.8, 890.0]));
    let fine = SpotSettings { spacing_m: 0.01, ..usual() };
    assert_eq!(spots_of(&plan, &fine).unwrap_err(), SpotError::TooMany);
}

/// Three spots within the metre that each is long: those on its edges do not lie in it.
#[test]
fn hundreds_of_areas_without_a_wall_get_spots_of_their_own() {
    let mut plan = empty(1);
    outline(&mut plan, 0, "brick-solid", [60.0, 40.0]);
    for n in 0..200 {
        let y = 0.2 * f64::from(n);
        wall(&mut plan, &format!("w{n}"), 0, "stud-partition", &[[1.0, y], [40.0, y]]);
        mountable(&mut plan, 0, rectangle([41.0, y], [42.0, y + 0.15]));
    }
    let spots = found(&plan, &usual());
    assert_eq!(spots.allowed.len() + spots.left_out.len(), 600);
}
