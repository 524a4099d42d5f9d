//! Whatever the bytes: a plan that keeps its promises, or faults; never a panic.

use plan::MAX_FILE_BYTES;
use proptest::prelude::*;
use proptest::sample::Index;

use crate::faults::promises;
use crate::faults::support::{house, plan_of, vocabulary};
use crate::lenient::promises::survives_leniently;

fn survives(bytes: &[u8]) {
    promises::survives(bytes);
    survives_leniently(bytes, &vocabulary());
}

/// One way to spoil a plan; places are shares of its length.
#[derive(Debug, Clone)]
enum Spoil {
    Cut(Index),
    Drop(Index, usize),
    Repeat(Index, usize),
    Swap(Index, Index),
    Put(Index, &'static str),
    Replace(Index, &'static str),
    Byte(Index, u8),
}

/// Pieces of plans, and what should not be in any, with a blank or two between them.
const SCRAPS: &str = r#"1e999  -1e308  NaN  null  ""  []  {}  true  0  -0.0  1e-320  ,  "  \  4  0.04
    [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[  99999999999999999999  "kind": "wall",  "\ud800"  [0, 0]
    [10, 0],  "wall"  "opening"  "level": 1,"#;

fn scraps() -> Vec<&'static str> {
    let scraps = SCRAPS.split("  ").map(str::trim).filter(|scrap| !scrap.is_empty());
    scraps.chain(["\u{feff}"]).collect()
}

fn spoil() -> impl Strategy<Value = Spoil> {
    let scrap = || proptest::sample::select(scraps());
    let place = any::<Index>;
    prop_oneof![
        1 => place().prop_map(Spoil::Cut),
        2 => (place(), 1..60_usize).prop_map(|(at, length)| Spoil::Drop(at, length)),
        2 => (place(), 1..200_usize).prop_map(|(at, length)| Spoil::Repeat(at, length)),
        4 => (place(), place()).prop_map(|(a, b)| Spoil::Swap(a, b)),
        2 => (place(), scrap()).prop_map(|(at, scrap)| Spoil::Put(at, scrap)),
        8 => (place(), scrap()).prop_map(|(at, scrap)| Spoil::Replace(at, scrap)),
        1 => (place(), any::<u8>()).prop_map(|(at, byte)| Spoil::Byte(at, byte)),
    ]
}

/// Pieces of JSON text: what stands between brackets, commas and colons, and these themselves.
fn tokens(bytes: &[u8]) -> Vec<Vec<u8>> {
    let mut tokens = vec![Vec::new()];
    for &byte in bytes {
        let ends = b"[]{},:".contains(&byte);
        if ends {
            tokens.push(vec![byte]);
            tokens.push(Vec::new());
        } else if let Some(last) = tokens.last_mut() {
            last.push(byte);
        }
    }
    tokens.retain(|token| !token.is_empty());
    tokens
}

fn spoilt(mut bytes: Vec<u8>, spoils: &[Spoil]) -> Vec<u8> {
    for spoil in spoils {
        if bytes.is_empty() {
            break;
        }
        let range = |at: &Index, length: usize| {
            let start = at.index(bytes.len());
            start..(start + length).min(bytes.len())
        };
        match spoil {
            Spoil::Cut(at) => bytes.truncate(at.index(bytes.len())),
            Spoil::Drop(at, length) => drop(bytes.drain(range(at, *length))),
            Spoil::Repeat(at, length) => {
                let range = range(at, *length);
                let piece = bytes[range.clone()].to_vec();
                bytes.splice(range.end..range.end, piece);
            }
            Spoil::Put(at, scrap) => {
                let at = at.index(bytes.len());
                bytes.splice(at..at, scrap.bytes());
            }
            Spoil::Byte(at, byte) => {
                let at = at.index(bytes.len());
                bytes[at] = *byte;
            }
            Spoil::Swap(a, b) => {
                let mut tokens = tokens(&bytes);
                let (a, b) = (a.index(tokens.len()), b.index(tokens.len()));
                tokens.swap(a, b);
                bytes = tokens.concat();
            }
            Spoil::Replace(at, scrap) => {
                let mut tokens = tokens(&bytes);
                let at = at.index(tokens.len());
                tokens[at] = scrap.bytes().collect();
                bytes = tokens.concat();
            }
        }
    }
    bytes
}

/// A plan file of any structure: right names, values of any sort.
fn any_json(depth: u32) -> impl Strategy<Value = serde_json::Value> {
    let leaf = prop_oneof![
        Just(serde_json::Value::Null),
        any::<bool>().prop_map(Into::into),
        (-20..20_i32).prop_map(Into::into),
        any::<f64>().prop_map(Into::into),
        proptest::sample::select(names()).prop_map(Into::into),
        ".{0,8}".prop_map(Into::into),
    ];
    leaf.prop_recursive(depth, 64, 6, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..6).prop_map(Into::into),
            proptest::collection::vec((proptest::sample::select(names()), inner), 0..6).prop_map(
                |members| {
                    serde_json::Value::Object(
                        members.into_iter().map(|(name, value)| (name.to_owned(), value)).collect(),
                    )
                }
            ),
        ]
    })
}

const NAMES: &str = "type features units levels link constructions name Feature geometry properties id \
    kind wall opening slab panel sensor roam Point LineString Polygon coordinates level \
    floor ceiling height base top construction concrete layers loss_db 868.3 material \
    thickness_mm like state number serial role supervised";

fn names() -> Vec<&'static str> {
    NAMES.split_whitespace().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn random_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        survives(&bytes);
    }

    #[test]
    fn random_text(text in "[\\[\\]{}\",:0-9.eE+-]{0,200}") {
        survives(text.as_bytes());
    }

    #[test]
    fn spoilt_plans(spoils in proptest::collection::vec(spoil(), 1..6)) {
        survives(&spoilt(house().into_bytes(), &spoils));
    }

    #[test]
    fn any_structure(features in proptest::collection::vec(any_json(5), 0..4), top in any_json(4)) {
        let features: Vec<String> = features.iter().map(ToString::to_string).collect();
        survives(plan_of(&format!("\"levels\": {top},"), &features.join(",\n")).as_bytes());
        survives(plan_of(&format!("\"constructions\": {top},"), "").as_bytes());
        survives(plan_of(&format!("\"link\": {top},"), "").as_bytes());
    }

    #[test]
    fn any_properties(properties in any_json(3), coordinates in any_json(4)) {
        for kind in ["wall", "opening", "slab", "obstacle", "sensor", "roam", "outlet"] {
            let shape = match kind {
                "wall" | "opening" => "LineString",
                "sensor" | "outlet" => "Point",
                _ => "Polygon",
            };
            let mut properties = properties.clone();
            if let Some(members) = properties.as_object_mut() {
                members.insert("kind".to_owned(), kind.into());
            }
            let feature = format!(
                "{{\"type\": \"Feature\", \"properties\": {properties}, \"geometry\": {{\"type\": \
                 \"{shape}\", \"coordinates\": {coordinates}}}}}"
            );
            survives(crate::faults::support::with_features(&feature).as_bytes());
        }
    }
}

/// A file of exactly the largest size, made of one piece again and again.
fn filled(head: &str, piece: &str, tail: &str) -> Vec<u8> {
    let room = MAX_FILE_BYTES - head.len() - tail.len();
    let mut bytes = head.as_bytes().to_vec();
    bytes.extend_from_slice(piece.repeat(room / piece.len()).as_bytes());
    bytes.extend_from_slice(tail.as_bytes());
    bytes
}

/// The largest files, each of a sort that costs a careless reader much time or memory.
#[test]
fn the_largest_files() {
    let head = "{\"type\":\"FeatureCollection\",\"features\":[";
    let line = "{\"type\":\"Feature\",\"properties\":{\"kind\":\"wall\"},\"geometry\":\
                {\"type\":\"LineString\",\"coordinates\":[";
    for (head, piece, tail) in [
        ("", "[", ""),
        ("", "{\"a\":", ""),
        ("\"", "a", "\""),
        ("", "\n", "x"),
        ("", "1", ""),
        ("-", "I", ""),
        (head, "0,", "0]}"),
        (head, "{},", "{}]}"),
        (head, "\"type\",", "0]}"),
        (&format!("{head}{line}"), "[0,0],", "[0,0]]}}]}"),
        (&format!("{head}{line}[0"), ",0", "]]}}]}"),
        (&format!("{head}{line}[0,0],["), "9", "]]}}]}"),
        ("{", "\"a\":0,", "\"b\":0}"),
        ("{\"name\":\"", "\\u0041", "\"}"),
        ("{\"constructions\":{", "\"x\":{},", "\"y\":{}}}"),
    ] {
        survives(&filled(head, piece, tail));
    }
}

/// Very many features of which each has something wrong.
#[test]
fn the_most_faults() {
    let wall = "{\"type\":\"Feature\",\"colour\":1,\"properties\":{\"kind\":\"wall\",\"construction\":\
                \"brik\",\"x\":1},\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[0,0],[0,0]]}}";
    survives(plan_of("", &vec![wall; 20_000].join(",\n")).as_bytes());
    let opening = wall.replace("wall", "opening").replace("[0,0]]", "[3,1]]");
    let walls: Vec<String> = (0..10_000)
        .flat_map(|n| [wall.replace("[0,0]]", &format!("[{},9]]", n % 900)), opening.clone()])
        .collect();
    survives(plan_of("", &walls.join(",\n")).as_bytes());
}

/// Outlines whose crossings are many, or which are long spirals without any.
#[test]
fn the_worst_outlines() {
    let star: Vec<String> = (0..4_999)
        .map(|n| {
            let angle = f64::from(n) * 2.0 * std::f64::consts::PI * 2_000.0 / 4_999.0;
            format!("[{},{}]", 50.0 * angle.cos(), 50.0 * angle.sin())
        })
        .collect();
    let spiral: Vec<String> = (0..2_499)
        .map(|n| (f64::from(n) * 0.3, 10.0 + f64::from(n) * 0.02))
        .chain((0..2_499).rev().map(|n| (f64::from(n) * 0.3, 10.1 + f64::from(n) * 0.02)))
        .map(|(angle, r)| format!("[{},{}]", r * angle.cos(), r * angle.sin()))
        .collect();
    for ring in [star, spiral] {
        let slab = format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"kind\":\"slab\",\"construction\":\"concrete\"}},\
             \"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{},{}]]}}}}",
            ring.join(","),
            ring[0]
        );
        survives(crate::faults::support::with_features(&vec![slab; 39].join(",\n")).as_bytes());
    }
}
