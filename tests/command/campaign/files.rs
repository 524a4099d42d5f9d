//! Files that hold nothing, and files that are wrong everywhere, handed to every reader.

use std::fs;

use super::super::run::{Run, run_in, shipped};
use super::site;

/// Every reader: what follows the program's name for a file `bad`, and what one line or entry of
/// such a file may be, wrong in itself, with what goes before all of them and behind.
const READERS: [(&[&str], [&str; 3]); 10] = [
    (
        &["check", "bad", "--no-pictures"],
        [r#"{"type":"FeatureCollection","features":["#, r#"{"type":"Feature"},"#, r#"{}]}"#],
    ),
    (&["tidy", "bad"], [r#"{"type":"FeatureCollection","features":["#, "{},", "{}]}"]),
    (
        &["diagnose", "plan.geojson", "--readings", "bad", "--no-pictures"],
        ["sensor,level_dbm\n", "nobody,loud\n", ""],
    ),
    (
        &["diagnose", "plan.geojson", "--readings", "bad", "--no-pictures"],
        ["[", r#"{"sensor":"nobody","levle":1},"#, "{}]"],
    ),
    (&["quote", "plan.geojson", "--business", "bad"], ["", "naem@ = 1\n", ""]),
    (
        &["quote", "plan.geojson", "--business", "business.toml", "--prices", "bad"],
        ["item,unit price\n", "a,,,\n", ""],
    ),
    (&["import", "--kind", "tape", "bad"], ["", "romo 3 x 4\n", ""]),
    (
        &["import", "--kind", "dxf", "bad"],
        ["0\nSECTION\n2\nENTITIES\n", "0\nLINE\n8\nW\n10\nx\n", "0\nEOF\n"],
    ),
    (&["import", "--kind", "osm-xml", "bad"], ["<osm>", r#"<node id="@" lat="q"/>"#, "</osm>"]),
    (&["import", "house.txt", "--map-file", "bad"], ["", "\"L@\" = \"nothing\"\n", ""]),
];

fn on_bad(arguments: &[&str], bytes: &[u8]) -> Run {
    let place = site();
    fs::write(place.path().join("bad"), bytes).unwrap();
    let business = shipped("annexe").replace("annexe.geojson", "quote/business.toml");
    let business = fs::read_to_string(business).unwrap();
    let business = business.replace("logo = \"logo.png\"", "");
    fs::write(place.path().join("business.toml"), business).unwrap();
    run_in(place.path(), arguments)
}

#[test]
fn a_file_that_holds_nothing_is_refused_by_every_reader() {
    let blanks = " \n".repeat(1 << 16);
    let nothing = ["", "\u{feff}", " ", "\n", "\r\n\t", "\0", "null", "[]", "\"\"", "7", &blanks];
    for (arguments, _) in READERS {
        for text in nothing {
            let run = on_bad(arguments, text.as_bytes());
            assert_eq!((run.code, run.out.as_str()), (Some(2), ""), "{text:?}: {run:?}");
            assert!(run.err.contains("bad"), "{text:?}: {run:?}");
        }
        let run = on_bad(arguments, b"\xff\xfe");
        assert_eq!(run.code, Some(2), "{run:?}");
    }
}

#[test]
fn faults_have_an_end_in_every_reader() {
    for (arguments, [before, one, behind]) in READERS {
        let numbered = (0..4_000).map(|number| one.replace('@', &number.to_string()));
        let text = format!("{before}{}{behind}", numbered.collect::<String>());
        let run = on_bad(arguments, text.as_bytes());
        assert_eq!((run.code, run.out.as_str()), (Some(2), ""), "{run:?}");
        // Of faults and warnings 200 each and one that counts the others; two lines each.
        let lines = run.err.lines().count();
        assert!(lines <= 2 * 2 * 201 + 1, "{arguments:?}: {lines} lines");
        assert!(run.err.len() < 200_000, "{arguments:?}: {} bytes", run.err.len());
    }
}
