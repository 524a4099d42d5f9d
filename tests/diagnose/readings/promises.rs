//! What the reader of readings promises of any bytes whatever. The fuzz target checks the same.

use diagnose::Seen;
use diagnose::readings::{MAX_LISTED_ROWS, MAX_ROWS, Scales, read_readings};
use plan::{Device, DeviceKind, Plan};

/// A plan with a panel, five sensors of which two have one name, a keypad and a repeater.
pub fn plan() -> Plan {
    let device = |id: &str, kind, name: &str, number: Option<u32>| Device {
        id: id.to_owned(),
        name: name.to_owned(),
        number,
        ..Device::bare(kind, 0)
    };
    Plan {
        devices: vec![
            device("panel", DeviceKind::Panel, "Hall panel", None),
            device("front-door", DeviceKind::Sensor, "Front door", Some(1)),
            device("back-door", DeviceKind::Sensor, "Back door", Some(2)),
            device("küche", DeviceKind::Sensor, "Küche, links", Some(3)),
            device("left", DeviceKind::Sensor, "Window", Some(4)),
            device("right", DeviceKind::Sensor, "Window", None),
            device("keypad", DeviceKind::Keypad, "Keypad", Some(9)),
            device("landing", DeviceKind::Repeater, "Landing repeater", None),
        ],
        ..Plan::default()
    }
}

/// Reads the bytes and checks what must hold for any outcome.
pub fn survives(bytes: &[u8]) {
    let plan = plan();
    let file = read_readings("readings.csv", bytes, &plan, &Scales::default());
    // A level, the check-in by which it was read, and the noise floor.
    assert!(file.rows <= MAX_ROWS && file.readings.len() <= 3 * file.rows);
    let lines = bytes.iter().filter(|byte| matches!(byte, b'\n' | b'\r')).count() + 1;
    let is_there = |id: &Option<String>| {
        id.as_ref().is_none_or(|id| plan.devices.iter().any(|device| device.id == *id))
    };
    for reading in &file.readings {
        assert!(is_there(&reading.sensor) && is_there(&reading.listener));
        assert!(reading.line >= 1 && reading.time_min.is_none_or(f64::is_finite));
        let sane = |dbm: f64| (-180.0..=20.0).contains(&dbm);
        match reading.seen {
            Seen::Level(level) | Seen::NoiseFloor(level) => assert!(sane(level.0)),
            Seen::Between { low, high } => {
                assert!(low.is_some() || high.is_some());
                assert!(low.into_iter().chain(high).all(|level| sane(level.0)));
                if let (Some(low), Some(high)) = (low, high) {
                    assert!(low < high);
                }
            }
            Seen::CheckIn { .. } | Seen::Lost | Seen::Nothing => {}
        }
        let is_noise = matches!(reading.seen, Seen::NoiseFloor(_));
        assert_eq!(reading.sensor.is_none(), is_noise);
    }
    for list in [&file.faults, &file.warnings] {
        assert!(list.len() <= MAX_LISTED_ROWS + 1);
        for fault in list {
            assert!(fault.line <= lines && !fault.what.is_empty() && !fault.fix.is_empty());
            let shown = fault.to_string();
            assert!(!shown.chars().any(|c| c.is_control() && c != '\n'), "{shown:?}");
            assert!(shown.len() < 2_000, "{} bytes long", shown.len());
        }
    }
    if bytes.trim_ascii().is_empty() {
        assert_eq!(file.faults.len(), 1, "an empty file is a fault");
    }
}
