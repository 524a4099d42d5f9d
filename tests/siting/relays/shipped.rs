//! Shipped plans: the place that one would not guess, a search that is stopped, and plans in
//! another order.

use std::cell::Cell;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;

use forecast::{Adding, Assessment, Finding, Model};
use plan::{Device, Plan};
use serde_json::Value;
use siting::cover::{CoverError, Hops, Proof};
use siting::reach::Reach;
use siting::relays::{RelaySettings, Relays, at_outlets, given};

use crate::relays::{hops, shipped_json};
use fixtures::plan_of;

fn annexe() -> Plan {
    plan_of(&shipped_json("annexe").to_string())
}

fn not_sound(plan: &Plan) -> Vec<Device> {
    let site = fixtures::site(plan);
    let all = Assessment::new(&site).unwrap();
    let results = all.sensors.into_iter().chain(all.two_way);
    results.filter(|result| result.finding != Finding::Sound).map(|result| result.device).collect()
}

/// What comes of putting a repeater at one outlet: the devices that are not sound then.
fn with_repeater_at(plan: &Plan, outlet: &str) -> Vec<Device> {
    let one = Plan {
        outlets: (plan.outlets.iter()).filter(|other| other.id == outlet).cloned().collect(),
        ..plan.clone()
    };
    assert_eq!(one.outlets.len(), 1, "{outlet}");
    not_sound(&hops::everywhere(&one, None))
}

/// New repeaters by their outlets, the chance of any fault, and how far that is proven.
fn solved(plan: &Plan, hops: Hops) -> (Vec<Option<String>>, f64, Proof) {
    let site = fixtures::site(plan);
    let reach = Reach::new(&site).unwrap();
    let settings = RelaySettings { hops, ..RelaySettings::default() };
    let panel = plan.panel().unwrap().clone();
    let mut candidates = given(plan);
    candidates.extend(at_outlets(plan, &settings));
    let mut relays =
        Relays::new(&reach, settings, vec![panel], candidates, &|_| {}, &|| false).unwrap();
    let answer = relays.solve(&|| false).unwrap();
    let outlets = answer.new.iter().map(|site| relays.candidates[*site].outlet.clone());
    (outlets.collect(), answer.chance_of_any_fault, answer.proof)
}

/// The annexe is closed by metal: a repeater in it does not reach the panel, one before its
/// walls serves all but the contact on its steel door.
#[test]
fn one_repeater_helps_but_not_where_one_would_guess() {
    let plan = annexe();
    let failing = not_sound(&plan);
    assert_eq!(failing.len(), 5);
    let (outlets, _, proof) = solved(&plan, Hops::One);
    assert_eq!(outlets, [Some("outlet-pump-house".to_owned())]);
    assert_eq!(proof, Proof::Best);

    // The outlet nearest to those that fail: in their midst, and no help at all.
    let count = failing.len() as f64;
    let mean = failing
        .iter()
        .fold(geo::Coord { x: 0.0, y: 0.0 }, |sum, device| sum + device.position / count);
    let far = |at: geo::Coord<f64>| (at.x - mean.x).hypot(at.y - mean.y);
    let nearest = plan.outlets.iter().min_by(|a, b| far(a.position).total_cmp(&far(b.position)));
    let nearest = &nearest.unwrap().id;
    assert_eq!(with_repeater_at(&plan, nearest).len(), failing.len() + 1, "itself and all five");
    for outlet in &plan.outlets {
        let left = with_repeater_at(&plan, &outlet.id);
        let at_the_annexe = ["outlet-annexe-wall", "outlet-pump-house"];
        assert_eq!(left.len() == 1, at_the_annexe.contains(&outlet.id.as_str()), "{}", outlet.id);
    }
}

#[test]
fn a_search_that_is_stopped_says_how_far_it_came() {
    let plan = plan_of(&shipped_json("foil-garage").to_string());
    // By powers alone more is failing, and the search has more to do.
    let powers = Model { adding: Adding::Powers, ..Model::default() };
    let site = fixtures::site_with(&plan, powers);
    let reach = Reach::new(&site).unwrap();
    let settings = RelaySettings { hops: Hops::Two, ..RelaySettings::default() };
    let panel = vec![plan.panel().unwrap().clone()];
    let candidates = at_outlets(&plan, &settings);
    let mut relays = Relays::new(&reach, settings, panel, candidates, &|_| {}, &|| false).unwrap();
    let mut after = |asked: usize| {
        let left = Cell::new(asked);
        relays.solve(&|| {
            left.set(left.get().saturating_sub(1));
            left.get() == 0
        })
    };
    let best = after(usize::MAX).unwrap();
    assert_eq!((best.new.len(), best.proof), (2, Proof::Best));
    let mut seen = [0; 3];
    for asked in (0..64).chain((64..4096).step_by(64)) {
        match after(asked) {
            Err(no) => {
                assert_eq!(no.why, CoverError::OutOfTime);
                seen[0] += 1;
            }
            Ok(answer) => match answer.proof {
                Proof::Gap { found, at_least, chance_found, chance_at_least } => {
                    assert_eq!(found, answer.new.len());
                    assert!(at_least <= 2 && found >= 2, "{answer:?}");
                    assert_eq!(chance_found, answer.chance_of_any_fault);
                    assert!(chance_at_least <= chance_found);
                    if found == 2 {
                        assert!(chance_at_least <= best.chance_of_any_fault + 1e-12);
                    }
                    seen[1] += 1;
                }
                Proof::Best => {
                    assert_eq!(answer.new, best.new);
                    assert_eq!(answer.chance_of_any_fault, best.chance_of_any_fault);
                    seen[2] += 1;
                }
            },
        }
    }
    assert!(seen.iter().all(|times| *times > 0), "{seen:?}");
}

#[test]
fn the_order_of_the_features_changes_nothing() {
    for (name, hops) in [("annexe", Hops::One), ("foil-garage", Hops::Two)] {
        let json = shipped_json(name);
        let (outlets, chance, proof) = solved(&plan_of(&json.to_string()), hops);
        assert_eq!(proof, Proof::Best);
        for turn in 0..3 {
            let mut other = json.clone();
            let features = other["features"].as_array_mut().unwrap();
            match turn {
                0 => features.reverse(),
                1 => features.sort_by_key(|feature| feature["id"].to_string()),
                _ => {
                    // Names say nothing: devices first, walls last, each group backwards.
                    features.reverse();
                    features.sort_by_key(|feature: &Value| feature["geometry"]["type"] != "Point");
                }
            }
            let (moved, again, proof) = solved(&plan_of(&other.to_string()), hops);
            assert_eq!(proof, Proof::Best);
            assert_eq!(moved.len(), outlets.len(), "{name}, order {turn}");
            assert!((again - chance).abs() < 1e-9, "{name}, order {turn}: {again}, {chance}");
        }
    }
}

#[test]
fn places_that_there_was_no_time_for_are_left_out_and_counted() {
    let plan = annexe();
    let site = fixtures::site(&plan);
    let reach = Reach::new(&site).unwrap();
    let settings = RelaySettings { hops: Hops::Two, ..RelaySettings::default() };
    let panels = || vec![plan.panel().unwrap().clone()];
    let places = at_outlets(&plan, &settings);
    let none = Relays::new(&reach, settings, panels(), places.clone(), &|_| {}, &|| true);
    let mut none = none.unwrap();
    assert_eq!(none.left_out, places.len());
    let answer = none.solve(&|| false).unwrap();
    assert!(answer.new.is_empty() && !answer.unheard.is_empty(), "{answer:?}");
    // As if the outlets were not there.
    let mut bare = Relays::new(&reach, settings, panels(), Vec::new(), &|_| {}, &|| false).unwrap();
    let without = bare.solve(&|| false).unwrap();
    assert_eq!(without.unheard.len(), answer.unheard.len());
    assert_eq!(without.chance_of_any_fault, answer.chance_of_any_fault);
    // Some are enough for a choice, which is then no longer proven.
    for asked in 1..2 * places.len() {
        let left = AtomicUsize::new(asked);
        let late = || left.fetch_sub(1.min(left.load(Relaxed)), Relaxed) == 0;
        let some = Relays::new(&reach, settings, panels(), places.clone(), &|_| {}, &late);
        let mut some = some.unwrap();
        let answer = some.solve(&|| false).unwrap();
        let is_proven = answer.proof == Proof::Best;
        assert_eq!(is_proven, some.left_out == 0 || answer.new.is_empty(), "{answer:?}");
    }
}
