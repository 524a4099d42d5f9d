//! The list that the README shows.

use import::Kind;
use plan::{DeviceKind, read_house};

use super::super::known::{imported, plain};
use super::inner_size;
use approx::assert_abs_diff_eq;

const LIST: &[u8] = include_bytes!("../../../floorplans/tape/heron-cottage.txt");

#[test]
fn heron_cottage_is_as_it_was_measured() {
    let (draft, plan) = imported(Kind::Tape, "heron-cottage.txt", LIST, &plain());
    assert_eq!(plan.name, "Heron Cottage");
    // Ground: two entries, two doors inside, three windows; first floor: two doors, two windows.
    assert_eq!(plan.openings.len(), 11);
    assert_eq!(plan.openings.iter().filter(|o| o.entry).count(), 2);
    assert_eq!(plan.outlets.len(), 3);
    let of = |kind: DeviceKind| plan.devices.iter().filter(|d| d.kind == kind).count();
    assert_eq!((of(DeviceKind::Sensor), of(DeviceKind::Panel), of(DeviceKind::Keypad)), (9, 1, 1));
    // Floor 0.3 m thick above a ceiling of 2.4 m.
    assert_abs_diff_eq!(plan.level(1).unwrap().floor_m, 2.7, epsilon = 1e-9);
    assert_eq!(plan.slabs.len(), 1);
    let ground = |plan: &plan::Plan| {
        let mut plan = plan.clone();
        plan.walls.retain(|wall| wall.level == 0);
        plan
    };
    // Cloaks is 1.6 m wide between faces, one of them of an outside wall. Its depth was taken as
    // 1.7 m, but the Hall's 5.0 m less the Kitchen's 3.2 m and one partition leave less; the
    // difference is told.
    let left_m = 5.0 - 3.2 - super::thickness_m("stud-partition");
    let (width, depth) = inner_size(&ground(&plan), (3.0, 1.0));
    assert_abs_diff_eq!(width, 1.6, epsilon = 0.0011);
    assert_abs_diff_eq!(depth, left_m, epsilon = 0.0011);
    let moved = draft.guesses.iter().find(|guess| guess.about.ends_with("room Cloaks"));
    let moved = &moved.unwrap().taken;
    let by_m = ((1.7 - left_m) * 1e3).round() / 1e3;
    assert!(moved.contains(&format!("moved by {by_m} m")), "{moved}");
    let reading = read_house("plan", draft.text().as_bytes(), &plain().known.vocabulary).unwrap();
    assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
    // What nobody measured is told.
    let about = |wanted: &str| draft.guesses.iter().any(|guess| guess.about == wanted);
    for told in [
        "roles of sensors",
        "heights of devices",
        "doors",
        "windows",
        "ceilings",
        "floors between storeys",
    ] {
        assert!(about(told), "{told}: {:?}", draft.guesses);
    }
    for said in ["outside walls", "inside walls"] {
        assert!(!about(said), "{said}");
    }
}
