//! Every printed answer says that a calibration is in use; without one nothing is said of it.

use std::path::Path;

use drillonce::cli::quote_document;
use drillonce::document::{Block, Cell, Document};
use drillonce::plan::edit::{Change, edited};
use drillonce::plan::{ConstructionScale, DeviceCalibration};
use drillonce::units::Db;

use fixtures::{neutral_calibration as nothing_told, shipped};

use crate::run::{close, folder_with, json_of, list, number, run, sensors};

fn printed(plan: &Path, arguments: &[&str]) -> String {
    let (command, options) = arguments.split_first().unwrap();
    let plan = plan.to_str().unwrap();
    let run = run(&[&[command, plan, "--no-pictures"], options].concat());
    assert!(run.code.unwrap() < 2, "{run:?}");
    run.out
}

/// What a document's tables have in the columns with this title.
fn column(document: &Document, title: &str) -> Vec<String> {
    let mut cells = Vec::new();
    for block in &document.blocks {
        let Block::Table { columns, rows, .. } = block else { continue };
        let Some(number) = columns.iter().position(|column| column.title == title) else {
            continue;
        };
        cells.extend(rows.iter().map(|row| match &row.cells[number] {
            Cell::Text(text) => text.clone(),
            other => panic!("{other:?}"),
        }));
    }
    cells
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
    let folder = folder_with("annexe.geojson", &text);
    let copy = folder.path().join("annexe.geojson");

    let line = "\nCalibrated by readings: site offset, 1 construction, 1 device.\n";
    for command in ["check", "place", "repeaters"] {
        assert!(printed(&copy, &[command]).contains(line), "{command}");
        assert!(!printed(&path, &[command]).contains("alibrat"), "{command}");
        let json = printed(&path, &[command, "--format", "json"]);
        assert!(!json.contains("alibrat") && !json.contains("site_sigma"), "{command}");
    }
    let given = printed(&copy, &["check", "--site-offset", "6", "--walls", "ideal"]);
    assert!(given.contains("\nCalibrated by readings: 1 device.\n"), "{given}");

    let json = json_of(&printed(&copy, &["check", "--format", "json"]));
    assert_eq!(json["model"]["site_offset_db"], 7.9);
    assert_eq!(json["model"]["site_sigma_db"], 1.5);
    let mut scaled = 0;
    for sensor in sensors(&json) {
        let of = |name: &str| sensor[name].as_f64().unwrap_or(0.0);
        let sum = of("eirp_dbm") - of("path_loss_db") + of("antenna_gain_db")
            - of("mount_loss_db")
            - of("site_offset_db")
            - of("calibrated_loss_db");
        close(sum, of("received_dbm"), 1e-3, "the level");
        let is_read = sensor["id"] == device.id.as_str();
        assert_eq!(of("calibrated_loss_db"), if is_read { 3.5 } else { 0.0 });
        for crossing in list(sensor, "crossings") {
            let of = |name: &str| number(crossing, name);
            assert!((of("slab_db") + of("excess_db") - of("loss_db")).abs() < 2e-4);
            scaled += 1;
        }
    }
    assert!(scaled > 10);

    // The papers for customer and panel rest on the calibrated site offset, too.
    let copy = copy.to_str().unwrap();
    for (options, offset) in [(&[][..], 7.9), (&["--site-offset", "5.3"], 5.3)] {
        let handover = ["handover", copy, "--date", "2026-11-25", "--format", "json"];
        let sheet = json_of(&run(&[&handover, options].concat()).out);
        assert_eq!(sheet["model"]["site_offset_db"], offset);
        let quote =
            [&[copy, "--appendix", "--date", "2026-11-25", "--cell", "1"], options].concat();
        let document = quote_document(&quote).unwrap().document;
        let offsets = column(&document, "Site, dB");
        assert!(!offsets.is_empty() && offsets.iter().all(|of| *of == offset.to_string()));
    }
}
