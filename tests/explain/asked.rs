//! Which device is meant.

use explain::find;

use super::shipped;

#[test]
fn a_device_goes_by_id_number_or_name() {
    let plan = shipped("brick-house");
    for asked in ["m-hall", "M-HALL", "9", " 9 ", "Hall motion", "hall MOTION"] {
        assert_eq!(find(&plan, asked).unwrap().id, "m-hall", "{asked}");
    }
    assert_eq!(find(&plan, "siren").unwrap().id, "siren");
}

#[test]
fn an_unknown_name_is_answered_with_the_nearest() {
    let plan = shipped("brick-house");
    let message = find(&plan, "hall moton").unwrap_err().to_string();
    assert_eq!(message, "the plan has no device \"hall moton\"; did you mean \"Hall motion\"?");
    let several = find(&plan, "bedroom").unwrap_err().to_string();
    assert!(several.contains("\"Bedroom 1 window\" or "), "{several}");
    let word = find(&plan, "bedrom").unwrap_err().to_string();
    assert!(word.contains("\"Bedroom 1 window\""), "{word}");
    for asked in ["", "zzzzzzzzzzzz", "99", &"x".repeat(10_000)] {
        let error = find(&plan, asked).unwrap_err().to_string();
        assert!(error.contains("drillonce check") && !error.contains("did you mean"), "{error}");
    }
    // The terminal is not played with.
    let tricky = find(&plan, "a\u{1b}[2J").unwrap_err().to_string();
    assert!(!tricky.contains('\u{1b}'), "{tricky:?}");
}

#[test]
fn two_of_a_name_are_distinguished_by_id_and_the_panel_is_refused() {
    let mut plan = shipped("brick-house");
    for device in &mut plan.devices {
        if device.id == "m-living" || device.id == "m-landing" {
            device.name = "Motion".to_owned();
        }
    }
    let error = find(&plan, "motion").unwrap_err().to_string();
    assert!(error.contains("fits m-living, m-landing;"), "{error}");
    assert_eq!(find(&plan, "m-living").unwrap().id, "m-living");
    // An exact id goes before another device's number.
    plan.devices.last_mut().unwrap().id = "9".to_owned();
    assert_eq!(find(&plan, "9").unwrap().id, "9");
    assert!(find(&plan, "Panel").unwrap_err().to_string().contains("is the panel"));
    plan.devices.truncate(1);
    assert!(find(&plan, "9").unwrap_err().to_string().contains("no device but the panel"));
}
