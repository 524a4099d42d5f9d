//! Hundreds of random small plans.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use forecast::{Assessment, Crossing, DeviceResult, Site};
use plan::{Device, DeviceKind, Plan};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use report::{CheckReport, RepeatersReport};
use siting::cover::{CoverError, CoverProblem, Hops, Proof};
use siting::reach::Reach;
use siting::relays::{RelayAnswer, Relays, Unheard, at_outlets, given};

use crate::cover::brute::{Truth, Why, truth};
use crate::relays::case::{Case, case};
use crate::relays::hops;
use fixtures::plan_of;

/// Plans tried.
const CASES: u32 = 500;

/// Two ways of summing the same few chances agree to this.
const SAME: f64 = 1e-9;

/// Which answers came, and how often: a generator that brings one only would test nothing.
type Counts = BTreeMap<String, usize>;

#[test]
fn answers_agree_with_every_choice_there_is() {
    let counts = RefCell::new(Counts::new());
    let mut runner = TestRunner::new_with_rng(
        Config { cases: CASES, failure_persistence: None, ..Config::default() },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    );
    let outcome = runner.run(&case(), |case| agrees(&case, &mut counts.borrow_mut()));
    if let Err(fault) = outcome {
        panic!("{fault}");
    }
    let counts = counts.into_inner();
    let seen = |what: &str| counts.get(what).copied().unwrap_or(0);
    for (what, least) in [
        ("0 new", 100),
        ("1 new", 60),
        ("2 new", 15),
        ("3 new", 1),
        ("some unheard", 20),
        ("some thin", 20),
        ("over two", 6),
        ("panel elsewhere", 40),
        ("over the given one", 15),
        ("no room", 4),
        ("not twice", 4),
    ] {
        assert!(seen(what) >= least, "too few cases of \"{what}\": {counts:?}");
    }
}

/// A plan under test with its hops from the other end.
struct Bench<'a, 'p> {
    case: &'a Case,
    plan: &'a Plan,
    /// One for each panel place; repeaters at all places.
    sites: &'a [Site<'p>],
    given: usize,
}

impl Bench<'_, '_> {
    /// The problem for some devices, of which those of these ids need only be thin.
    fn problem(&self, wanted: &[&Device], thin: &BTreeSet<String>) -> CoverProblem {
        let limits = self.case.model().findings;
        let below = |device: &&Device| {
            if thin.contains(&device.id) { limits.thin_below } else { limits.sound_below }
        };
        let each = wanted.iter().map(below).collect();
        hops::problem(self.sites, wanted, self.given, &self.case.settings, limits.sound_below, each)
    }

    /// The devices that can be served, those that can be so thinly only, those that cannot, and
    /// what brute force finds for the served.
    fn expected(&self) -> (Vec<&Device>, BTreeSet<String>, BTreeSet<String>, Truth) {
        let mut wanted: Vec<&Device> = self
            .plan
            .devices
            .iter()
            .filter(|d| d.supervised && !matches!(d.kind, DeviceKind::Panel | DeviceKind::Repeater))
            .collect();
        let (mut thin, mut unheard) = (BTreeSet::new(), BTreeSet::new());
        loop {
            let found = truth(&self.problem(&wanted, &thin));
            let lists = match &found {
                Truth::Not(whys) => whys.iter().map(|why| match why {
                    Why::Unreachable(sensors) => Some(sensors.clone()),
                    _ => None,
                }),
                Truth::Best { .. } => return (wanted, thin, unheard, found),
            };
            // Only where no place for the panel serves all; the place that leaves out the fewest.
            let Some(lists) = lists.collect::<Option<Vec<_>>>() else {
                return (wanted, thin, unheard, found);
            };
            let fewest = lists.iter().min_by_key(|list| list.len()).cloned().unwrap_or_default();
            for id in fewest.iter().map(|number| wanted[*number].id.clone()) {
                // First it may be thin; where even that cannot be, it is left out.
                if thin.remove(&id) {
                    unheard.insert(id);
                } else {
                    thin.insert(id);
                }
            }
            wanted.retain(|device| !unheard.contains(&device.id));
        }
    }
}

fn agrees(case: &Case, counts: &mut Counts) -> Result<(), TestCaseError> {
    let plan = plan_of(&case.plan);
    let panel = plan.panel().unwrap().clone();
    let mut panels = vec![panel.clone()];
    panels.extend(
        case.panels
            .iter()
            .map(|[x, y]| Device { position: geo::Coord { x: *x, y: *y }, ..panel.clone() }),
    );
    let full = hops::everywhere(&plan, case.settings.capacity);
    let sites = hops::sites(&full, case.model(), &panels);
    let now = Site::new(&plan, case.model(), Default::default(), None).unwrap();
    let reach = Reach::new(&now).unwrap();
    let mut candidates = given(&plan);
    let bench = Bench { case, plan: &plan, sites: &sites, given: candidates.len() };
    candidates.extend(at_outlets(&plan, &case.settings));
    let mut relays =
        Relays::new(&reach, case.settings, panels, candidates, &|_| {}, &|| false).unwrap();
    let (wanted, thin, unheard, expected) = bench.expected();
    let mut count = |what: String| *counts.entry(what).or_default() += 1;
    match (expected, relays.solve(&|| false)) {
        (Truth::Best { count: fewest, chance }, Ok(answer)) => {
            prop_assert_eq!(answer.new.len(), fewest);
            prop_assert!((answer.chance_of_any_fault - chance).abs() < SAME);
            prop_assert_eq!(answer.proof, Proof::Best);
            let named = |is_thin: bool| {
                let all = answer.unheard.iter().filter(|one| one.is_thin == is_thin);
                all.map(|u| reach.transmitters[u.transmitter].device.id.clone())
                    .collect::<BTreeSet<_>>()
            };
            prop_assert_eq!((named(true), named(false)), (thin.clone(), unheard.clone()));
            for left in &answer.unheard {
                explained(&bench, &reach, left)?;
            }
            reported((&bench, &thin), &reach, &relays, &answer, &wanted)?;
            count(format!("{fewest} new"));
            if !thin.is_empty() {
                count("some thin".into());
            }
            if !unheard.is_empty() {
                count("some unheard".into());
            }
            if answer.ways.iter().any(|(_, over)| over.len() == 2) {
                count("over two".into());
            }
            if answer.panel > 0 {
                count("panel elsewhere".into());
            }
            if answer.ways.iter().any(|(_, over)| over.iter().any(|site| *site < bench.given)) {
                count("over the given one".into());
            }
        }
        (Truth::Not(whys), Err(no)) => match no.why {
            CoverError::CapacityTooSmall { panel } => {
                prop_assert_eq!(&whys[panel], &Why::Capacity);
                count("no room".into());
            }
            CoverError::NotTwice { panel, .. } => {
                let Why::NotTwice(sensors) = &whys[panel] else {
                    return Err(TestCaseError::fail(format!("{whys:?}")));
                };
                let named =
                    no.transmitters.iter().map(|t| reach.transmitters[*t].device.id.as_str());
                let expected = sensors.iter().map(|sensor| wanted[*sensor].id.as_str());
                prop_assert!(named.eq(expected));
                count("not twice".into());
            }
            CoverError::CapacityTooSmallAfterLoss { panel, .. } => {
                prop_assert_eq!(&whys[panel], &Why::CapacityAfterLoss);
                count("no room after a loss".into());
            }
            other => return Err(TestCaseError::fail(format!("{other:?} but {whys:?}"))),
        },
        (truth, answer) => {
            return Err(TestCaseError::fail(format!("{truth:?} but {answer:?}")));
        }
    }
    Ok(())
}

/// What is said of a device that nothing hears: its best way, and the wall that costs most on the
/// hop that fails more often.
fn explained(
    bench: &Bench<'_, '_>,
    reach: &Reach<'_, '_>,
    left: &Unheard,
) -> Result<(), TestCaseError> {
    // With several places for the panel any may be meant.
    let [site] = bench.sites else {
        return Ok(());
    };
    let device = reach.transmitters[left.transmitter].device;
    let direct = hops::to(site, &site.panel, device);
    let over = site.repeaters.iter().enumerate().map(|(number, repeater)| {
        let first = hops::to(site, repeater, device);
        let last = hops::to(site, &site.panel, &repeater.device);
        let fails = 1.0 - (1.0 - first.fault_per_year) * (1.0 - last.fault_per_year);
        (number, first, last, fails)
    });
    let best = over.min_by(|a, b| a.3.total_cmp(&b.3));
    let weaker = match (best, &left.over) {
        (None, None) => direct,
        (Some((.., fails)), None) => {
            prop_assert!(direct.fault_per_year <= fails + SAME);
            direct
        }
        (best, Some((number, first))) => {
            let (_, to_it, from_it, fails) = best.unwrap();
            let told = 1.0 - (1.0 - first.fault_per_year) * (1.0 - left.to_panel.fault_per_year);
            prop_assert!((told - fails).abs() < SAME, "the best way is at {}", number);
            if to_it.fault_per_year > from_it.fault_per_year { to_it } else { from_it }
        }
    };
    let loss = |crossing: &Crossing| (crossing.slab + crossing.excess).0;
    let most = weaker.crossings.iter().map(loss).max_by(f64::total_cmp);
    prop_assert_eq!(most.is_some(), left.wall.is_some());
    if let (Some(most), Some(wall)) = (most, &left.wall) {
        prop_assert!(
            (loss(wall) - most).abs() < SAME,
            "{} costs {}, not {}",
            wall.feature,
            loss(wall),
            most
        );
    }
    Ok(())
}

/// The assessment with the ways of an answer, and the report, against the hops from the other end.
fn reported(
    (bench, thin): (&Bench<'_, '_>, &BTreeSet<String>),
    reach: &Reach<'_, '_>,
    relays: &Relays<'_, '_, '_>,
    answer: &RelayAnswer,
    wanted: &[&Device],
) -> Result<(), TestCaseError> {
    let problem = bench.problem(wanted, thin);
    let sound = |chance: f64| chance < problem.sound_below;
    let then_plan = relays.plan_with(answer);
    let model = bench.case.model();
    let then = Site::new(&then_plan, model, Default::default(), None).unwrap();
    let after = Assessment::with_ways(&then, &relays.ways_by_id(answer)).unwrap();
    let result = |id: &str| -> &DeviceResult {
        let mut all = after.sensors.iter().chain(&after.two_way);
        all.find(|result| result.device.id == id).unwrap()
    };
    let id = |site: usize| relays.candidates[site].device.id.as_str();
    prop_assert_eq!(answer.ways.len(), wanted.len());
    let mut carried = vec![0_u32; relays.candidates.len()];
    let mut onward: BTreeMap<usize, f64> = BTreeMap::new();
    let mut kept_all = 1.0;
    for (sensor, (transmitter, over)) in answer.ways.iter().enumerate() {
        prop_assert_eq!(&reach.transmitters[*transmitter].device.id, &wanted[sensor].id);
        let first = over.first().map_or_else(
            || problem.sensor_panel.get(sensor, answer.panel),
            |site| problem.sensor_site.get(sensor, *site),
        );
        prop_assert!(first < problem.sensor_below[sensor]);
        let mut kept = 1.0 - first;
        kept_all *= kept;
        for (place, site) in over.iter().enumerate() {
            carried[*site] += 1;
            let hop = over.get(place + 1).map_or_else(
                || problem.site_panel.get(*site, answer.panel),
                |next| problem.site_site.get(*site, *next),
            );
            prop_assert!(sound(hop));
            // A repeater sends onward in one way only.
            prop_assert_eq!(*onward.entry(*site).or_insert(hop), hop);
            kept *= 1.0 - hop;
        }
        let told = result(&wanted[sensor].id);
        prop_assert_eq!(told.via.as_deref(), over.first().map(|site| id(*site)));
        prop_assert!((told.fault_per_year - (1.0 - kept)).abs() < SAME);
        prop_assert!((told.hop.fault_per_year - first).abs() < SAME);
    }
    kept_all *= onward.values().map(|hop| 1.0 - hop).product::<f64>();
    prop_assert!((answer.chance_of_any_fault - (1.0 - kept_all)).abs() < SAME);
    for (candidate, carried) in relays.candidates.iter().zip(&carried) {
        prop_assert!(candidate.device.capacity.is_none_or(|most| *carried <= most));
    }
    // Those that no way was chosen for take the best that is left, over the whole of it.
    for told in after.sensors.iter().chain(&after.two_way) {
        let named = wanted.iter().any(|device| device.id == told.device.id);
        if named || told.device.kind == DeviceKind::Repeater {
            continue;
        }
        let mut unheard = answer.unheard.iter();
        let is_left =
            unheard.any(|left| reach.transmitters[left.transmitter].device.id == told.device.id);
        prop_assert!(is_left || !told.device.supervised);
        if let Some(via) = &told.via {
            let relay = result(via);
            let kept = (1.0 - told.hop.fault_per_year) * (1.0 - relay.fault_per_year);
            prop_assert!((told.fault_per_year - (1.0 - kept)).abs() < SAME);
            let site = answer.open.iter().find(|site| id(**site) == via).unwrap();
            let most = relays.candidates[*site].device.capacity;
            prop_assert!(most.is_none_or(|most| carried[*site] < most), "{} is full", via);
        }
    }
    let report = RepeatersReport::new(
        reach,
        relays,
        &bench.case.settings,
        answer,
        None,
        CheckReport::new(&then, &after, Vec::new()),
        None,
    );
    prop_assert_eq!(report.new_repeaters.len(), answer.new.len());
    for (row, site) in report.new_repeaters.iter().zip(&answer.new) {
        prop_assert_eq!(row.carries.len(), carried[*site] as usize);
        prop_assert!(!row.carries.is_empty() || bench.case.settings.lose_one);
        prop_assert!(row.hears.iter().all(|hears| row.carries.contains(hears)));
        prop_assert!(row.hears.iter().all(|hears| result(hears).via.as_ref() == Some(&row.id)));
        if bench.case.settings.hops == Hops::One {
            prop_assert_eq!(&row.hears, &row.carries);
        }
    }
    Ok(())
}
