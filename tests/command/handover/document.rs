//! The hand-over as a document.

use drillonce::document::{Block, Cell, Document, Form};
use drillonce::job::schedule::concerns;
use drillonce::report::{cautions, concern_words, handover_document, handover_table, readings_csv};
use drillonce::words::{Language, MESSAGES, Words};

use crate::handover::sheet::{report, report_in};
use crate::handover::{house, plan, shipped};
use crate::quote::texts;

/// The tables of a document: titles of the columns, and rows.
fn tables(document: &Document) -> Vec<(Vec<&str>, Vec<&[Cell]>)> {
    let blocks = document.blocks.iter();
    blocks
        .filter_map(|block| match block {
            Block::Table { columns, rows, .. } => Some((
                columns.iter().map(|column| column.title.as_str()).collect(),
                rows.iter().map(|row| row.cells.as_slice()).collect(),
            )),
            _ => None,
        })
        .collect()
}

#[test]
fn every_row_has_a_cell_for_each_column_and_no_text_is_empty() {
    for (name, text) in shipped() {
        let document = handover_document(&report(&plan(&text)), &[]);
        for (columns, rows) in tables(&document) {
            for row in rows {
                assert_eq!(row.len(), columns.len(), "{name}: {columns:?}");
                let blank =
                    |cell: &Cell| matches!(cell, Cell::Text(text) if text.trim().is_empty());
                assert!(!row.iter().any(blank), "{name}: {row:?}");
            }
        }
        assert!(texts(&document).iter().all(|text| !text.trim().is_empty()), "{name}");
        assert_eq!(document.date, "2026-11-25");
    }
}

#[test]
fn the_document_says_what_must_not_be_forgotten() {
    let document = handover_document(&report(&plan(&shipped()[2].1)), &[]);
    let all = texts(&document).join("\n");
    let [worth, life, drill] = &cautions(&Words::default());
    for words in [
        "set it to factory default",
        "the panel cannot start from battery",
        "Change the installer code",
        "Never write a code on this sheet",
        "18 AWG (0.75 mm²)",
        worth,
        life,
        drill,
    ] {
        assert!(all.contains(words), "{words}");
    }
}

#[test]
fn the_test_sheet_has_boxes_to_tick_and_room_for_the_reading() {
    for (name, text) in shipped() {
        let report = report(&plan(&text));
        let document = handover_document(&report, &[]);
        let tables = tables(&document);
        let (columns, rows) =
            tables.iter().find(|(columns, _)| columns.contains(&"Reading")).unwrap();
        assert_eq!(rows.len(), report.tests.len(), "{name}");
        for (row, test) in rows.iter().zip(&report.tests) {
            assert_eq!(row.iter().filter(|cell| **cell == Cell::Tick).count(), 3);
            assert_eq!(row.last(), Some(&Cell::Blank));
            let pass = columns.iter().position(|title| *title == "Pass, at least").unwrap();
            let wanted = format!("{:.0}\u{a0}dBm", test.pass.0).replace('-', "−");
            assert_eq!(row[pass], Cell::Strong(wanted));
        }
        let forms = document.blocks.iter();
        let signed =
            forms.filter(|b| matches!(b, Block::Form(Form::Signatures(who)) if who.len() == 2));
        assert_eq!(signed.count(), 1);
    }
}

#[test]
fn zones_are_in_the_order_of_their_numbers_and_those_without_come_last() {
    let text = house(&[
        ("c", 6.0, 4.0, r#""name":"C""#),
        ("b", 6.0, 5.0, r#""name":"B","number":12"#),
        ("a", 6.0, 6.0, r#""name":"A","number":3"#),
    ]);
    let report = report(&plan(&text));
    let names: Vec<&str> =
        report.zones.iter().map(|zone| zone.result.device.name.as_str()).collect();
    assert_eq!(names, ["A", "B", "C"]);
    assert_eq!(report.free_numbers, [(1, 2), (4, 11)]);
    let all = texts(&handover_document(&report, &[])).join("\n");
    assert!(all.contains("Free numbers: 1–2, 4–11."), "{all}");
    assert!(all.contains("C: it has no number"));
}

#[test]
fn names_from_the_plan_stay_plain_text() {
    let text = house(&[("x", 6.0, 4.0, r#""name":"<script>alert(1)</script>","number":1"#)]);
    let document = handover_document(&report(&plan(&text)), &[]);
    assert!(texts(&document).join("\n").contains("<script>alert(1)</script>"));
}

#[test]
fn what_the_terminal_shows() {
    insta::assert_snapshot!(handover_table(&report(&plan(&shipped()[4].1)), None));
}

#[test]
fn a_spanish_hand_over_has_no_english_left_in_it() {
    let spanish = Words { language: Language::Spanish };
    let mut plans = shipped();
    // One with something to settle, of each sort that a plan can have.
    plans.push((
        "doubtful".to_owned(),
        house(&[
            ("back", 5.1, 7.8, r#""name":"A","device":"contact","role":"entry-exit""#),
            ("bare", 9.8, 4.0, r#""name":"B","number":3,"device":"contact""#),
            ("odd", 6.0, 6.0, r#""name":"C","number":8,"device":"leak","role":"interior""#),
            ("shy", 6.0, 6.5, r#""name":"D","device":"motion","supervised":false"#),
            ("keys", 6.0, 7.0, r#""kind":"keypad","name":"E","number":9,"role":"panic""#),
        ]),
    ));
    let mut looked_for = 0;
    for (name, text) in plans {
        let plan = plan(&text);
        let report = report_in(Language::Spanish, &plan);
        let document = handover_document(&report, &[]);
        assert_eq!(document.language, "es");
        let mut said = texts(&document);
        said.extend([handover_table(&report, None), readings_csv(&report)]);
        said.extend(concern_words(&spanish, &plan, &concerns(&plan)));
        let said = said.join("\n");
        for (key, [other, own]) in MESSAGES {
            // The words between the places; what is short may be part of a Spanish word, or of a
            // name.
            let parts =
                other.split(['{', '}', '|']).step_by(if other.contains('|') { 1 } else { 2 });
            for part in parts.map(str::trim).filter(|part| part.chars().count() > 8) {
                let is_ours = own.contains(part) || plan_says(&plan, part);
                looked_for += usize::from(!is_ours);
                assert!(is_ours || !said.contains(part), "{name}, {key}: {part}");
            }
        }
    }
    assert!(looked_for > 1000, "only {looked_for} messages were looked for");
    insta::assert_snapshot!(handover_table(
        &report_in(Language::Spanish, &plan(&shipped()[4].1)),
        None
    ));
}

/// Whether a plan has these words: its names are in its own language, and roles are its properties.
fn plan_says(plan: &plan::Plan, words: &str) -> bool {
    let devices = plan.devices.iter().map(|device| plan.place_of(device) + &device.name);
    let roams = plan.roams.iter().map(|roam| roam.name.clone());
    devices.chain(roams).any(|name| name.contains(words)) || plan::ROLES.contains(&words)
}
