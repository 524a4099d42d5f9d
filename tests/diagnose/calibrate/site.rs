//! Calibration of shipped plans: what must hold whatever is read.

use approx::assert_abs_diff_eq;
use diagnose::cause::{Cause, CauseChance, SensorCauses};
use diagnose::{Calibration, Circumstance, Levels, Normal as _, Reading, Seen, calibrate};
use fixtures::{PLANS, shipped, site, site_with};
use forecast::{Assessment, Finding, Model};
use units::{Db, Dbm};

/// Step of a reading that is raised, dB.
const STEP_DB: f64 = 2.0;

pub fn reading(sensor: &str, seen: Seen, time_min: Option<f64>) -> Reading {
    Reading {
        sensor: Some(sensor.to_owned()),
        listener: None,
        time_min,
        seen,
        circumstance: Circumstance::AsFound,
        remarks: Vec::new(),
        line: 0,
    }
}

/// Levels of a sensor an hour apart.
fn levels(sensor: &str, levels: &[f64]) -> Vec<Reading> {
    let levels = levels.iter().enumerate();
    levels
        .map(|(hour, level)| {
            let time = Some(hour as f64 * 60.0);
            reading(sensor, Seen::Level(Dbm(*level)), time)
        })
        .collect()
}

fn forecast(calibration: &Calibration, id: &str) -> (f64, f64, f64, f64) {
    let device = calibration.devices.iter().find(|one| one.id == id).unwrap();
    let (before, after) = (&device.levels[0].before, &device.levels[0].after);
    (before.level.0, before.sigma.0, after.level.0, after.sigma.0)
}

fn is_sane(calibration: &Calibration) {
    for device in &calibration.devices {
        let after = &device.after;
        assert!((0.0..=1.0).contains(&after.fault_per_year), "{device:?}");
        assert!(after.shown.level.0.is_finite(), "{device:?}");
        assert!(after.shown.sigma.0 > 0.0 && after.shown.sigma.0 < 20.0, "{device:?}");
    }
    for one in &calibration.constructions {
        assert!(one.scale_after.mean >= 0.0 && one.scale_after.mean < 10.0, "{one:?}");
        assert!(one.scale_after.sigma <= one.scale_before.sigma * (1.0 + 1e-9), "{one:?}");
    }
    assert!(calibration.site_after.sigma <= calibration.site_before.sigma * (1.0 + 1e-9));
}

#[test]
fn no_readings_leave_the_forecast_to_the_bit() {
    for name in PLANS {
        let plan = shipped(name);
        let site = site(&plan);
        let assessed = Assessment::new(&site).unwrap();
        // Notes and noise alone are no readings of a level.
        let note = reading(&assessed.sensors[0].device.id, Seen::Nothing, None);
        for readings in [vec![], vec![note]] {
            let calibration = calibrate(&site, &readings).unwrap();
            assert_eq!(calibration.rounds, 0);
            assert_eq!(calibration.site_before, calibration.site_after);
            for result in assessed.sensors.iter().chain(&assessed.two_way) {
                let mut devices = calibration.devices.iter();
                let device = devices.find(|one| one.id == result.device.id).unwrap();
                assert_eq!(device.before, device.after);
                let after = &device.after;
                assert_eq!(after.shown.margin, result.hop.ledger.margin_db);
                assert_eq!(after.shown.sigma, result.hop.sigma);
                assert_eq!(after.margin_p10, result.hop.margin_p10);
                assert_eq!(after.via, result.via);
                assert_eq!(after.fault_per_year, result.fault_per_year);
                assert_eq!(after.finding, result.finding);
                assert_eq!((device.loss, device.own.mean), (Db(0.0), 0.0));
            }
            for one in &calibration.constructions {
                assert_eq!(one.scale_before, one.scale_after);
            }
        }
    }
}

#[test]
fn the_parts_of_the_spread_make_the_whole_of_the_forecast() {
    for name in PLANS {
        let plan = shipped(name);
        let site = site(&plan);
        let calibration = calibrate(&site, &[]).unwrap();
        let levels = Levels::new(&calibration.prior, &calibration.channels);
        for (number, channel) in calibration.channels.iter().enumerate() {
            let variance = levels.covariance(number, number);
            let device =
                calibration.devices.iter().find(|one| one.device == channel.key.device).unwrap();
            let mut levels = device.levels.iter();
            let at = levels.find(|one| one.before.level == channel.level).unwrap();
            assert_abs_diff_eq!(variance.sqrt(), at.before.sigma.0, epsilon = 1e-9);
        }
    }
}

#[test]
fn three_readings_narrow_every_forecast() {
    for name in PLANS {
        let plan = shipped(name);
        let site = site(&plan);
        let bare = calibrate(&site, &[]).unwrap();
        let read: Vec<Reading> = bare
            .devices
            .iter()
            .take(3)
            .flat_map(|device| levels(&device.id, &[device.levels[0].before.level.0 - 6.0]))
            .collect();
        let calibration = calibrate(&site, &read).unwrap();
        is_sane(&calibration);
        assert!(calibration.settled);
        for (number, device) in calibration.devices.iter().enumerate() {
            let (_, before, _, after) = forecast(&calibration, &device.id);
            let most = if number < 3 { 0.6 } else { 0.99 };
            assert!(after < most * before, "{name} {}: {before} to {after}", device.id);
        }
        assert!(calibration.site_after.sigma < 0.85 * calibration.site_before.sigma);
    }
}

/// Nine sensors at −2 dB each and one reading 40 dB too high or too low.
#[test]
fn one_wild_reading_moves_little() {
    let plan = shipped("brick-house");
    let site = site(&plan);
    let bare = calibrate(&site, &[]).unwrap();
    let ids: Vec<(String, f64)> =
        bare.devices.iter().map(|one| (one.id.clone(), one.levels[0].before.level.0)).collect();
    let sane: Vec<Reading> = ids
        .iter()
        .take(10)
        .flat_map(|(id, level)| levels(id, &[level - 2.0, level - 5.0, level + 1.0]))
        .collect();
    let without = calibrate(&site, &sane).unwrap();
    // A sensor with three more readings, and one with none.
    for (number, own_bound, others_bound) in [(0, 1.0, 0.3), (12, 6.0, 1.0)] {
        let (wild, level) = &ids[number];
        for off in [-40.0, 40.0] {
            let mut readings = sane.clone();
            let seen = Seen::Level(Dbm(level + off));
            readings.push(reading(wild, seen, Some(1e6)));
            let with = calibrate(&site, &readings).unwrap();
            is_sane(&with);
            for (id, _) in &ids {
                let moved = (forecast(&with, id).2 - forecast(&without, id).2).abs();
                let bound = if id == wild { own_bound } else { others_bound };
                assert!(moved < bound, "{id} by {moved:.2} dB for {off} dB at {wild}");
            }
        }
    }
}

/// Up to two and a half standard deviations from what is expected of it a reading pulls ever more;
/// further off it is ever more likely wild, and then it must pull less.
#[test]
fn a_higher_reading_never_lowers_the_forecast_of_its_sensor() {
    let plan = shipped("bungalow");
    let site = site(&plan);
    let bare = calibrate(&site, &[]).unwrap();
    let device = &bare.devices[0];
    let receiver = &bare.channels[0].receiver;
    let level = device.levels[0].before.level.0;
    for others in [vec![], levels(&device.id, &[level - 3.0, level - 1.0])] {
        let expected = calibrate(&site, &others).unwrap();
        let (_, _, centre, sigma) = forecast(&expected, &device.id);
        let scatter = sigma.hypot(receiver.reading_sigma.0);
        let within = (2.5 * scatter / STEP_DB) as i32;
        let mut last = f64::NEG_INFINITY;
        for off in -within..=within {
            let mut readings = others.clone();
            let read = centre + receiver.fade_mean.0 + f64::from(off) * STEP_DB;
            readings.push(reading(&device.id, Seen::Level(Dbm(read)), Some(1e5)));
            let calibration = calibrate(&site, &readings).unwrap();
            let (_, _, after, _) = forecast(&calibration, &device.id);
            assert!(after > last, "{off} steps: {after} after {last}");
            last = after;
        }
    }
    let mut last = f64::NEG_INFINITY;
    for heard in 0..=12 {
        let readings: Vec<Reading> = (0..12)
            .map(|n| {
                let seen = Seen::CheckIn { heard: n < heard };
                reading(&device.id, seen, Some(f64::from(n) * 65.0))
            })
            .collect();
        let calibration = calibrate(&site, &readings).unwrap();
        let (_, _, after, _) = forecast(&calibration, &device.id);
        assert!(after > last, "{heard} heard: {after} after {last}");
        last = after;
    }
}

#[test]
fn the_order_of_readings_does_not_matter() {
    let plan = shipped("brick-house");
    let site = site(&plan);
    let bare = calibrate(&site, &[]).unwrap();
    let mut readings = Vec::new();
    for (number, device) in bare.devices.iter().enumerate() {
        let level = device.levels[0].before.level.0;
        let mut own = levels(&device.id, &[level, level + 4.0, level - 7.0]);
        own.push(reading(&device.id, Seen::CheckIn { heard: number % 2 == 0 }, None));
        let low = Some(Dbm(level - 10.0));
        own.push(reading(&device.id, Seen::Between { low, high: None }, Some(2.0)));
        own[1].circumstance = Circumstance::Moved;
        own[2].circumstance = Circumstance::Swapped;
        readings.extend(own);
    }
    let first = calibrate(&site, &readings).unwrap();
    let mut dice = fixtures::Dice::new(5);
    for _ in 0..3 {
        for number in (1..readings.len()).rev() {
            readings.swap(number, dice.below(number + 1));
        }
        let other = calibrate(&site, &readings).unwrap();
        assert_eq!(first.devices, other.devices);
        assert_eq!(first.constructions, other.constructions);
        assert_eq!(first.site_after, other.site_after);
    }
}

#[test]
fn nothing_that_is_read_can_break_it() {
    let absurd = [
        Seen::Level(Dbm(500.0)),
        Seen::Level(Dbm(-1000.0)),
        Seen::Level(Dbm(0.0)),
        Seen::Level(Dbm(-160.0)),
        Seen::Between { low: Some(Dbm(30.0)), high: None },
        Seen::Between { low: None, high: Some(Dbm(-170.0)) },
        Seen::Between { low: Some(Dbm(-60.0)), high: Some(Dbm(-60.0)) },
        Seen::CheckIn { heard: true },
        Seen::CheckIn { heard: false },
        Seen::Lost,
        Seen::NoiseFloor(Dbm(-20.0)),
    ];
    for name in ["annexe", "foil-garage"] {
        let plan = shipped(name);
        let site = site(&plan);
        let ids: Vec<String> = plan.devices.iter().map(|one| one.id.clone()).collect();
        for seen in absurd {
            for (count, spaced) in [(1, true), (40, true), (40, false)] {
                let readings: Vec<Reading> = ids
                    .iter()
                    .flat_map(|id| {
                        (0..count)
                            .map(move |n| reading(id, seen, spaced.then(|| f64::from(n) * 60.0)))
                    })
                    .collect();
                is_sane(&calibrate(&site, &readings).unwrap());
            }
        }
    }
}

#[test]
fn readings_of_unknown_devices_are_listed_and_do_nothing() {
    let plan = shipped("bungalow");
    let site = site(&plan);
    let mut stray = levels("nobody", &[-60.0]);
    stray[0].line = 7;
    stray.push(Reading {
        listener: Some("no-repeater".to_owned()),
        line: 9,
        ..levels(&plan.devices[1].id, &[-60.0]).remove(0)
    });
    let calibration = calibrate(&site, &stray).unwrap();
    assert_eq!(calibration.unused, [7, 9]);
    assert!(calibration.devices.iter().all(|one| one.before == one.after));
}

/// What is written into a plan: scales, offset and each device's own loss give its level again.
#[test]
fn what_is_written_gives_the_level_again() {
    let plan = shipped("brick-house");
    let site = site(&plan);
    let bare = calibrate(&site, &[]).unwrap();
    let readings: Vec<Reading> = bare
        .devices
        .iter()
        .take(8)
        .flat_map(|one| levels(&one.id, &[one.levels[0].before.level.0 - 9.0]))
        .collect();
    let calibration = calibrate(&site, &readings).unwrap();
    let network = diagnose::Network::new(&site).unwrap();
    let scales = calibration.constructions.iter();
    let scales: Vec<f64> = scales.map(|one| one.scale_after.mean).collect();
    let losses = network.traced(&scales.into(), false);
    for device in &calibration.devices {
        let hop = network.hop(device.device, 0).unwrap();
        let more = losses[hop].loss - network.losses[hop].loss;
        let offset = Db(calibration.site_after.mean - calibration.site_before.mean);
        let level = network.hops[hop].received - more - offset - device.loss;
        assert_abs_diff_eq!(level.0, device.levels[0].after.level.0, epsilon = 1e-9);
    }
}

#[test]
fn a_silent_sensor_is_out_of_reach_only_where_the_house_leaves_it_short() {
    let plan = shipped("foil-garage");
    let site = site_with(&plan, Model { antenna_gain_db: Db(5.0), ..Model::default() });
    let bare = calibrate(&site, &[]).unwrap();
    let silent = bare.devices.iter().find(|one| one.id == "c-office-window").unwrap();
    // Failing as drawn, but with some decibels in reserve.
    assert_eq!(silent.before.finding, Finding::Failing);
    let drawn = silent.before.shown.margin.0;
    assert!(drawn > 0.0 && silent.explained_margin().unwrap().0 == drawn);
    // All others are read as drawn, or all lower by so much.
    let found = |lower: f64| {
        let others = bare.devices.iter().filter(|one| one.before.shown.margin.0 > 15.0);
        let read = others.flat_map(|one| {
            let level = one.levels[0].before.level.0 - lower;
            levels(&one.id, &[level; 3])
        });
        let missed = || reading(&silent.id, Seen::CheckIn { heard: false }, None);
        let all: Vec<Reading> = read.chain([missed(), missed()]).collect();
        let calibration = calibrate(&site, &all).unwrap();
        calibration.devices.into_iter().find(|one| one.id == silent.id).unwrap()
    };
    let causes = |chance: f64| SensorCauses {
        device: silent.device,
        causes: vec![CauseChance { cause: Cause::TooWeak, chance, log_evidence: 0.0 }],
        undistinguished: Vec::new(),
        next_tests: Vec::new(),
    };
    let (as_drawn, lower) = (found(0.0), found(8.0));
    // Its own silence lowers its level, and not what the house explains.
    assert!(as_drawn.after.shown.margin.0 < drawn - 2.0, "{as_drawn:?}");
    assert!((as_drawn.explained_margin().unwrap().0 - drawn).abs() < 1.5, "{as_drawn:?}");
    assert!(!as_drawn.is_out_of_reach(&causes(0.9)));
    assert!(lower.explained_margin().unwrap().0 < 0.0, "{lower:?}");
    assert!(lower.is_out_of_reach(&causes(0.9)) && !lower.is_out_of_reach(&causes(0.45)));
}
