//! Every printed answer says that a calibration is in use; without one nothing is said of it.

use std::path::Path;
use std::process::Command;

use drillonce::plan::edit::{Change, edited};
use drillonce::plan::{ConstructionScale, DeviceCalibration};
use drillonce::units::Db;

use fixtures::{neutral_calibration as nothing_told, shipped};

fn printed(plan: &Path, arguments: &[&str]) -> String {
    let (command, options) = arguments.split_first().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_drillonce"))
        .arg(command)
        .arg(plan)
        .args(options)
        .arg("--no-pictures")
        .output()
        .unwrap();
    assert!(output.status.code().unwrap() < 2, "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_answers_say_so() {
    let path = std::path::PathBuf::from(fixtures::floorplan("annexe"));
    let text = std::fs::read_to_string(&path).unwrap();
    let plan = shipped("annexe");
    let mut calibration = nothing_told(&plan);
    (calibration.site_offset, calibration.site_sigma) = (Db(7.9), Db(1.5));
    let scale = ConstructionScale { scale: 0.8, sigma: 0.1 };
    calibration.constructions.insert(plan.walls[0].construction.clone(), scale);
    let device = plan.devices.iter().find(|d| d.number == Some(1)).unwrap();
    let read = DeviceCalibration { loss: Db(3.5), own: Db(1.0), sigma: Db(2.0) };
    calibration.devices.insert(device.id.clone(), read);
    let text = edited(&text, &plan, &[Change::Calibrate(calibration)]).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("annexe.geojson");
    std::fs::write(&copy, text).unwrap();

    let line = "\nCalibrated by readings: site offset, 1 construction, 1 device.\n";
    for command in ["check", "place", "repeaters"] {
        assert!(printed(&copy, &[command]).contains(line), "{command}");
        assert!(!printed(&path, &[command]).contains("alibrat"), "{command}");
        let json = printed(&path, &[command, "--format", "json"]);
        assert!(!json.contains("alibrat") && !json.contains("site_sigma"), "{command}");
    }
    let given = printed(&copy, &["check", "--site-offset", "6", "--walls", "ideal"]);
    assert!(given.contains("\nCalibrated by readings: 1 device.\n"), "{given}");

    let json = printed(&copy, &["check", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["model"]["site_offset_db"], 7.9);
    assert_eq!(json["model"]["site_sigma_db"], 1.5);
    let mut scaled = 0;
    for sensor in json["sensors"].as_array().unwrap() {
        let of = |name: &str| sensor[name].as_f64().unwrap_or(0.0);
        let sum = of("eirp_dbm") - of("path_loss_db") + of("antenna_gain_db")
            - of("mount_loss_db")
            - of("site_offset_db")
            - of("calibrated_loss_db");
        assert!((sum - of("received_dbm")).abs() < 1e-3, "{sensor}");
        let is_read = sensor["id"] == device.id.as_str();
        assert_eq!(of("calibrated_loss_db"), if is_read { 3.5 } else { 0.0 });
        for crossing in sensor["crossings"].as_array().unwrap() {
            let of = |name: &str| crossing[name].as_f64().unwrap();
            assert!((of("slab_db") + of("excess_db") - of("loss_db")).abs() < 2e-4);
            scaled += 1;
        }
    }
    assert!(scaled > 10);
}
