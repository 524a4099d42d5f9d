//! Margin, spread and chance with a calibration, against sums by hand.

use forecast::{
    Assessment, DeviceResult, Edges, LinkOverride, Model, SHADOWING_SIGMA, SPOT_SIGMA, Site,
    tenth_percentile,
};
use geo::Coord;
use plan::{ConstructionScale, Device, DeviceCalibration, DeviceKind, Plan};
use siting::reach::Reach;
use siting::spots::Spot;
use units::Db;

use super::{neutral_calibration, shipped};

fn results(plan: &Plan, model: Model, panel: Option<Device>) -> Vec<DeviceResult> {
    let site = Site::new(plan, model, LinkOverride::default(), panel).unwrap();
    let all = Assessment::new(&site).unwrap();
    all.sensors.into_iter().chain(all.two_way).collect()
}

fn calibrated_device(loss: f64, own: f64, sigma: f64) -> DeviceCalibration {
    DeviceCalibration { loss: Db(loss), own: Db(own), sigma: Db(sigma) }
}

/// The same walls, no loss of any device: the forecast does not change, but for the spread of what
/// was read.
#[test]
fn what_tells_nothing_changes_nothing() {
    for name in ["brick-house", "annexe", "foil-garage"] {
        let plan = shipped(name);
        let mut with = plan.clone();
        let mut calibration = neutral_calibration(&plan);
        for wall in &plan.walls {
            let spread = ConstructionScale { scale: 1.0, sigma: 0.1 };
            calibration.constructions.insert(wall.construction.clone(), spread);
        }
        with.calibration = Some(calibration);
        let model = Model::default();
        let before = results(&plan, model, None);
        let after = results(&with, model.calibrated(&with), None);
        for (a, b) in before.iter().zip(&after) {
            assert!((a.hop.path_loss - b.hop.path_loss).0.abs() < 1e-12);
            assert!((a.hop.ledger.margin_db - b.hop.ledger.margin_db).0.abs() < 1e-12);
            assert_eq!(b.hop.ledger.calibrated_loss_db, Db(0.0));
        }
    }
}

#[test]
fn the_loss_that_was_read_counts_at_its_place_and_the_devices_own_elsewhere() {
    let plan = shipped("brick-house");
    let panel = plan.panel().unwrap().clone();
    let mut with = plan.clone();
    let mut calibration = neutral_calibration(&plan);
    (calibration.site_offset, calibration.site_sigma) = (Db(9.5), Db(1.5));
    let sensor = plan.devices.iter().find(|d| d.kind == DeviceKind::Sensor).unwrap();
    calibration.devices.insert(sensor.id.clone(), calibrated_device(3.1, 1.2, 2.2));
    with.calibration = Some(calibration);
    let model = Model::default();
    let usual = Model { site_sigma_db: Db(1.5), ..model };
    let one = |plan: &Plan, model: Model, panel: Option<Device>| {
        let all = results(plan, model, panel);
        all.into_iter().find(|r| r.device.id == sensor.id).unwrap()
    };
    let before = one(&plan, model, None);
    let here = one(&with, model.calibrated(&with), None);
    let margin = before.hop.ledger.margin_db.0 + 6.0 - 9.5 - 3.1;
    assert!((here.hop.ledger.margin_db.0 - margin).abs() < 1e-9);
    assert_eq!(here.hop.sigma, Db(2.2));
    assert_eq!(here.hop.margin_p10, tenth_percentile(here.hop.ledger.margin_db, Db(2.2)));
    let ledger = here.hop.ledger;
    let sum = ledger.eirp_dbm.0 - here.hop.path_loss.0 + ledger.antenna_gain_db.0
        - ledger.mount_loss_db.0
        - ledger.body_loss_db.0
        - ledger.site_offset_db.0
        - ledger.calibrated_loss_db.0
        - ledger.level_needed_dbm.0;
    assert!((sum - ledger.margin_db.0).abs() < 1e-9, "the ledger adds up");

    for (by, loss) in [(0.04, 3.1), (0.06, 1.2), (2.0, 1.2)] {
        let moved = Device { position: panel.position + Coord { x: by, y: 0.0 }, ..panel.clone() };
        let bare = one(&plan, usual, Some(moved.clone()));
        let there = one(&with, model.calibrated(&with), Some(moved));
        let margin = bare.hop.ledger.margin_db.0 + 6.0 - 9.5 - loss;
        assert!((there.hop.ledger.margin_db.0 - margin).abs() < 1e-9, "{by}");
        let sigma = if loss > 2.0 { Db(2.2) } else { bare.hop.sigma };
        assert_eq!(there.hop.sigma, sigma, "{by}");
    }
    // The panel's own id, the user's own spread, and a sensor hung elsewhere.
    let other = Device { id: "another".to_owned(), ..panel };
    let there = one(&with, model.calibrated(&with), Some(other));
    assert_eq!(there.hop.ledger.calibrated_loss_db, Db(1.2));
    let sigma = Model { sigma_db: Some(Db(7.0)), ..model.calibrated(&with) };
    let there = one(&with, sigma, None);
    assert_eq!(there.hop.sigma, Db(7f64.hypot(5.0)));
    assert_eq!(there.hop.ledger.calibrated_loss_db, Db(3.1));
}

/// Walls and site known better make the spread through many walls smaller, never below what
/// the plan does not show.
#[test]
fn narrowed_walls_narrow_the_spread() {
    let plan = shipped("foil-garage");
    let mut with = plan.clone();
    let mut calibration = neutral_calibration(&plan);
    calibration.site_sigma = Db(1.0);
    let names: Vec<String> = plan
        .walls
        .iter()
        .map(|x| x.construction.clone())
        .chain(plan.openings.iter().map(|x| x.construction.clone()))
        .chain(plan.obstacles.iter().map(|x| x.construction.clone()))
        .collect();
    for name in names {
        let scale = ConstructionScale { scale: 1.0, sigma: 0.02 };
        calibration.constructions.insert(name, scale);
    }
    with.calibration = Some(calibration);
    // The direct path alone, which is all that the walls' spread bears on.
    let model = Model { openings: Edges::Sharp, reflections: 0, ..Model::default() };
    let before = results(&plan, model, None);
    let after = results(&with, model.calibrated(&with), None);
    let least = SHADOWING_SIGMA.0.hypot(SPOT_SIGMA.0);
    let mut narrower = 0;
    for (a, b) in before.iter().zip(&after) {
        assert!(b.hop.sigma.0 <= a.hop.sigma.0 + 1e-12 && b.hop.sigma.0 >= least - 1e-12);
        narrower += usize::from(b.hop.sigma.0 < a.hop.sigma.0 - 0.1);
    }
    assert!(narrower > 0);
}

/// Over a repeater only what goes with the device counts.
#[test]
fn a_hop_to_a_repeater_knows_the_devices_own_loss_only() {
    let plan = shipped("brick-house");
    let sensor = plan.devices.iter().find(|d| d.kind == DeviceKind::Sensor).unwrap();
    let panel = plan.panel().unwrap();
    let mut with = plan.clone();
    with.devices.push(Device {
        id: "relay".to_owned(),
        position: (sensor.position * 3.0 + panel.position) / 4.0,
        height_m: sensor.height_m,
        ..Device::bare(DeviceKind::Repeater, sensor.level)
    });
    let mut calibration = neutral_calibration(&plan);
    calibration.devices.insert(sensor.id.clone(), calibrated_device(58.0, 4.0, 2.0));
    with.calibration = Some(calibration);
    let model = Model::default().calibrated(&with);
    let all = results(&with, model, None);
    let over = all.iter().find(|r| r.device.id == sensor.id).unwrap();
    assert_eq!(over.via.as_deref(), Some("relay"));
    assert_eq!(over.hop.ledger.calibrated_loss_db, Db(4.0));
    assert!(over.hop.sigma.0 >= SHADOWING_SIGMA.0.hypot(SPOT_SIGMA.0));
}

/// The spots of `place` know the place: the same figures as `check`.
#[test]
fn a_spot_at_the_place_is_the_place() {
    let plan = shipped("brick-house");
    let panel = plan.panel().unwrap().clone();
    let mut with = plan.clone();
    let mut calibration = neutral_calibration(&plan);
    let heard = plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel);
    for (device, number) in heard.zip(1..) {
        let loss = f64::from(number);
        let read = calibrated_device(loss, loss / 4.0, 2.0 + loss / 10.0);
        calibration.devices.insert(device.id.clone(), read);
    }
    with.calibration = Some(calibration);
    let model = Model::default().calibrated(&with);
    let site = Site::new(&with, model, LinkOverride::default(), None).unwrap();
    let reach = Reach::new(&site).unwrap();
    for by in [0.03, 1.0] {
        let moved = Device { position: panel.position + Coord { x: by, y: 0.0 }, ..panel.clone() };
        let spot = Spot {
            level: moved.level,
            position: moved.position,
            height_m: moved.height_m,
            facing: None,
            wall: None,
        };
        let radio = &reach.radio(&[spot], &|_| {})[0];
        let checked = results(&with, model, Some(moved));
        let mut lost = 0.0;
        for (transmitter, heard) in reach.transmitters.iter().zip(&radio.heard) {
            let checked = checked.iter().find(|r| r.device.id == transmitter.device.id).unwrap();
            lost += checked.hop.ledger.calibrated_loss_db.0;
            assert!((checked.fault_per_year - heard.fault_per_year).abs() < 1e-9);
            if heard.via.is_none() {
                assert!((checked.hop.ledger.margin_db - heard.margin).0.abs() < 1e-9);
            }
        }
        assert!(lost > 10.0);
    }
}
