//! The table of the page is that of `check`, to the last digit.

use std::path::Path;

use crate::client::{Page, Served, moves};
use forecast::{Assessment, LinkOverride, Model, Site, vocabulary};
use geo::Coord;
use plan::{Device, Plan, Reading, read_file};
use report::CheckReport;
use serde_json::json;

/// What `check --format json` prints of a plan's file, with its panel elsewhere if that is asked.
fn checked(file: &Path, at: Option<[f64; 2]>) -> String {
    let Reading { plan, warnings } = read_file(file, &vocabulary()).unwrap();
    let panel =
        at.map(|[x, y]| Device { position: Coord { x, y }, ..plan.panel().unwrap().clone() });
    let model = Model::default().calibrated(&plan);
    let site = Site::new(&plan, model, LinkOverride::default(), panel).unwrap();
    let assessment = Assessment::new(&site).unwrap();
    let doubts = warnings.iter().map(ToString::to_string).chain(site.warnings()).collect();
    CheckReport::new(&site, &assessment, doubts).json()
}

fn plan_of(served: &Served) -> Plan {
    read_file(&served.plan, &vocabulary()).unwrap().plan
}

#[track_caller]
fn holds(page: &Page, report: &str) {
    assert!(page.1.contains(report.trim_end()), "{} holds no {report}", page.1);
}

#[test]
fn along_a_path_every_table_is_that_of_check() {
    for name in ["bungalow", "corner-shop", "foil-garage"] {
        let served = Served::shipped(name);
        let mut page = served.page("t");
        page.table(0);
        holds(&page, &checked(&served.plan, None));
        let plan = plan_of(&served);
        let panel = plan.panel().unwrap();
        for step in 1..=4_u32 {
            let along = f64::from(step) * 0.731;
            let to = [panel.position.x + along, panel.position.y + along / 3.0];
            page.say(&moves("try", step, &panel.id, to));
            let table = page.table(step);
            assert_eq!((&table["tab"], &table["version"]), (&json!("t"), &json!(1)));
            holds(&page, &checked(&served.plan, Some(to)));
        }
        page.say(&json!({"type": "drop"}));
        page.table(0);
        holds(&page, &checked(&served.plan, None));
        let to = [panel.position.x + 1.0, panel.position.y + 0.5];
        page.say(&moves("edit", 9, &panel.id, to));
        page.table(9);
        page.say(&json!({"type": "save", "as": null}));
        let (table, _) = (page.1.clone(), page.wait("saved"));
        assert!(table.contains(checked(&served.plan, None).trim_end()), "{table}");
    }
}

#[test]
fn whatever_is_moved_the_table_is_that_of_the_text() {
    let served = Served::shipped("brick-house");
    let plan = plan_of(&served);
    let sensor = plan.devices.iter().find(|one| one.kind == plan::DeviceKind::Sensor).unwrap();
    let mut page = served.page("t");
    let to = [sensor.position.x + 0.25, sensor.position.y];
    page.say(&moves("try", 1, &sensor.id, to));
    page.table(1);
    let tried = page.1.clone();
    assert_eq!(std::fs::read_to_string(&served.plan).unwrap(), {
        std::fs::read_to_string(fixtures::floorplan("brick-house")).unwrap()
    });
    page.say(&moves("edit", 2, &sensor.id, to));
    page.table(2);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    let report = checked(&served.plan, None);
    assert!(tried.contains(report.trim_end()), "the try was that of the edit: {tried}");
}

#[test]
fn a_device_is_explained_as_the_command_does_and_help_can_be_tried() {
    let served = Served::shipped("foil-garage");
    let mut page = served.page("t");
    let table = page.table(0);
    let rows = table["check"]["sensors"].as_array().unwrap();
    let failing = rows.iter().find(|row| row["finding"] == "failing").unwrap();
    page.say(&json!({"type": "explain", "id": failing["id"]}));
    let explained = page.wait("explain");
    assert_eq!(explained["id"], failing["id"]);
    assert_eq!(explained["sensor"], *failing);
    let remedies = explained["remedies"].as_array().unwrap();
    assert!(!remedies.is_empty());
    assert!(remedies.iter().all(|one| one["words"].is_string()), "{remedies:?}");
    let with = remedies.iter().filter(|one| one["changes"].is_array());
    let mut tried = 0;
    for (remedy, seq) in with.zip(1..) {
        page.say(&json!({"type": "try", "seq": seq, "changes": remedy["changes"]}));
        let table = page.table(seq);
        let all = ["sensors", "devices"].map(|list| table["check"][list].as_array().unwrap());
        let mut all = all.into_iter().flatten();
        let now = all.find(|row| row["id"] == failing["id"]).unwrap();
        let apart = now["margin_db"].as_f64().unwrap() - remedy["margin_db"].as_f64().unwrap();
        // What the text holds is rounded to a millimetre.
        assert!(apart.abs() < 0.1, "{remedy}: {now}");
        tried += 1;
    }
    assert!(tried > 0, "{remedies:?}");
}

#[test]
fn a_plan_with_a_fault_is_shown_and_undo_puts_it_right() {
    let served = Served::shipped("bungalow");
    let plan = plan_of(&served);
    let wall = &plan.walls[plan.openings[0].wall];
    let mut page = served.page("t");
    page.table(0);
    page.say(&json!({"type": "edit", "seq": 1, "changes": [{"do": "remove", "id": wall.id}]}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert!(!shown["faults"].as_array().unwrap().is_empty(), "{shown}");
    let opening = &plan.openings[0].id;
    let features = shown["features"].as_array().unwrap();
    let opening = features.iter().find(|one| one["id"] == opening.as_str()).unwrap();
    assert_eq!(opening["faulty"], true);
    page.say(&json!({"type": "undo"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 3);
    assert_eq!(shown["faults"], json!([]));
    assert_eq!(
        (&shown["undo"], &shown["redo"], &shown["unsaved"]),
        (&json!(0), &json!(1), &json!(0))
    );
    page.table(0);
    holds(&page, &checked(&served.plan, None));
}

#[test]
fn spots_and_repeaters_can_be_tried_as_they_come() {
    let served = Served::shipped("foil-garage");
    let mut page = served.page("t");
    page.table(0);
    page.say(&json!({"type": "spots"}));
    let spots = page.wait("spots");
    let best = spots["best"].as_array().unwrap();
    assert_eq!(best.len(), 5);
    page.say(&json!({"type": "try", "seq": 1, "changes": best[0]["changes"]}));
    let table = page.table(1);
    let place = |of: &serde_json::Value| of["position_m"].as_array().unwrap().clone();
    for (now, wanted) in place(&table["check"]["panel"]).iter().zip(place(&best[0])) {
        assert!((now.as_f64().unwrap() - wanted.as_f64().unwrap()).abs() < 0.001);
    }
    page.say(&json!({"type": "repeaters"}));
    let repeaters = page.wait("repeaters");
    let new = repeaters["new_repeaters"].as_array().unwrap();
    assert!(!new.is_empty());
    page.say(&json!({"type": "edit", "seq": 2, "changes": repeaters["changes"]}));
    let table = page.table(2);
    let failing = |of: &serde_json::Value| {
        let rows = ["sensors", "devices"].map(|list| of[list].as_array().unwrap().clone());
        rows.concat().iter().filter(|row| row["finding"] == "failing").count()
    };
    assert_eq!(failing(&table["check"]), failing(&repeaters), "as the search found");
}
