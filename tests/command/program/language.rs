//! What people read: the unit of the plan throughout, and lines that fit a terminal.

use std::process::Command;

use crate::run::{PROGRAM, folder, shipped};

/// Every command that answers about a plan, as one types it; `SENSOR` is the number of a sensor.
const COMMANDS: [&str; 9] = [
    "check PLAN",
    "check PLAN --compare all",
    "place PLAN",
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
