//! What the reader promises of any bytes whatever. The fuzz target checks the same.

use input::{Diagnostics, decoded};
use plan::edit::{Change, EditError, edited};
use plan::{
    Calibration, ConstructionScale, Device, DeviceCalibration, DeviceKind, MAX_LISTED, Plan,
    Reading, Severity, Vocabulary, read,
};
use units::Db;

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
        ..Vocabulary::default()
    }
}

/// Reads the bytes and checks what must hold for any outcome.
pub fn survives(bytes: &[u8]) {
    match read("plan.geojson", bytes, &vocabulary()) {
        Ok(reading) => {
            assert_checked(&reading);
            assert_edits_are_read_again(bytes, &reading.plan);
            assert!(reading.warnings.iter().all(|w| w.severity == Severity::Warning));
            assert!(reading.warnings.len() <= MAX_LISTED + 1);
        }
        Err(faults) => {
            assert!(faults.iter().any(|fault| fault.severity == Severity::Error));
            assert!(faults.len() <= 2 * (MAX_LISTED + 1));
            assert!(faults.is_sorted_by_key(|fault| (fault.line, fault.column)));
            let text = decoded(bytes, &mut Diagnostics::new("")).unwrap_or_default();
            let mut lines = text.split('\n').enumerate();
            let mut current = lines.next();
            for fault in &faults {
                while current.is_some_and(|(number, _)| number + 1 < fault.line) {
                    current = lines.next();
                }
                let (_, line) = current.expect("a line of the file");
                assert!(fault.column >= 1 && fault.column <= line.chars().count() + 1, "{fault}");
                assert!(!fault.what.is_empty() && !fault.fix.is_empty());
                assert!(!fault.to_string().chars().any(|c| c.is_control() && c != '\n'));
            }
        }
    }
}

/// Whether a reading keeps what the types promise; everything downstream relies on it.
fn assert_checked(reading: &Reading) {
    let plan = &reading.plan;
    let has_level = |number| assert!(plan.level(number).is_some(), "no level {number}");
    // A panel it may lack: `place` finds a spot for one.
    assert!(plan.devices.iter().any(|device| device.kind == DeviceKind::Sensor));
    assert!(!plan.levels.is_empty());
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
    for stairs in &plan.stairs {
        has_level(stairs.level);
        has_level(stairs.to_level);
        assert!(stairs.level != stairs.to_level && stairs.line.0.len() >= 2);
    }
    for obstacle in &plan.obstacles {
        has_level(obstacle.level);
        assert!(obstacle.base_m < obstacle.top_m && obstacle.outline.exterior().0.len() >= 4);
    }
}

/// The panel; where there is none, what stands in for its place.
fn panel(plan: &Plan) -> &Device {
    plan.panel().unwrap_or(&plan.devices[0])
}

/// A calibration that names every device of a plan and some constructions.
pub fn calibration(plan: &Plan) -> Calibration {
    let panel = panel(plan);
    let scale = ConstructionScale { scale: 0.82, sigma: 0.12 };
    let read = DeviceCalibration { loss: Db(3.1), own: Db(-1.25), sigma: Db(2.2) };
    let names = plan.constructions.keys().cloned();
    let names = names.chain(["brick-half".to_owned(), "no \"such\"".to_owned()]);
    Calibration {
        panel: panel.id.clone(),
        level: panel.level,
        position: panel.position,
        height_m: panel.height_m,
        site_offset: Db(7.9),
        site_sigma: Db(1.5),
        constructions: names.map(|name| (name, scale)).collect(),
        devices: plan.devices.iter().map(|d| (d.id.clone(), read)).collect(),
    }
}

/// Whatever text is accepted can be edited, and what comes of it is accepted too. Only a limit of
/// the reader may stand in the way.
fn assert_edits_are_read_again(bytes: &[u8], plan: &Plan) {
    let text = decoded(bytes, &mut Diagnostics::new("")).unwrap();
    let panel = panel(plan);
    let last = plan.levels.last().unwrap();
    let changes = [
        Change::MovePanel {
            level: last.number,
            position: panel.position,
            height_above_floor_m: 1.25,
        },
        Change::AddRepeater {
            id: panel.id.clone(),
            name: "\"Attic\" \\ {é".to_owned(),
            level: panel.level,
            position: panel.position,
            height_above_floor_m: 0.3,
            capacity: Some(4),
        },
        Change::Calibrate(calibration(plan)),
    ];
    match edited(&text, plan, &changes) {
        Ok(text) => {
            let again = read("plan.geojson", text.as_bytes(), &vocabulary()).unwrap().plan;
            let added = 1 + usize::from(plan.panel().is_none());
            assert_eq!(again.devices.len(), plan.devices.len() + added);
            assert_eq!(again.panel().unwrap().level, last.number);
            let new = again.devices.last().unwrap();
            assert_eq!((new.kind, new.capacity), (DeviceKind::Repeater, Some(4)));
            assert!(plan.devices.iter().all(|device| device.id != new.id));
            assert!(again.calibration.is_some());
        }
        Err(EditError::Refused(fault)) => {
            assert!(fault.what.contains("more than") || fault.what.contains("at most"), "{fault}");
        }
        Err(error) => panic!("{error}"),
    }
}
