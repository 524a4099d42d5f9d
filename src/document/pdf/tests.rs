use super::*;
use crate::sample::{column, document, paragraph, row};
use crate::{Block, Cell, Figure, Form, Row, RowKind, html};
use krilla::configure::{Accessibility, ConfigurationBuilder, Validator};

/// A PNG of one colour.
fn picture(width: u32, height: u32) -> Figure {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(&vec![90; (width * height * 3) as usize]).expect("pixels");
    writer.finish().expect("an end");
    let [alt, caption] = ["A plan", "Ground floor"].map(str::to_owned);
    Figure { png: bytes, width, height, alt, caption }
}

fn everything() -> Vec<Block> {
    let mut rows = vec![row(RowKind::Group, "Kitchen")];
    rows.extend((0..90).map(|number| row(RowKind::Plain, &format!("sensor {number}"))));
    rows.push(row(RowKind::Total, "in all"));
    vec![
        Block::Heading { level: 1, text: "Quote".to_owned() },
        Block::Facts(vec![("Date".to_owned(), "today".to_owned())]),
        Block::Heading { level: 2, text: "Devices".to_owned() },
        paragraph("Sensors and their rooms. 門 \u{0} \u{202E} e\u{301}"),
        Block::List(vec!["one".to_owned(), String::new()]),
        Block::Notice { title: "Caution".to_owned(), lines: vec!["Mind the step.".to_owned()] },
        Block::Table {
            caption: Some("Devices".to_owned()),
            columns: vec![column("Name", 2.0), column("Done", 0.0), column("Seen", 1.0)],
            rows,
        },
        Block::Figures(vec![picture(160, 90), picture(30, 90)]),
        Block::Form(Form::Signatures(vec!["Name".to_owned()])),
        Block::Form(Form::Lines { label: "Notes".to_owned(), count: 4 }),
    ]
}

/// Number of pages: objects of the type `Page` (ISO 32000-1, 7.7.3; from memory).
fn pages(bytes: &[u8]) -> usize {
    let text = String::from_utf8_lossy(bytes);
    text.matches("/Type /Page\n").count() + text.matches("/Type/Page/").count()
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let document = document(everything());
    let first = pdf(&document, Paper::A4).expect("a file");
    let second = pdf(&document.clone(), Paper::A4).expect("a file");
    assert!(first.starts_with(b"%PDF-"));
    assert_eq!(first, second);
    assert_ne!(first, pdf(&document, Paper::Letter).expect("a file"));
    assert_eq!(html(&document), html(&document.clone()));
}

#[test]
fn the_file_keeps_the_rules_for_readers_who_cannot_see() {
    let configuration = ConfigurationBuilder::new()
        .set_validator(Validator::Ua(Accessibility::UA1))
        .finish()
        .expect("a known set of rules");
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    // U+0000 became U+FFFD, which has no letter of its own to stand for: not part of this check.
    let mut blocks = everything();
    blocks[3] = paragraph("Sensors and their rooms.");
    if let Err(fault) = write(&document(blocks), Paper::A4, settings) {
        panic!("{fault}");
    }
}

#[test]
fn there_are_as_many_pages_as_needed() {
    let two = vec![paragraph("one"), Block::PageBreak, paragraph("two")];
    for (blocks, count) in [(vec![], 1), (vec![paragraph("one")], 1), (two, 2)] {
        assert_eq!(pages(&pdf(&document(blocks), Paper::A4).expect("a file")), count);
    }
}

#[test]
fn a_picture_that_is_none_is_an_error_that_names_it() {
    let other = Figure { png: b"GIF89a".to_vec(), ..picture(4, 4) };
    // Begins well and breaks off.
    let mut cut = picture(40, 40);
    cut.png.truncate(60);
    for (figure, named) in [(other, "Ground floor"), (cut, "")] {
        let document = document(vec![Block::Figures(vec![figure])]);
        let fault = pdf(&document, Paper::A4).expect_err("no picture");
        assert!(matches!(fault, PdfError::Picture { .. }), "{fault}");
        assert!(fault.to_string().contains(named), "{fault}");
    }
}

#[test]
fn extremes_are_set_without_a_fault() {
    let long = "x".repeat(30_000);
    let columns = vec![column("A heading of several words", f64::NAN); 14];
    let tall = Row { kind: RowKind::Plain, cells: vec![Cell::Text(long.clone()); 14] };
    let few = Row { kind: RowKind::Total, cells: vec![] };
    let blocks = vec![
        paragraph(&long),
        Block::Table { caption: None, columns, rows: vec![tall, few] },
        Block::Notice { title: String::new(), lines: vec![long.clone(); 2] },
        Block::Figures(vec![picture(1, 900), picture(900, 1)]),
        Block::Figures(vec![]),
        Block::Form(Form::Signatures(vec![])),
        Block::List(vec![]),
        Block::Facts(vec![(long.clone(), long)]),
    ];
    assert!(pages(&pdf(&document(blocks), Paper::Letter).expect("a file")) > 10);
}

#[test]
fn the_date_is_that_of_the_document_or_none() {
    let known = ["2026-11-25", "2026-13-25", "2026-11", "today"].map(|text| date(text).is_some());
    assert_eq!(known, [true, false, false, false]);
}

/// Contrast of two colours, from 1 to 21 (WCAG 2.1, definitions of contrast ratio and relative
/// luminance; from memory).
fn contrast(one: [u8; 3], other: [u8; 3]) -> f64 {
    let luminance = |colour: [u8; 3]| {
        let [red, green, blue] = colour.map(|part| {
            let part = f64::from(part) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { libm::pow((part + 0.055) / 1.055, 2.4) }
        });
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn text_stands_out_from_what_is_behind_it() {
    assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
    const WHITE: [u8; 3] = [255; 3];
    for (text, behind) in [
        (face::INK, WHITE),
        (face::MUTED, WHITE),
        (ACCENT, WHITE),
        (ACCENT, face::HEAD_FILL),
        (face::INK, face::GROUP_FILL),
        (face::INK, face::NOTICE_FILL),
    ] {
        let ratio = contrast(text, behind);
        assert!(ratio >= 4.5, "{text:?} on {behind:?}: {ratio:.2}");
    }
}

/// The page of every piece, after so many paragraphs of one line.
fn dealt(before: usize, blocks: Vec<Block>) -> Vec<usize> {
    let mut all = vec![paragraph("line"); before];
    all.extend(blocks);
    let fonts = Fonts::new().expect("the font of the program");
    let flow = flowed(&document(all), Paper::A4.points(), &fonts).expect("pieces");
    let pages = paginate(&flow.pieces, &flow.heads, flow.height);
    let numbered = pages.iter().enumerate().flat_map(|(page, placed)| {
        let own = placed.iter().filter(|piece| !piece.is_head);
        own.map(move |_| page)
    });
    let pages: Vec<usize> = numbered.collect();
    assert_eq!(pages.len(), flow.pieces.len());
    pages.get(before..).expect("what follows").to_vec()
}

#[test]
fn pictures_stay_with_the_words_before_them() {
    let blocks = vec![
        Block::Heading { level: 2, text: "Why".to_owned() },
        paragraph("One sentence."),
        paragraph("Another."),
        Block::Figures(vec![picture(160, 90), picture(160, 90)]),
        Block::Figures(vec![Figure { caption: String::new(), ..picture(900, 40) }]),
    ];
    let mut turned = 0;
    for before in 0..40 {
        let pages = dealt(before, blocks.clone());
        assert_eq!(pages.len(), 5, "heading, two lines, pictures, their key");
        assert!(pages.iter().all(|page| *page == pages[0]), "{before}: {pages:?}");
        turned += pages[0];
    }
    assert!(turned > 0, "no page was ever turned");
}

#[test]
fn tables_are_torn_only_where_they_must_be() {
    let table = |rows: usize| {
        let rows = vec![row(RowKind::Plain, "a"); rows];
        vec![Block::Table { caption: None, columns: vec![column("Name", 1.0)], rows }]
    };
    let mut torn = 0;
    for before in 0..40 {
        let small = dealt(before, table(12));
        assert!(small.iter().all(|page| *page == small[0]), "{before}: {small:?}");
        let large = dealt(before, table(30));
        let (first, last) = (large[0], large[large.len() - 1]);
        let on = |page| large.iter().filter(|on| **on == page).count();
        if first != last {
            torn += 1;
            assert!(on(first) >= 4 && on(last) >= 2, "{before}: {large:?}");
        }
    }
    assert!(torn > 0, "the large table was never torn");
}

#[test]
fn a_picture_without_words_of_its_own_has_no_frame() {
    let marks = |caption: &str| {
        let figure = Figure { caption: caption.to_owned(), ..picture(160, 90) };
        let fonts = Fonts::new().expect("the font of the program");
        let document = document(vec![Block::Figures(vec![figure])]);
        let flow = flowed(&document, Paper::A4.points(), &fonts).expect("pieces");
        flow.pieces.iter().map(|piece| piece.marks.len()).sum::<usize>()
    };
    assert_eq!(marks(""), 1, "the picture alone");
    assert_eq!(marks("Logo"), 6, "picture, four edges, a line of words");
}

#[test]
fn what_stays_together_is_on_one_page() {
    let lines = |count: usize| vec![paragraph("one"); count];
    // Paragraphs are 14 points high and 9 apart; the text of a page is 716 points high.
    for (before, together, count) in [(20, 10, 1), (25, 10, 2), (0, 40, 2)] {
        let mut blocks = lines(before);
        blocks.push(Block::Together(lines(together)));
        let file = pdf(&document(blocks), Paper::A4).expect("a file");
        assert_eq!(pages(&file), count, "{before} and {together}");
    }
    let fonts = Fonts::new().expect("fonts");
    let size = Paper::A4.points();
    let mut blocks = lines(25);
    blocks.push(Block::Together(lines(10)));
    let flow = flowed(&document(blocks), size, &fonts).expect("pieces");
    let dealt: Vec<usize> =
        paginate(&flow.pieces, &flow.heads, flow.height).iter().map(Vec::len).collect();
    assert_eq!(dealt, [25, 10]);
}

#[test]
fn pictures_are_set_smaller_only_where_all_then_fits() {
    let fonts = Fonts::new().expect("fonts");
    let size = Paper::Letter.points();
    let of = |lines: usize| {
        let mut blocks = vec![paragraph("one"); lines];
        blocks.push(Block::Figures(vec![picture(160, 90)]));
        flowed(&document(vec![Block::Together(blocks)]), size, &fonts).expect("pieces")
    };
    let (short, full, long) = (of(5), of(20), of(40));
    assert!(full.used() <= full.height && full.used() > full.height - 3.0, "{}", full.used());
    assert!(full.pictures < 0.9 * short.pictures);
    assert_eq!(long.pictures, short.pictures);
}

#[test]
fn no_entry_of_a_list_stands_alone_on_a_page() {
    let fonts = Fonts::new().expect("fonts");
    let size = Paper::A4.points();
    for before in 20..36 {
        let mut blocks = vec![paragraph("one"); before];
        let entries = ["a", "b", "c", "d"].map(|letter| format!("{letter} ").repeat(70));
        blocks.push(Block::List(entries.to_vec()));
        let flow = flowed(&document(blocks), size, &fonts).expect("pieces");
        let pages = paginate(&flow.pieces, &flow.heads, flow.height);
        let entries = |page: &Vec<pages::Placed>| {
            let first = |at: &&pages::Placed| flow.pieces[at.number].marks.len() == 2;
            page.iter().filter(first).count()
        };
        assert!(pages.iter().all(|page| entries(page) != 1 && entries(page) != 3), "{before}");
    }
}
