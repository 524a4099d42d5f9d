//! The air about a place: where its middle is.

use super::plane::{Point, dot};
use super::scene::Scene;
use super::screen::{AIR, CORNER_M, Screen, TOUCH_M};

impl Scene {
    /// The middle of the air within a distance of a point, metres, at a height above the plan's
    /// zero: a point near a wall moves away from it, by three eighths of the distance at its face.
    ///
    /// Each wall cuts off its cap of the ball, the nearest first; of others in nearly the same
    /// direction only what they cut off besides counts. A point in the middle of a wall stays: its
    /// side is not known.
    #[must_use]
    pub fn middle_of_air(&self, at: Point, z: f64, radius_m: f64) -> Point {
        let reach = Point { x: radius_m, y: radius_m };
        let mut near: Vec<u32> = self.index.about(at - reach, at + reach).collect();
        near.sort_unstable();
        let near = || near.iter().map(|id| &self.screens[*id as usize]);
        let mut moves: Vec<(f64, Point)> =
            near().filter_map(|screen| pushed(screen, at, z, radius_m)).collect();
        moves.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut by = Point { x: 0.0, y: 0.0 };
        for (length, way) in moves {
            let already = dot(by, way).max(0.0);
            by = by + way * (length - already).max(0.0);
        }
        let to = at + by;
        let is_beyond = near().any(|screen| is_between(screen, at, to, z));
        if is_beyond { at } else { to }
    }
}

/// How far a screen moves the middle of the air about a point, and in which direction; `None` where
/// it does not.
fn pushed(screen: &Screen, at: Point, z: f64, radius: f64) -> Option<(f64, Point)> {
    let offset = screen.offset(at);
    let s = dot(screen.along, at - screen.start);
    let part = screen.part_at(s, z)?;
    let is_inside = screen.outward * offset < 0.0;
    let off = (offset.abs() - screen.half_thickness).max(0.0);
    if part.surface == AIR || is_inside || offset.abs() <= TOUCH_M || off >= radius {
        return None;
    }
    // A ball less the cap beyond a plane `off` from its centre: moment over volume.
    let (r2, off2) = (radius * radius, off * off);
    let moment = (r2 - off2) * (r2 - off2) / 4.0;
    let volume = 2.0 / 3.0 * radius * r2 + r2 * off - off * off2 / 3.0;
    Some((moment / volume, screen.normal * offset.signum()))
}

/// Whether a screen stands between two points at a height.
fn is_between(screen: &Screen, from: Point, to: Point, z: f64) -> bool {
    let (before, after) = (screen.offset(from), screen.offset(to));
    if before * after >= 0.0 || before.abs().min(after.abs()) <= CORNER_M {
        return false;
    }
    let place = from + (to - from) * (before / (before - after));
    screen.part_at(dot(screen.along, place - screen.start), z).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SurfaceFacts;
    use plan::{Level, Plan, Wall};

    fn scene(walls: &[[[f64; 2]; 2]]) -> Scene {
        let level = Level {
            number: 0,
            name: String::new(),
            floor_m: 0.0,
            ceiling_m: 2.4,
            is_over_air: false,
        };
        let wall = |(number, ends): (usize, &[[f64; 2]; 2])| Wall {
            thickness_mm: None,
            id: format!("w{number}"),
            level: 0,
            construction: "any".to_owned(),
            line: geo::LineString(ends.map(|[x, y]| Point { x, y }).to_vec()),
            base_m: 0.0,
            top_m: 2.4,
        };
        let plan = Plan {
            metres_per_unit: 1.0,
            levels: vec![level],
            walls: walls.iter().enumerate().map(wall).collect(),
            ..Plan::default()
        };
        Scene::new(&plan, &|_| SurfaceFacts { surface: 1, thickness_m: 0.1 })
    }

    /// The mean of many points of the ball that are before the wall.
    fn mean(off: f64, radius: f64) -> f64 {
        let steps = 200;
        let slices = (0..2 * steps).map(|k| (f64::from(k) + 0.5) / f64::from(steps) - 1.0);
        let before = slices.map(|x| x * radius).filter(|x| *x > -off);
        let (sum, weight) = before.fold((0.0, 0.0), |(sum, weight), x| {
            let area = radius * radius - x * x;
            (sum + x * area, weight + area)
        });
        sum / weight
    }

    #[test]
    fn a_wall_moves_the_middle_as_the_cap_says() {
        let scene = scene(&[[[0.0, -3.0], [0.0, 3.0]]]);
        for off in [0.0, 0.02, 0.1, 0.3, 0.6] {
            let at = Point { x: 0.05 + off, y: 0.2 };
            let moved = scene.middle_of_air(at, 1.0, 0.47);
            assert!((moved.x - at.x - mean(off, 0.47)).abs() < 0.003, "{off} {moved:?}");
            assert!((moved.y - at.y).abs() < 1e-12);
        }
        let above = Point { x: 0.1, y: 0.2 };
        assert_eq!(scene.middle_of_air(above, 3.0, 0.47), above);
        let on = Point { x: 0.0, y: 0.2 };
        assert_eq!(scene.middle_of_air(on, 1.0, 0.47), on);
    }

    #[test]
    fn between_two_walls_it_stays_and_in_a_corner_it_moves_from_both() {
        let passage = scene(&[[[0.0, -3.0], [0.0, 3.0]], [[0.6, -3.0], [0.6, 3.0]]]);
        let middle = Point { x: 0.3, y: 0.0 };
        assert!((passage.middle_of_air(middle, 1.0, 0.47).x - 0.3).abs() < 1e-12);
        let corner = scene(&[[[0.0, 0.0], [0.0, 3.0]], [[0.0, 0.0], [3.0, 0.0]]]);
        let moved = corner.middle_of_air(Point { x: 0.06, y: 0.06 }, 1.0, 0.47);
        assert!((moved.x - moved.y).abs() < 1e-12 && moved.x > 0.2, "{moved:?}");
        // A second wall right behind the first changes nothing.
        let double = scene(&[[[0.0, -3.0], [0.0, 3.0]], [[-0.2, -3.0], [-0.2, 3.0]]]);
        let single = scene(&[[[0.0, -3.0], [0.0, 3.0]]]);
        let at = Point { x: 0.07, y: 0.0 };
        assert_eq!(double.middle_of_air(at, 1.0, 0.47), single.middle_of_air(at, 1.0, 0.47));
    }
}
