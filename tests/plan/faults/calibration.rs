//! What readings told of a house, in the plan: its faults, and how it is written into the text.

use geo::Coord;
use plan::edit::{Change, EditError, edited};
use plan::{Calibration, ConstructionScale, DeviceCalibration};
use proptest::prelude::*;
use proptest::sample::Index;
use units::Db;

use crate::faults::edit::{PLANS, difference, others, plan};
use crate::faults::promises::calibration;
use crate::faults::support::{check, sound, vocabulary, with_top};

const GOOD: &str = "\"panel\": \"panel\", \"panel_at\": [1, 1], \"site_offset_db\": 7.9, \
                    \"site_sigma_db\": 1.5";

fn with(members: &str) -> String {
    with_top(&format!("\"calibration\": {{{members}}},"))
}

#[test]
fn a_sound_one_is_read_in_metres() {
    let text = with(
        "\"panel\": \"panel\", \"panel_at\": [10, 20], \"height\": 5, \"site_offset_db\": 7.9, \
         \"site_sigma_db\": 1.5, \"constructions\": {\"brick-half\": {\"scale\": 0.82, \"sigma\": \
         0.12}}, \"devices\": {\"hall\": {\"loss_db\": 3.1, \"own_db\": -1.2, \"sigma_db\": 2.2}}",
    )
    .replace("\"features\"", "\"units\": \"ft\",\n  \"features\"");
    let reading = sound(&text);
    assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
    let read = reading.plan.calibration.unwrap();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
    assert!(near(read.position.x, 3.048) && near(read.position.y, 6.096));
    assert!(near(read.height_m, 1.524) && read.level == 0);
    assert_eq!((read.site_offset, read.site_sigma), (Db(7.9), Db(1.5)));
    assert_eq!(read.constructions["brick-half"].scale, 0.82);
    assert_eq!(read.devices["hall"].own, Db(-1.2));
    assert!(read.is_place(Coord { x: 3.09, y: 6.096 }, 1.524));
    assert!(!read.is_place(Coord { x: 3.09, y: 6.126 }, 1.524));
    assert!(!read.is_place(read.position, 1.58));
}

#[test]
fn faults_of_a_calibration() {
    check("calibration_no_object", &with_top("\"calibration\": [],"));
    check("calibration_empty", &with_top("\"calibration\": {},"));
    check(
        "calibration_ranges",
        &with(
            "\"panel\": 7, \"panel_at\": [1], \"level\": 4, \"height\": \"1.5\",\n    \
             \"site_offset_db\": 61, \"site_sigma_db\": -1,\n    \"constructions\": {\n      \
             \"brick-half\": {\"scale\": 0.04, \"sigma\": 5.1},\n      \"concrete\": {\"scale\": \
             \"1\"},\n      \"stud-plain\": 0.8},\n    \"devices\": {\"hall\": {\"loss_db\": -61, \
             \"own_db\": 1e999, \"sigma_db\": 61}}",
        ),
    );
    check("calibration_lists", &with(&format!("{GOOD}, \"constructions\": [], \"devices\": 3")));
    check("calibration_position", &with(&GOOD.replace("[1, 1]", "[1, 1e9]")));
}

/// What the plan does not have may come back: no fault, but it is not used.
#[test]
fn names_that_a_calibration_has_and_the_plan_has_not() {
    check(
        "calibration_names",
        &with(&format!(
            "{}, \"colour\": 1,\n    \"constructions\": {{\"brik-half\": {{\"scale\": 1, \"sigma\": \
             0.1, \"sgma\": 2}}}},\n    \"devices\": {{\"hal\": {{\"loss_db\": 1, \"own_db\": 0, \
             \"sigma_db\": 2}}, \"panel\": {{\"loss_db\": 1, \"own_db\": 0, \"sigma_db\": 2}}}}",
            GOOD.replace("\"panel\": \"panel\"", "\"panel\": \"pannel\"")
        )),
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn a_calibration_and_nothing_else(
        x in -3.0..25.0_f64, y in -3.0..25.0_f64, height_m in 0.0..2.3_f64,
        offset in -60.0..60.0_f64, scale in 0.051..5.0_f64, loss in -60.0..60.0_f64,
        sigma in 0.0..5.0_f64, all: bool, which: Index
    ) {
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let before = plan(text, names);
        let level = before.levels.last().unwrap();
        let mut told = Calibration {
            level: level.number,
            position: Coord { x, y },
            height_m: level.floor_m + height_m,
            site_offset: Db(offset),
            site_sigma: Db(sigma),
            ..calibration(&before)
        };
        if all {
            told.constructions.values_mut().for_each(|one| *one = ConstructionScale { scale, sigma });
            let read = DeviceCalibration { loss: Db(loss), own: Db(-loss), sigma: Db(sigma) };
            told.devices.values_mut().for_each(|one| *one = read);
        } else {
            told.constructions.clear();
            told.devices.clear();
        }
        let new = edited(text, &before, &[Change::Calibrate(told.clone())]).unwrap();
        let mut after = plan(&new, names);
        let made = after.calibration.take().unwrap();
        prop_assert_eq!(others(&before, &[]), others(&after, &[]), "{}", name);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-4;
        prop_assert!(near(made.site_offset.0, offset) && near(made.site_sigma.0, sigma));
        prop_assert!((made.position.x - x).abs() < 0.001 && (made.height_m - told.height_m).abs() < 0.001);
        prop_assert_eq!(made.devices.len(), told.devices.len());
        prop_assert!(made.constructions.values().all(|one| near(one.scale, scale) && all));
        prop_assert!(made.devices.values().all(|one| near(one.own.0, -loss) && near(one.sigma.0, sigma)));
        // The new text is the old one with one piece put in, laid out as its surroundings are.
        let (gone, come) = difference(text, &new);
        prop_assert_eq!(gone, "", "{}", name);
        prop_assert_eq!(text.contains("\r\n"), come.contains("\r\n"), "{}", name);
        if name.ends_with("one line") {
            prop_assert!(!come.contains('\n'), "{}", name);
        }
        // The same again changes nothing; another takes its place, and no other byte changes.
        after.calibration = Some(made.clone());
        let again = edited(&new, &after, &[Change::Calibrate(made.clone())]).unwrap();
        prop_assert_eq!(&again, &new, "{}", name);
        let other = Calibration { site_offset: Db(1.25), ..made };
        let other = edited(&new, &after, &[Change::Calibrate(other)]).unwrap();
        let (gone, come) = difference(&new, &other);
        prop_assert!(gone.len() <= 10 && come.len() <= 10, "{}: {} became {}", name, gone, come);
    }
}

#[test]
fn each_construction_and_device_has_a_line() {
    let text = with_top("\"name\": \"House\",");
    let before = plan(&text, &vocabulary());
    let mut told = calibration(&before);
    told.constructions.remove("no \"such\"");
    let new = edited(&text, &before, &[Change::Calibrate(told)]).unwrap();
    let (_, come) = difference(&text, &new);
    insta::assert_snapshot!("calibration_written", come);
}

#[test]
fn what_cannot_be_written() {
    let text = with_top("\"name\": \"House\",");
    let before = plan(&text, &vocabulary());
    let good = calibration(&before);
    let outcome =
        |told: Calibration| edited(&text, &before, &[Change::Calibrate(told)]).unwrap_err();
    let level = Calibration { level: 3, ..good.clone() };
    assert_eq!(outcome(level), EditError::NoLevel(3));
    for bad in [f64::NAN, f64::INFINITY] {
        let offset = Calibration { site_offset: Db(bad), ..good.clone() };
        assert_eq!(outcome(offset), EditError::Calibration);
    }
    let far = Calibration { site_offset: Db(1e9), ..good };
    assert!(matches!(outcome(far), EditError::Refused(_)));
}
