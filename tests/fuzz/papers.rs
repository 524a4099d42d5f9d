//! What the readers of price lists and business files promise of any bytes, and what CSV that is
//! written keeps of any text. The fuzz targets check the same.

use std::borrow::Cow;
use std::path::Path;

use input::table::{Holds, Table, line, text_cell};
use input::{Diagnostic, Diagnostics, LONGEST_NAME, MAX_LISTED, decoded, is_hidden};
use job::pricing::{business_of, prices_of};

fn text_of(bytes: &[u8]) -> Cow<'_, str> {
    decoded(bytes, &mut Diagnostics::new("")).unwrap_or_default()
}

/// One line that shows all that it has.
fn assert_plain(text: &str) {
    assert!(!text.contains(is_hidden) && text.chars().count() <= 2 * LONGEST_NAME, "{text:?}");
}

/// There are some, not without end, each with words, in characters that play no tricks.
fn assert_sound(faults: &[Diagnostic]) {
    assert!(!faults.is_empty() && faults.len() <= MAX_LISTED + 1);
    for fault in faults {
        assert!(!fault.what.is_empty() && !fault.fix.is_empty(), "{fault}");
        let shown = fault.to_string();
        assert!(!shown.replace('\n', "").contains(is_hidden) && shown.len() < 2_000, "{shown:?}");
    }
}

/// Takes any bytes as a price list.
pub fn survives_prices(bytes: &[u8]) {
    match prices_of("prices.csv", &text_of(bytes)) {
        Ok(list) => {
            for row in &list.rows {
                assert_plain(&row.item);
                assert_plain(row.description.as_deref().unwrap_or_default());
                assert!(!row.unit_price.is_sign_negative() && !row.hours.is_sign_negative());
            }
        }
        Err(faults) => assert_sound(&faults),
    }
}

/// Takes any bytes as a business file, whose logo is nowhere.
pub fn survives_business(bytes: &[u8]) {
    match business_of("business.toml", &text_of(bytes), Path::new("/nowhere")) {
        Ok(business) => {
            let texts =
                [&business.licence, &business.phone, &business.email, &business.quote_prefix];
            let texts = texts.into_iter().flatten().chain([&business.name, &business.tax.name]);
            texts
                .chain(&business.address)
                .chain(&business.terms)
                .for_each(|text| assert_plain(text));
        }
        Err(faults) => assert_sound(&faults),
    }
}

/// Takes any bytes as names, each up to the next byte 1, and writes them into a row.
pub fn survives_csv(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let names: Vec<&str> = text.split('\u{1}').take(20).collect();
    let cells: Vec<Cow<'_, str>> = names.iter().map(|name| text_cell(name)).collect();
    assert!(!cells.iter().any(|cell| cell.starts_with(['=', '+', '-', '@', '\t', '\r'])));
    let csv = line(["item", "price"]) + &line(cells.iter().map(|cell| &**cell).chain(["end"]));
    let mut table = Table::new(&csv);
    assert!(table.next(|name| name == "item", true).is_some());
    let row = table.next(|name| name == "item", true).expect("the row");
    let Holds::Fields(fields) = row.holds else { panic!("{csv:?}") };
    let read: Vec<&str> = fields.iter().map(|field| &**field).collect();
    assert_eq!(read, [names, vec!["end"]].concat(), "{csv:?}");
    assert!(table.next(|name| name == "item", true).is_none());
}
