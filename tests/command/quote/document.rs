//! The whole document of shipped houses.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use drillonce::document::{Block, Cell, Document, Figure};
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
fn there_are_no_decibels_but_in_the_appendix_that_was_asked_for() {
    for language in ["en", "es"] {
        let plan = shipped("annexe.geojson");
        let usual = [&*plan, "--date", DATE, "--language", language];
        let customer = made(&usual).unwrap().document;
        let whole = made(&[&usual[..], &["--appendix"]].concat()).unwrap().document;
        assert!(whole.blocks.starts_with(&customer.blocks));
        let has = |blocks: &[Block], word: &str| {
            blocks.iter().flat_map(block_texts).any(|text| text.contains(word))
        };
        for word in ["dB", "MHz", "margin", "margen"] {
            assert!(!has(&customer.blocks, word), "{word}");
        }
        let appendix = &whole.blocks[customer.blocks.len()..];
        assert!(has(appendix, "dBm") && has(appendix, "MHz"));
    }
}

/// The rows of pictures, in order, also those among blocks that stay together.
fn figures(blocks: &[Block]) -> Vec<&[Figure]> {
    let mut rows = Vec::new();
    for block in blocks {
        match block {
            Block::Figures(figures) => rows.push(figures.as_slice()),
            Block::Together(blocks) => rows.extend(figures(blocks)),
            _ => {}
        }
    }
    rows
}

/// The texts of the first page.
fn front(document: &Document) -> Vec<String> {
    let end = document.blocks.iter().position(|block| *block == Block::PageBreak).unwrap();
    document.blocks[..end].iter().flat_map(block_texts).collect()
}

#[test]
fn the_first_page_says_once_why_a_repeater_is_needed_and_what_it_costs() {
    for (plan, language, why) in [
        (
            "annexe",
            "en",
            "With one repeater (USD\u{a0}157.99, fitted, tax included), these devices also reach \
             the control panel reliably: Annexe garden door, Annexe bedroom window, Annexe motion, \
             Annexe smoke. Still not reliable: Annexe door.",
        ),
        (
            "foil-garage",
            "en",
            "With one repeater (USD\u{a0}158.00, fitted, tax included), every device reaches the \
             control panel reliably. Without, 2 of 15 would not: Office window, Office motion.",
        ),
        (
            "brick-house",
            "en",
            "Every device reaches the control panel directly. No repeater is needed.",
        ),
        (
            "brick-house",
            "es",
            "Todos los dispositivos llegan directamente a la central. No hace falta ningún \
             repetidor.",
        ),
    ] {
        let document = shipped_quote(plan, language);
        assert_eq!(texts(&document).iter().filter(|text| *text == why).count(), 1, "{plan}");
        assert!(front(&document).contains(&why.to_owned()), "{plan}");
    }
    // No repeater is enough for the annexe's steel door: it is said on the first page.
    let warning = "These devices do not reach the control panel reliably".to_owned();
    let annexe = front(&shipped_quote("annexe", "en"));
    assert!(annexe.contains(&warning));
    assert!(annexe.iter().any(|text| text.starts_with("Annexe door (")), "{annexe:?}");
    assert!(!front(&shipped_quote("foil-garage", "en")).contains(&warning));
}

#[test]
fn the_price_of_the_repeater_is_what_the_total_is_higher_by() {
    // 118.75 and 0.4 h at 68.00 = 27.20: 145.95. The subtotal of 1355.54 has a tax of 8.25 % of
    // 111.83 (111.832); without them, of 1209.59, 99.79 (99.791): 1467.37 - 1309.38 = 157.99.
    let front = front(&shipped_quote("annexe", "en"));
    assert!(front.contains(&"USD\u{a0}1,467.37, tax included".to_owned()), "{front:?}");
    assert!(front.iter().any(|text| text.contains("(USD\u{a0}157.99, fitted")), "{front:?}");
}

#[test]
fn a_quote_with_a_failing_device_is_a_draft_that_nobody_signs() {
    let place = folder(&[]);
    let run = program("workshop", &["--format", "html", "--site-offset", "24"], place.path());
    assert_eq!(run.code, Some(1));
    assert!(run.err.contains("DRAFT: not heard reliably"), "{run:?}");
    let plan = shipped("workshop.geojson");
    for (language, stamp, sign) in [
        ("en", "DRAFT – not for signature", "Customer: place, date, signature"),
        ("es", "BORRADOR – no firmar", "Cliente: lugar, fecha y firma"),
    ] {
        let of = |offset: &str| {
            let options = ["--site-offset", offset, "--language", language, "--date", DATE];
            made(&[&[&*plan], &options[..]].concat()).unwrap()
        };
        let (draft, sound) = (of("24"), of("0"));
        assert!(draft.any_failing && !sound.any_failing);
        let (draft, sound) = (draft.document, sound.document);
        let word = stamp.split(' ').next().unwrap();
        assert!(front(&draft).contains(&stamp.to_owned()));
        assert!(draft.title.starts_with(word) && draft.footer.starts_with(word));
        assert!(!texts(&draft).contains(&sign.to_owned()));
        assert!(texts(&sound).contains(&sign.to_owned()));
        assert!(!texts(&sound).iter().any(|text| text.contains(word)));
    }
}

/// Whether a text has a number with a unit of length after it.
fn has_length(text: &str, units: &[&str]) -> bool {
    let words: Vec<&str> = text.split([' ', '\u{a0}', ',', ';', '(', ')']).collect();
    let number = |word: &str| word.chars().next().is_some_and(|c| c.is_ascii_digit());
    words.windows(2).any(|pair| number(pair[0]) && units.contains(&pair[1]))
        || units.iter().any(|unit| {
            unit.len() == 1 && !unit.starts_with('m') && {
                let mut before = ' ';
                text.chars().any(|c| {
                    let found = unit.starts_with(c) && before.is_ascii_digit();
                    before = c;
                    found
                })
            }
        })
}

#[test]
fn a_plan_in_feet_has_no_metre_and_one_in_metres_no_foot() {
    let metres: &[&str] = &["m", "m²", "cm", "mm"];
    let feet: &[&str] = &["ft", "ft²", "'", "\""];
    let mut found = 0;
    for (plan, own, other) in [("bungalow", feet, metres), ("foil-garage", metres, feet)] {
        for language in ["en", "es"] {
            let plan = shipped(&format!("{plan}.geojson"));
            let options = ["--language", language, "--date", DATE, "--appendix"];
            let texts = texts(&made(&[&[&*plan], &options[..]].concat()).unwrap().document);
            for text in &texts {
                assert!(!has_length(text, other), "{plan}, {language}: {text}");
            }
            found += texts.iter().filter(|text| has_length(text, own)).count();
        }
    }
    assert!(found > 20, "{found} lengths");
}

#[test]
fn no_line_of_the_price_stands_twice() {
    for plan in ["annexe", "corner-shop", "foil-garage", "bungalow", "workshop", "brick-house"] {
        for language in ["en", "es"] {
            let document = shipped_quote(plan, language);
            let table = document.blocks.iter().rev().find_map(|block| match block {
                Block::Table { rows, .. } => Some(rows),
                _ => None,
            });
            let mut names: Vec<&Cell> = table.unwrap().iter().map(|row| &row.cells[0]).collect();
            let count = names.len();
            names.sort_by_key(|name| format!("{name:?}"));
            names.dedup();
            assert_eq!(names.len(), count, "{plan}, {language}");
        }
    }
}

#[test]
fn number_and_validity_come_from_the_business_or_the_options() {
    let plan = shipped("annexe.geojson");
    let business = shipped("quote/business.toml");
    let said = |options: &[&str]| {
        let usual = [&*plan, "--date", DATE];
        front(&made(&[&usual[..], options].concat()).unwrap().document)
    };
    let has = |texts: Vec<String>, start: &str| {
        assert!(texts.iter().any(|text| text.starts_with(start)), "{start}: {texts:?}");
    };
    has(said(&[]), "Quote 20261002-");
    has(said(&["--business", &business]), "Quote QL-20261002-");
    let until = " · 2 October 2026 · valid until 1 November 2026";
    let is_until = |text: &String| text.contains(until);
    assert!(said(&["--business", &business]).iter().any(is_until));
    let own = ["--business", &business, "--number", "17/b", "--valid-days", "10"];
    has(said(&own), "Quote 17/b · 2 October 2026 · valid until 12 October 2026");
    for (option, bad) in [("--number", " "), ("--valid-days", "0"), ("--valid-days", "9999")] {
        crate::run::run(&["quote", &plan, option, bad]).refused(&[option]);
    }
}

#[test]
fn another_house_or_offer_of_a_day_has_another_number_and_the_same_input_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let text = r#"{"type": "FeatureCollection", "units": "m", "link": "eu-868.65", "features": [
        {"type": "Feature", "properties": {"kind": "wall", "construction": "brick-cavity"},
         "geometry": {"type": "LineString",
                      "coordinates": [[0, 0], [8, 0], [8, 5], [0, 5], [0, 0]]}},
        {"type": "Feature", "properties": {"kind": "panel", "name": "Panel"},
         "geometry": {"type": "Point", "coordinates": [1, 2]}},
        {"type": "Feature", "properties": {"kind": "sensor", "name": "Window", "number": 1},
         "geometry": {"type": "Point", "coordinates": [7, 3]}}]}"#;
    let number = |house: &str, text: &str, options: &[&str]| {
        let folder = folder.path().join(house);
        fs::create_dir_all(&folder).unwrap();
        let plan = folder.join("house.geojson");
        fs::write(&plan, text).unwrap();
        let usual = [plan.to_str().unwrap(), "--date", DATE];
        let front = front(&made(&[&usual[..], options].concat()).unwrap().document);
        let mut words = front.iter().flat_map(|text| text.split(' '));
        words.find(|word| word.contains("20261002-")).unwrap().to_owned()
    };
    let first = number("one", text, &[]);
    assert!(first.starts_with("20261002-"), "{first}");
    // The folder and the form of the file do not matter, what is offered does.
    assert_eq!(number("two", text, &["--paper", "letter", "--appendix"]), first);
    let moved = text.replacen("[7, 3]", "[7, 2]", 1);
    assert_ne!(moved, text);
    let numbers = [
        first,
        number("three", &moved, &[]),
        number("one", text, &["--language", "es"]),
        number("one", text, &["--valid-days", "10"]),
        number("one", text, &["--business", &shipped("quote/business.toml")]),
    ];
    let different: BTreeSet<&String> = numbers.iter().collect();
    assert_eq!(different.len(), numbers.len(), "{numbers:?}");
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
    assert_eq!(has("With one repeater (USD\u{a0}157.99"), 1);
    assert_eq!(has("Radio repeater | 1 | 118.75 | 118.75"), 1);
    let place = texts.iter().filter(|text| {
        text.starts_with("Pump house repeater: ") && text.ends_with("0.30\u{a0}m up")
    });
    assert_eq!(place.count(), 1, "{texts:#?}");
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
    let why = texts.iter().find(|text| text.starts_with("With one repeater, ")).unwrap();
    assert!(why.contains(name), "{why}");
}

#[test]
fn without_business_and_prices_there_is_room_to_write() {
    let document = made(&[&shipped("annexe.geojson"), "--date", DATE]).unwrap().document;
    let texts = texts(&document);
    for line in [
        "Fill in by hand before you hand over this quote",
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
    let valid = |text: &String| text.contains("válido hasta el 1 de noviembre de 2026\n");
    assert!(texts.iter().any(valid), "{texts:?}");
}

#[test]
fn pictures_are_png_of_the_size_told_and_not_large_to_draw_or_keep() {
    for plan in ["annexe", "brick-house", "foil-garage"] {
        let document = shipped_quote(plan, "en");
        let (mut sum, mut pixels) = (0, 0);
        for figures in figures(&document.blocks) {
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
        assert_eq!(program("workshop", &options, place.path()).code, Some(1));
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
            "Without the repeater: 7 of 12 devices heard well",
            "With the repeater: 11 of 12 devices heard well",
            "How to read the pictures:",
        ),
        (
            "es",
            "Sin el repetidor: llegan bien 7 de 12",
            "Con el repetidor: llegan bien 11 de 12",
            "Cómo leer las imágenes:",
        ),
    ] {
        let document = shipped_quote("annexe", language);
        let figures = figures(&document.blocks);
        let place = figures.iter().position(|figures| figures.len() == 2);
        let place = place.unwrap();
        let [left, right] = figures[place] else { panic!("a pair") };
        assert_eq!((&*left.caption, &*right.caption), (without, with));
        // One scale: what moves from one to the other is the forecast.
        assert_eq!((left.width, left.height), (right.width, right.height));
        let [key] = figures[place + 1] else { panic!("a key") };
        assert!(key.alt.starts_with(alt) && key.caption.is_empty());
        // The plan, which has all names, is larger.
        assert!(left.width < figures[place - 1][0].width);
        keys.push(key.png.clone());
    }
    assert_ne!(keys[0], keys[1], "the words of the key");
}
