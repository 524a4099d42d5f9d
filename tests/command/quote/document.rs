//! The whole document of shipped houses.

use std::fs;
use std::path::Path;

use drillonce::document::{Block, Document};
use drillonce::words::MESSAGES;

use tempfile::TempDir;

use super::{block_texts, folder, made, shipped, texts};
use crate::run::{Run, names, run_in};

const DATE: &str = "2026-10-02";

/// The quote of a plan with the files shipped for a language.
fn quote_of(plan: &str, language: &str) -> Document {
    let (business, prices) = match language {
        "es" => ("quote/negocio.toml", "quote/precios.csv"),
        _ => ("quote/business.toml", "quote/prices.csv"),
    };
    let (business, prices) = (shipped(business), shipped(prices));
    let files = ["--business", &business, "--prices", &prices];
    made(&[&[plan, "--date", DATE, "--language", language], &files[..]].concat()).unwrap().document
}

fn shipped_quote(plan: &str, language: &str) -> Document {
    quote_of(&shipped(&format!("{plan}.geojson")), language)
}

#[test]
fn the_annexe_in_english_and_spanish() {
    for language in ["en", "es"] {
        let document = shipped_quote("annexe", language);
        let text = texts(&document).join("\n");
        insta::assert_snapshot!(format!("annexe_{language}"), text);
    }
}

#[test]
fn the_spanish_quote_has_no_english_message() {
    let mut looked_for = 0;
    for plan in ["annexe", "foil-garage", "brick-house"] {
        let text = texts(&shipped_quote(plan, "es")).join("\n");
        for (key, [other, own]) in MESSAGES {
            if own == other {
                continue;
            }
            // The words between the places; what is short may be part of a Spanish word, and the
            // names of a plan are in the plan's language.
            let parts = other.split(['{', '}']).step_by(2).map(str::trim);
            for part in parts.filter(|part| part.chars().count() > 10) {
                looked_for += 1;
                assert!(!text.contains(part), "{key}: {part}");
            }
        }
    }
    assert!(looked_for > 200, "only {looked_for} messages were looked for");
}

#[test]
fn messages_that_are_the_same_in_both_languages_are_few() {
    let same = MESSAGES.iter().filter(|(_, [english, spanish])| english == spanish);
    let same: Vec<&str> = same.map(|(key, _)| *key).collect();
    assert_eq!(
        same.join(" "),
        "role_none quote_left_device quote_subtotal quote_total \
         ledger_limits_value kind_sensor answer_no test_pass"
    );
}

#[test]
fn there_are_no_decibels_before_the_appendix() {
    for language in ["en", "es"] {
        let document = shipped_quote("annexe", language);
        let last = document.blocks.iter().rposition(|block| *block == Block::PageBreak).unwrap();
        let (customer, appendix) = document.blocks.split_at(last);
        let has = |blocks: &[Block], word: &str| {
            blocks.iter().flat_map(block_texts).any(|text| text.contains(word))
        };
        for word in ["dB", "MHz", "margin", "margen"] {
            assert!(!has(customer, word), "{word}");
        }
        assert!(has(appendix, "dBm") && has(appendix, "MHz"));
    }
}

#[test]
fn why_a_repeater_is_needed_or_not_is_said_once_a_level() {
    let annexe = texts(&shipped_quote("annexe", "en"));
    let why = "Why the repeater is needed: without it, 5 of 12 devices on this level would not be \
               heard well (Annexe door, Annexe garden door, Annexe bedroom window, \
               Annexe motion, Annexe smoke); with it, all of them are but Annexe door.";
    assert_eq!(annexe.iter().filter(|text| *text == why).count(), 1);
    let none = "No repeater is needed for this level: every device on it reaches the control panel by \
                itself.";
    let brick = texts(&shipped_quote("brick-house", "en"));
    assert_eq!(brick.iter().filter(|text| *text == none).count(), 2);
    // With one, all is well in the garage.
    let garage = texts(&shipped_quote("foil-garage", "en"));
    let why = "Why the repeater is needed: without it, 2 of 15 devices on this level would not be \
               heard well (Office window, Office motion); with it, all of them are.";
    assert_eq!(garage.iter().filter(|text| *text == why).count(), 1);
    let front = |plan: &str| -> Vec<String> {
        let quote = shipped_quote(plan, "en");
        let first = quote.blocks.iter().position(|block| *block == Block::PageBreak).unwrap();
        quote.blocks[..first].iter().flat_map(block_texts).collect()
    };
    // No repeater is enough for the annexe's steel door: it is said on the first page.
    let warning = "These devices will not be heard well by the control panel".to_owned();
    let annexe = front("annexe");
    assert!(annexe.contains(&warning));
    assert!(annexe.iter().any(|text| text.starts_with("Annexe door (")), "{annexe:?}");
    assert!(!front("foil-garage").contains(&warning));
}

#[test]
fn a_repeater_that_the_plan_has_already_is_priced_and_shown() {
    let plan = fs::read_to_string(shipped("annexe.geojson")).unwrap();
    let repeater = r#"{"type": "Feature", "id": "r1", "geometry": {"type": "Point", "coordinates": [20.3, 9.92]}, "properties": {"kind": "repeater", "name": "Pump house repeater", "level": 0, "height": 0.3}},
    {"type": "Feature", "id": "outside","#;
    let with = plan.replacen(r#"{"type": "Feature", "id": "outside","#, repeater, 1);
    let place = folder(&[("with.geojson", with.as_bytes())]);
    let path = place.path().join("with.geojson").display().to_string();
    let texts = texts(&quote_of(&path, "en"));
    let has = |start: &str| texts.iter().filter(|text| text.starts_with(start)).count();
    assert_eq!(has("Why the repeater is needed: without it, 5 of 12"), 1);
    assert_eq!(has("Radio repeater | 1 | 118.75 | 118.75"), 1);
    assert_eq!(has("Pump house repeater: Ground, where the plan shows it"), 1);
}

#[test]
fn names_are_carried_as_text() {
    let plan = fs::read_to_string(shipped("annexe.geojson")).unwrap();
    let name = "<script>alert(1)</script> & {count}";
    let with = plan.replace("\"name\": \"Annexe motion\"", &format!("\"name\": \"{name}\""));
    assert_ne!(with, plan);
    let place = folder(&[("with.geojson", with.as_bytes())]);
    let path = place.path().join("with.geojson").display().to_string();
    let document = made(&[&path, "--date", DATE]).unwrap().document;
    let texts = texts(&document);
    let row =
        texts.iter().filter(|text| text.starts_with(&format!("11 | {name} | Motion detector")));
    assert_eq!(row.count(), 1);
    let why = texts.iter().find(|text| text.starts_with("Why the repeater is needed")).unwrap();
    assert!(why.contains(name), "{why}");
}

#[test]
fn without_business_and_prices_there_is_room_to_write() {
    let document = made(&[&shipped("annexe.geojson"), "--date", DATE]).unwrap().document;
    let texts = texts(&document);
    for line in [
        "To be filled in by hand before this quote is handed over",
        "Name, address, licence number and telephone of the installer (3 lines)",
        "Door or window contact | 8 | ____ | ____",
        "Total |  |  | ____",
    ] {
        assert!(texts.iter().any(|text| text == line), "{line}\n{texts:#?}");
    }
    assert_eq!(document.author, "");
}

#[test]
fn the_same_input_gives_the_same_document() {
    let once = shipped_quote("brick-house", "es");
    assert_eq!(once, shipped_quote("brick-house", "es"));
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(once, one.install(|| shipped_quote("brick-house", "es")));
    assert_eq!(once.date, DATE);
}

#[test]
fn the_validity_runs_from_the_date() {
    let texts = texts(&shipped_quote("annexe", "es"));
    assert!(texts.contains(&"Válido hasta: 1 de noviembre de 2026".to_owned()));
}

#[test]
fn pictures_are_png_of_the_size_told_and_not_large_to_draw_or_keep() {
    for plan in ["annexe", "brick-house", "foil-garage"] {
        let document = shipped_quote(plan, "en");
        let (mut sum, mut pixels) = (0, 0);
        for block in &document.blocks {
            let Block::Figures(figures) = block else {
                continue;
            };
            for figure in figures {
                let size = |at: usize| {
                    let bytes = figure.png[at..at + 4].try_into().unwrap();
                    u32::from_be_bytes(bytes)
                };
                assert!(figure.png.starts_with(b"\x89PNG\r\n\x1a\n"));
                assert_eq!((size(16), size(20)), (figure.width, figure.height));
                assert!(!figure.alt.is_empty());
                sum += figure.png.len();
                pixels += figure.width * figure.height;
            }
        }
        // A PDF of less than 2 MB must hold them all, and a font.
        assert!((10_000..1_400_000).contains(&sum), "{plan}: {sum} bytes");
        // Most of a quote's time goes into drawing them.
        assert!((1_000_000..6_000_000).contains(&pixels), "{plan}: {pixels} pixels");
    }
}

/// Runs the program on a shipped plan into a folder.
fn program(plan: &str, more: &[&str], folder: &Path) -> Run {
    let plan = shipped(&format!("{plan}.geojson"));
    let (business, prices) = (shipped("quote/business.toml"), shipped("quote/prices.csv"));
    let files = ["--business", &business, "--prices", &prices];
    let usual = ["quote", &plan, "--date", DATE, "--out", "."];
    run_in(folder, &[&usual[..], &files, more].concat())
}

#[test]
fn the_program_writes_the_same_bytes_again() {
    let (one, two) = (folder(&[]), folder(&[]));
    for place in [&one, &two] {
        program("annexe", &[], place.path()).ends(0);
    }
    for name in ["annexe-quote.html", "annexe-quote.pdf"] {
        let read = |place: &TempDir| fs::read(place.path().join(name)).unwrap();
        assert_eq!(read(&one), read(&two), "{name}");
        assert!(read(&one).len() < 2_000_000);
    }
}

#[test]
fn only_what_is_asked_is_written() {
    for (format, written) in
        [("html", &["workshop-quote.html"][..]), ("pdf", &["workshop-quote.pdf"])]
    {
        let place = folder(&[]);
        // Devices are failing there, and no repeater helps.
        let options = ["--format", format, "--site-offset", "24"];
        program("workshop", &options, place.path()).ends(1);
        assert_eq!(names(place.path()), written);
    }
}

#[test]
fn letter_paper_makes_another_pdf() {
    let (a4, letter) = (folder(&[]), folder(&[]));
    program("annexe", &["--format", "pdf"], a4.path());
    program("annexe", &["--format", "pdf", "--paper", "letter"], letter.path());
    let read = |place: &TempDir| fs::read(place.path().join("annexe-quote.pdf")).unwrap();
    assert_ne!(read(&a4), read(&letter));
}

#[test]
fn the_pair_says_how_many_are_heard_and_has_a_key_in_its_language() {
    let mut keys = Vec::new();
    for (language, without, with, alt) in [
        (
            "en",
            "Ground, without the repeater: 7 of 12 devices heard well",
            "Ground, with the repeater: 11 of 12 devices heard well",
            "How to read the pictures:",
        ),
        (
            "es",
            "Ground, sin el repetidor: llegan bien 7 de 12",
            "Ground, con el repetidor: llegan bien 11 de 12",
            "Cómo leer las imágenes:",
        ),
    ] {
        let document = shipped_quote("annexe", language);
        let figures: Vec<_> = document
            .blocks
            .iter()
            .filter_map(|block| match block {
                Block::Figures(figures) => Some(figures),
                _ => None,
            })
            .collect();
        let place = figures.iter().position(|figures| figures.len() == 2);
        let place = place.unwrap();
        let [left, right] = figures[place].as_slice() else { panic!("a pair") };
        assert_eq!((&*left.caption, &*right.caption), (without, with));
        // One scale: what moves from one to the other is the forecast.
        assert_eq!((left.width, left.height), (right.width, right.height));
        let [key] = figures[place + 1].as_slice() else { panic!("a key") };
        assert!(key.alt.starts_with(alt) && key.caption.is_empty());
        // The plan, which has names alone, is drawn at the same number of pixels for a point.
        assert!(left.width * 2 < figures[place - 1][0].width);
        keys.push(key.png.clone());
    }
    assert_ne!(keys[0], keys[1], "the words of the key");
}
