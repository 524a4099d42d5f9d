//! What holds for every plan, on random ones.

use std::f64::consts::TAU;

use geo::{Distance, Euclidean, Line};
use proptest::prelude::*;

use plan::{Plan, Wall};

use super::plans::{HALF_WIDTH_M, at, door, obstacle, room, site, walk, wall};
use crate::plans::{outlet, turned};

const SIZE_M: f64 = 8.0;

#[derive(Debug, Clone)]
struct Things {
    /// Wall: one end, direction, length; whether it is thick.
    walls: Vec<([f64; 2], f64, f64, bool)>,
    /// Lower left corner and size.
    boxes: Vec<([f64; 2], [f64; 2])>,
    /// A wall right across at a share of the width, with a doorway.
    across: Option<(f64, f64, f64)>,
}

fn things() -> impl Strategy<Value = Things> {
    let place = || [0.0..SIZE_M, 0.0..SIZE_M];
    (
        prop::collection::vec((place(), 0.0..TAU, 0.3..5.0, any::<bool>()), 0..7),
        prop::collection::vec((place(), [0.1..1.5, 0.1..1.5]), 0..4),
        prop::option::of((2.0..6.0, 1.0..6.0, 0.2..1.2)),
    )
        .prop_map(|(walls, boxes, across)| Things { walls, boxes, across })
}

impl Things {
    fn plan(&self) -> Plan {
        let mut plan = site(1);
        room(&mut plan, 0, "thick", [0.0, 0.0], [SIZE_M, SIZE_M]);
        for &([x, y], angle, length, thick) in &self.walls {
            let end = [x + length * angle.cos(), y + length * angle.sin()];
            wall(&mut plan, 0, if thick { "thick" } else { "line" }, &[[x, y], end]);
        }
        for &([x, y], [w, h]) in &self.boxes {
            obstacle(&mut plan, 0, [x, y], [x + w, y + h], 2.0);
        }
        if let Some((x, from, width)) = self.across {
            let across = wall(&mut plan, 0, "thick", &[[x, 0.0], [x, SIZE_M]]);
            door(&mut plan, "door", across, 0, from, from + width);
        }
        plan
    }
}

/// Half the thickness of a wall, metres.
fn half(wall: &Wall) -> f64 {
    if wall.construction == "thick" { 0.1 } else { 0.0 }
}

fn places() -> impl Strategy<Value = [[f64; 2]; 2]> {
    let place = || [0.4..SIZE_M - 0.4, 0.4..SIZE_M - 0.4];
    [place(), place()]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..Default::default() })]

    #[test]
    fn no_walk_is_shorter_than_the_straight_line_and_back_it_is_as_long(things in things(), [a, b] in places()) {
        let plan = things.plan();
        let there = walk(&plan, a, b);
        let back = walk(&plan, b, a);
        prop_assert_eq!(there.is_some(), back.is_some());
        if let (Some(there), Some(back)) = (there, back) {
            prop_assert!(there.length_m >= (a[0] - b[0]).hypot(a[1] - b[1]) - 1e-9);
            // Times are rounded to a nanosecond a leg, which may choose between ways as long.
            prop_assert!((there.length_m - back.length_m).abs() < 1e-7);
        }
    }

    /// Walls are taken as lines here: the test does not share the polygons of the search.
    #[test]
    fn no_walk_comes_near_a_wall_but_in_a_doorway(things in things(), [a, b] in places()) {
        let plan = things.plan();
        let Some(walk) = walk(&plan, a, b) else { return Ok(()) };
        // In a doorway narrower than the person, or narrowed by something in it, the person turns
        // sideways, and what stands near may be passed closer.
        let doorway = plan.openings.first().map_or(HALF_WIDTH_M, |gap| {
            let start = plan.walls[gap.wall].line.0[0];
            let middle = geo::Point(at(start.x, start.y + f64::midpoint(gap.from_m, gap.to_m)));
            let others = plan.walls.iter().enumerate().filter(|(number, _)| *number != gap.wall);
            let walls = others.map(|(_, wall)| Euclidean.distance(&middle, &wall.line) - half(wall));
            let things = plan.obstacles.iter().map(|thing| Euclidean.distance(&middle, &thing.outline));
            walls.chain(things).fold(0.5 * (gap.to_m - gap.from_m), f64::min)
        });
        let closest = if doorway < HALF_WIDTH_M { 0.5 * doorway } else { HALF_WIDTH_M };
        for leg in walk.line.windows(2) {
            let leg = Line::new(leg[0].1, leg[1].1);
            for (number, wall) in plan.walls.iter().enumerate() {
                let mut pieces: Vec<Line<f64>> = wall.line.lines().collect();
                let mut least = HALF_WIDTH_M + half(wall);
                if let Some(gap) = plan.openings.iter().find(|opening| opening.wall == number) {
                    let whole = pieces[0];
                    let along = |m: f64| at(whole.start.x, whole.start.y + m);
                    pieces = vec![Line::new(whole.start, along(gap.from_m)), Line::new(along(gap.to_m), whole.end)];
                    // Beside a jamb the person keeps off the jamb's end, not off its middle line.
                    least = HALF_WIDTH_M.min(0.5 * (gap.to_m - gap.from_m));
                }
                if wall.line.0.len() == 2 && plan.openings.iter().all(|opening| opening.wall != number) {
                    // Round a free end the corners of the wall are kept off, not its middle line.
                    least = closest;
                }
                for piece in pieces {
                    let off = Euclidean.distance(&leg, &piece);
                    prop_assert!(off >= least - 1e-6, "{off} m from {piece:?}, at least {least} m");
                }
            }
            for thing in &plan.obstacles {
                let off = Euclidean.distance(&leg, &thing.outline);
                prop_assert!(off >= closest - 1e-6, "{off} m from an obstacle");
            }
        }
    }

    #[test]
    fn a_plan_that_is_turned_has_walks_as_long(things in things(), [a, b] in places(), angle in 0.0..TAU) {
        let mut plan = things.plan();
        let one = walk(&plan, a, b);
        // The two places go along as outlets.
        for [x, y] in [a, b] {
            outlet(&mut plan, 0, at(x, y), 1.0);
        }
        let plan = turned(plan, angle, at(3.0, -7.0));
        let [from, to] = [0, 1].map(|n| <[f64; 2]>::from(plan.outlets[n].position));
        let other = walk(&plan, from, to);
        prop_assert_eq!(one.is_some(), other.is_some());
        if let (Some(one), Some(other)) = (one, other) {
            prop_assert!((one.length_m - other.length_m).abs() < 1e-6 * one.length_m.max(1.0));
        }
    }

    /// Another wall takes room away, but it also gives new corners to bend at: a walk that was up
    /// to half a percent too long, for tangents in place of arcs, may come nearer to the exact
    /// length.
    #[test]
    fn another_wall_never_makes_a_walk_shorter(things in things(), [a, b] in places(), [c, d] in places()) {
        let plan = things.plan();
        let mut more = plan.clone();
        wall(&mut more, 0, "line", &[c, d]);
        let (before, after) = (walk(&plan, a, b), walk(&more, a, b));
        if let Some(after) = after {
            let before = before.map(|walk| walk.length_m);
            prop_assert!(before.is_some_and(|before| after.length_m >= before * (1.0 - 0.005)));
        }
    }
}
