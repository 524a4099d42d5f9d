//! What a quote keeps together on its pages: the first page, entries of lists, the signatures.

use std::fs;

use serde_json::json;

use super::browser::Browser;
use super::paper::Tools;
use super::shipped::made;
use fixtures::floorplans;

/// Plan, language and paper.
const QUOTES: [(&str, &str, &str); 6] = [
    ("annexe", "en", "a4"),
    ("foil-garage", "es", "a4"),
    ("brick-house", "en", "letter"),
    ("bungalow", "en", "letter"),
    ("corner-shop", "es", "letter"),
    ("workshop", "en", "a4"),
];

/// Words of a language: price, acceptance, caution, and the two places to sign.
const ENGLISH: [&str; 5] = [
    "tax included",
    "Accepted as described above",
    "Please note",
    "Customer: place, date, signature",
    "Installer: place, date, signature",
];
const SPANISH: [&str; 5] = [
    "impuestos incluidos",
    "Aceptado según lo descrito",
    "Tenga en cuenta",
    "Cliente: lugar, fecha y firma",
    "Instalador: lugar, fecha y firma",
];

/// What is wrong with the pages of a quote, as lines of text.
fn faults(
    pages: &[&str],
    [price, accepted, caution, customer, installer]: [&str; 5],
) -> Vec<String> {
    let mut faults = Vec::new();
    let mut want = |holds: bool, what: &str| {
        if !holds {
            faults.push(what.to_owned());
        }
    };
    want(pages[0].contains(price), "no price on the first page");
    // The last words of the page: those below the second picture, or the sentence alone.
    let argument = ["With the repeater:", "Con el repetidor:", "No repeater is", "No hace falta"];
    let argued = argument.iter().any(|words| pages[0].contains(words));
    want(argued, "no argument on the first page");
    let signed: Vec<&&str> = pages.iter().filter(|page| page.contains(customer)).collect();
    want(signed.len() == 1, "not signed once");
    for page in signed {
        let block = [accepted, caution, customer, installer];
        want(block.iter().all(|words| page.contains(words)), "the signatures are torn off");
    }
    for (number, page) in pages.iter().enumerate() {
        // A list of one entry is whole: only what goes on is torn.
        let next = pages.get(number + 1).into_iter().flat_map(|next| next.lines());
        let goes_on = next
            .filter(|line| !line.trim().is_empty())
            .take(2)
            .any(|line| line.trim_start().starts_with('•'));
        // Without the running lines at head and foot, and with what goes on below a bullet.
        let lines: Vec<&str> = page.lines().filter(|line| !line.trim().is_empty()).collect();
        let is_entry = |line: &&&str| line.trim_start().starts_with('•');
        let in_list =
            |line: &&&str| is_entry(line) || line.starts_with("  ") || line.trim().is_empty();
        let bullets: Vec<usize> = (0..lines.len()).filter(|at| is_entry(&&lines[*at])).collect();
        let (Some(first), Some(last)) = (bullets.first(), bullets.last()) else { continue };
        // At the head of the text of a page, below the running line.
        let head = lines[*first..].iter().take_while(in_list).filter(is_entry).count();
        want(*first > 1 || head != 1, "a lone entry at the head of a page");
        // At the foot, above the running line.
        let foot = lines[..=*last].iter().rev().take_while(in_list).filter(is_entry).count();
        let is_last = lines[last + 1..].iter().filter(|line| !in_list(line)).count() <= 1;
        want(!is_last || foot != 1 || !goes_on, "a lone entry at the foot of a page");
    }
    faults
}

#[test]
fn a_quote_keeps_together_what_belongs_together() {
    let Some(tools) = Tools::find() else { return };
    let mut browser = Browser::start();
    for (plan, language, paper) in QUOTES {
        let file = floorplans().join(format!("{plan}.geojson"));
        let (business, prices, words) = match language {
            "es" => ("negocio.toml", "precios.csv", SPANISH),
            _ => ("business.toml", "prices.csv", ENGLISH),
        };
        let options =
            ["--business", business, "--prices", prices, "--language", language, "--paper", paper];
        let folder = made("quote", &file, &options);
        let name = format!("{plan}, {language}, {paper}");
        let written = folder.path().join(format!("{plan}-quote.pdf"));
        let text = tools.text(&written);
        let pages: Vec<&str> = text.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
        assert!((3..=7).contains(&pages.len()), "{name}: {} pages", pages.len());
        assert_eq!(faults(&pages, words), [""; 0], "{name}");
        assert!(!text.contains('…'), "{name}: a text is cut");

        let Some(browser) = &mut browser else { continue };
        browser.open(&folder.path().join(format!("{plan}-quote.html")), "print", 665, 970);
        let (width, height) = if paper == "a4" { (8.27, 11.69) } else { (8.5, 11.0) };
        let sheet = json!({"paperWidth": width, "paperHeight": height, "printBackground": true});
        let printed = folder.path().join("printed.pdf");
        fs::write(&printed, browser.bytes("Page.printToPDF", sheet)).unwrap();
        let text = tools.text(&printed);
        let pages: Vec<&str> = text.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
        assert_eq!(faults(&pages, words), [""; 0], "{name}, printed by a browser");
    }
}

/// The checks above can fail.
#[test]
fn a_torn_quote_is_seen() {
    let torn = [
        "Quote\nAccepted as described above\nPlease note\n• one\n1 of 2\n",
        "Quote\n• two\nWhat is not included\n• three\n• four\n\
         Customer: place, date, signature\nInstaller: place, date, signature\n2 of 2\n",
    ];
    let found = faults(&torn, ENGLISH);
    for fault in [
        "no price on the first page",
        "no argument on the first page",
        "the signatures are torn off",
        "a lone entry at the head of a page",
        "a lone entry at the foot of a page",
    ] {
        assert!(found.iter().any(|one| one == fault), "no {fault} in {found:?}");
    }
}
