//! The walk past all devices with readings, over real sockets.

use std::fs;

use crate::client::{Page, Served, moves};
use serde_json::{Value, json};

/// Begins the walk with the usual file.
fn walk(page: &mut Page) -> Value {
    page.say(&json!({"type": "walk"}));
    page.wait("walk")
}

fn ids(walk: &Value) -> Vec<String> {
    let stops = walk["stops"].as_array().unwrap();
    stops.iter().map(|stop| stop["id"].as_str().unwrap().to_owned()).collect()
}

fn row_of<'w>(walk: &'w Value, id: &str) -> &'w Value {
    let mut stops = walk["stops"].as_array().unwrap().iter();
    &stops.find(|stop| stop["id"] == id).unwrap()["row"]
}

fn reading(seq: u32, entry: &Value) -> Value {
    json!({"type": "reading", "seq": seq, "entry": entry})
}

#[test]
fn every_device_is_on_the_walk_once_and_those_out_of_reach_are_last() {
    let served = Served::shipped("brick-house");
    let mut page = served.page("a");
    let walk = walk(&mut page);
    assert_eq!(walk["file"], "plan-readings.csv");
    let plan = plan::read_file(&served.plan, &forecast::vocabulary()).unwrap().plan;
    let mut all = ids(&walk);
    let stops = walk["stops"].as_array().unwrap();
    let reached = stops.iter().take_while(|stop| stop["unreached"].is_null()).count();
    assert!(reached > 5, "{walk}");
    assert!(stops[..reached].iter().all(|stop| stop["leg_m"].is_f64()), "{walk}");
    assert!(stops[reached..].iter().all(|stop| !stop["unreached"].is_null()), "{walk}");
    assert!(stops.iter().all(|stop| stop["place"].as_str().unwrap().len() > 5));
    all.sort();
    let mut drawn: Vec<String> = plan
        .devices
        .iter()
        .filter(|device| device.kind != plan::DeviceKind::Panel)
        .map(|device| device.id.clone())
        .collect();
    drawn.sort();
    assert_eq!(all, drawn);
    // From an entry the order may be another, but the devices are the same.
    let entry = walk["entries"][0]["id"].clone();
    page.say(&json!({"type": "walk", "from": entry}));
    let again = page.wait_for("walk", |walk| walk["from"] == entry);
    let mut others = ids(&again);
    others.sort();
    assert_eq!(others, drawn);
}

#[test]
fn an_entry_is_in_the_file_at_once_and_all_pages_see_it() {
    let served = Served::shipped("foil-garage");
    let (mut a, mut b) = (served.page("a"), served.page("b"));
    let first = ids(&walk(&mut a))[0].clone();
    walk(&mut b);
    let time = "2026-11-03T10:00:00+00:00";
    a.say(&reading(1, &json!({"sensor": first, "time": time, "level_dbm": "-71", "trips": "yes"})));
    assert_eq!(a.wait("written")["seq"], 1);
    let file = served.folder.path().join("plan-readings.csv");
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.ends_with(&format!("{first},{time},,-71,,,,,yes,,,\n")), "{text}");
    for page in [&mut a, &mut b] {
        let seen = page.wait_for("walk", |walk| !row_of(walk, &first).is_null());
        assert_eq!(row_of(&seen, &first)["level_dbm"], "-71");
        page.wait_for("diagnosis", |said| said["report"]["readings"]["used"] == 1);
    }
    // A correction takes the place of the same row; the next reading is a row of its own.
    b.say(&reading(1, &json!({"sensor": first, "time": time, "level_dbm": "-72"})));
    b.wait("written");
    let later = "2026-11-03T10:05:00+00:00";
    b.say(&reading(2, &json!({"sensor": first, "time": later, "heard": "no"})));
    b.wait("written");
    let text = fs::read_to_string(&file).unwrap();
    assert_eq!(text.lines().count(), 3, "{text}");
    assert!(text.contains(",-72,") && !text.contains(",-71,"), "{text}");
    // What another program adds is shown, and stays.
    fs::write(&file, format!("{text}{first},2026-11-03T11:00:00Z,,-90,,,,,,,,by hand\n")).unwrap();
    let seen = a.wait_for("walk", |walk| row_of(walk, &first)["note"] == "by hand");
    assert_eq!(row_of(&seen, &first)["level_dbm"], "-90");
    a.say(&reading(3, &json!({"sensor": first, "time": "2026-11-03T11:05:00Z", "heard": "yes"})));
    a.wait("written");
    assert!(fs::read_to_string(&file).unwrap().contains(",by hand\n"));
    // A page that comes back begins where the file is.
    drop(a);
    let mut c = served.page("c");
    assert_eq!(row_of(&walk(&mut c), &first)["heard"], "yes");
}

#[test]
fn what_is_faulty_is_refused_and_nothing_is_lost() {
    let served = Served::shipped("foil-garage");
    let file = served.folder.path().join("plan-readings.csv");
    let mut page = served.page("a");
    let first = ids(&walk(&mut page))[0].clone();
    let good = json!({"sensor": first, "time": "2026-11-03T10:00:00Z", "level_dbm": "-71"});
    let refused = |page: &mut Page, message: &Value| {
        page.say(message);
        page.wait("refused")["what"].as_str().unwrap().to_owned()
    };
    for (cells, what) in [
        (json!({"sensor": first, "level_dbm": "71"}), "outside -180 to 20"),
        (json!({"sensor": first, "bars": "2"}), "what its bars mean"),
        (json!({"sensor": first, "level_dbm": "-71", "heard": "no"}), "contradicts"),
        (json!({"sensor": "nobody", "heard": "no"}), "no such device"),
        (json!({"sensor": first, "colour": "red"}), "no column"),
        (json!({"sensor": first, "level_dbm": "=1+1"}), "not a level"),
        (json!({"sensor": first, "note": "x".repeat(300)}), "longer than"),
    ] {
        let said = refused(&mut page, &reading(7, &cells));
        assert!(said.contains(what), "{said}");
        assert!(!file.exists());
    }
    for name in ["../x.csv", "/tmp/x.csv", ".x.csv", "x.geojson", "a/b.csv"] {
        let message = json!({"type": "reading", "seq": 1, "file": name, "entry": good});
        assert!(refused(&mut page, &message).contains("bare name"), "{name}");
    }
    for text in [
        "[{\"sensor\": 1, \"heard\": true}]",
        "nothing of the sort\n1,2\n",
        "name,price,note\ncontact,25.00,\n",
        "\u{0}\u{1}",
    ] {
        fs::write(&file, text).unwrap();
        refused(&mut page, &reading(8, &good));
        assert_eq!(fs::read(&file).unwrap(), text.as_bytes());
    }
    // A file with a row that is wrong is used, and the row stays as it is.
    let text = "# mine\r\nnote;sensor;level_dbm\r\nloud;nobody;-3\r\n";
    fs::write(&file, text).unwrap();
    page.say(&reading(9, &good));
    page.wait("written");
    let now = fs::read_to_string(&file).unwrap();
    assert_eq!(
        now,
        format!(
            "# mine\r\nnote;sensor;level_dbm;time\r\nloud;nobody;-3\r\n\
             ;{first};-71;2026-11-03T10:00:00Z\r\n"
        )
    );
    let seen = page.wait_for("walk", |walk| !walk["faults"].as_array().unwrap().is_empty());
    assert_eq!(seen["faults"][0]["line"], 3);
}

#[test]
fn bars_and_per_cent_are_read_once_they_are_declared() {
    let served = Served::shipped("foil-garage");
    let mut page = served.page("a");
    let first = ids(&walk(&mut page))[0].clone();
    let bars = "-105, -95, -85, -75";
    page.say(&json!({"type": "scales", "seq": 1, "bars": bars, "percent": "-110 to -50"}));
    page.wait("written");
    let seen = page.wait_for("walk", |walk| !walk["scales"]["bars"].is_null());
    assert_eq!(
        seen["scales"],
        json!({"bars": [-105.0, -95.0, -85.0, -75.0], "percent": [-110.0, -50.0]})
    );
    let stop = &seen["stops"][0]["expected"];
    let (dbm, bars) = (stop["dbm"][0].as_f64().unwrap(), stop["bars"][0].as_u64().unwrap());
    let edges = [-105.0, -95.0, -85.0, -75.0];
    // The level is shown rounded, the bars are of the exact one.
    let near = |level: f64| edges.iter().filter(|edge| **edge <= level).count() as u64;
    assert!((near(dbm - 0.5)..=near(dbm + 0.5)).contains(&bars), "{stop}");
    page.say(&reading(2, &json!({"sensor": first, "time": "2026-11-03T10:00:00Z", "bars": "2"})));
    page.wait("written");
    page.wait_for("diagnosis", |said| said["report"]["readings"]["used"] == 1);
    page.say(&json!({"type": "scales", "seq": 3, "bars": "-75, -85"}));
    assert!(page.wait("refused")["what"].as_str().unwrap().contains("do not rise"));
}

#[test]
fn what_is_accepted_is_one_step_of_undo() {
    let served = Served::shipped("foil-garage");
    let readings = fs::read(
        std::path::Path::new(&fixtures::floorplan("foil-garage"))
            .with_file_name("foil-garage-readings.csv"),
    );
    fs::write(served.folder.path().join("plan-readings.csv"), readings.unwrap()).unwrap();
    let mut page = served.page("a");
    page.say(&json!({"type": "accept"}));
    assert!(page.wait("refused")["what"].as_str().unwrap().contains("no walk"));
    walk(&mut page);
    let said = page.wait_for("diagnosis", |said| !said["report"].is_null());
    assert_eq!(said["calibrated"], false);
    page.say(&json!({"type": "accept"}));
    let plan = page.wait_for("plan", |plan| plan["undo"] == 1);
    page.wait_for("diagnosis", |said| {
        said["calibrated"] == true && said["version"] == plan["version"]
    });
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["undo"] == 0);
    page.wait_for("diagnosis", |said| said["calibrated"] == false && !said["report"].is_null());
    // The walk follows what is edited.
    let id = said["report"]["devices"][0]["id"].as_str().unwrap().to_owned();
    page.say(&moves("edit", 1, &id, [3.0, 2.5]));
    page.wait_for("walk", |walk| walk["version"].as_u64() > plan["version"].as_u64());
}

#[test]
fn a_plan_without_a_file_has_no_readings_yet() {
    let served = Served::new_plan();
    let mut page = served.page("a");
    page.say(&json!({"type": "walk"}));
    assert!(page.wait("refused")["fix"].as_str().unwrap().contains("save the plan"));
}

#[test]
fn causes_and_tests_come_in_the_language_of_the_page() {
    let served = Served::shipped("foil-garage");
    let readings = fixtures::root().join("floorplans/foil-garage-readings.csv");
    fs::copy(readings, served.folder.path().join("plan-readings.csv")).unwrap();
    for (language, first) in [("en", "null at its spot"), ("es", "nulo de señal en su lugar")] {
        let mut page = served.page_in(language);
        page.say(&json!({"type": "walk"}));
        let said = page.wait_for("diagnosis", |said| !said["report"].is_null());
        assert_eq!(said["words"]["null at its spot"], first);
        let suspects = said["report"]["causes"].as_array().unwrap();
        assert!(!suspects.is_empty());
        // Nothing that the report says of them is without words.
        for suspect in suspects {
            for cause in suspect["causes"].as_array().unwrap() {
                for text in [&cause["cause"], &cause["first_step"]] {
                    assert!(said["words"][text.as_str().unwrap()].is_string(), "{text}");
                }
            }
            for test in suspect["next_tests"].as_array().unwrap() {
                assert!(said["words"][test["test"].as_str().unwrap()].is_string(), "{test}");
            }
        }
    }
}
