//! Promises of the pictures that explain a link or set readings beside forecasts.

use super::sample::{comparison, pair, paths, profile};
use super::{SIZES, check_apart, laid_out, png, svg};
use crate::*;

/// Checks that every word is on the page and that none lies on another.
fn check_texts(drawing: &Drawing) {
    check_apart(&drawing.page, &drawing.texts(), 1.0);
}

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
    let fixed = laid_out(&picture, 1600);
    let text = fixed.svg(&picture).expect("an SVG");
    assert_eq!(picture.paths.len(), 6);
    for index in 0..picture.paths.len() {
        let has = |of: LabelOf| fixed.labels.iter().any(|label| label.of == of);
        assert!(has(LabelOf::Path(index)), "path {index}");
        // Once on the plan, with or without its share, and once in the legend.
        let listed = format!("\n{}: ", index + 1);
        assert!(text.matches(&listed).count() >= 1, "path {index}");
    }
    for words in ["share of the power", "direct", "off glass screen", "−3.3 dB", "−22.3 dB"] {
        assert!(text.contains(words), "{words}");
    }
    assert!(text.contains("17 Garage motion: level −97.4 dBm"));
    let devices = picture.devices.iter();
    for number in devices.filter_map(|device| device.number) {
        assert!(text.contains(&format!("\n{number}\n")), "sensor {number}");
    }
    // The one sensor is not counted as all of them.
    assert!(!text.contains("1 of 1"));
}

#[test]
fn no_words_collide_on_a_profile() {
    for width_px in SIZES.into_iter().chain([480]) {
        for walls in [0, 1, 4, 14, 60] {
            let mut profile = profile(walls, 12.0, LengthUnit::Feet);
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
    let drawing = profile(4, 8.4, LengthUnit::Metres).layout(Size::default());
    let text = drawing.expect("a layout").svg().expect("an SVG");
    for words in [
        "Level, dBm",
        "Distance from the listener, m",
        "needed −99.5 dBm",
        "−22 dB foil-faced board on studs",
        "all paths together",
        "direct path alone",
        "nine in ten between",
    ] {
        assert!(text.contains(words), "{words}");
    }
    let drawing = profile(14, 31.0, LengthUnit::Feet).layout(Size::default());
    let text = drawing.expect("a layout").svg().expect("an SVG");
    assert!(text.contains("Distance from the listener, ft"));
    assert!(text.contains("14: −9.4 dB brick cavity, 250 mm"));
}

#[test]
fn no_words_collide_on_a_comparison_and_every_sensor_is_there() {
    for width_px in SIZES.into_iter().chain([480]) {
        for count in [1, 9, 40, 260] {
            let comparison = comparison(count);
            let drawing = comparison.layout(Size { width_px }).expect("a layout");
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
    let mut sensors = comparison.sensors.clone();
    sensors.sort_by(|one, other| level(one).total_cmp(&level(other)));
    let heights: Vec<f64> = sensors
        .iter()
        .map(|sensor| place_of(&drawing, &sensor.number.unwrap_or(0).to_string()).y0)
        .collect();
    assert!(heights.windows(2).all(|pair| pair[0] < pair[1]), "{heights:?}");
    let text = drawing.svg().expect("an SVG");
    for words in [
        "50 readings",
        "never heard, 6 missed",
        "not read",
        "3 readings, 1 missed",
        "too weak as built",
        "weak transmitter or battery?",
        "needed −99.5 dBm",
        "Level at the listener, dBm",
        "reading in bars or per cent: somewhere between",
        "missed check-ins",
    ] {
        assert!(text.contains(words), "{words}");
    }
    assert!(!text.contains("<script"));
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
    place_of(&drawing, "Margin over the floor");
    let texts = drawing.texts();
    for device in &both.pictures[0].devices {
        let number = device.number.map(|number| number.to_string());
        if device.kind == DeviceKind::Sensor {
            let number = number.expect("a number");
            let marks = texts.iter().filter(|(text, _)| *text == number).count();
            // In both plans and in the list; 7 in the legend, too.
            assert!(marks >= 3, "sensor {number}");
        }
    }
    place_of(&drawing, "Garage tilt");
    place_of(&drawing, "thin +6 dB → FAILING −3 dB");
    check_texts(&pair(true).layout(Size { width_px: 2400 }).expect("a layout"));
}

#[test]
fn a_field_that_only_one_of_the_pair_has_settles_the_colours_of_both() {
    let mut both = pair(false);
    let with = both.layout(Size::default()).expect("a layout");
    both.pictures[0].field = None;
    let without = both.layout(Size::default()).expect("a layout");
    place_of(&without, "Margin over the floor");
    assert_ne!(with.svg().ok(), without.svg().ok());
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let size = Size { width_px: 800 };
    let twice = |layout: &dyn Fn() -> Drawing| {
        let (one, other) = (layout(), layout());
        assert_eq!(one.png().expect("a PNG"), other.png().expect("a PNG"));
        assert_eq!(one.svg().expect("an SVG"), other.svg().expect("an SVG"));
    };
    twice(&|| {
        let profile = profile(4, 8.4, LengthUnit::Metres);
        profile.layout(size).expect("a layout")
    });
    twice(&|| comparison(9).layout(size).expect("a layout"));
    twice(&|| pair(false).layout(size).expect("a layout"));
    let picture = paths(16, 6);
    assert_eq!(png(&picture, size).ok(), png(&picture, size).ok());
}

#[test]
fn poor_input_is_drawn_or_refused_but_never_panics() {
    let size = Size { width_px: 480 };
    let (nan, inf) = (f64::NAN, f64::INFINITY);
    let drawn = |drawing: Result<Drawing, DrawError>| {
        let drawing = drawing.expect("a layout");
        assert!(drawing.png().is_ok() && drawing.svg().is_ok());
    };
    let refused = |drawing: Result<Drawing, DrawError>| {
        assert!(matches!(drawing, Err(DrawError::Number { .. })));
    };
    drawn(Profile::default().layout(size));
    drawn(Comparison::default().layout(size));
    drawn(Pair::default().layout(size));
    for level in [nan, inf, -inf, -0.0] {
        for curve in [vec![[0.0, level]], vec![[0.0, -3.0], [2.0, level], [2.0, 4.0]]] {
            drawn(
                Profile {
                    direct: curve.clone(),
                    together: curve,
                    walls: vec![ProfileWall::default(); 3],
                    sensor: Some(ProfileSensor::default()),
                    ..Profile::default()
                }
                .layout(size),
            );
        }
    }
    let mut bad = profile(2, 5.0, LengthUnit::Metres);
    bad.together[3][0] = nan;
    refused(bad.layout(size));
    let mut bad = profile(2, 5.0, LengthUnit::Metres);
    bad.walls[1].loss_db = inf;
    refused(bad.layout(size));
    for reading in [
        ReadLevel::At { level_dbm: nan, spread_db: 1.0 },
        ReadLevel::At { level_dbm: -60.0, spread_db: -1.0 },
        ReadLevel::Between { low_dbm: None, high_dbm: Some(inf) },
    ] {
        let mut bad = comparison(3);
        bad.sensors[1].readings.push(reading);
        refused(bad.layout(size));
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
    drawn(Comparison { sensors, ..Comparison::default() }.layout(size));

    let mut picture = paths(16, 6);
    picture.paths[1].points.truncate(1);
    picture.paths[2].points = vec![[3.0, 3.0]; 4];
    picture.paths[2].crossings = vec![CrossingMark::default(); 3];
    picture.paths.extend(vec![PathMark::default(); 40]);
    assert!(png(&picture, size).is_ok() && svg(&picture, size).is_ok());
    for share in [nan, 1.5, -0.1] {
        let mut bad = picture.clone();
        bad.paths[0].share = share;
        assert!(matches!(png(&bad, size), Err(DrawError::Number { .. })));
    }
}
