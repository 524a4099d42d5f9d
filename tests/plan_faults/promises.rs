//! What the reader promises of any bytes whatever. The fuzz target checks the same.

use drillonce::plan::{MAX_LISTED, Reading, Severity, Vocabulary, read};

/// Names for these tests alone; the program's own catalogue has more.
pub fn vocabulary() -> Vocabulary {
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    Vocabulary {
        constructions: names(&[
            "brick-half",
            "brick-solid",
            "stud-plain",
            "door-hollow",
            "concrete",
        ]),
        materials: names(&["brick", "concrete", "plasterboard", "wood", "glass"]),
        links: names(&["us-319", "us-345", "eu-868"]),
        mounts: names(&["wall", "door-frame", "metal-frame"]),
    }
}

/// Reads the bytes and checks what must hold for any outcome.
pub fn survives(bytes: &[u8]) {
    match read("plan.geojson", bytes, &vocabulary()) {
        Ok(reading) => {
            assert_checked(&reading);
            assert!(
                reading
                    .warnings
                    .iter()
                    .all(|w| w.severity == Severity::Warning)
            );
            assert!(reading.warnings.len() <= MAX_LISTED + 1);
        }
        Err(faults) => {
            assert!(faults.iter().any(|fault| fault.severity == Severity::Fault));
            assert!(faults.len() <= 2 * (MAX_LISTED + 1));
            assert!(faults.is_sorted_by_key(|fault| (fault.line, fault.column)));
            let text = String::from_utf8_lossy(bytes);
            let mut lines = text.split('\n').enumerate();
            let mut current = lines.next();
            for fault in &faults {
                while current.is_some_and(|(number, _)| number + 1 < fault.line) {
                    current = lines.next();
                }
                let (_, line) = current.expect("a line of the file");
                assert!(
                    fault.column >= 1 && fault.column <= line.chars().count() + 1,
                    "{fault}"
                );
                assert!(!fault.what.is_empty() && !fault.mend.is_empty());
                assert!(
                    !fault
                        .to_string()
                        .chars()
                        .any(|c| c.is_control() && c != '\n')
                );
            }
        }
    }
}

/// Whether a reading keeps what the types promise; everything downstream relies on it.
fn assert_checked(reading: &Reading) {
    let plan = &reading.plan;
    let has_level = |number| assert!(plan.level(number).is_some(), "no level {number}");
    assert!(plan.panel().is_some() && !plan.levels.is_empty());
    for level in &plan.levels {
        assert!(level.floor_m < level.ceiling_m && level.ceiling_m.is_finite());
    }
    for wall in &plan.walls {
        has_level(wall.level);
        assert!(wall.base_m < wall.top_m && wall.line.0.len() >= 2);
        for segment in wall.line.lines() {
            let run = segment.end - segment.start;
            assert!(run.x.hypot(run.y) > 0.0 && run.x.is_finite() && run.y.is_finite());
        }
    }
    for opening in &plan.openings {
        let wall = &plan.walls[opening.wall];
        let segment = wall.line.lines().nth(opening.segment).unwrap();
        let run = segment.end - segment.start;
        let length = run.x.hypot(run.y);
        assert!(0.0 <= opening.from_m && opening.from_m < opening.to_m && opening.to_m <= length);
        assert!(wall.base_m <= opening.base_m && opening.base_m < opening.top_m);
        assert!(opening.top_m <= wall.top_m);
    }
    for device in &plan.devices {
        has_level(device.level);
        assert!(device.height_m.is_finite() && device.position.x.is_finite());
    }
    for obstacle in &plan.obstacles {
        has_level(obstacle.level);
        assert!(obstacle.base_m < obstacle.top_m && obstacle.outline.exterior().0.len() >= 4);
    }
}
