//! What is taken from the live page is what the commands write, byte for byte, and nothing stays.

#[path = "../serve/client.rs"]
#[allow(dead_code, reason = "other tests call the rest")]
mod client;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use self::client::{Page, parts};
use super::run::{PROGRAM, contents, folder, names, run_in, shipped};
use super::serve::Served;
use serde_json::{Value, json};
use tempfile::TempDir;

/// A plan in a folder, served by a program whose temporary folder is one of the test's own.
struct Place {
    folder: TempDir,
    temporary: TempDir,
    served: Served,
    page: Page,
}

impl Place {
    fn of(plan: &str, options: &[&str]) -> Self {
        let (folder, temporary) = (folder(), folder());
        fs::copy(shipped(plan), folder.path().join("my house.geojson")).unwrap();
        for name in ["business.toml", "prices.csv", "logo.png"] {
            let from = fixtures::floorplans().join("quote").join(name);
            fs::copy(from, folder.path().join(name)).unwrap();
        }
        let arguments = [&["serve", "my house.geojson", "--no-open"], options].concat();
        let mut command = Command::new(PROGRAM);
        command.current_dir(folder.path()).env("TMPDIR", temporary.path()).args(arguments);
        let served = Served::by(&mut command);
        let (port, key) = parts(&served.address);
        let page = Page::at(port, &key, "t");
        Self { folder, temporary, served, page }
    }

    /// What comes of an order: `taken` or `refused`.
    fn ordered(&mut self, what: &str, options: &Value) -> Value {
        self.page.say(&json!({"type": "take", "what": what, "options": options}));
        self.page.wait_of(&["taken", "refused"])
    }

    /// The files that come of an order.
    #[track_caller]
    fn taken(&mut self, what: &str, options: &Value) -> BTreeMap<String, Vec<u8>> {
        let said = self.ordered(what, options);
        assert_eq!((&said["type"], &said["what"]), (&json!("taken"), &json!(what)), "{said}");
        let files = said["files"].as_array().unwrap();
        let file = |file: &Value| {
            let (head, body) = self.fetched(file["at"].as_str().unwrap());
            assert!(head.starts_with("HTTP/1.1 200"), "{head}");
            assert_eq!(body.len() as u64, file["bytes"].as_u64().unwrap());
            (file["name"].as_str().unwrap().to_owned(), body)
        };
        files.iter().map(file).collect()
    }

    fn fetched(&self, path: &str) -> (String, Vec<u8>) {
        let answer = self.served.fetched(path, &format!("127.0.0.1:{}", self.served.port()));
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        let (head, body) = answer.split_at(end + 4);
        (String::from_utf8(head.to_vec()).unwrap(), body.to_vec())
    }

    /// What a command writes of the saved plan.
    #[track_caller]
    fn written(&self, arguments: &[&str]) -> BTreeMap<String, Vec<u8>> {
        let out = folder();
        let to = format!("--out={}", out.path().display());
        let run = run_in(self.folder.path(), &[arguments, &["my house.geojson", &to]].concat());
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
        contents(out.path())
    }
}

const DATE: &str = "2026-10-02";

#[test]
fn what_is_taken_is_what_the_commands_write_of_the_saved_plan() {
    let mut place = Place::of("corner-shop", &[]);
    // An edit that is not saved is in what is taken.
    let panel = fixtures::shipped("corner-shop").panel().unwrap().clone();
    let to = [panel.position.x + 0.5, panel.position.y];
    place.page.say(&client::moves("edit", 1, &panel.id, to));
    let taken = [
        place.taken("pictures", &json!({})),
        place.taken("handover", &json!({"date": DATE, "number": true, "paper": "letter"})),
        place.taken("readings", &json!({"date": DATE, "number": true})),
        place.taken("quote", &json!({"date": DATE, "language": "es", "appendix": true})),
        place.taken(
            "quote",
            &json!({
                "date": DATE, "business": "business.toml", "prices": "prices.csv",
            }),
        ),
    ];
    place.page.say(&json!({"type": "save", "as": null}));
    place.page.wait("saved");
    let date = format!("--date={DATE}");
    let handover = place.written(&["handover", &date, "--number", "--paper=letter"]);
    let sheet = "my house-readings.csv";
    let readings = BTreeMap::from([(sheet.to_owned(), handover[sheet].clone())]);
    let written = [
        place.written(&["check"]),
        handover,
        readings,
        place.written(&["quote", &date, "--language=es", "--appendix"]),
        place.written(&["quote", &date, "--business=business.toml", "--prices=prices.csv"]),
    ];
    for (taken, written) in taken.iter().zip(&written) {
        let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
        assert_eq!(names(taken), names(written));
        assert!(!written.is_empty());
        for (name, bytes) in written {
            assert!(taken[name] == *bytes, "{name} differs");
        }
    }
    assert_eq!(names(place.temporary.path()), Vec::<String>::new());
    let run = place.served.interrupted();
    assert_eq!(run.code, Some(0), "{run:?}");
}

#[test]
fn what_a_walk_says_is_what_the_command_says_and_its_paper_has_the_entries() {
    let mut place = Place::of("foil-garage", &[]);
    let file = "my house-readings.csv";
    let from = fixtures::floorplans().join("foil-garage-readings.csv");
    fs::copy(from, place.folder.path().join(file)).unwrap();
    place.page.say(&json!({"type": "walk"}));
    let walk = place.page.wait("walk");
    assert_eq!(walk["file"], file);
    place.page.wait_for("diagnosis", |said| !said["report"].is_null());
    let said = place.page.1.clone();
    let command = ["diagnose", "my house.geojson", "--readings", file, "--format=json"];
    let run = run_in(place.folder.path(), &[&command[..], &["--no-pictures"]].concat());
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    assert!(said.contains(&format!("\"report\":{}", run.out.trim())), "{said}");
    // With another row the same, and the paper is that of the command with this file.
    let id = walk["stops"][0]["id"].clone();
    let entry = json!({"sensor": id, "time": "2026-11-04T09:00:00Z", "level_dbm": "-70"});
    place.page.say(&json!({"type": "reading", "seq": 1, "entry": entry}));
    place.page.wait("written");
    let used = |said: &Value| said["report"]["readings"]["used"].as_u64();
    let before = used(&serde_json::from_str(&said).unwrap());
    place.page.wait_for("diagnosis", |said| used(said) > before);
    let said = place.page.1.clone();
    let run = run_in(place.folder.path(), &[&command[..], &["--no-pictures"]].concat());
    assert!(said.contains(&format!("\"report\":{}", run.out.trim())), "{said}");
    let options = json!({"date": DATE, "readings": file});
    let taken = place.taken("handover", &options);
    let date = format!("--date={DATE}");
    let from = format!("--readings={file}");
    assert!(taken == place.written(&["handover", &date, &from]));
    let refused = place.ordered("handover", &json!({"readings": "../x.csv"}));
    assert_eq!(refused["type"], "refused");
}

#[test]
fn the_business_may_be_named_at_the_start() {
    let options = ["--business=business.toml", "--prices=prices.csv"];
    let mut place = Place::of("workshop", &options);
    let date = json!({"date": DATE, "format": "html"});
    let taken = place.taken("quote", &date);
    let date = format!("--date={DATE}");
    let written = place.written(&[&["quote", &date, "--format=html"], options.as_slice()].concat());
    assert!(taken == written);
    let without = json!({"date": DATE, "format": "html", "business": null, "prices": null});
    assert!(place.taken("quote", &without) == place.written(&["quote", &date, "--format=html"]));
}

#[test]
fn a_download_is_a_file_and_never_a_page_of_ours() {
    let mut place = Place::of("workshop", &[]);
    let said = place.ordered("quote", &json!({"format": "html"}));
    let at = said["files"][0]["at"].as_str().unwrap().to_owned();
    let [_, taken, secret, name] =
        <[&str; 4]>::try_from(at.split('/').collect::<Vec<_>>()).unwrap();
    assert_eq!((taken, name), ("taken", "my%20house-quote.html"));
    assert!(secret.len() >= 22, "128 bits: {secret}");
    let (head, _) = place.fetched(&at);
    for header in [
        "content-disposition: attachment; filename=\"my house-quote.html\"; \
         filename*=UTF-8''my%20house-quote.html\r\n",
        "content-security-policy: sandbox; default-src 'none'; frame-ancestors 'none'\r\n",
        "content-type: application/octet-stream\r\n",
        "x-content-type-options: nosniff\r\n",
        "cache-control: no-store\r\n",
    ] {
        assert!(head.contains(header), "{header} is not in {head}");
    }
    for other in [
        format!("/taken/{secret}"),
        format!("/taken/{secret}/"),
        format!("/taken/{secret}/other.html"),
        format!("/taken/{secret}/../{secret}/{name}"),
        format!("/taken/{}/{name}", "A".repeat(secret.len())),
        "/taken/".to_owned(),
    ] {
        assert!(place.fetched(&other).0.starts_with("HTTP/1.1 404"), "{other}");
    }
    let foreign = place.served.fetched(&at, "evil.example");
    assert!(foreign.starts_with(b"HTTP/1.1 421"));
}

#[test]
fn what_cannot_be_made_is_refused_and_says_why() {
    let mut place = Place::of("workshop", &[]);
    let refused = |place: &mut Place, what: &str, options: Value| {
        let said = place.ordered(what, &options);
        assert_eq!(said["type"], "refused", "{options}: {said}");
        assert!(!said["fix"].as_str().unwrap().is_empty());
        said["what"].as_str().unwrap().to_owned()
    };
    for (what, options) in [
        ("pictures", json!({"out": "/tmp/elsewhere"})),
        ("quote", json!({"out": "elsewhere"})),
        ("quote", json!({"date=2026-10-02 --out": "x"})),
        ("handover", json!({"write": "../other.geojson", "number": true})),
        ("quote", json!({"date": ["2026-10-02"]})),
    ] {
        refused(&mut place, what, options);
    }
    for name in ["../business.toml", "/etc/hosts", "business.csv", ".toml", "a/b.toml", "..toml"] {
        let why = refused(&mut place, "quote", json!({"business": name}));
        assert!(why.contains("bare name"), "{why}");
    }
    let why = refused(&mut place, "quote", json!({"business": "gone.toml"}));
    assert!(why.contains("gone.toml"), "{why}");
    let why = refused(&mut place, "quote", json!({"date": "yesterday"}));
    assert!(why.contains("--date"), "{why}");
    // A plan with a fault, by its own name.
    let wall = json!({
        "type": "Feature",
        "properties": {"kind": "wall", "construction": "brik-half", "level": 0},
        "geometry": {"type": "LineString", "coordinates": [[0, 0], [3, 0]]},
    });
    let add = json!({"type": "edit", "seq": 1, "changes": [{"do": "add", "feature": wall}]});
    place.page.say(&add);
    let why = refused(&mut place, "handover", json!({}));
    assert!(why.starts_with("fault  my house.geojson:"), "{why}");
    assert_eq!(names(place.temporary.path()), Vec::<String>::new());
}

#[test]
fn what_the_customer_is_shown_is_what_the_quote_says() {
    let papers = ["--business=business.toml", "--prices=prices.csv"];
    let mut place = Place::of("corner-shop", &papers);
    let date = format!("--date={DATE}");
    for language in ["en", "es"] {
        let taken = place.taken("sale", &json!({"date": DATE, "language": language}));
        let tongue = format!("--language={language}");
        let quote = [&["quote", &date, &tongue], papers.as_slice()].concat();
        let json = place.written(&[quote.as_slice(), &["--format=json"]].concat());
        assert!(taken == json);
        let offer: Value = serde_json::from_slice(&taken["my house-quote.json"]).unwrap();
        // Its sums and sentences are those of the quote.
        let html = place.written(&[quote.as_slice(), &["--format=html"]].concat());
        let html = String::from_utf8(html["my house-quote.html"].clone()).unwrap();
        let mut said: Vec<&Value> = vec![&offer["argument"], &offer["price"]["total"]];
        said.extend(offer["price"]["sums"].as_array().unwrap().iter().map(|sum| &sum["amount"]));
        for part in ["assumed", "cautions"] {
            said.extend(offer[part]["lines"].as_array().unwrap());
        }
        for text in said {
            let text = text.as_str().unwrap().replace('\'', "&#39;");
            assert!(html.contains(&text), "{text}");
        }
        // No decibels, and no ids.
        let mut words = offer.clone();
        words["levels"] = Value::Null;
        let words = words.to_string();
        assert!(!words.contains("dB") && !words.contains("MHz"), "{words}");
        let pair = ["without", "with"].map(|name| offer["levels"][0][name].as_array().unwrap());
        assert_eq!(pair.map(Vec::len), [2, 2]);
        for (without, with) in pair[0].iter().zip(pair[1]) {
            let size = |picture: &Value| [picture["width"].clone(), picture["height"].clone()];
            assert_eq!(size(without), size(with));
            assert_ne!(without["png"], with["png"]);
        }
    }
}

#[test]
fn the_customer_sees_where_a_fob_works_without_and_with_the_repeater() {
    let mut place = Place::of("foil-garage", &[]);
    let works = |place: &mut Place, language: &str| {
        let taken = place.taken("sale", &json!({"date": DATE, "language": language}));
        let offer: Value = serde_json::from_slice(&taken["my house-quote.json"]).unwrap();
        assert_eq!(offer["repeaters"], 1);
        offer["roams"].clone()
    };
    let roams = works(&mut place, "en");
    let areas = roams["areas"].as_array().unwrap();
    assert_eq!(roams["title"], "Key fobs and pendants");
    let desk = areas.iter().find(|area| area["name"] == "Panic fob at the desk").unwrap();
    assert_eq!(desk["without"], "0\u{a0}% of the area");
    assert_ne!(desk["works"], desk["without"]);
    // Where the repeater changes nothing, nothing is said of it.
    let house = areas.iter().find(|area| area["name"] == "Pendant in the house").unwrap();
    assert_eq!(
        (&house["works"], &house["without"]),
        (&json!("100\u{a0}% of the area"), &Value::Null)
    );
    // The table of the quote has the same shares.
    let quote = place.written(&["quote", &format!("--date={DATE}"), "--format=html"]);
    let html = String::from_utf8(quote["my house-quote.html"].clone()).unwrap();
    for area in areas {
        assert!(html.contains(area["works"].as_str().unwrap()), "{area}");
    }
    let spanish = works(&mut place, "es");
    assert!(spanish["areas"][0]["works"].as_str().unwrap().ends_with("de la zona"), "{spanish}");
}

#[test]
fn what_a_killed_program_left_goes_with_the_next_and_no_more_than_that() {
    let mut place = Place::of("brick-house", &[]);
    place.page.say(&json!({"type": "take", "what": "pictures", "options": {}}));
    let again = place.ordered("readings", &json!({}));
    assert!(again["what"].as_str().unwrap().contains("already"), "{again}");
    let temporary = place.temporary.path().to_owned();
    let [left] = <[String; 1]>::try_from(names(&temporary)).unwrap();
    // Not ours, whatever they are called.
    fs::create_dir(temporary.join("drillonce-taken-other")).unwrap();
    fs::write(temporary.join("drillonce-taken-file"), "x").unwrap();
    let serve = || {
        let folder = folder();
        fs::copy(shipped("workshop"), folder.path().join("a.geojson")).unwrap();
        let mut command = Command::new(PROGRAM);
        command.current_dir(folder.path()).env("TMPDIR", &temporary);
        (Served::by(command.args(["serve", "a.geojson", "--no-open"])), folder)
    };
    // As long as it runs, nobody else takes it away.
    let (other, _folder) = serve();
    assert!(names(&temporary).contains(&left));
    other.interrupted();
    place.served.killed();
    assert!(names(&temporary).contains(&left));
    let (next, _folder) = serve();
    assert_eq!(names(&temporary), ["drillonce-taken-file", "drillonce-taken-other"]);
    next.interrupted();
}

#[test]
fn one_thing_at_a_time_and_ctrl_c_ends_it_and_leaves_nothing() {
    let mut place = Place::of("brick-house", &[]);
    let before = names(place.folder.path());
    place.page.say(&json!({"type": "take", "what": "pictures", "options": {}}));
    let again = place.ordered("readings", &json!({}));
    assert!(again["what"].as_str().unwrap().contains("already"), "{again}");
    assert_eq!(names(place.temporary.path()).len(), 1);
    let run = place.served.interrupted();
    assert_eq!(run.code, Some(0), "{run:?}");
    assert_eq!(names(place.temporary.path()), Vec::<String>::new());
    let hidden = |name: &String| !name.starts_with(".my house.geojson.drillonce-");
    let before: Vec<String> = before.into_iter().filter(hidden).collect();
    assert_eq!(names(place.folder.path()), before);
    assert!(!Path::new(place.folder.path()).join("output").exists());
}
