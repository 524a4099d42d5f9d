//! Promises of the pictures that explain a link or set readings beside forecasts.

use super::sample::{comparison, pair, paths, profile};
use super::{SIZES, check_drawn, check_refused, check_says, check_texts, drawn, laid_out};
use crate::base::Rect;
use crate::parts::labels::LabelOf;
use crate::*;
use units::Lengths;

/// The box of the one text that is `words`.
fn place_of(drawing: &Drawing, words: &str) -> Rect {
    let texts = drawing.texts();
    let mut found = texts.iter().filter(|(text, _)| *text == words);
    let place = found.next().unwrap_or_else(|| panic!("no {words:?}")).1;
    assert!(found.next().is_none(), "{words:?} stands there twice");
    place
}

#[test]
fn every_path_is_labelled_and_listed_with_its_share() {
    let picture = paths(16, 6);
    let labels = laid_out(&picture, 1600).labels.placed;
    let wanted = "\
        share of the power | direct | off glass screen | −3.3 dB | −22.3 dB | 17 \
        Garage motion: level −97.4 dBm";
    let said = check_says(&drawn(&picture), wanted);
    assert_eq!(picture.paths.len(), 6);
    for index in 0..picture.paths.len() {
        assert!(labels.iter().any(|label| label.of == LabelOf::Path(index)), "path {index}");
        // Once on the plan, with or without its share, and once in the legend.
        assert!(said.contains(&format!("\n{}: ", index + 1)), "path {index}");
    }
    for number in picture.devices.iter().filter_map(|device| device.number) {
        assert!(said.contains(&format!("\n{number}\n")), "sensor {number}");
    }
    // The one sensor is not counted as all of them.
    assert!(!said.contains("1 of 1"));
}

#[test]
fn no_words_collide_on_a_profile() {
    for width_px in SIZES {
        for walls in [0, 1, 4, 14, 60] {
            let mut profile = profile(walls, 12.0, Lengths::Feet);
            check_texts(&profile.layout(Size { width_px }).expect("a layout"));
            // All at one place, and that close to the listener; the level needed is that received.
            for wall in &mut profile.walls {
                wall.distance_m = 0.2;
            }
            let sensor = profile.sensor.clone().expect("a sensor");
            profile.needed_dbm = Some(sensor.level.level_dbm);
            check_texts(&profile.layout(Size { width_px }).expect("a layout"));
        }
    }
}

#[test]
fn a_profile_has_units_and_names_its_walls() {
    let drawing = profile(4, 8.4, Lengths::Metric).layout(Size::default());
    let wanted = "\
        Level, dBm | Distance from the listener, m | needed −99.5 dBm | −22 dB \
        foil-faced board on studs | all paths together | direct path alone | nine in \
        ten between";
    check_says(&drawing.expect("a layout"), wanted);
    let drawing = profile(14, 31.0, Lengths::Feet).layout(Size::default());
    let wanted = "Distance from the listener, ft | 14: −9.4 dB brick cavity, 250 mm";
    check_says(&drawing.expect("a layout"), wanted);
}

#[test]
fn no_words_collide_on_a_comparison_and_every_sensor_is_there() {
    for width_px in SIZES {
        for count in [1, 9, 40, 260] {
            let drawing = comparison(count).layout(Size { width_px }).expect("a layout");
            check_texts(&drawing);
            let texts = drawing.texts();
            for number in 1..=count {
                let number = number.to_string();
                assert!(texts.iter().any(|(text, _)| *text == number), "{number}");
            }
        }
    }
}

#[test]
fn rows_run_from_the_weakest_up_and_say_what_was_read() {
    let comparison = comparison(12);
    let drawing = comparison.layout(Size::default()).expect("a layout");
    let level = |sensor: &ComparedSensor| sensor.after.map_or(0.0, |after| after.level_dbm);
    let mut sensors = comparison.sensors;
    sensors.sort_by(|one, other| level(one).total_cmp(&level(other)));
    let heights: Vec<f64> = sensors
        .iter()
        .map(|sensor| place_of(&drawing, &sensor.number.unwrap_or(0).to_string()).y0)
        .collect();
    assert!(heights.windows(2).all(|pair| pair[0] < pair[1]), "{heights:?}");
    let wanted = "\
        50 readings | never heard, 6 missed | not read | 3 readings, 1 missed | too \
        weak as built | weak transmitter or battery? | needed −99.5 dBm | Level at \
        the listener, dBm | reading in bars or per cent: somewhere between | missed \
        check-ins";
    check_says(&drawing, wanted);
    assert!(!drawing.svg().expect("an SVG").contains("<script"));
}

#[test]
fn a_pair_has_one_scale_one_legend_and_two_titles() {
    let both = pair(false);
    let drawing = both.layout(Size::default()).expect("a layout");
    check_texts(&drawing);
    let before = place_of(&drawing, "before the readings");
    let after = place_of(&drawing, "after the readings");
    assert_eq!(before.y0, after.y0);
    assert!(before.x1 < after.x0);
    let texts = drawing.texts();
    let sensors = both.pictures[0].devices.iter();
    for sensor in sensors.filter(|device| device.kind == DeviceKind::Sensor) {
        let number = sensor.number.expect("a number").to_string();
        // In both plans and in the list; 7 in the legend, too.
        let marks = texts.iter().filter(|(text, _)| *text == number).count();
        assert!(marks >= 3, "sensor {number}");
    }
    for once in ["Reserve over the floor, dB", "Garage tilt", "thin, 6 dB → FAILING, 3 dB short"]
    {
        place_of(&drawing, once);
    }
    check_texts(&pair(true).layout(Size { width_px: 2400 }).expect("a layout"));
}

#[test]
fn a_field_that_only_one_of_the_pair_has_settles_the_colours_of_both() {
    let mut both = pair(false);
    let with = both.layout(Size::default()).expect("a layout");
    both.pictures[0].field = None;
    let without = both.layout(Size::default()).expect("a layout");
    place_of(&without, "Reserve over the floor, dB");
    assert_ne!(with.svg().ok(), without.svg().ok());
}

#[test]
fn poor_input_is_drawn_or_refused_but_never_panics() {
    let size = Size { width_px: 480 };
    let (nan, inf) = (f64::NAN, f64::INFINITY);
    check_drawn(Profile::default().layout(size));
    check_drawn(Comparison::default().layout(size));
    check_drawn(Pair::default().layout(size));
    for level in [nan, inf, -inf, -0.0] {
        for curve in [vec![[0.0, level]], vec![[0.0, -3.0], [2.0, level], [2.0, 4.0]]] {
            let profile = Profile {
                direct: curve.clone(),
                together: curve,
                walls: vec![ProfileWall::default(); 3],
                sensor: Some(ProfileSensor::default()),
                ..Profile::default()
            };
            check_drawn(profile.layout(size));
        }
    }
    let spoilt: [fn(&mut Profile, f64); 2] = [
        |profile, inf| profile.together[3][0] = inf - inf,
        |profile, inf| profile.walls[1].loss_db = inf,
    ];
    for spoil in spoilt {
        let mut bad = profile(2, 5.0, Lengths::Metric);
        spoil(&mut bad, inf);
        check_refused(bad.layout(size));
    }
    for reading in [
        ReadLevel::At { level_dbm: nan, spread_db: 1.0 },
        ReadLevel::At { level_dbm: -60.0, spread_db: -1.0 },
        ReadLevel::Between { low_dbm: None, high_dbm: Some(inf) },
    ] {
        let mut bad = comparison(3);
        bad.sensors[1].readings.push(reading);
        check_refused(bad.layout(size));
    }
    let far = |level_dbm: f64| ComparedSensor {
        after: Some(Likely { level_dbm, low_dbm: 1000.0, high_dbm: -1000.0 }),
        needed_dbm: Some(-1000.0),
        readings: vec![ReadLevel::Between { low_dbm: None, high_dbm: None }, ReadLevel::Missed],
        name: "x".repeat(600),
        flag: "y".repeat(600),
        ..ComparedSensor::default()
    };
    let sensors = vec![far(-1000.0), far(1000.0), ComparedSensor::default()];
    check_drawn(Comparison { sensors, ..Comparison::default() }.layout(size));

    let mut picture = paths(16, 6);
    picture.paths[1].points.truncate(1);
    picture.paths[2].points = vec![[3.0, 3.0]; 4];
    picture.paths[2].crossings = vec![CrossingMark::default(); 3];
    picture.paths.extend(vec![PathMark::default(); 40]);
    check_drawn(Ok(drawn(&picture)));
    for share in [nan, 1.5, -0.1] {
        picture.paths[0].share = share;
        check_refused(layout(&picture, size));
    }
}
