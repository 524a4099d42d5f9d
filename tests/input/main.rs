//! Checks of the input crate from outside: numbers, tables, encodings.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use std::borrow::Cow;

use input::number::{NoNumber, Style, plain, quantity};
use input::table::{Holds, Table, line, text_cell};
use input::{Diagnostics, LONGEST_NAME, decoded, is_hidden, one_line, printable, set_apart};

#[test]
fn numbers_of_both_kinds_are_read() {
    for (text, value) in [
        ("12", "12"),
        ("12.5", "12.5"),
        ("12,5", "12.5"),
        ("1.234,50", "1234.50"),
        ("1,234.50", "1234.50"),
        ("1.234.567", "1234567"),
        ("1 234,5", "1234.5"),
        ("1’234.50", "1234.50"),
        ("0,125", "0.125"),
        ("1234.567", "1234.567"),
        ("-3,20", "-3.20"),
        ("−3,20", "-3.20"),
        (" +7 ", "7"),
    ] {
        assert_eq!(plain(text, Style::Either).as_deref(), Ok(value), "{text}");
    }
    for (text, value) in [("1.234", "1.234"), ("1,234", "1234"), ("1,234.5", "1234.5")] {
        assert_eq!(plain(text, Style::Point).as_deref(), Ok(value), "{text}");
    }
}

#[test]
fn what_could_be_read_two_ways_is_refused() {
    for text in ["1,234", "1.234", "12.345", "123,456"] {
        assert_eq!(plain(text, Style::Either), Err(NoNumber::Ambiguous), "{text}");
    }
    for text in [
        "",
        "-",
        "1,2.3,4",
        "1.2,3.4",
        "12a",
        "1e3",
        "nan",
        ",5",
        "5.",
        "1,23,456",
        "--1",
        "1,2.345,6",
        "12,34.5",
        "１",
    ] {
        assert_eq!(plain(text, Style::Either), Err(NoNumber::Signs), "{text}");
    }
    for text in ["1,5", "1.2,3", "1.2.3"] {
        assert_eq!(plain(text, Style::Point), Err(NoNumber::Signs), "{text}");
    }
}

#[test]
fn quantities_have_a_unit_behind_them() {
    for text in ["-87.5", "-87,5", " −87.5 dBm", "–87,5dBm", "-87.50 DBM", "- 87.5\u{a0}dB"] {
        assert_eq!(quantity(text, &["dbm", "db"]), Some(-87.5), "{text}");
    }
    for text in ["", "-", ".", "dBm", "nan", "inf", "1e3", "1,000.5", "-87 dBuV", "12 34-", "٣"] {
        assert_eq!(quantity(text, &["dbm", "db"]), None, "{text}");
    }
}

/// The lines of a table with what they hold.
fn rows(text: &str, many_lines: bool) -> Vec<String> {
    let mut table = Table::new(text);
    let mut rows = Vec::new();
    while let Some(row) = table.next(|name| ["item", "price"].contains(&name), many_lines) {
        assert!(text[row.at..].lines().next().is_some());
        rows.push(match row.holds {
            Holds::Comment(comment) => format!("{} #{comment}", row.line),
            Holds::OpenQuote => format!("{} open", row.line),
            Holds::Fields(fields) => format!("{} {}", row.line, fields.join("|")),
        });
    }
    rows
}

#[test]
fn tables_of_every_kind_are_read() {
    let expected = ["1 item|price|x", "2 a; b|1|", "4 # said", "5 \"|2,5|y"];
    let rows = |text: &str| rows(text, false);
    assert_eq!(rows("item;price;x\n\"a; b\";1;\n;;\n# said;;\n\"\"\"\";2,5;y"), expected);
    assert_eq!(rows("item\tprice\tx\r\na; b\t1\t\r\n\r\n# said\t\r\n \"\"\"\"\t2,5\ty"), expected);
    assert_eq!(rows("item,price,x\na; b,1,\n\n# said\n\"\"\"\"z,\"2,5\",y\n"), expected);
    assert_eq!(rows("sep=|\nitem;price|x\n1|2\n"), ["2 item;price|x", "3 1|2"]);
    assert_eq!(
        rows("\"# said\"\nitem,price\n\"a\n1,2"),
        ["1 # said", "2 item|price", "3 open", "4 1|2"]
    );
    assert_eq!(rows(" \n;,\n"), [""; 0]);
}

#[test]
fn a_field_may_go_over_several_lines() {
    let text = "item,price\n\"a\nb\",1\nc,2\n\"d\n\n\",3\n\"e";
    assert_eq!(rows(text, true), ["1 item|price", "2 a\nb|1", "4 c|2", "5 d\n\n|3", "8 open"]);
}

/// The text of bytes, and what is said of them.
fn read(bytes: &[u8]) -> (Option<Cow<'_, str>>, String) {
    let mut faults = Diagnostics::new("file");
    let text = decoded(bytes, &mut faults);
    let (faults, warnings) = faults.finish(text.as_deref().unwrap_or_default());
    let said: Vec<String> = faults.iter().chain(&warnings).map(ToString::to_string).collect();
    (text, said.join("\n"))
}

#[test]
fn what_is_no_text_is_refused() {
    for bytes in [&b"\xff\xfea"[..], b"\xfe\xff\xd8\x00\x00a"] {
        let (text, said) = read(bytes);
        assert!(text.is_none() && said.contains("begins like UTF-16 but is not"), "{said}");
    }
    for bytes in [&b"a\0b"[..], b"\xff\xfe\0\0a\0\0\0", b"\xe9\0"] {
        let (text, said) = read(bytes);
        assert!(text.is_none() && said.contains("the file is not text"), "{said}");
    }
}

#[test]
fn a_doubtful_encoding_is_named_with_its_place() {
    let (text, said) = read("é\nnaïve".as_bytes());
    assert_eq!((text.as_deref(), said.as_str()), (Some("é\nnaïve"), ""));
    let (text, said) = read(b"\xc3\xa9\n1 \x80 na\xefve");
    assert_eq!(text.as_deref(), Some("Ã©\n1 € naïve"));
    assert!(said.starts_with("warning  file:2:3  the file is not UTF-8,"), "{said}");
}

#[test]
fn a_name_is_one_line_without_tricks() {
    for (name, line) in [
        ("Front door", "Front door"),
        (" kept as it is ", " kept as it is "),
        ("a\r\n3 sound\u{2028}b\u{85}c\td", "a 3 sound b c d"),
        ("\u{1b}[31mred\u{202e}\u{200b}\u{feff}\u{ffff}\u{e0041}\u{ad}", "[31mred"),
        (
            "می\u{200c}خواهم \u{1f469}\u{200d}\u{1f527}",
            "می\u{200c}خواهم \u{1f469}\u{200d}\u{1f527}",
        ),
        ("\u{7}", ""),
    ] {
        assert_eq!(one_line(name), line);
    }
    let longest = "é".repeat(LONGEST_NAME);
    assert_eq!(one_line(&longest), longest);
    let cut = one_line(&"é".repeat(100_000)).into_owned();
    assert!(cut.chars().count() == LONGEST_NAME && cut.ends_with('…'));
}

#[test]
fn what_is_printed_hides_nothing_and_json_loses_nothing() {
    assert_eq!(printable("a\tb\r\nc\n"), "a\tb\r\nc\n");
    assert_eq!(
        printable("a\rb\u{1b}\u{9b}\u{7f}\u{202e}\u{e0041}"),
        r"a\u000db\u001b\u009b\u007f\u202e\udb40\udc41".replace(r"\u000d", r"\r")
    );
    let name: String = (0..0x2_0000)
        .filter_map(char::from_u32)
        .filter(|c| is_hidden(*c))
        .filter(|c| !matches!(c, '\u{2068}' | '\u{2069}'))
        .collect();
    let json = serde_json::to_string(&name).unwrap();
    let printed = printable(&json);
    assert!(!printed.contains(is_hidden) && printed != json);
    assert_eq!(serde_json::from_str::<String>(&printed).unwrap(), name);
    assert_eq!(printable("\u{2068}א\u{2069} b\n"), "\u{2068}א\u{2069} b\n");
    for line in ["\u{2068}a", "a\u{2069}", "\u{2068}\u{2068}a\u{2069}\u{2069}", "\u{2069}\u{2068}"]
    {
        assert!(!printable(line).contains(is_hidden), "{line:?}");
    }
}

#[test]
fn pieces_from_right_to_left_are_set_apart() {
    for (text, apart) in [
        ("plain", "plain"),
        ("3 דלת כניסה, 62.3 dB", "3 [דלת כניסה], 62.3 dB"),
        ("דלת  62.3  מטבח 2 ב", "[דלת]  62.3  [מטבח 2 ב]"),
        ("אb\nג", "[א]b\n[ג]"),
    ] {
        assert_eq!(set_apart(text, "[", "]"), apart);
    }
}

#[test]
fn no_text_cell_is_a_formula_and_none_is_lost() {
    let signs =
        ['=', '+', '-', '@', '\'', '"', ',', ';', '|', '\t', '\n', '\r', '#', ' ', 'a', '1'];
    let texts = (0..20_000_usize).map(|number| -> String {
        (0..1 + number % 5).map(|place| signs[(number >> (3 * place)) % signs.len()]).collect()
    });
    for text in texts.chain(["'=1", "''-1", "'a", "'", "=HYPERLINK(\"x\")"].map(str::to_owned)) {
        let cell = text_cell(&text);
        assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell:?}");
        let csv = line(["item", "price"]) + &line([&*cell, "-1"]);
        let mut table = Table::new(&csv);
        let heading = table.next(|name| name == "item", true).unwrap();
        assert!(matches!(heading.holds, Holds::Fields(_)));
        let row = table.next(|name| name == "item", true).unwrap();
        let Holds::Fields(fields) = row.holds else { panic!("{csv:?}") };
        assert_eq!(fields, [text.as_str(), "-1"], "{csv:?}");
    }
}
