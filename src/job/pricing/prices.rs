//! The price list: what each item costs, and how long it takes to install.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

use rust_decimal::Decimal;

use super::decimal::decimal;
use super::{MAX_TEXT_BYTES, SMALLER};
use input::number::{NoNumber, Style};
use input::table::{Holds, Table, fix_surplus};
use input::{Diagnostic, Diagnostics, FileText};
use input::{did_you_mean, file_text, one_line, quoted, with_line_feeds};

/// A price list.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    /// Name of its file, for messages.
    pub file: String,
    /// Its rows, in the order of the file.
    pub rows: Vec<PriceRow>,
    /// What is doubtful in it.
    pub warnings: Vec<Diagnostic>,
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
pub(super) fn item_key(text: &str) -> String {
    let plain = one_line(text.trim()).to_lowercase();
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

/// The field of a heading.
fn field_of(name: &str) -> Option<Field> {
    let plain = name.trim().to_lowercase().replace(['_', '-'], " ");
    HEADINGS.iter().find(|(known, _)| *known == plain).map(|(_, field)| *field)
}

/// Reads a price list: CSV with a heading, columns in any order, set apart by commas, semicolons,
/// tabs or `|`. Lines that begin with `#` are left out. With commas between the columns the point
/// is the decimal sign; else comma and point both may be, and a number such as `1.234` that could
/// be read two ways is refused.
///
/// # Errors
/// Everything that is wrong with it, in the order of the file.
pub fn read_prices(path: &Path) -> Result<PriceList, Vec<Diagnostic>> {
    let FileText { text, warnings } = file_text(path, MAX_TEXT_BYTES, "a price list", SMALLER)?;
    Ok(PriceList { warnings, ..prices_of(&path.display().to_string(), &text)? })
}

/// The price list that a text holds; `file` is its name.
///
/// # Errors
/// As [`read_prices`].
pub fn prices_of(file: &str, text: &str) -> Result<PriceList, Vec<Diagnostic>> {
    let text = with_line_feeds(Cow::Borrowed(text));
    let mut table = Table::new(&text);
    let mut reader = Reader { style: Style::Either, columns: 0, faults: Diagnostics::new(file) };
    let mut fields = None;
    let mut rows: Vec<PriceRow> = Vec::new();
    let mut lines: BTreeMap<(String, bool), usize> = BTreeMap::new();
    while let Some(found) = table.next(|name| field_of(name).is_some(), true) {
        let at = found.at;
        let cells = match found.holds {
            Holds::Comment(_) => continue,
            Holds::Fields(cells) => cells,
            Holds::OpenQuote => {
                let fix = "close it, or double it inside a field";
                reader.faults.fault(at, None, || ("a quotation mark is not closed", fix));
                break;
            }
        };
        let Some(fields) = fields.as_ref() else {
            if table.delimiter() == Some(',') {
                reader.style = Style::Point;
            }
            fields = Some(reader.fields(&cells, at));
            if reader.faults.any_fault() {
                break;
            }
            continue;
        };
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if rows.len() >= MOST_ROWS {
            let what = format!("more than {MOST_ROWS} rows");
            reader.faults.fault(at, None, || (what, "shorten the list"));
            break;
        }
        let Some(row) = reader.row(fields, &cells, (at, found.line)) else {
            continue;
        };
        let kind = (row.item.clone(), row.quantity.is_some());
        if let Some(first) = lines.insert(kind, found.line) {
            reader.faults.fault(at, None, || {
                let item = quoted(&row.item);
                let what = format!("line {first} already has a price for {item}");
                (what, LEAVE_ONE)
            });
        }
        rows.push(row);
    }
    if fields.is_none() && !reader.faults.any_fault() {
        reader.faults.fault(0, None, || ("the price list is empty", EXAMPLE));
    }
    let is_sound = !reader.faults.any_fault();
    let (faults, _) = reader.faults.finish(&text);
    let file = file.to_owned();
    if is_sound { Ok(PriceList { file, rows, warnings: Vec::new() }) } else { Err(faults) }
}

const EXAMPLE: &str = "make the first line item,unit price,hours and the others like \
                       smoke,48.00,0.25";

/// Whether digits look like what a decimal comma cut off a number: nobody writes `05` for five.
fn is_cut_off(text: &str) -> bool {
    text.len() > 1 && text.starts_with('0') && text.bytes().all(|byte| byte.is_ascii_digit())
}

const LEAVE_ONE: &str = "remove one of them";

struct Reader {
    style: Style,
    columns: usize,
    faults: Diagnostics,
}

impl Reader {
    /// Which column holds what.
    fn fields(&mut self, heading: &[Cow<'_, str>], at: usize) -> BTreeMap<Field, usize> {
        self.columns = heading.len();
        let mut fields = BTreeMap::new();
        for (column, name) in heading.iter().enumerate() {
            match field_of(name) {
                Some(field) if fields.insert(field, column).is_some() => {
                    let name = name.trim().to_lowercase();
                    let what = format!("two columns have the heading {}", quoted(&name));
                    self.faults.fault(at, None, || (what, LEAVE_ONE));
                }
                Some(_) => {}
                None => self.faults.fault(at, None, || {
                    let what = format!("the column {} is not known", quoted(name.trim()));
                    let near = did_you_mean(name.trim(), HEADINGS.iter().map(|(known, _)| *known));
                    let all = "the columns are item, unit price, hours, quantity, description";
                    (what, near.unwrap_or_else(|| all.to_owned()))
                }),
            }
        }
        for (field, name) in [(Field::Item, "item"), (Field::Price, "unit price")] {
            if !fields.contains_key(&field) {
                let what = format!("there is no column \"{name}\"");
                self.faults.fault(at, None, || (what, EXAMPLE));
            }
        }
        fields
    }

    fn row(
        &mut self,
        fields: &BTreeMap<Field, usize>,
        cells: &[Cow<'_, str>],
        (at, line): (usize, usize),
    ) -> Option<PriceRow> {
        let cell = |field: Field| {
            let text = fields.get(&field).and_then(|column| cells.get(*column));
            text.map(|text| text.trim()).filter(|text| !text.is_empty())
        };
        let surplus = cells.get(self.columns..).unwrap_or_default();
        let is_comma = self.style == Style::Point;
        // Between blank cells, a number that its comma cut in two hides among those before them.
        if surplus.iter().any(|more| is_comma || !more.trim().is_empty()) {
            let fix = fix_surplus(is_comma.then_some(','));
            self.faults.fault(at, None, || ("the row has more columns than the heading", fix));
            return None;
        }
        let Some(item) = cell(Field::Item) else {
            self.faults.fault(at, None, || ("the row has no item", EXAMPLE));
            return None;
        };
        let description = cell(Field::Description);
        if [Some(item), description].into_iter().flatten().any(|t| t.chars().count() > LONGEST) {
            let what = format!("a text of more than {LONGEST} characters");
            self.faults.fault(at, None, || (what, "shorten it"));
            return None;
        }
        let unit_price = match cell(Field::Price) {
            Some(text) => self.number(at, item, "unit price", text, 100_000_000),
            None => {
                let what = format!("the item {} has no unit price", quoted(item));
                self.faults.fault(at, None, || (what, "write one; 0 if it is free"));
                None
            }
        };
        let hours = match cell(Field::Hours) {
            Some(text) => self.number(at, item, "hours", text, 10_000),
            None => Some(Decimal::ZERO),
        };
        let quantity = cell(Field::Quantity);
        let quantity = quantity.map(|text| self.number(at, item, "quantity", text, 100_000));
        Some(PriceRow {
            item: item_key(item),
            line,
            unit_price: unit_price?,
            hours: hours?,
            // Not given is one thing, given and no number another.
            quantity: quantity.map_or(Some(None), |given| given.map(Some))?,
            description: description.map(|text| one_line(text).into_owned()),
        })
    }

    fn number(
        &mut self,
        at: usize,
        item: &str,
        what: &str,
        text: &str,
        most: u32,
    ) -> Option<Decimal> {
        let (problem, fix) = match decimal(text, self.style) {
            Ok(value) if value.is_sign_negative() && !value.is_zero() => {
                ("is negative".to_owned(), "write a number that is not negative")
            }
            Ok(_) if self.style == Style::Point && is_cut_off(text) => {
                ("begins with a zero".to_owned(), fix_surplus(Some(',')))
            }
            Ok(value) if value > Decimal::from(most) => {
                (format!("is more than {most}"), "write a smaller number")
            }
            Ok(value) => return Some(value.abs()),
            Err(why) => {
                let fix = match why {
                    NoNumber::Ambiguous => "write 1234 for thousands, 1.2340 for a fraction",
                    NoNumber::TooLong => "use at most nine digits before the point and six after",
                    NoNumber::Signs => {
                        "write digits with a decimal point or comma, and no \
                                        currency"
                    }
                };
                (why.to_string(), fix)
            }
        };
        let what = format!("{}: the {what} {} {problem}", quoted(item), quoted(text));
        self.faults.fault(at, None, || (what, fix));
        None
    }
}
