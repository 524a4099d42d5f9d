//! The rooms that walls enclose, counted by Euler's formula: edges − corners + parts.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Line};
use plan::Plan;

/// Ends closer to a wall than this lie on it, metres: twice what rounding to a millimetre does.
const ON_M: f64 = 0.0015;

type Key = (u64, u64);

fn key(place: Coord<f64>) -> Key {
    (place.x.to_bits(), place.y.to_bits())
}

/// How far along a line a point lies that is on it, metres.
fn along(line: Line<f64>, point: Coord<f64>) -> Option<f64> {
    let (run, to) = (line.delta(), point - line.start);
    let length = run.x.hypot(run.y);
    let along = (run.x * to.x + run.y * to.y) / length;
    let off = ((run.x * to.y - run.y * to.x) / length).abs();
    (off <= ON_M && (-ON_M..=length + ON_M).contains(&along)).then_some(along)
}

/// How many rooms the walls of a plan of one level enclose. Ends count as meeting only if they are
/// the same point to the last bit, or lie on the other wall.
pub fn faces(plan: &Plan) -> usize {
    let places: BTreeMap<Key, Coord<f64>> =
        plan.walls.iter().flat_map(|wall| &wall.line.0).map(|&place| (key(place), place)).collect();
    let mut edges: BTreeSet<(Key, Key)> = BTreeSet::new();
    for line in plan.walls.iter().flat_map(|wall| wall.line.lines()) {
        let mut on: Vec<(f64, Key)> =
            places.iter().filter_map(|(key, place)| Some((along(line, *place)?, *key))).collect();
        on.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in on.windows(2) {
            let (a, b) = (pair[0].1, pair[1].1);
            edges.insert((a.min(b), a.max(b)));
        }
    }
    // Parts by painting from each place along the edges.
    let mut left: BTreeSet<Key> = places.keys().copied().collect();
    let mut parts = 0;
    while let Some(first) = left.pop_first() {
        parts += 1;
        let mut next = vec![first];
        while let Some(here) = next.pop() {
            for &(a, b) in edges.iter().filter(|edge| edge.0 == here || edge.1 == here) {
                let far = if a == here { b } else { a };
                if left.remove(&far) {
                    next.push(far);
                }
            }
        }
    }
    edges.len() + parts - places.len()
}
