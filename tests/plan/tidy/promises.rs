//! What tidying promises of any bytes whatever. The fuzz target checks the same.

use plan::tidy::{TidySettings, tidied, tidied_leniently};
use plan::{Diagnostic, MAX_LISTED, Severity, Vocabulary, read_house};

/// Names for these tests alone.
pub fn vocabulary() -> Vocabulary {
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    Vocabulary {
        constructions: names(&["brick", "stud", "door"]),
        materials: names(&["wood"]),
        links: names(&["us-345"]),
        mounts: names(&["wall"]),
        ..Vocabulary::default()
    }
}

/// Tidies the bytes, where they are text, and checks what must hold for any outcome.
pub fn survives_tidy(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let settings = TidySettings::default();
    let before = read_house("plan.geojson", bytes, &vocabulary());
    match tidied("plan.geojson", text, &vocabulary(), &settings) {
        Ok(done) => {
            let lines = text.split('\n').count();
            assert_eq!(done.fixes.is_empty(), done.text == text);
            assert!(done.fixes.iter().all(|m| (1..=lines).contains(&m.line)));
            assert!(done.fixes.is_sorted_by_key(|fix| fix.line));
            assert!(done.left.len() <= MAX_LISTED + 1);
            assert!(done.left.iter().all(|d| (1..=lines).contains(&d.line)));
            let after = read_house("plan.geojson", done.text.as_bytes(), &vocabulary()).unwrap();
            if let Ok(before) = before {
                assert_eq!(before.plan.devices.len(), after.plan.devices.len());
                assert_eq!(before.plan.openings.len(), after.plan.openings.len());
                assert!(after.warnings.len() <= before.warnings.len().max(MAX_LISTED + 1));
            }
            let again = tidied("plan.geojson", &done.text, &vocabulary(), &settings).unwrap();
            assert_eq!(again.fixes, [], "{text}\n{}", done.text);
            assert!(again.text == done.text);
        }
        Err(faults) => {
            survives_lenient_tidy(text, &faults);
            assert!(before.is_err(), "{faults:?}\n{text}");
            assert!(faults.iter().any(|fault| fault.severity == Severity::Error));
        }
    }
}

/// Of a plan with faults what is safe is fixed: no fault is new, and a second time changes nothing.
fn survives_lenient_tidy(text: &str, faults: &[Diagnostic]) {
    let settings = TidySettings::default();
    let tidy = |text: &str| tidied_leniently("plan.geojson", text, &vocabulary(), &settings);
    let Ok(done) = tidy(text) else { return };
    assert_eq!(done.fixes.is_empty(), done.text == text);
    if done.fixes.is_empty() {
        return;
    }
    let errors =
        |all: &[Diagnostic]| all.iter().filter(|fault| fault.severity == Severity::Error).count();
    let still = read_house("plan.geojson", done.text.as_bytes(), &vocabulary());
    let still = still.err().unwrap_or_default();
    let before = read_house("plan.geojson", text.as_bytes(), &vocabulary()).err();
    let before = before.unwrap_or_default();
    assert!(errors(&still) <= errors(&before), "{still:?}\n{faults:?}\n{text}");
    assert_eq!(tidy(&done.text).unwrap().fixes, [], "{text}\n{}", done.text);
}
