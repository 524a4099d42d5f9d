//! The price list: what each item costs, and how long it takes to install.

use std::collections::BTreeMap;
use std::path::Path;

use rust_decimal::Decimal;

use super::decimal::{NoNumber, Style, decimal};
use super::source::{quoted, text};
use plan::{Diagnostic, nearest};

/// A price list.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    /// Name of its file, for messages.
    pub file: String,
    /// Its rows, in the order of the file.
    pub rows: Vec<PriceRow>,
}

/// A row of a price list.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceRow {
    /// The item: in small letters, hyphens for spaces and underscores.
    pub item: String,
    /// Line in the file, from 1.
    pub line: usize,
    /// Price of one, without tax.
    pub unit_price: Decimal,
    /// Hours of work for one.
    pub hours: Decimal,
    /// How many, of a line that does not depend on the plan; `None` for a device of the plan.
    pub quantity: Option<Decimal>,
    /// What the quote calls it, in the customer's language; the item's own word otherwise.
    pub description: Option<String>,
}

/// Most rows of a price list (our own choice).
const MOST_ROWS: usize = 10_000;

/// Longest item or description, characters (our own choice).
const LONGEST: usize = 200;

/// An item as it is compared.
#[must_use]
pub(super) fn item_key(text: &str) -> String {
    let plain = text.trim().to_lowercase();
    plain.replace([' ', '_'], "-")
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Field {
    Item,
    Price,
    Hours,
    Quantity,
    Description,
}

/// Headings that are understood, English and Spanish; the first of each field is its name.
const HEADINGS: [(&str, Field); 13] = [
    ("item", Field::Item),
    ("unit price", Field::Price),
    ("hours", Field::Hours),
    ("quantity", Field::Quantity),
    ("description", Field::Description),
    ("price", Field::Price),
    ("concepto", Field::Item),
    ("artículo", Field::Item),
    ("precio unitario", Field::Price),
    ("precio", Field::Price),
    ("horas", Field::Hours),
    ("cantidad", Field::Quantity),
    ("descripción", Field::Description),
];

/// Reads a price list: CSV with a heading, columns in any order, set apart by commas, semicolons or
/// tabs. Lines that begin with `#` are left out. With commas between the columns the point is the
/// decimal sign; else comma and point both may be, and a number such as `1.234` that could be read
/// two ways is refused.
///
/// # Errors
/// Everything that is wrong with it, in the order of the file.
pub fn read_prices(path: &Path) -> Result<PriceList, Vec<Diagnostic>> {
    let file = path.display().to_string();
    let text = text(path).map_err(|fault| vec![fault])?;
    let delimiter = delimiter(&text);
    let mut records = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
        .into_records();
    let mut reader = Reader {
        file: &file,
        style: if delimiter == b',' { Style::Point } else { Style::Either },
        faults: Vec::new(),
    };
    let fields = match records.next() {
        Some(Ok(heading)) => reader.fields(&heading),
        _ => {
            reader.fault(1, "the price list is empty", EXAMPLE);
            None
        }
    };
    let mut rows: Vec<PriceRow> = Vec::new();
    if let Some(fields) = &fields {
        let mut lines: BTreeMap<(String, bool), usize> = BTreeMap::new();
        for record in records {
            let record = match record {
                Ok(record) => record,
                Err(error) => {
                    let line = error.position().map_or(0, |at| at.line() as usize);
                    reader.fault(line, &format!("the line cannot be read: {error}"), EXAMPLE);
                    break;
                }
            };
            let line = record.position().map_or(0, |at| at.line() as usize);
            if record.iter().all(str::is_empty) {
                continue;
            }
            if rows.len() >= MOST_ROWS {
                reader.fault(line, &format!("more than {MOST_ROWS} rows"), "shorten the list");
                break;
            }
            let Some(row) = reader.row(fields, &record, line) else {
                continue;
            };
            let kind = (row.item.clone(), row.quantity.is_some());
            if let Some(first) = lines.insert(kind, line) {
                let what =
                    format!("the item {} has a price on line {first} already", quoted(&row.item));
                reader.fault(line, &what, "leave one of the two out");
            }
            rows.push(row);
        }
    }
    if reader.faults.is_empty() { Ok(PriceList { file, rows }) } else { Err(reader.faults) }
}

const EXAMPLE: &str = "the first line is  item,unit price,hours  and each further one such as  \
                       smoke,48.00,0.25";

/// The sign between columns: the one of these that the heading has, the semicolon first.
fn delimiter(text: &str) -> u8 {
    let is_read = |line: &&str| !line.trim().is_empty() && !line.starts_with('#');
    let heading = text.lines().find(is_read).unwrap_or_default();
    let signs = [(';', b';'), ('\t', b'\t'), (',', b',')];
    let found = signs.into_iter().find(|(sign, _)| heading.contains(*sign));
    found.map_or(b',', |(_, byte)| byte)
}

struct Reader<'f> {
    file: &'f str,
    style: Style,
    faults: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn fault(&mut self, line: usize, what: &str, mend: &str) {
        let place = (line, usize::from(line > 0));
        self.faults.push(Diagnostic::at(self.file, place, what, mend));
    }

    /// Which column holds what.
    fn fields(&mut self, heading: &csv::StringRecord) -> Option<BTreeMap<Field, usize>> {
        let line = heading.position().map_or(1, |at| at.line() as usize);
        let before = self.faults.len();
        let mut fields = BTreeMap::new();
        for (column, name) in heading.iter().enumerate() {
            let plain = name.to_lowercase().replace(['_', '-'], " ");
            match HEADINGS.iter().find(|(known, _)| *known == plain) {
                Some((known, field)) => {
                    if fields.insert(*field, column).is_some() {
                        let what = format!("two columns are headed {}", quoted(known));
                        self.fault(line, &what, "leave one of the two out");
                    }
                }
                None => {
                    let names = HEADINGS.iter().map(|(known, _)| *known);
                    let mend = match nearest(&plain, names) {
                        Some(near) => format!("did you mean \"{near}\"?"),
                        None => "the columns are item, unit price, hours, quantity, description"
                            .to_owned(),
                    };
                    self.fault(line, &format!("the column {} is not known", quoted(name)), &mend);
                }
            }
        }
        for (field, name) in [(Field::Item, "item"), (Field::Price, "unit price")] {
            if !fields.contains_key(&field) {
                self.fault(line, &format!("there is no column \"{name}\""), EXAMPLE);
            }
        }
        (self.faults.len() == before).then_some(fields)
    }

    fn row(
        &mut self,
        fields: &BTreeMap<Field, usize>,
        record: &csv::StringRecord,
        line: usize,
    ) -> Option<PriceRow> {
        let cell = |field: Field| {
            let text = fields.get(&field).and_then(|column| record.get(*column));
            text.filter(|text| !text.is_empty())
        };
        let widest = fields.values().max().map_or(0, |last| last + 1);
        if record.iter().skip(widest).any(|more| !more.is_empty()) {
            let mend = "put a text or number that has the column sign in it into quotation marks";
            self.fault(line, "the row has more columns than the heading", mend);
            return None;
        }
        let Some(item) = cell(Field::Item) else {
            self.fault(line, "the row has no item", EXAMPLE);
            return None;
        };
        let description = cell(Field::Description);
        let is_long = |text: &str| text.chars().count() > LONGEST;
        if is_long(item) || description.is_some_and(is_long) {
            let what = format!("a text of more than {LONGEST} characters");
            self.fault(line, &what, "shorten it");
            return None;
        }
        let unit_price = match cell(Field::Price) {
            Some(text) => self.number(line, item, "unit price", text, 100_000_000),
            None => {
                let what = format!("the item {} has no unit price", quoted(item));
                self.fault(line, &what, "write it; 0 if it is free");
                None
            }
        };
        let hours = match cell(Field::Hours) {
            Some(text) => self.number(line, item, "hours", text, 10_000),
            None => Some(Decimal::ZERO),
        };
        let quantity = cell(Field::Quantity);
        let quantity = quantity.map(|text| self.number(line, item, "quantity", text, 100_000));
        let (unit_price, hours) = (unit_price?, hours?);
        let quantity = match quantity {
            Some(quantity) => Some(quantity?),
            None => None,
        };
        Some(PriceRow {
            item: item_key(item),
            line,
            unit_price,
            hours,
            quantity,
            description: description.map(str::to_owned),
        })
    }

    fn number(
        &mut self,
        line: usize,
        item: &str,
        what: &str,
        text: &str,
        most: u32,
    ) -> Option<Decimal> {
        let (problem, mend) = match decimal(text, self.style) {
            Ok(value) if value.is_sign_negative() && !value.is_zero() => {
                ("is negative".to_owned(), "write a number that is not negative".to_owned())
            }
            Ok(value) if value > Decimal::from(most) => {
                (format!("is more than {most}"), "write a smaller number".to_owned())
            }
            Ok(value) => return Some(value.abs()),
            Err(NoNumber::Ambiguous) => (
                "can be read in two ways".to_owned(),
                "write 1234 for a thousand and more, 1,2340 or 1.2340 for one and a part"
                    .to_owned(),
            ),
            Err(NoNumber::TooLong) => (
                "has too many digits".to_owned(),
                "nine digits before and six after the point are read".to_owned(),
            ),
            Err(NoNumber::Signs) => (
                "is not a number".to_owned(),
                "write digits with a decimal sign, and no currency".to_owned(),
            ),
        };
        let what = format!("{}: the {what} {} {problem}", quoted(item), quoted(text));
        self.fault(line, &what, &mend);
        None
    }
}
