//! Unit tests of the office generator.

use super::*;

const COUNTS: [usize; 12] = [6, 7, 8, 20, 41, 70, 100, 250, 280, 281, 1000, 2003];

/// Distance from a point to a segment, metres.
fn distance(p: [f64; 2], (a, b, _): &Segment) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let t = (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (p[0] - a[0] - t * dx).hypot(p[1] - a[1] - t * dy)
}

#[test]
fn the_count_of_walls_is_met_exactly() {
    for n in FEWEST_WALLS..1200 {
        assert_eq!(office_walls(n).len(), n);
    }
    assert_eq!(office_walls(0).len(), FEWEST_WALLS);
}

#[test]
fn at_280_walls_the_office_is_60_by_40_m_and_has_every_construction() {
    let walls = office_walls(280);
    let far = |axis: usize| {
        walls
            .iter()
            .map(|(a, b, _)| a[axis].max(b[axis]))
            .fold(0.0, f64::max)
    };
    assert_eq!([far(0), far(1)], [60.0, 40.0]);
    for name in [
        "brick-cavity",
        "stud-partition",
        "glass-single",
        "block-dense",
    ] {
        assert!(walls.iter().any(|wall| wall.2 == name), "{name}");
    }
}

#[test]
fn every_wall_ends_on_another_and_none_is_short() {
    for n in COUNTS {
        let walls = office_walls(n);
        for (i, wall) in walls.iter().enumerate() {
            assert!(
                (wall.1[0] - wall.0[0]).hypot(wall.1[1] - wall.0[1]) > 1.3,
                "{n} walls: {wall:?}"
            );
            for end in [wall.0, wall.1] {
                let joined = walls
                    .iter()
                    .enumerate()
                    .any(|(j, other)| j != i && distance(end, other) < 1e-9);
                assert!(joined, "{n} walls: {wall:?} ends in the air at {end:?}");
            }
        }
    }
}

#[test]
fn every_opening_lies_on_one_wall_clear_of_its_ends_and_of_its_neighbours() {
    for n in COUNTS {
        let layout = Layout::new(n);
        for (i, o) in layout.openings.iter().enumerate() {
            let on: Vec<_> = layout
                .walls
                .iter()
                .filter(|wall| distance(o.from, wall) < 1e-9 && distance(o.to, wall) < 1e-9)
                .collect();
            assert_eq!(
                on.len(),
                1,
                "{n} walls: opening {i} {:?} {:?}",
                o.from,
                o.to
            );
            for end in on.iter().flat_map(|wall| [wall.0, wall.1]) {
                let gap = [o.from, o.to].map(|p| (p[0] - end[0]).hypot(p[1] - end[1]));
                assert!(
                    gap[0].min(gap[1]) > 0.1,
                    "{n} walls: opening {i} at a wall's end"
                );
            }
            let here: Segment = (o.from, o.to, "");
            for wall in &layout.walls {
                // A partition that meets the wall must not meet it within the opening.
                let meets = [wall.0, wall.1]
                    .iter()
                    .any(|&end| distance(end, &here) < 0.1);
                assert!(!meets, "{n} walls: {wall:?} ends in opening {i}");
            }
            for other in &layout.openings[i + 1..] {
                assert!(distance(other.from, &here) > 0.05 && distance(other.to, &here) > 0.05);
            }
        }
        let doors_in = layout.openings.iter().filter(|o| o.entry).count();
        assert_eq!(doors_in, 2);
    }
}

#[test]
fn every_room_can_be_reached_and_the_bays_are_joined() {
    for n in COUNTS {
        let layout = Layout::new(n);
        for room in &layout.rooms {
            let doors = layout
                .openings
                .iter()
                .filter(|o| o.from[1] == room.front && o.from[0] > room.x0 && o.to[0] < room.x1)
                .count();
            assert_eq!(doors, 1);
        }
        let is_inner_spine = |(a, b, _): &&Segment| {
            a[0] == 0.0 && b[0] == layout.plate_m[0] && a[1] > 0.0 && a[1] < layout.plate_m[1]
        };
        for spine in layout
            .walls
            .iter()
            .filter(is_inner_spine)
            .filter(|s| s.0[1] == s.1[1])
        {
            let is_back = layout.rooms.iter().any(|room| room.back == spine.0[1]);
            let doors = layout
                .openings
                .iter()
                .filter(|o| distance(o.from, spine) < 1e-9)
                .count();
            assert!(
                !is_back || doors == 1,
                "{n} walls: spine {spine:?} has {doors} doors"
            );
        }
    }
}

#[test]
fn sensors_are_as_many_as_asked_for_apart_and_inside() {
    for n in COUNTS {
        let layout = Layout::new(n);
        for sensors in [1, 2, 60, 100, 333] {
            let spots = layout.sensor_spots(sensors);
            assert_eq!(spots.len(), sensors);
            for (i, a) in spots.iter().enumerate() {
                assert!(a[0] > 0.1 && a[0] < layout.plate_m[0] - 0.1);
                assert!(a[1] > 0.1 && a[1] < layout.plate_m[1] - 0.1);
                assert!(
                    spots[i + 1..]
                        .iter()
                        .all(|b| (a[0] - b[0]).hypot(a[1] - b[1]) > 0.01)
                );
            }
        }
    }
}

#[test]
fn the_plan_holds_each_feature_once_and_is_the_same_every_time() {
    let text = office_geojson(280, 100);
    assert_eq!(text, office_geojson(280, 100));
    let count = |kind: &str| text.matches(&format!(r#""kind": "{kind}""#)).count();
    assert_eq!(
        [
            count("wall"),
            count("sensor"),
            count("panel"),
            count("slab")
        ],
        [280, 100, 1, 1]
    );
    assert_eq!(text.matches('{').count(), text.matches('}').count());
    assert_eq!(text.matches('[').count(), text.matches(']').count());
    assert!(!text.contains("NaN") && !text.contains("inf"));
}

#[test]
fn about_half_of_the_doors_stand_open() {
    let layout = Layout::new(1000);
    let open = layout.rooms.iter().filter(|room| room.door_open).count();
    assert!(open * 5 > layout.rooms.len() * 2 && open * 5 < layout.rooms.len() * 3);
}
