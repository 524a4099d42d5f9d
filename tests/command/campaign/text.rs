//! Text from outside (names, notes, terms, options, names of files) plays no tricks on whoever
//! reads what comes of it: no control characters, no turned direction, no forged line, no markup.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use quick_xml::events::Event;
use serde_json::{Value, json};
use tempfile::TempDir;

use fixtures::root;

use super::super::run::{Run, folder, plan_json, run_in};
use super::{EVERY, site};

/// A name that tries everything.
const HOSTILE: &str = "\u{1b}[31m\u{9b}2J\u{7}\u{8}\u{7f}\u{0}\u{202e}drow\u{2066}\u{200f}\u{61c}\n\
    3 sound, 0 thin, 0 failing\r\u{b}0 failing\u{2028}0 failing\u{85}0 failing\u{200b}\u{feff}\
    \u{e0041}\u{ffff}<evil attr='1'>&evil;]]>--><!-- \"'";

/// The same as far as it may stand in the name of a file. One with control characters is refused.
const FILE: &str = "\u{202e}f\u{2066}\u{2028}3 sound\u{200b}\u{feff}\u{ffff}<evil>&evil;]]>";

/// Each format that some command has; one that lacks it complains.
const FORMATS: [&[&str]; 5] = [
    &[],
    &["--format", "csv"],
    &["--format", "json"],
    &["--format", "geojson"],
    &["--format", "csv", "--sheet", "readings"],
];

/// Whether a character does something that does not show; written without a look at the program.
fn is_trick(character: char) -> bool {
    let number = u32::from(character);
    (number < 0x20 && !matches!(character, '\n' | '\t'))
        || (0x7f..0xa0).contains(&number)
        || matches!(number, 0x61c | 0x200b | 0x200e..=0x200f | 0x2028..=0x202e | 0x2060..=0x2067)
        || matches!(number, 0x206a..=0x206f | 0xfeff | 0xfffe..=0xffff | 0xe0000..=0xe007f)
}

/// Whether every isolate of a line is ended in it.
fn is_balanced(line: &str) -> bool {
    let mut open = 0;
    line.chars().all(|sign| {
        open += i32::from(sign == '\u{2068}') - i32::from(sign == '\u{2069}');
        (0..=1).contains(&open)
    }) && open == 0
}

#[track_caller]
fn assert_tame(text: &str, what: &str) {
    if let Some((at, trick)) = text.char_indices().find(|(_, sign)| is_trick(*sign)) {
        let from = text.floor_char_boundary(at.saturating_sub(200));
        panic!("{what}: {trick:?} after {:?}", &text[from..at]);
    }
    for line in text.lines() {
        assert!(is_balanced(line), "{what}: {line:?}");
        let forged = line.trim_start().starts_with("3 sound") || line.trim() == "0 failing";
        assert!(!forged, "{what}: a forged line in {text}");
    }
}

#[track_caller]
fn assert_run_is_tame(run: &Run, what: &str) {
    assert_tame(&run.out, what);
    assert_tame(&run.err, what);
}

/// A text as TOML has it.
fn toml(text: &str) -> String {
    let spelt = |c: char| {
        if c.is_ascii_alphanumeric() { c.into() } else { format!("\\U{:08x}", u32::from(c)) }
    };
    format!("\"{}\"", text.chars().map(spelt).collect::<String>())
}

/// Puts a text before or behind every name in a plan.
fn named(plan: &mut Value, text: &str) {
    plan["name"] = json!(text);
    for level in plan["levels"].as_array_mut().into_iter().flatten() {
        level["name"] = json!(text);
    }
    let features = plan["features"].as_array_mut().unwrap();
    for (number, feature) in features.iter_mut().enumerate() {
        feature["id"] = json!(format!("{number}{text}"));
        for member in ["name", "room", "serial"] {
            if feature["properties"].get(member).is_some() || member == "name" {
                feature["properties"][member] = json!(format!("{number}{text}"));
            }
        }
    }
}

/// A folder for the commands of [`EVERY`] in which everything that has a name has this one.
fn site_named(text: &str) -> TempDir {
    let place = site();
    let write = |name: &str, text: &str| fs::write(place.path().join(name), text).unwrap();
    let mut plan = plan_json("bungalow");
    named(&mut plan, text);
    write("plan.geojson", &plan.to_string());
    let cell = text.replace('"', "\"\"").replace(['\n', '\r', '\0'], " ");
    let rows = format!("number,level_dbm,note,\"{cell}\"\n1,-60,\"{cell}\",\n\"{cell}\",-65,,\n");
    write("readings.csv", &rows);
    let business = fs::read_to_string(root().join("floorplans/quote/business.toml"));
    let business: Vec<String> = (business.unwrap().lines())
        .filter(|line| !line.starts_with("logo"))
        .map(|line| match line.split_once(" = \"") {
            Some((key, _)) if !["currency", "on"].contains(&key) => {
                format!("{key} = {}", toml(&text.chars().take(400).collect::<String>()))
            }
            _ => line.to_owned(),
        })
        .collect();
    write("business.toml", &business.join("\n"));
    let prices = fs::read_to_string(root().join("floorplans/quote/prices.csv")).unwrap();
    let cell: String = cell.chars().take(90).collect();
    write("prices.csv", &format!("{prices}\n\"a{cell}\",5,1,1,\"{cell}\"\n"));
    place
}

const PAPERS: [&str; 4] = ["--business", "business.toml", "--prices", "prices.csv"];

#[test]
fn hostile_names_are_tame_in_all_that_every_command_says_and_writes() {
    for one in EVERY {
        for format in FORMATS {
            let place = site_named(HOSTILE);
            let papers: &[&str] = if one.arguments[0] == "quote" { &PAPERS } else { &[] };
            let what = format!("{} {format:?}", one.arguments[0]);
            let run = run_in(place.path(), &[one.arguments, format, papers].concat());
            assert_run_is_tame(&run, &what);
            assert!(!format.is_empty() || matches!(run.code, Some(0 | 1)), "{what}: {run:?}");
            // The JSON of a quote is a document: a file, in which lines are tame.
            let is_printed = one.arguments[0] != "quote";
            let is_json = format.get(1).is_some_and(|f| f.ends_with("json")) && is_printed;
            if matches!(run.code, Some(0 | 1)) && is_json {
                let report = serde_json::from_str(&run.out).unwrap();
                let mut names = Vec::new();
                names_in(&report, None, &mut names);
                let is_of_plan = one.arguments.contains(&"plan.geojson");
                assert!(!is_of_plan || !names.is_empty(), "{what}: {run:?}");
                for (member, name) in names {
                    let number = name.trim_end_matches("-hop").trim_end_matches(HOSTILE);
                    let is_whole = name.contains(HOSTILE) && number.len() <= 3;
                    assert!(is_whole, "{what}: {member} is {name:?}");
                }
            }
            written_is_tame(&place.path().join("out"), &what);
        }
    }
}

/// Every hostile text in what JSON has for a name, and its member.
fn names_in<'v>(value: &'v Value, member: Option<&'v str>, names: &mut Vec<(&'v str, &'v str)>) {
    const NAMES: [&str; 9] =
        ["id", "name", "via", "room", "serial", "outlet", "feature", "plan", "listener"];
    match value {
        Value::String(text) => {
            let member = member.filter(|member| NAMES.contains(member));
            names.extend(member.filter(|_| text.contains("<evil")).map(|it| (it, text.as_str())));
        }
        Value::Array(items) => items.iter().for_each(|item| names_in(item, member, names)),
        Value::Object(members) => {
            members.iter().for_each(|(name, value)| names_in(value, Some(name), names));
        }
        _ => {}
    }
}

/// Checks every text in a folder, and that no name became markup.
fn written_is_tame(folder: &Path, what: &str) {
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        assert_tame(name, what);
        let kind = name.rsplit_once('.').unwrap().1;
        if !["svg", "html", "csv"].contains(&kind) {
            continue;
        }
        let (text, what) = (fs::read_to_string(&path).unwrap(), format!("{what} {name}"));
        assert_tame(&text, &what);
        if kind != "csv" {
            has_own_elements_only(&text, if kind == "svg" { DRAWING } else { PAGE }, &what);
            assert!(!text.contains("<evil") && !text.contains("&evil"), "{what}");
        }
    }
}

/// The elements of the pictures, and of the documents.
const DRAWING: &str = "svg rect polygon polyline line circle path text g";
const PAGE: &str = "html head meta title style body main footer div p h1 h2 h3 ul li dl dt dd table \
    caption colgroup col thead tbody tr th td strong bdi span i figure img figcaption";

/// Reads markup: it is well-formed and has these elements and no other.
fn has_own_elements_only(text: &str, known: &str, what: &str) {
    let mut reader = quick_xml::Reader::from_str(text);
    // A page has elements without an end, such as <meta>.
    reader.config_mut().check_end_names = known == DRAWING;
    reader.config_mut().allow_unmatched_ends = known == PAGE;
    loop {
        match reader.read_event().unwrap_or_else(|why| panic!("{what}: {why}")) {
            Event::Start(element) | Event::Empty(element) => {
                let name = element.name().as_ref().to_owned();
                assert!(known.split(' ').any(|known| known == name), "{what}: <{name}>");
                let attributes = element.attributes();
                assert!(attributes.clone().all(|one| one.is_ok()), "{what}: <{name}>");
                assert!(!attributes.flatten().any(|one| one.key.as_ref() == "attr"), "{what}");
            }
            Event::Eof => return,
            Event::Comment(_) | Event::CData(_) | Event::PI(_) => panic!("{what}: a comment"),
            _ => {}
        }
    }
}

#[test]
fn a_hostile_name_of_a_file_is_tame_too() {
    for one in EVERY.into_iter().filter(|one| one.arguments.contains(&"plan.geojson")) {
        let place = site();
        let file = format!("{FILE}.geojson");
        let mut plan = plan_json("bungalow");
        plan.as_object_mut().unwrap().remove("name");
        fs::write(place.path().join(&file), plan.to_string()).unwrap();
        let with = |name: &'static str| match name {
            "plan.geojson" => file.as_str(),
            "out" => FILE,
            other => other,
        };
        let arguments: Vec<&str> = one.arguments.iter().copied().map(with).collect();
        let run = run_in(place.path(), &arguments);
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
        assert_run_is_tame(&run, one.arguments[0]);
        written_is_tame(&place.path().join(FILE), one.arguments[0]);
        fs::write(place.path().join(&file), "{}").unwrap();
        let run = run_in(place.path(), &arguments);
        assert_eq!(run.code, Some(2), "{run:?}");
        assert_run_is_tame(&run, one.arguments[0]);
    }
}

#[test]
fn hostile_options_are_tame_in_what_is_said_of_them() {
    let hostile = HOSTILE.replace('\0', "");
    assert!(run_in(site().path(), &["check", &hostile]).err.contains("a control character"));
    hostile_options(&hostile);
    hostile_options(&HOSTILE.replace(char::is_control, "3 sound"));
}

/// Gives this to every option and as every argument.
fn hostile_options(hostile: &str) {
    let options = [
        "",
        "--link",
        "--format",
        "--out",
        "--bars",
        "--keep",
        "--write",
        "--readings",
        "--number",
        "--panel",
        "--business",
        "--map",
        "--map-file",
        "--kind",
        "--language",
        "--date",
        "--compare",
    ];
    for one in EVERY {
        let place = site();
        for option in options {
            let more = if option.is_empty() { vec![hostile] } else { vec![option, hostile] };
            let run = run_in(place.path(), &[one.arguments, &more].concat());
            assert_run_is_tame(&run, &format!("{} {option}", one.arguments[0]));
        }
        let joined = format!("--{hostile}");
        let run = run_in(place.path(), &[one.arguments[0], &joined]);
        assert_eq!(run.code, Some(2), "{run:?}");
        assert_run_is_tame(&run, one.arguments[0]);
        let run = run_in(place.path(), &[one.arguments[0], hostile, hostile]);
        assert_eq!(run.code, Some(2), "{run:?}");
        assert_run_is_tame(&run, one.arguments[0]);
    }
    for words in [&[hostile][..], &["help", hostile], &["explain", "plan.geojson", hostile]] {
        let run = run_in(site().path(), words);
        assert_eq!(run.code, Some(2), "{run:?}");
        assert_run_is_tame(&run, words[0]);
    }
}

#[test]
fn names_of_any_length_cost_no_time() {
    let slow = |place: &TempDir, arguments: &[&str]| {
        let start = Instant::now();
        let run = run_in(place.path(), arguments);
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
        let longest = run.out.lines().map(|line| line.chars().count()).max().unwrap_or(0);
        (start.elapsed(), longest)
    };
    for one in EVERY.into_iter().filter(|one| one.arguments.contains(&"plan.geojson")) {
        let (usual, _) = slow(&site(), one.arguments);
        for text in ["x".repeat(70_000), "xy ".repeat(20_000)] {
            let (long, longest) = slow(&site_named(&text), one.arguments);
            assert!(long < usual * 3 + Duration::from_secs(2), "{one:?}: {long:?}, not {usual:?}");
            assert!(longest < 3_000, "{one:?}: {longest}");
        }
    }
}

#[test]
fn what_is_written_from_right_to_left_turns_no_figure_round() {
    let place = folder();
    let mut plan = plan_json("bungalow");
    named(&mut plan, " דלת כניסה");
    fs::write(place.path().join("plan.geojson"), plan.to_string()).unwrap();
    let table = run_in(place.path(), &["check", "plan.geojson", "--out", "out"]);
    assert_run_is_tame(&table, "table");
    assert!(table.out.contains(" \u{2068}דלת כניסה\u{2069} "), "{table:?}");
    let csv = run_in(place.path(), &["check", "plan.geojson", "--no-pictures", "--format", "csv"]);
    assert!(!csv.out.contains('\u{2068}') && csv.out.contains(" דלת כניסה,"), "{csv:?}");
    run_in(place.path(), &["quote", "plan.geojson", "--format", "html", "--out", "out"]);
    written_is_tame(&place.path().join("out"), "right to left");
    let quote = fs::read_to_string(place.path().join("out/plan-quote.html")).unwrap();
    assert!(quote.contains("<bdi>דלת כניסה</bdi>"));
}

#[test]
fn no_cell_is_a_formula_and_a_sheet_reads_back() {
    let place = site();
    let mut plan = plan_json("bungalow");
    let features = plan["features"].as_array_mut().unwrap();
    let signs = ["=", "+", "-", "@", "'=", "#", "''-"].into_iter().cycle();
    for (feature, (number, sign)) in features.iter_mut().zip((0..).zip(signs)) {
        feature["id"] = json!(format!("{sign}{number}+cmd|' /C calc'!A0"));
        let kind = feature["properties"]["kind"].as_str().unwrap().to_owned();
        if ["sensor", "panel", "room", "keypad", "siren", "repeater"].contains(&kind.as_str()) {
            feature["properties"]["name"] = json!(format!("{sign}SUM({number}),{sign}1;{sign}2"));
        }
    }
    fs::write(place.path().join("plan.geojson"), plan.to_string()).unwrap();
    let sheets = [&["--format", "csv", "--no-pictures"][..], FORMATS[1], FORMATS[4]];
    let csv = EVERY.into_iter().flat_map(|one| sheets.map(|sheet| [one.arguments, sheet].concat()));
    let compare = vec!["check", "plan.geojson", "--compare", "--format", "csv"];
    let template = vec!["diagnose", "plan.geojson", "--template"];
    let mut tables = 0;
    for arguments in csv.chain([compare, template]) {
        let run = run_in(place.path(), &arguments);
        if run.code == Some(2) {
            continue;
        }
        tables += 1;
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
        let mut reader = csv::ReaderBuilder::new();
        let reader = reader.flexible(true).has_headers(false);
        for row in reader.from_reader(run.out.as_bytes()).records() {
            let row = row.unwrap();
            // The template's own words, before it names a device.
            if arguments.contains(&"--template") && row[0].starts_with('#') {
                continue;
            }
            for cell in row.iter().flat_map(|cell| [cell, cell.trim_start()]) {
                let is_sign = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
                let is_number = cell.split(' ').next().unwrap().parse::<f64>().is_ok();
                assert!(!is_sign || is_number, "{arguments:?}: {cell:?}");
            }
        }
    }
    assert!(tables >= 8, "{tables} tables");
    let sheet = run_in(
        place.path(),
        &["handover", "plan.geojson", "--format", "csv", "--sheet", "readings"],
    );
    let filled = sheet.out.lines().map(|line| match line.strip_suffix(",,,,,,") {
        Some(device) => format!("{device},-60,,,,,\n"),
        None => format!("{line}\n"),
    });
    fs::write(place.path().join("readings.csv"), filled.collect::<String>()).unwrap();
    let read = run_in(
        place.path(),
        &[
            "diagnose",
            "plan.geojson",
            "--readings",
            "readings.csv",
            "--no-pictures",
            "--format",
            "json",
        ],
    );
    let readings = &read.json()["readings"];
    let devices = sheet.out.lines().filter(|line| line.ends_with(",,,,,,")).count();
    assert!(devices > 10, "{sheet:?}");
    assert_eq!(readings["devices"], json!(devices), "{readings}");
    assert_eq!(readings["faults"], json!([]), "{readings}");
}
