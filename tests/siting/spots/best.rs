//! The best spots against brute force: every spot assessed by itself with the panel hung there,
//! which traces from the panel where the search traces from the devices, and an order by
//! definition.

use forecast::{Assessment, DeviceResult, Edges, Finding, Listener, Model, Site};
use geo::Coord;
use plan::Plan;
use proptest::prelude::*;
use siting::rank::{Objectives, Weights};
use siting::reach::{Reach, SpotRadio};
use siting::siting::{Siting, SitingSettings};
use siting::spots::Spot;
use trace::ImageTree;

use super::dice::{Drawn, plan};
use super::{panel, same_db, site};

/// What one spot is worth, by an assessment of its own.
struct Naive {
    /// Margin of every device over its whole way, by its id.
    margins: Vec<(String, f64, Option<String>)>,
    any_fault: f64,
    not_sound: usize,
    failing: usize,
    shares: Vec<f64>,
}

/// Hangs the panel of a site elsewhere, which [`Site::new`] does at a much higher price.
fn move_panel(site: &mut Site<'_>, spot: &Spot) {
    let reflections = site.model.reflections;
    site.panel = Listener {
        device: panel(spot.level, spot.position, spot.height_m),
        tree: ImageTree::new(&site.scene, spot.position, reflections).unwrap(),
    };
}

fn assessed(site: &Site<'_>) -> Naive {
    let assessment = Assessment::new(site).unwrap();
    let all: Vec<&DeviceResult> = assessment.sensors.iter().chain(&assessment.two_way).collect();
    let own_margin = |id: &str| {
        let result = all.iter().find(|result| result.device.id == id).unwrap();
        result.hop.ledger.margin_db.0
    };
    let margins = all.iter().map(|result| {
        let first = result.hop.ledger.margin_db.0;
        let onward = result.via.as_deref().map_or(f64::INFINITY, own_margin);
        (result.device.id.clone(), first.min(onward), result.via.clone())
    });
    let supervised = all.iter().filter(|result| result.device.supervised);
    let count = |what: &dyn Fn(Finding) -> bool| all.iter().filter(|r| what(r.finding)).count();
    Naive {
        margins: margins.collect(),
        any_fault: 1.0 - supervised.map(|r| 1.0 - r.fault_per_year).product::<f64>(),
        not_sound: count(&|finding| finding != Finding::Sound),
        failing: count(&|finding| finding == Finding::Failing),
        shares: assessment.roams.iter().map(|roam| roam.share).collect(),
    }
}

/// Checks the radio of one spot against an assessment.
fn same(reach: &Reach<'_, '_>, radio: &SpotRadio, naive: &Naive) {
    assert_eq!(naive.margins.len(), reach.transmitters.len());
    for (id, margin, via) in &naive.margins {
        let mut transmitters = reach.transmitters.iter().zip(&radio.heard);
        let (_, heard) = transmitters.find(|(t, _)| t.device.id == *id).unwrap();
        let taken = heard.via.map(|n| reach.site.repeaters[n].device.id.clone());
        assert_eq!(taken, *via, "the way of {id}");
        same_db(heard.margin.0, *margin, id);
    }
    let least = naive.margins.iter().map(|m| m.1).min_by(f64::total_cmp);
    let worst = radio.worst.map(|n| radio.heard[n].margin.0);
    same_db(worst.unwrap(), least.unwrap(), "the worst margin");
    assert!((radio.any_fault_per_year - naive.any_fault).abs() < 1e-9);
    assert!((0.0..=1.0).contains(&radio.any_fault_per_year));
    assert_eq!(radio.not_sound, naive.not_sound);
    assert_eq!(radio.failing, naive.failing);
}

/// The three figures as the order sees them: steps of 1e-4, a tenth of a second, a tenth of a
/// metre; an unknown one is worse than any.
fn steps(worth: &Objectives) -> [f64; 3] {
    let unknown = |value: Option<f64>| value.map_or(f64::INFINITY, |v| (v / 0.1).round());
    [(worth.any_fault_per_year / 1e-4).round(), unknown(worth.walk_s), unknown(worth.wire_m)]
}

/// By definition: of those that lose the fewest devices (failing ones first, then any not sound),
/// the ones that no other of them is at least as good as in everything and better in something.
pub fn front_by_definition(objectives: &[Objectives]) -> Vec<bool> {
    let lost = |worth: &Objectives| worth.failing * 1_000_000 + worth.not_sound;
    let is_in = |worth: &Objectives| objectives.iter().all(|other| lost(other) >= lost(worth));
    let beaten = |a: &Objectives| {
        objectives.iter().filter(|b| is_in(b)).any(|b| {
            let (a, b) = (steps(a), steps(b));
            (0..3).all(|n| b[n] <= a[n]) && (0..3).any(|n| b[n] < a[n])
        })
    };
    objectives.iter().map(|a| is_in(a) && !beaten(a)).collect()
}

/// The order by its definition, by picking the first that is before all others again and again.
pub fn order_by_definition(objectives: &[Objectives], weights: Weights) -> Vec<usize> {
    let front = front_by_definition(objectives);
    let weights = [weights.reliability, weights.walk, weights.wire];
    let score = |n: usize| -> f64 {
        let measure: Vec<usize> =
            (0..objectives.len()).filter(|m| front[*m] || !front[n]).collect();
        (0..3)
            .map(|figure| {
                let known: Vec<f64> = measure
                    .iter()
                    .map(|m| steps(&objectives[*m])[figure])
                    .filter(|value| value.is_finite())
                    .collect();
                let value = steps(&objectives[n])[figure];
                let low = known.iter().copied().fold(f64::INFINITY, f64::min);
                let high = known.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                if known.is_empty() {
                    0.0
                } else if value.is_infinite() {
                    weights[figure] * 1e3
                } else {
                    weights[figure] * (value - low) / (high - low).max(1.0)
                }
            })
            .sum()
    };
    let key = |n: usize| {
        let [chance, walk, wire] = steps(&objectives[n]);
        let exact = (objectives[n].any_fault_per_year * 1e9).round();
        let lost = objectives[n].failing * 1_000_000 + objectives[n].not_sound;
        let tier = lost as f64 + if front[n] { 0.0 } else { 0.5 };
        [tier, score(n), chance, walk, wire, exact, n as f64]
    };
    let keys: Vec<[f64; 7]> = (0..objectives.len()).map(key).collect();
    let mut left: Vec<usize> = (0..objectives.len()).collect();
    let mut order = Vec::new();
    while !left.is_empty() {
        let before = |a: usize, b: usize| keys[a].partial_cmp(&keys[b]).unwrap().is_lt();
        let place = (0..left.len())
            .find(|a| left.iter().all(|b| *b == left[*a] || before(left[*a], *b)))
            .unwrap();
        order.push(left.remove(place));
    }
    order
}

/// The first of an order that keep their distance, by definition.
pub fn apart_by_definition(
    order: &[usize],
    places: &[(i32, Coord<f64>)],
    count: usize,
    apart_m: f64,
) -> Vec<usize> {
    let mut chosen: Vec<usize> = Vec::new();
    for n in order {
        let (level, place) = places[*n];
        let far = chosen.iter().all(|other| {
            let (other_level, other) = places[*other];
            other_level != level || ((other - place).x).hypot((other - place).y) >= apart_m
        });
        if far && chosen.len() < count {
            chosen.push(*n);
        }
    }
    chosen
}

/// Checks every spot of a plan and the spots offered; returns how many spots, and how many devices
/// go over a repeater.
fn check(plan: &Plan, model: Model, settings: &SitingSettings) -> Option<[usize; 4]> {
    let site = site(plan, model);
    let reach = Reach::new(&site).unwrap();
    let siting = match Siting::new(&reach, settings, &|_| {}) {
        Ok(siting) => siting,
        Err(error) => {
            let said = error.to_string();
            assert!(
                said.starts_with("no spot is left") || said.starts_with("no wall inside"),
                "{said}"
            );
            return None;
        }
    };
    let mut objectives = Vec::new();
    let mut moved = super::site(plan, model);
    for (n, spot) in siting.spots.allowed.iter().enumerate() {
        move_panel(&mut moved, spot);
        let naive = assessed(&moved);
        same(&reach, &siting.radio[n], &naive);
        for (got, want) in siting.radio[n].roam_shares.iter().zip(&naive.shares) {
            assert!((got - want).abs() < 0.15, "share {got}, not {want}");
        }
        objectives.push(Objectives {
            failing: naive.failing,
            not_sound: naive.not_sound,
            any_fault_per_year: naive.any_fault,
            walk_s: siting.walks[n].as_ref().map(|walk| walk.longest.time_s),
            wire_m: siting.power[n].as_ref().ok().map(|run| run.wire.length_m),
        });
    }
    assert_eq!(siting.unbeaten, front_by_definition(&objectives));
    let order = order_by_definition(&objectives, settings.weights);
    assert_eq!(siting.ranking, order);
    let spots = siting.spots.allowed.iter();
    let places: Vec<_> = spots.map(|spot| (spot.level, spot.position)).collect();
    let best = apart_by_definition(&order, &places, settings.best, settings.apart_m);
    assert_eq!(siting.best, best);
    let heard = siting.radio.iter().flat_map(|radio| &radio.heard);
    Some([
        objectives.len(),
        objectives.iter().filter(|worth| worth.not_sound == 0).count(),
        objectives.iter().filter(|worth| worth.walk_s.is_some()).count(),
        heard.filter(|heard| heard.via.is_some()).count(),
    ])
}

#[test]
fn the_spots_offered_are_those_of_brute_force() {
    let config = ProptestConfig { cases: 300, failure_persistence: None, ..Default::default() };
    let mut runner = proptest::test_runner::TestRunner::new(config);
    let strategy =
        (plan(), 0..=1u8, any::<bool>(), prop::array::uniform3(0.0..3.0f64), any::<bool>());
    let seen = std::cell::RefCell::new([0; 4]);
    let cases = std::cell::Cell::new(0);
    runner
        .run(&strategy, |(Drawn(plan), reflections, soft, weights, loose)| {
            let model = Model {
                reflections,
                openings: if soft { Edges::Soft } else { Edges::Sharp },
                cell_m: 0.25,
                ..Model::default()
            };
            let mut settings = SitingSettings {
                weights: Weights { reliability: weights[0], walk: weights[1], wire: weights[2] },
                best: 4,
                ..SitingSettings::default()
            };
            settings.spots.spacing_m = 1.3;
            if loose {
                settings.spots.clear_of_metal_m = 0.0;
                settings.spots.clear_of_ways_in_m = 0.3;
            }
            if let Some(counts) = check(&plan, model, &settings) {
                cases.set(cases.get() + 1);
                for (seen, count) in seen.borrow_mut().iter_mut().zip(counts) {
                    *seen += count;
                }
            }
            Ok(())
        })
        .unwrap();
    // The plans are such that every branch is met, many times over in any sample of them.
    let [spots, keep, walked, relayed] = *seen.borrow();
    assert!(cases.get() > 100, "{} plans have spots", cases.get());
    assert!(keep > spots / 50 && keep < spots * 49 / 50, "{keep} of {spots} keep all");
    assert!(walked > spots / 10, "{walked} of {spots} can be walked to");
    assert!(relayed > spots / 50, "{relayed} ways over a repeater");
}
