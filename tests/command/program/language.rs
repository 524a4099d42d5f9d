//! What people read: the unit of the plan throughout, and lines that fit a terminal.

use std::fs;
use std::process::Command;

use serde_json::Value;

use crate::run::{
    PROGRAM, changed, close, folder, folder_with, json_of, number, plan_json, run, run_in, shipped,
};

/// The shipped plans.
const PLANS: [&str; 6] =
    ["annexe", "brick-house", "bungalow", "corner-shop", "foil-garage", "workshop"];

/// Every command that answers about a plan, as one types it; `SENSOR` is the number of a sensor.
const COMMANDS: [&str; 10] = [
    "check PLAN",
    "check PLAN --compare all",
    "place PLAN",
    "place PLAN --drop-limit 0.1 --every-wall",
    "repeaters PLAN",
    "repeaters PLAN --anywhere --spacing 3",
    "explain PLAN SENSOR",
    "handover PLAN --number",
    "quote PLAN",
    "tidy PLAN",
];

/// What a command prints for a plan on a terminal so many columns wide.
fn printed(command: &str, plan: &str, columns: &str) -> String {
    let (folder, plan) = (folder(), shipped(plan));
    let words = command.split(' ').map(|word| match word {
        "PLAN" => plan.as_str(),
        "SENSOR" => "3",
        word => word,
    });
    let mut program = Command::new(PROGRAM);
    program.args(words).current_dir(folder.path()).env("COLUMNS", columns);
    let output = program.output().unwrap();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{command}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// Whether a line has a length in metres: a number before a lone `m`, or an area.
fn has_metres(line: &str) -> bool {
    let words: Vec<&str> = line.split_whitespace().map(bare).collect();
    let is_number = |word: &str| word.ends_with(|last: char| last.is_ascii_digit());
    words.windows(2).any(|pair| is_number(pair[0]) && ["m", "m²"].contains(&pair[1]))
        || words.iter().any(|word| ["metre", "metres"].contains(word))
}

/// Whether a line has a length in feet or inches: digits before a stroke or two.
fn has_feet(line: &str) -> bool {
    line.split_whitespace().map(bare).any(|word| {
        let number = word.trim_end_matches(['\'', '"']);
        let is_length = number.len() < word.len() && number.parse::<f64>().is_ok();
        is_length || ["ft", "feet", "foot"].contains(&word)
    })
}

fn bare(word: &str) -> &str {
    word.trim_matches(['.', ',', ';', ':', '(', ')'])
}

#[test]
fn a_plan_in_feet_speaks_feet_and_one_in_metres_metres() {
    assert!(has_metres("a run of 3.5 m.") && has_feet("a run of 7' 6\", up") && has_feet("3'"));
    assert!(!has_feet("the panel's \"Hall\"") && !has_metres("10 mm² of m"));
    for command in COMMANDS {
        for plan in ["bungalow", "annexe", "workshop"] {
            let is_other = if plan == "bungalow" { has_metres } else { has_feet };
            let said = printed(command, plan, "200");
            let wrong: Vec<&str> = said.lines().filter(|line| is_other(line)).collect();
            assert!(wrong.is_empty(), "{command} on {plan}: {wrong:#?}");
        }
    }
}

#[test]
fn no_line_is_wider_than_the_terminal_and_no_word_is_broken() {
    for plan in ["workshop", "bungalow", "brick-house"] {
        for command in COMMANDS {
            let wide = printed(command, plan, "60000");
            let narrow = printed(command, plan, "80");
            for line in narrow.lines() {
                assert!(line.chars().count() <= 80, "{command} on {plan}: {line}");
            }
            // Whatever stands on the narrow lines stands as a word on the wide ones.
            let known: Vec<&str> = wide.split_whitespace().collect();
            let said = narrow.lines().filter(|line| !line.starts_with("A wider terminal"));
            for word in said.flat_map(str::split_whitespace) {
                assert!(known.contains(&word), "{command} on {plan}: {word:?} is broken");
            }
        }
    }
}

/// A tape-measure list with a fault in every line whose message has a length.
fn faulty_list(unit: &str) -> String {
    format!(
        "units {unit}\nroom A 10 x 10\nroom B 0.1 x 9 right-of A\nroom C 9 x 9 behind A shift -1\n\
         room D 30 x 30 left-of A\nroom E 9 x 9 behind D shift 20\nroom F 9 x 9 right-of A\n\
         door A front 0.1\ndoor A front 12\ndoor A left 3 at 9\nwindow A right 2 sill 9 head 8\n\
         motion A height 20\nkeypad A left at 30\nlevel 1 First floor 1 ceiling 1\n"
    )
}

#[test]
fn faults_of_a_list_speak_its_unit() {
    for (unit, is_other, is_own) in [
        ("ft", has_metres as fn(&str) -> bool, has_feet as fn(&str) -> bool),
        ("m", has_feet, has_metres),
    ] {
        let mut own = 0;
        // The reader's faults hide those of the rooms, and those the ones of what is in them.
        for left_out in [
            &[][..],
            &["room B 0.1", "door A front 0.1", "window A right"],
            &["room B 0.1", "door A front 0.1", "window A right", "room C", "room E", "room F"],
        ] {
            let list = faulty_list(unit);
            let is_kept = |line: &&str| !left_out.iter().any(|start| line.starts_with(start));
            let list: Vec<&str> = list.lines().filter(is_kept).collect();
            let place = folder_with("list.txt", &list.join("\n"));
            let said = run_in(place.path(), &["import", "list.txt"]).ends(2).err;
            let wrong: Vec<&str> = said.lines().filter(|line| is_other(line)).collect();
            assert!(wrong.is_empty(), "{unit}: {wrong:#?}");
            own += said.lines().filter(|line| is_own(line)).count();
        }
        assert!(own >= 8, "{unit}: {own}");
    }
}

#[test]
fn a_height_at_which_nothing_hangs_is_in_the_plan_s_unit() {
    let refused = |plan: &str| run(&["place", &shipped(plan), "--height", "9.9m", "--every-wall"]);
    refused("bungalow").refused(&["a panel 32' 6\" above"]);
    refused("workshop").refused(&["a panel 9.90 m above"]);
}

#[test]
fn a_length_on_the_command_line_may_be_in_feet() {
    let at = |height: &str| {
        let plan = shipped("bungalow");
        let json = run(&["place", &plan, "--no-pictures", "--format", "json", "--height", height]);
        number(&json.json()["search"], "height_m")
    };
    for height in ["5' 3\"", "63in", "5.25ft", "1.6002", "160.02 cm"] {
        close(at(height), 1.6002, 1e-9, height);
    }
}

/// Every text of a plan: names, ids, constructions.
fn texts_of(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::String(text) => found.push(text.clone()),
        Value::Array(items) => items.iter().for_each(|item| texts_of(item, found)),
        Value::Object(members) => members.values().for_each(|item| texts_of(item, found)),
        _ => {}
    }
}

/// The words that a page shows which are English and not of the plan.
fn english(page: &str, plan: &Value) -> Vec<String> {
    const ENGLISH: [&str; 22] = [
        "the", "of", "is", "and", "with", "from", "must", "that", "but", "not", "are", "on", "to",
        "its", "by", "for", "at", "which", "in", "or", "be", "an",
    ];
    let mut own = Vec::new();
    texts_of(plan, &mut own);
    // The unit, "m", is a letter of many words.
    own.retain(|text| text.len() > 2);
    own.sort_by_key(|text| std::cmp::Reverse(text.len()));
    let body = page.split_once("<body").unwrap().1;
    let shown = body.split('<').filter_map(|part| part.split_once('>')).map(|(_, text)| text);
    let mut found = Vec::new();
    for text in shown {
        let bare = own.iter().fold(text.to_owned(), |text, name| text.replace(name, "·"));
        let mut words = bare.split(|sign: char| !sign.is_alphanumeric());
        if words.any(|word| ENGLISH.contains(&word)) {
            found.push(text.to_owned());
        }
    }
    found
}

#[test]
fn spanish_documents_have_no_english() {
    let files = |name: &str| fixtures::floorplans().join("quote").join(name).display().to_string();
    let (business, prices) = (files("negocio.toml"), files("precios.csv"));
    let pages = |plan: &str, content: &Value| {
        let place = folder();
        let usual = [plan, "--language", "es", "--out", "."];
        let quote = ["quote", "--appendix", "--business", &business, "--prices", &prices];
        // So slow that no panel allows the delay.
        let handover = ["handover", "--number", "--take-over", "--disarm-time", "240"];
        let battery = ["--standby-ma", "45", "--alarm-ma", "600", "--battery-ah", "0.5"];
        for (kind, options) in [
            ("quote", [&quote[..], &usual].concat()),
            ("handover", [&handover[..], &battery, &usual].concat()),
        ] {
            let run = run_in(place.path(), &options);
            assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
            let stem = std::path::Path::new(plan).file_stem().unwrap().to_str().unwrap();
            let page =
                fs::read_to_string(place.path().join(format!("{stem}-{kind}.html"))).unwrap();
            assert_eq!(english(&page, content), Vec::<String>::new(), "{kind} of {plan}");
            let says_so = page.contains("las centrales no suelen admitir");
            assert_eq!(says_so, kind == "handover", "{kind} of {plan}");
        }
    };
    for plan in PLANS {
        pages(&shipped(plan), &plan_json(plan));
    }
    // A plan of which there is something to say.
    let doubtful = changed("annexe", |features| features[0]["properties"]["colour"] = "red".into());
    let path = doubtful.path().join("plan.geojson");
    let content = json_of(&fs::read_to_string(&path).unwrap());
    pages(path.to_str().unwrap(), &content);
}
