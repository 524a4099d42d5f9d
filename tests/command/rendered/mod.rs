//! Documents as they are seen: the HTML in a headless Chromium on paper and on a phone, the PDF as
//! pixels.
//!
//! Needs `chromium-headless-shell` (or `chromium`) and poppler's `pdftoppm`, `pdftotext`, `pdfinfo`
//! and
//! `pdffonts`. Where they are missing each test that needs them says "skipped" beside the summary
//! and checks nothing, unless the variable `DRILLONCE_RENDERED` is `required`: then it fails.

mod browser;
mod kept;
mod paper;
mod sample;
mod shipped;

use std::fs;
use std::path::{Path, PathBuf};

use crate::run::folder;
use browser::Browser;
use drillonce::document::{Paper, html, pdf};
use serde_json::{Value, json};

const MEASURE: &str = include_str!("measure.js");

/// What the page is shown on: medium, width and height in CSS pixels (1/96 inch). The printed
/// widths are those of the paper less the margins of 17 mm in the style: 176 mm and 182 mm.
const SHOWN: [(&str, &str, u32, u32); 4] = [
    ("A4", "print", 665, 970),
    ("US Letter", "print", 687, 905),
    ("a phone", "screen", 360, 740),
    ("a desk", "screen", 1280, 900),
];

fn write(folder: &Path, name: &str, text: &str) -> PathBuf {
    let file = folder.join(name);
    fs::write(&file, text).unwrap();
    file
}

fn faults(browser: &mut Browser) -> Vec<String> {
    let found = browser.ask(MEASURE);
    let Value::Array(faults) = &found["faults"] else {
        panic!("{found}");
    };
    faults.iter().map(|fault| fault.as_str().unwrap().to_owned()).collect()
}

#[test]
fn html_stays_on_its_page_and_asks_for_nothing() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = folder();
    for (name, document, pictures) in
        [("long.html", sample::long(), 6), ("short.html", sample::short(), 0)]
    {
        let file = write(folder.path(), name, &html(&document));
        for (what, medium, width, height) in SHOWN {
            browser.open(&file, medium, width, height);
            let found = faults(&mut browser);
            assert!(found.is_empty(), "{name} on {what}:\n{}", found.join("\n"));
            assert_eq!(browser.requests(&file), [""; 0], "{name} on {what}");
            assert_eq!(browser.complaints(), [""; 0], "{name} on {what}");
            let measured = browser.ask(MEASURE);
            assert_eq!(measured["pictures"], json!(pictures));
            assert!(measured["texts"].as_u64().unwrap() > 10, "{measured}");
        }
    }
}

/// The checks above can fail: a page with one fault of each kind.
#[test]
fn each_kind_of_fault_is_seen() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = folder();
    let file = write(
        folder.path(),
        "faulty.html",
        "<!DOCTYPE html><title>x</title><body style='margin:0'>\
         <p style='width:2000px'>wide</p>\
         <p style='color:#888;background:#fff'>grey</p>\
         <img alt='gone' src='data:image/png;base64,AAAA'>\
         <img alt='far' src='other.png'>\
         <script>1</script>",
    );
    browser.open(&file, "print", 665, 970);
    let found = faults(&mut browser).join("\n");
    for fault in [
        "overflow: the page is 2000 wide",
        "overflow: p \"wide\"",
        "contrast: p \"grey\" has 3.54",
        "picture: gone",
        "element: script",
    ] {
        assert!(found.contains(fault), "no {fault} in\n{found}");
    }
    assert!(!found.contains("contrast: p \"wide\""), "{found}");
    let requests = browser.requests(&file);
    assert!(requests.iter().any(|url| url.ends_with("/other.png")), "{requests:?}");
}

/// A file that tried to load something would be stopped by its own policy, and the browser would
/// say so.
#[test]
fn the_policy_of_the_file_keeps_others_out() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = folder();
    let page = html(&sample::short()).replace("<main>", "<main><img alt='far' src='other.png'>");
    let file = write(folder.path(), "intruder.html", &page);
    browser.open(&file, "screen", 800, 600);
    assert!(
        browser.complaints().iter().any(|complaint| complaint.contains("Content Security Policy")),
        "{:?}",
        browser.complaints()
    );
}

#[test]
fn html_prints_within_the_margins_of_the_paper() {
    let (Some(mut browser), Some(tools)) = (Browser::start(), paper::Tools::find()) else { return };
    let folder = folder();
    let file = write(folder.path(), "long.html", &html(&sample::long()));
    browser.open(&file, "print", 665, 970);
    for (paper, width, height) in [("A4", 210.0 / 25.4, 297.0 / 25.4), ("Letter", 8.5, 11.0)] {
        let printed = browser.bytes(
            "Page.printToPDF",
            json!({"paperWidth": width, "paperHeight": height, "printBackground": true}),
        );
        let file = folder.path().join("printed.pdf");
        fs::write(&file, printed).unwrap();
        let pages = tools.pages(&file);
        assert!(pages.len() > 4, "{paper}: {} pages", pages.len());
        for (number, page) in pages.iter().enumerate() {
            // 17 mm at the sides, less a pixel of 72 to the inch.
            page.assert_ink_within(number, 47.0, 40.0, 20.0);
        }
        let text = tools.text(&file);
        assert_text(&text, pages.len(), "de");
    }
}

/// What must be there to read: names of all kinds, the head of the table on each of its pages, the
/// number of each page.
fn assert_text(text: &str, pages: usize, of: &str) {
    for words in [
        "<script>alert('motion')</script>",
        "Peñíscola-Güell",
        "pingüino",
        "<img src=x onerror=alert(1)>",
        "1,097.47 EUR",
    ] {
        assert!(text.contains(words), "no {words} in\n{text}");
    }
    for number in 1..=pages {
        let place = format!("{number} {of} {pages}");
        assert!(text.contains(&place), "no {place} in\n{text}");
    }
    let heads = text.matches("Tested").count();
    assert!(heads >= 3, "the head of the table stands on {heads} pages");
}

#[test]
fn pdf_stays_within_its_margins_and_can_be_read() {
    let Some(tools) = paper::Tools::find() else { return };
    let folder = folder();
    for (paper, size) in
        [(Paper::A4, "595.276 x 841.89 pts (A4)"), (Paper::Letter, "612 x 792 pts (letter)")]
    {
        let file = folder.path().join("long.pdf");
        fs::write(&file, pdf(&sample::long(), paper).unwrap()).unwrap();
        let pages = tools.pages(&file);
        assert!(pages.len() > 4, "{} pages", pages.len());
        for (number, page) in pages.iter().enumerate() {
            page.assert_ink_within(number, 55.7, 28.0, 24.0);
        }
        assert_text(&tools.text(&file), pages.len(), "de");

        let properties = tools.properties(&file);
        for line in [
            "Title:           Presupuesto: casa <Peñíscola-Güell>",
            "Author:          Alarmas Ñandú & Hijos",
            "Tagged:          yes",
            "JavaScript:      no",
            &format!("Page size:       {size}"),
        ] {
            assert!(properties.contains(line), "no {line} in\n{properties}");
        }
        let fonts = tools.fonts(&file);
        assert_eq!(fonts.len(), 2, "{fonts:?}");
        for font in fonts {
            // A subset has six letters and a plus before its name.
            assert!(font.contains("+DejaVuSans"), "{font}");
            assert!(font.contains("yes yes yes"), "not embedded: {font}");
        }
    }
}

#[test]
fn a_short_document_is_one_page() {
    let Some(tools) = paper::Tools::find() else { return };
    let folder = folder();
    let file = folder.path().join("short.pdf");
    fs::write(&file, pdf(&sample::short(), Paper::Letter).unwrap()).unwrap();
    assert_eq!(tools.pages(&file).len(), 1);
    assert!(tools.text(&file).contains("1 of 1"));
}

/// The check of margins can fail: the same page, asked for margins that it has not.
#[test]
#[should_panic(expected = "ink outside")]
fn ink_outside_is_seen() {
    let Some(tools) = paper::Tools::find() else {
        panic!("nothing to see, no ink outside");
    };
    let folder = folder();
    let file = folder.path().join("short.pdf");
    fs::write(&file, pdf(&sample::short(), Paper::A4).unwrap()).unwrap();
    tools.pages(&file)[0].assert_ink_within(0, 60.0, 28.0, 24.0);
}
