//! Every reader takes a file in every encoding alike.

use std::fs;
use std::path::Path;
use std::process::Command;

use drillonce::diagnose::readings::{Scales, read_readings};
use drillonce::forecast::vocabulary;
use drillonce::import::{self, Kind, Settings};
use drillonce::job::pricing::{Business, PriceList, read_business, read_prices};
use drillonce::plan::{self, Diagnostic};

use crate::run::folder;

const PLAN: &str = r#"{"type": "FeatureCollection", "name": "Señora Müller", "features": [
  {"type": "Feature", "id": "outer", "properties": {"kind": "wall", "construction": "brick-solid"},
   "geometry": {"type": "LineString", "coordinates": [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]}},
  {"type": "Feature", "id": "short", "properties": {"kind": "wall", "construction": "brick-half"},
   "geometry": {"type": "LineString", "coordinates": [[0, 4], [9.98, 4]]}},
  {"type": "Feature", "id": "panel", "properties": {"kind": "panel"},
   "geometry": {"type": "Point", "coordinates": [1, 1]}},
  {"type": "Feature", "id": "hall", "properties": {"kind": "sensor", "name": "Küche", "number": 1},
   "geometry": {"type": "Point", "coordinates": [9, 7]}}
]}
"#;
const PRICES: &str =
    "artículo;precio;descripción\npanel;200;Centralita señal\ncontact;30,5;Détecteur\n";
const BUSINESS: &str = "name = \"Müller\"\naddress = \"Calle de España\"\ncurrency = \"EUR\"\n\
                        validity_days = 30\nhourly_rate = 40.5\n\
                        [tax]\nname = \"T\"\nrate = 21\non = \"total\"\n";
const READINGS: &str = "sensor,level_dbm,note\nKüche,-87.5,hinter der Tür\n";
const LIST: &str = "name Casa Núñez\nroom Hall 2.0 x 5.0\nroom Baño 3.6 x 5.0 right-of Hall\n\
                    panel Hall left at 4.0\n";

/// What a reader makes of a file: its text for comparing and its warnings, or its faults.
type Outcome = Result<(String, Vec<Diagnostic>), Vec<Diagnostic>>;

/// A reader of a file of this name.
type Reader = fn(&Path, &[u8]) -> Outcome;

fn plan_of(_: &Path, bytes: &[u8]) -> Outcome {
    let reading = plan::read("plan.geojson", bytes, &vocabulary())?;
    Ok((format!("{:?}", reading.plan), reading.warnings))
}

fn prices_of(path: &Path, bytes: &[u8]) -> Outcome {
    fs::write(path, bytes).unwrap();
    let list = read_prices(path)?;
    Ok((format!("{:?}", PriceList { warnings: Vec::new(), ..list.clone() }), list.warnings))
}

fn business_of(path: &Path, bytes: &[u8]) -> Outcome {
    fs::write(path, bytes).unwrap();
    let read = read_business(path)?;
    Ok((format!("{:?}", Business { warnings: Vec::new(), ..read.clone() }), read.warnings))
}

fn readings_of(_: &Path, bytes: &[u8]) -> Outcome {
    let plan = plan::read("plan.geojson", PLAN.as_bytes(), &vocabulary())?.plan;
    let file = read_readings("readings.csv", bytes, &plan, &Scales::default());
    if !file.faults.is_empty() {
        return Err(file.faults);
    }
    Ok((format!("{:?} {:?}", file.readings, file.unused), file.warnings))
}

fn list_of(_: &Path, bytes: &[u8]) -> Outcome {
    let mut draft = import::draft(Kind::Tape, "list.txt", bytes, &Settings::default())?;
    let doubt = draft.guesses.iter().position(|guess| guess.about == "letters");
    let doubt = doubt.map(|at| draft.guesses.remove(at));
    let doubt = doubt.map(|guess| Diagnostic::at("list.txt", (1, 1), guess.taken, guess.fix));
    Ok((format!("{} {:?}", draft.text(), draft.guesses), Vec::from_iter(doubt)))
}

const READERS: [(&str, &str, Reader); 5] = [
    ("plan", PLAN, plan_of),
    ("price list", PRICES, prices_of),
    ("business file", BUSINESS, business_of),
    ("readings", READINGS, readings_of),
    ("tape list", LIST, list_of),
];

/// A text in every encoding but plain UTF-8.
fn encoded(text: &str) -> [(&'static str, Vec<u8>); 4] {
    let utf_16 = |unit: fn(u16) -> [u8; 2]| -> Vec<u8> {
        "\u{feff}".encode_utf16().chain(text.encode_utf16()).flat_map(unit).collect()
    };
    let latin_1 = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    [
        ("UTF-8 with a mark", format!("\u{feff}{text}").into_bytes()),
        ("UTF-16 LE", utf_16(u16::to_le_bytes)),
        ("UTF-16 BE", utf_16(u16::to_be_bytes)),
        ("Latin-1", latin_1),
    ]
}

#[test]
fn every_reader_takes_every_encoding_alike() {
    let folder = folder();
    let path = folder.path().join("file");
    for (reader, text, read) in READERS {
        let (expected, warnings) = read(&path, text.as_bytes()).unwrap();
        for (encoding, bytes) in encoded(text) {
            let (made, said) = read(&path, &bytes).unwrap_or_else(|faults| {
                panic!("{reader} in {encoding}: {faults:?}");
            });
            assert_eq!(made, expected, "{reader} in {encoding}");
            let doubts: Vec<&str> = said.iter().map(|warning| warning.what.as_str()).collect();
            let is_guessed = encoding == "Latin-1";
            assert_eq!(said.len(), warnings.len() + usize::from(is_guessed), "{doubts:?}");
            let known = doubts.contains(&"the file is not UTF-8, so it is read as Latin-1");
            assert_eq!(known, is_guessed, "{reader} in {encoding}: {doubts:?}");
        }
    }
}

#[test]
fn every_reader_refuses_what_is_no_text_in_the_same_words() {
    let folder = folder();
    let path = folder.path().join("file");
    for (bytes, what) in [
        (&b"\xff\xfea"[..], "the file begins like UTF-16 but is not UTF-16"),
        (b"a\0b", "the file is not text"),
    ] {
        for (reader, _, read) in READERS {
            let faults = read(&path, bytes).unwrap_err();
            let said: Vec<&str> = faults.iter().map(|fault| fault.what.as_str()).collect();
            assert_eq!(said, [what], "{reader}");
        }
    }
}

#[test]
fn a_tidied_copy_is_plain_utf_8_whatever_the_plan_was() {
    let folder = folder();
    let tidied = |name: &str, bytes: &[u8]| {
        let (plan, copy) = (folder.path().join(name), folder.path().join(format!("{name}-copy")));
        fs::write(&plan, bytes).unwrap();
        let run = Command::new(env!("CARGO_BIN_EXE_drillonce"))
            .arg("tidy")
            .args([&plan, Path::new("--write"), &copy])
            .output()
            .unwrap();
        let warned = String::from_utf8(run.stderr).unwrap();
        assert!(run.status.success(), "{name}: {warned}");
        (fs::read_to_string(copy).unwrap(), warned)
    };
    let (expected, _) = tidied("UTF-8", PLAN.as_bytes());
    assert!(expected != PLAN && expected.contains("Señora Müller"), "{expected}");
    for (encoding, bytes) in encoded(PLAN) {
        let (copy, warned) = tidied(encoding, &bytes);
        assert_eq!(copy, expected, "{encoding}");
        assert_eq!(warned.contains("read as Latin-1"), encoding == "Latin-1", "{warned}");
    }
}
