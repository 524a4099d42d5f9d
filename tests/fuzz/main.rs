//! Every fuzz target without cargo-fuzz: its seeds, and mutations of them. `cargo test` tries some
//! thousand of each; `DRILLONCE_FUZZ_CASES` says how many instead. See `README.md` beside this.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "counts in the test's output")]

#[path = "../import/promises.rs"]
#[allow(dead_code, reason = "other tests call the rest")]
mod import_promises;
#[path = "../plan/lenient/promises.rs"]
mod lenient_promises;
#[path = "../serve/promises.rs"]
mod message_promises;
mod papers;
#[path = "../plan/faults/promises.rs"]
#[allow(dead_code, reason = "other tests call the rest")]
mod plan_promises;
#[path = "../diagnose/readings/promises.rs"]
#[allow(dead_code, reason = "other tests call the rest")]
mod readings_promises;
#[path = "../plan/tidy/promises.rs"]
#[allow(dead_code, reason = "other tests call the rest")]
mod tidy_promises;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};

use fixtures::root;
use import::Kind;

/// A target's name, what it does with bytes, and where its seeds are: files, or folders with an
/// ending.
type Target = (&'static str, fn(&[u8]), &'static [&'static str]);

const TARGETS: [Target; 16] = [
    (
        "read_plan",
        |bytes| {
            plan_promises::survives(bytes);
            lenient_promises::survives_leniently(bytes, &plan_promises::vocabulary());
        },
        &["tests/fuzz/seeds/*.geojson"],
    ),
    ("tidy_plan", tidy_promises::survives_tidy, &["tests/fuzz/seeds/*.geojson"]),
    ("serve_message", message_promises::survives_message, &["tests/fuzz/messages/*.json"]),
    ("read_readings", readings_promises::survives, &["tests/fuzz/readings/*"]),
    ("read_prices", papers::survives_prices, &["floorplans/quote/*.csv"]),
    ("read_business", papers::survives_business, &["floorplans/quote/*.toml"]),
    ("csv_round_trip", papers::survives_csv, &["floorplans/quote/*.csv", "tests/fuzz/readings/*"]),
    (
        "import_tape",
        |bytes| import_promises::survives(Kind::Tape, bytes),
        &["floorplans/tape/*.txt"],
    ),
    ("import_dxf", |bytes| import_promises::survives(Kind::Dxf, bytes), &["tests/fuzz/drawings/*"]),
    ("import_pdf", |bytes| import_promises::survives(Kind::Pdf, bytes), &["tests/fuzz/pages/*"]),
    ("paint_pdf", import_promises::survives_painting, &["tests/fuzz/pages/*"]),
    (
        "import_picture",
        |bytes| import_promises::survives(Kind::Picture, bytes),
        &["tests/fuzz/pictures/*"],
    ),
    (
        "import_osm_xml",
        |bytes| import_promises::survives(Kind::OsmXml, bytes),
        &["floorplans/map/*.osm"],
    ),
    (
        "import_osm_geojson",
        |bytes| import_promises::survives(Kind::IndoorGeojson, bytes),
        &["tests/import/osm/files/*.geojson", "tests/fuzz/seeds/*.geojson"],
    ),
    (
        "import_imdf",
        import_promises::survives_imdf,
        &["floorplans/map/*.zip", "tests/import/imdf/files/quay-arcade/*"],
    ),
    ("import_ifc", |bytes| import_promises::survives(Kind::Ifc, bytes), &["tests/fuzz/models/*"]),
];

/// How many mutations of each target are tried where nobody says it.
const CASES: u64 = 2_000;

/// A target that takes some hundredths of a second for each has a tenth of them.
const SLOW: &str = "paint_pdf";

/// What mutations put in: signs and words of all the formats, and what belongs into none.
const SCRAPS: &str = "\" ' , ; | \t \n \r \0 \u{1} \u{1b} \u{202e} \u{feff} \u{85} \u{ffff} \u{1f600} \
    = + - @ # [ ] { } < > & ]]> : . / \\ \\u0000 \\ud800 0 -0.0 1e999 -1e308 1e-320 NaN null true \
    99999999999999999999 0,5 1,234 item price \"kind\" \"level\" sensor room <node <way </osm> \
    SECTION ENDSEC EOF #12 LINE ARC BLOCK PK sep=; dxf name = rate [tax] [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[";

/// The files that a pattern `FOLDER/*ENDING` names.
fn seeds(patterns: &[&str]) -> Vec<Vec<u8>> {
    let mut found = Vec::new();
    for pattern in patterns {
        let (folder, ending) = pattern.split_once('*').unwrap();
        let entries = fs::read_dir(root().join(folder)).into_iter().flatten();
        let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
        paths.retain(|path| path.is_file() && path.to_string_lossy().ends_with(ending));
        paths.sort();
        found.extend(paths.into_iter().map(|path| fs::read(path).unwrap()));
    }
    assert!(!found.is_empty(), "no seeds in {patterns:?}");
    found
}

/// Numbers that look like chance and are the same every time (xorshift64, G. Marsaglia, Xorshift
/// RNGs, 2003; from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most.max(1) as u64) as usize
    }

    /// One of the seeds with some changes.
    fn mutation(&mut self, seeds: &[Vec<u8>], scraps: &[&str]) -> Vec<u8> {
        let mut bytes = seeds[self.below(seeds.len())].clone();
        for _ in 0..=self.below(4) {
            let (from, length) = (self.below(bytes.len() + 1), self.below(60));
            let range = from..(from + length).min(bytes.len());
            match self.below(9) {
                0 => bytes.truncate(from),
                1 => drop(bytes.drain(range)),
                2 => {
                    let piece = bytes[range].repeat(1 + self.below(4));
                    bytes.splice(from..from, piece);
                }
                3 => bytes[range].fill(b' '),
                4 => {
                    let other = &seeds[self.below(seeds.len())];
                    let start = self.below(other.len());
                    let piece = &other[start..(start + 3 * length).min(other.len())];
                    bytes.splice(range, piece.iter().copied());
                }
                5 => {
                    let flipped = 1 << self.below(8);
                    bytes.get_mut(from).into_iter().for_each(|byte| *byte ^= flipped);
                }
                6 => drop(bytes.splice(range, scraps[self.below(scraps.len())].bytes())),
                _ => drop(bytes.splice(from..from, scraps[self.below(scraps.len())].bytes())),
            }
        }
        bytes
    }
}

#[test]
fn every_target_keeps_its_promises() {
    let cases = std::env::var("DRILLONCE_FUZZ_CASES").ok().map(|cases| cases.parse().unwrap());
    let scraps: Vec<&str> =
        SCRAPS.split(' ').chain([" "]).filter(|scrap| !scrap.is_empty()).collect();
    let only = std::env::var("DRILLONCE_FUZZ_TARGET").unwrap_or_default();
    for (name, survives, patterns) in TARGETS.iter().filter(|target| target.0.contains(&only)) {
        let seeds = seeds(patterns);
        let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
        let whole = seeds.iter().cloned();
        let usual = if *name == SLOW { CASES / 10 } else { CASES };
        let mutations = (0..cases.unwrap_or(usual)).map(|_| dice.mutation(&seeds, &scraps));
        let mut tried = 0;
        for bytes in whole.chain(mutations) {
            tried += 1;
            if catch_unwind(AssertUnwindSafe(|| survives(&bytes))).is_err() {
                let place = std::env::temp_dir().join(format!("drillonce-{name}-found"));
                fs::write(&place, &bytes).unwrap();
                panic!("{name}, input {tried}: see {}", place.display());
            }
        }
        println!("{name}: {tried} inputs");
    }
}

#[test]
fn every_target_of_the_fuzzer_is_one_of_these() {
    let text = fs::read_to_string(root().join("tests/fuzz/Cargo.toml")).unwrap();
    let bins = text.split("[[bin]]\nname = \"").skip(1).map(|bin| bin.split('"').next().unwrap());
    let (mut bins, mut ours): (Vec<&str>, Vec<&str>) =
        (bins.collect(), TARGETS.map(|t| t.0).to_vec());
    bins.sort_unstable();
    ours.sort_unstable();
    assert_eq!(bins, ours);
}
