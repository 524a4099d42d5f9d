//! The shipped plans: the obvious place is not always the right one.

use forecast::{Assessment, Finding, Model, Site};
use geo::Coord;
use plan::{DeviceKind, Plan};
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};

use super::{NO_OVERRIDE, PLANS, panel, same_db, shipped, site};
use crate::plans::at;

fn searched(plan: &Plan) -> Siting {
    let site = site(plan, Model::default());
    let reach = Reach::new(&site).unwrap();
    Siting::new(&reach, &SitingSettings::default(), &|_| {}).unwrap()
}

/// The middle of all sensors.
fn middle(plan: &Plan) -> Coord<f64> {
    let sensors = plan.devices.iter().filter(|d| d.kind == DeviceKind::Sensor);
    let (sum, count) = sensors.fold((at(0.0, 0.0), 0.0), |(sum, n), d| (sum + d.position, n + 1.0));
    sum / count
}

#[test]
fn in_the_workshop_the_spot_in_the_middle_loses_sensors_and_another_keeps_them_all() {
    let plan = shipped("workshop");
    let siting = searched(&plan);
    let centre = middle(&plan);
    let off = |n: usize| {
        let to = siting.spots.allowed[n].position - centre;
        to.x.hypot(to.y)
    };
    let spots = 0..siting.spots.allowed.len();
    let nearest = spots.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap();
    assert!(siting.radio[nearest].not_sound > 0, "the obvious spot is the wrong one");
    // And so is the very middle, spot or not.
    let there = Some(panel(0, centre, 1.5));
    let site = Site::new(&plan, Model::default(), NO_OVERRIDE, there).unwrap();
    assert!(Assessment::new(&site).unwrap().any_failing());
    let first = siting.best[0];
    assert!(siting.objectives[first].keeps_all() && siting.unbeaten[first]);
    assert!(off(first) > off(nearest) + 1.0);
    // An assessment with the panel at the spot offered says the same of every device.
    let spot = siting.spots.allowed[first];
    let there = Some(panel(spot.level, spot.position, spot.height_m));
    let site = Site::new(&plan, Model::default(), NO_OVERRIDE, there).unwrap();
    let assessment = Assessment::new(&site).unwrap();
    let all: Vec<_> = assessment.sensors.iter().chain(&assessment.two_way).collect();
    assert!(all.iter().all(|result| result.finding == Finding::Sound));
    let margins = all.iter().map(|result| result.hop.ledger.margin_db.0);
    let least = margins.min_by(f64::total_cmp).unwrap();
    let radio = &siting.radio[first];
    same_db(radio.heard[radio.worst.unwrap()].margin.0, least, "the worst margin");
}

#[test]
fn every_shipped_plan_has_spots_walks_and_wires() {
    for name in PLANS {
        let plan = shipped(name);
        let siting = searched(&plan);
        assert!(!siting.best.is_empty(), "{name}");
        assert!(siting.walks.iter().all(Option::is_some), "{name}");
        assert!(siting.power.iter().all(Result::is_ok), "{name}");
        let mut order = siting.ranking.clone();
        order.sort_unstable();
        assert!(order.into_iter().eq(0..siting.objectives.len()));
        assert_eq!(siting.best[0], siting.ranking[0]);
    }
}

#[test]
fn the_share_of_a_roam_area_is_that_of_the_assessment_to_one_part_in_fifteen() {
    let plan = shipped("brick-house");
    let siting = searched(&plan);
    for number in [0, siting.ranking.len() - 1] {
        let number = siting.ranking[number];
        let spot = siting.spots.allowed[number];
        let there = Some(panel(spot.level, spot.position, spot.height_m));
        let site = Site::new(&plan, Model::default(), NO_OVERRIDE, there).unwrap();
        let roams = Assessment::new(&site).unwrap().roams;
        for (got, want) in siting.radio[number].roam_shares.iter().zip(&roams) {
            assert!((got - want.share).abs() < 1.0 / 15.0, "{got}, not {}", want.share);
        }
    }
}
