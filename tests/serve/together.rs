//! Several pages on one plan.

use std::fs;

use crate::client::{Served, moves};
use forecast::vocabulary;
use plan::read_file;
use serde_json::json;

#[test]
fn two_pages_see_each_edit_of_the_other() {
    let served = Served::shipped("corner-shop");
    let first_bytes = fs::read(&served.plan).unwrap();
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let panel = plan.panel().unwrap().id.clone();
    let place = |shown: &serde_json::Value| {
        let mut features = shown["features"].as_array().unwrap().iter();
        features.find(|one| one["id"] == panel.as_str()).unwrap()["geometry"]["coordinates"].clone()
    };
    let (mut a, mut b) = (served.page("a"), served.page("b"));
    let first = place(&a.wait("plan"));
    b.wait("plan");
    a.say(&moves("edit", 1, &panel, [3.0, 2.5]));
    for page in [&mut a, &mut b] {
        let shown = page.wait_for("plan", |plan| plan["version"] == 2);
        assert_eq!(place(&shown), json!([3.0, 2.5]));
        assert_eq!((&shown["undo"], &shown["unsaved"]), (&json!(1), &json!(1)));
        let table = page.table(1);
        assert_eq!((&table["tab"], &table["version"]), (&json!("a"), &json!(2)));
    }
    b.say(&moves("edit", 1, &panel, [4.0, 2.5]));
    for page in [&mut a, &mut b] {
        assert_eq!(place(&page.wait_for("plan", |plan| plan["version"] == 3)), json!([4.0, 2.5]));
        assert_eq!(page.table(1)["tab"], "b");
    }
    // What one tries the other does not see; what it edits meanwhile, it does.
    b.say(&moves("try", 2, &panel, [5.0, 2.5]));
    assert_eq!(b.table(2)["version"], 3);
    a.say(&json!({"type": "undo"}));
    for page in [&mut a, &mut b] {
        assert_eq!(place(&page.wait_for("plan", |plan| plan["version"] == 4)), json!([3.0, 2.5]));
    }
    let table = a.wait_for("table", |table| table["version"] == 4);
    assert_eq!(table["seq"], 0, "nobody sees the try of another");
    assert_eq!(b.wait_for("table", |table| table["version"] == 4)["seq"], 2);
    a.say(&json!({"type": "undo"}));
    let shown = b.wait_for("plan", |plan| plan["version"] == 5);
    assert_eq!(place(&shown), first);
    assert_eq!((&shown["unsaved"], &shown["redo"]), (&json!(0), &json!(2)));
    b.say(&json!({"type": "redo"}));
    a.wait_for("plan", |plan| plan["version"] == 6);
    a.say(&json!({"type": "save", "as": null}));
    assert_eq!(a.wait("saved")["file"], "plan.geojson");
    assert_eq!(b.wait_for("plan", |plan| plan["version"] == 6 && plan["unsaved"] == 0)["undo"], 1);
    assert_ne!(fs::read(&served.plan).unwrap(), first_bytes);
    assert!(!served.folder.path().join(".plan.geojson.drillonce-edit").exists());
}

#[test]
fn a_file_that_was_changed_elsewhere_is_not_overwritten() {
    let served = Served::shipped("corner-shop");
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let panel = plan.panel().unwrap().id.clone();
    let mut page = served.page("a");
    page.say(&moves("edit", 1, &panel, [3.0, 2.5]));
    page.wait_for("plan", |plan| plan["version"] == 2);
    fs::write(&served.plan, "{}").unwrap();
    page.say(&json!({"type": "save", "as": null}));
    let said = page.wait("elsewhere");
    assert!(said["what"].as_str().unwrap().contains("changed by another program"), "{said}");
    assert_eq!(fs::read(&served.plan).unwrap(), b"{}");
    page.say(&json!({"type": "save", "as": "mine.geojson"}));
    assert_eq!(page.wait("saved")["file"], "mine.geojson");
    assert!(fs::read_to_string(served.folder.path().join("mine.geojson")).unwrap().len() > 1000);
    // A page that comes later hears of it, too.
    served.page("b").wait("elsewhere");
}
