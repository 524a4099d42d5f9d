//! Small random plans on a lattice, in whole millimetres, against two other ways to the answer:
//! in one room every simple route is tried; on two storeys every place is relaxed until nothing
//! changes any more.

use std::collections::{BTreeMap, BTreeSet};

use plan::Plan;
use proptest::prelude::*;
use siting::wire::NoRun;

use crate::power_run::plans::{at, check_route, opening, outlet, run, storeys, wall};

const X: [i64; 3] = [0, 3_100, 7_400];
const Y: [i64; 3] = [0, 2_700, 6_300];
const HIGH: i64 = 2_400;
const STOREY: i64 = 2_700;
const ROOM: i64 = 10;

/// Level, x, y, height above the floor.
type Place = (i64, i64, i64, i64);

/// A wall between two neighbouring corners of the lattice, with an opening.
#[derive(Debug, Clone)]
struct Side {
    level: i64,
    ends: [(i64, i64); 2],
    /// (from, to, base, top) above the floor.
    hole: Option<(i64, i64, i64, i64)>,
}

#[derive(Debug, Clone, Copy)]
struct Spot {
    side: usize,
    s: i64,
    /// Above the floor.
    z: i64,
}

#[derive(Debug, Clone)]
struct Lattice {
    sides: Vec<Side>,
    outlets: Vec<Spot>,
    spot: Spot,
}

impl Side {
    fn length(&self) -> i64 {
        let [a, b] = self.ends;
        (b.0 - a.0) + (b.1 - a.1)
    }

    fn place(&self, s: i64, z: i64) -> Place {
        let (x, y) = self.at(s);
        (self.level, x, y, z)
    }

    fn at(&self, s: i64) -> (i64, i64) {
        let [a, b] = self.ends;
        if a.1 == b.1 { (a.0 + s, a.1) } else { (a.0, a.1 + s) }
    }

    /// Where a place lies along it, if it does.
    fn along(&self, (x, y): (i64, i64)) -> Option<i64> {
        let s = (x - self.ends[0].0) + (y - self.ends[0].1);
        ((0..=self.length()).contains(&s) && self.at(s) == (x, y)).then_some(s)
    }

    fn is_clear_across(&self, a: i64, b: i64, z: i64) -> bool {
        self.hole.is_none_or(|(from, to, base, top)| {
            b.max(a) <= from || a.min(b) >= to || z <= base - ROOM || z >= top + ROOM
        })
    }

    /// Wall on one side of s, all the way between two heights.
    fn is_clear_up(&self, s: i64, a: i64, b: i64) -> bool {
        let clear = |s: i64| {
            (0..=self.length()).contains(&s)
                && self.hole.is_none_or(|(from, to, base, top)| {
                    s <= from || s >= to || a.max(b) <= base || a.min(b) >= top
                })
        };
        clear(s - 1) || clear(s + 1)
    }

    fn is_solid(&self, s: i64, z: i64) -> bool {
        self.hole.is_none_or(|(from, to, base, top)| s <= from || s >= to || z <= base || z >= top)
    }
}

impl Lattice {
    fn plan(&self) -> Plan {
        let mut plan = storeys(2);
        let m = |mm: i64| mm as f64 / 1_000.0;
        let floor = |side: usize| m(self.sides[side].level * STOREY);
        for side in &self.sides {
            let points: Vec<(f64, f64)> = side.ends.iter().map(|&(x, y)| (m(x), m(y))).collect();
            let number = wall(&mut plan, side.level as i32, &points);
            if let Some((from, to, base, top)) = side.hole {
                let floor = floor(number);
                let heights = (floor + m(base), floor + m(top));
                opening(&mut plan, (number, 0), (m(from), m(to)), heights);
            }
        }
        for spot in &self.outlets {
            let side = &self.sides[spot.side];
            let (x, y) = side.at(spot.s);
            let z = floor(spot.side) + m(spot.z);
            outlet(&mut plan, side.level as i32, at(m(x), m(y)), z);
        }
        plan
    }

    /// All sides of a level on which a place lies, with where.
    fn sides_at(&self, level: i64, place: (i64, i64)) -> impl Iterator<Item = (&Side, i64)> {
        let on_level = self.sides.iter().filter(move |side| side.level == level);
        on_level.filter_map(move |side| Some((side, side.along(place)?)))
    }

    fn is_clear_up(&self, level: i64, place: (i64, i64), a: i64, b: i64) -> bool {
        self.sides_at(level, place).any(|(side, s)| side.is_clear_up(s, a, b))
    }

    /// Whether a level wire can lie between two places of one line of the lattice.
    fn is_clear_across(&self, level: i64, a: (i64, i64), b: (i64, i64), z: i64) -> bool {
        if a.0 != b.0 && a.1 != b.1 {
            return false;
        }
        let (low, high) = (a.min(b), a.max(b));
        let mut covered = 0;
        for side in self.sides.iter().filter(|side| side.level == level) {
            let inside =
                |place: (i64, i64)| (place.0.clamp(low.0, high.0), place.1.clamp(low.1, high.1));
            let (Some(from), Some(to)) =
                (side.along(inside(side.ends[0])), side.along(inside(side.ends[1])))
            else {
                continue;
            };
            if from < to {
                covered += to - from;
                if !side.is_clear_across(from, to, z) {
                    return false;
                }
            }
        }
        covered == (high.0 - low.0) + (high.1 - low.1)
    }

    /// The shortest run with one bend.
    fn direct(&self) -> Option<i64> {
        let spot = &self.spot;
        let (level, to) = (self.sides[spot.side].level, self.sides[spot.side].at(spot.s));
        let runs = self.outlets.iter().filter_map(|outlet| {
            let side = &self.sides[outlet.side];
            let from = side.at(outlet.s);
            let own = |spot: &Spot| (spot.z, &self.sides[spot.side], spot.s);
            let bends = [(outlet.z, own(spot)), (spot.z, own(outlet))];
            let can = bends.iter().any(|&(z, (end_z, upright, s))| {
                self.is_clear_across(level, from, to, z) && upright.is_clear_up(s, z, end_z)
            });
            let across = (from.0 - to.0).abs() + (from.1 - to.1).abs();
            (side.level == level && can).then_some(across + (outlet.z - spot.z).abs())
        });
        runs.min()
    }

    /// Places along a side at which the openings, outlets, spot of any storey begin or end.
    fn places(&self, side: &Side) -> Vec<i64> {
        let mut found = BTreeSet::from([0, side.length()]);
        for other in &self.sides {
            let Some((from, to, ..)) = other.hole else {
                continue;
            };
            found.extend([from, to].iter().filter_map(|&s| side.along(other.at(s))));
        }
        for spot in self.outlets.iter().chain([&self.spot]) {
            found.extend(side.along(self.sides[spot.side].at(spot.s)));
        }
        found.into_iter().collect()
    }

    /// The least over every simple route from the spot to an outlet: none is left out but those
    /// that are longer already than one that arrived.
    fn every_route(&self) -> Option<i64> {
        let mut next: BTreeMap<Place, Vec<(Place, i64)>> = BTreeMap::new();
        for (a, b, length) in self.links() {
            next.entry(a).or_default().push((b, length));
            next.entry(b).or_default().push((a, length));
        }
        let ends: Vec<Place> = self.outlets.iter().map(|spot| self.place(spot)).collect();
        let mut best = self.direct().unwrap_or(i64::MAX);
        let mut seen = vec![self.place(&self.spot)];
        go_on(&next, &ends, 0, &mut seen, &mut best);
        (best < i64::MAX).then_some(best)
    }

    fn place(&self, spot: &Spot) -> Place {
        self.sides[spot.side].place(spot.s, spot.z)
    }

    /// All legs between neighbouring places.
    fn links(&self) -> Vec<(Place, Place, i64)> {
        let mut links: BTreeSet<(Place, Place, i64)> = BTreeSet::new();
        for side in &self.sides {
            for pair in self.places(side).windows(2) {
                for z in [0, HIGH] {
                    if side.is_clear_across(pair[0], pair[1], z) {
                        let ends = (side.place(pair[0], z), side.place(pair[1], z));
                        links.insert((ends.0, ends.1, pair[1] - pair[0]));
                    }
                }
            }
            for s in self.places(side) {
                let place = side.at(s);
                if self.is_clear_up(side.level, place, 0, HIGH) {
                    links.insert((side.place(s, 0), side.place(s, HIGH), HIGH));
                }
                if side.level == 0 && self.sides_at(1, place).next().is_some() {
                    let above = (1, place.0, place.1, 0);
                    links.insert((side.place(s, HIGH), above, STOREY - HIGH));
                }
            }
        }
        for spot in self.outlets.iter().chain([&self.spot]) {
            let side = &self.sides[spot.side];
            for z in [0, HIGH] {
                if side.is_clear_up(spot.s, spot.z, z) {
                    let line = side.place(spot.s, z);
                    links.insert((self.place(spot), line, (spot.z - z).abs()));
                }
            }
        }
        links.into_iter().collect()
    }

    /// The least by relaxing every place of every storey until nothing changes.
    fn relaxed(&self) -> Option<i64> {
        let links = self.links();
        let mut costs: BTreeMap<Place, i64> = BTreeMap::new();
        for outlet in &self.outlets {
            costs.insert(self.place(outlet), 0);
        }
        loop {
            let mut changed = false;
            for &(a, b, length) in &links {
                for (from, to) in [(a, b), (b, a)] {
                    let Some(cost) = costs.get(&from).map(|cost| cost + length) else {
                        continue;
                    };
                    if costs.get(&to).is_none_or(|old| cost < *old) {
                        costs.insert(to, cost);
                        changed = true;
                    }
                }
            }
            if !changed {
                break;
            }
        }
        let spot = self.place(&self.spot);
        costs.get(&spot).copied().into_iter().chain(self.direct()).min()
    }
}

/// Goes on from the last place of a route to every place that it has not seen.
fn go_on(
    next: &BTreeMap<Place, Vec<(Place, i64)>>,
    ends: &[Place],
    length: i64,
    seen: &mut Vec<Place>,
    best: &mut i64,
) {
    let Some(here) = seen.last().copied() else {
        return;
    };
    if length >= *best {
        return;
    }
    if ends.contains(&here) {
        *best = length;
        return;
    }
    for &(place, leg) in next.get(&here).into_iter().flatten() {
        if !seen.contains(&place) {
            seen.push(place);
            go_on(next, ends, length + leg, seen, best);
            seen.pop();
        }
    }
}

const ALL: [usize; 12] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];

/// One room of the lattice, and a wall that goes on from it.
const ROOM_AND_STUB: [usize; 5] = [0, 1, 3, 6, 7];

/// A lattice of 12 sides a storey, of which only some may be there; each is there three times of
/// four, half of them with an opening.
fn lattices(storeys: i64, only: &'static [usize]) -> impl Strategy<Value = Lattice> {
    let hole = prop_oneof![
        5 => Just(None),
        1 => Just(Some((0, 2_000))),
        1 => Just(Some((0, 2_400))),
        2 => Just(Some((900, 2_100))),
        1 => Just(Some((1_000, 2_400))),
    ];
    let side = (prop::bool::weighted(0.75), hole, 0_i64..=10);
    let sides = prop::collection::vec(side, 12 * storeys as usize);
    let spot = || (any::<prop::sample::Index>(), 0_i64..=20, any::<bool>());
    let outlets = prop::collection::vec(spot(), 1..3);
    (sides, outlets, spot()).prop_filter_map("a wall for each", move |(drawn, outlets, spot)| {
        let mut sides = Vec::new();
        for (number, (is_there, hole, shift)) in drawn.into_iter().enumerate() {
            let (level, number) = (number as i64 / 12, number % 12);
            let (i, j) = (number % 6 / 3, number % 3);
            let ends = if number < 6 {
                [(X[i], Y[j]), (X[i + 1], Y[j])]
            } else {
                [(X[j], Y[i]), (X[j], Y[i + 1])]
            };
            let mut side = Side { level, ends, hole: None };
            // From one end of the wall to the other, flush with the ends too.
            let from = (side.length() - 900) * shift / 10;
            side.hole = hole.map(|(base, top)| (from, from + 900, base, top));
            if is_there && only.contains(&number) {
                sides.push(side);
            }
        }
        if sides.is_empty() {
            return None;
        }
        // Inside a side, so that a spot belongs to one wall alone.
        let on_wall = |(side, share, is_low): (prop::sample::Index, i64, bool), low, high| {
            let side = side.index(sides.len());
            let s = 50 + (sides[side].length() - 100) * share / 20;
            let z = if is_low { low } else { high };
            sides[side].is_solid(s, z).then_some(Spot { side, s, z })
        };
        let outlets: Option<Vec<Spot>> =
            outlets.into_iter().map(|outlet| on_wall(outlet, 300, 1_150)).collect();
        let spot = on_wall(spot, 1_500, 2_200)?;
        Some(Lattice { outlets: outlets?, spot, sides })
    })
}

fn agrees(lattice: &Lattice, expected_mm: Option<i64>) -> Result<(), TestCaseError> {
    let plan = lattice.plan();
    let spot = &lattice.spot;
    let side = &lattice.sides[spot.side];
    let (x, y) = side.at(spot.s);
    let place = at(x as f64 / 1_000.0, y as f64 / 1_000.0);
    let z = (side.level * STOREY + spot.z) as f64 / 1_000.0;
    match (run(&plan, side.level as i32, place, z), expected_mm) {
        (Ok(run), Some(mm)) => {
            check_route(&run);
            let expected = mm as f64 / 1_000.0;
            prop_assert!(
                (run.length_m - expected).abs() < 1e-8,
                "{} m, expected {expected}: {:?}",
                run.length_m,
                run.route
            );
        }
        (Err(NoRun::Unreachable), None) => {}
        (found, expected) => prop_assert!(false, "{found:?}, expected {expected:?}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_500))]

    #[test]
    fn no_simple_route_is_shorter(lattice in lattices(1, &ROOM_AND_STUB)) {
        let expected = lattice.every_route();
        prop_assert_eq!(expected, lattice.relaxed());
        agrees(&lattice, expected)?;
    }

    #[test]
    fn two_storeys_agree_with_relaxation(lattice in lattices(2, &ALL)) {
        agrees(&lattice, lattice.relaxed())?;
    }
}
