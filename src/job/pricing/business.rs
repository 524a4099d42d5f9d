//! The business file: who makes the offer, and on what terms.

use std::ops::Range;
use std::path::Path;

use rust_decimal::Decimal;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::currency::{Currency, codes, currency};
use super::decimal::decimal;
use super::logo::{Image, read_logo};
use super::{MAX_TEXT_BYTES, SMALLER};
use input::number::{NoNumber, Style};
use input::{Diagnostic, Diagnostics, FileText, MAX_LISTED};
use input::{did_you_mean, file_text, nearest, one_line, quoted};

/// Who makes the offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Business {
    /// Name.
    pub name: String,
    /// Lines of the address.
    pub address: Vec<String>,
    /// Number of the licence to do this work.
    pub licence: Option<String>,
    /// Telephone.
    pub phone: Option<String>,
    /// E-mail.
    pub email: Option<String>,
    /// Logo, at the left of a white strip as wide as the text of a page.
    pub logo: Option<Image>,
    /// Currency of all prices.
    pub currency: Currency,
    /// Tax on all prices.
    pub tax: Tax,
    /// What the numbers of quotes begin with.
    pub quote_prefix: Option<String>,
    /// Days for which a quote holds, 1 to 3650.
    pub validity_days: u32,
    /// Price of an hour of work, without tax.
    pub hourly_rate: Decimal,
    /// Terms in the installer's own words.
    pub terms: Vec<String>,
    /// What is doubtful in the file.
    pub warnings: Vec<Diagnostic>,
}

/// A tax on prices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tax {
    /// Its name.
    pub name: String,
    /// Per cent, 0 to 100.
    pub rate: Decimal,
    /// What it is worked out on.
    pub on: TaxOn,
}

/// What a tax is worked out on, and rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaxOn {
    /// The subtotal.
    Total,
    /// Each line.
    Lines,
}

/// Longest text of a business file, characters (our own choice).
const LONGEST: usize = 500;

const KEYS: &str = "name address licence phone email logo currency decimals validity_days \
                    quote_prefix hourly_rate terms tax";
const TAX_KEYS: &str = "name rate on";

/// Reads a business file.
///
/// # Errors
/// Everything that is wrong with it, in the order of the file; what is missing comes first.
pub fn read_business(path: &Path) -> Result<Business, Vec<Diagnostic>> {
    let FileText { text, warnings } = file_text(path, MAX_TEXT_BYTES, "a TOML file", SMALLER)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    Ok(Business { warnings, ..business_of(&path.display().to_string(), &text, folder)? })
}

/// The business that a text describes; `file` is its name, and its logo is beside it in `folder`.
///
/// # Errors
/// As [`read_business`].
pub fn business_of(file: &str, text: &str, folder: &Path) -> Result<Business, Vec<Diagnostic>> {
    let mut reader = Reader { text, faults: Diagnostics::new(file) };
    let business = match DeTable::parse(text) {
        Ok(table) => reader.business(table.get_ref(), folder),
        Err(error) => {
            let what = format!("this is not TOML: {}", error.message());
            reader.fault(error.span(), what, "write each line as  name = \"text\"");
            None
        }
    };
    let is_sound = !reader.faults.any_fault();
    business.filter(|_| is_sound).ok_or_else(|| reader.faults.finish(text).0)
}

/// A value with its place.
type Value<'i> = Spanned<DeValue<'i>>;

struct Reader<'t> {
    text: &'t str,
    faults: Diagnostics,
}

impl Reader<'_> {
    fn fault(&mut self, span: Option<Range<usize>>, what: String, fix: impl Into<String>) {
        self.faults.fault(span.map(|span| span.start), None, || (what, fix));
    }

    fn business(&mut self, table: &DeTable<'_>, folder: &Path) -> Option<Business> {
        self.known(table, KEYS, "");
        let example = "\"Name of the business\"";
        let name = self.required(table, "name", example, Self::string);
        let example = "[\"Street 1\", \"Town\"]";
        let address = self.required(table, "address", example, Self::strings);
        let licence = self.optional(table, "licence");
        let phone = self.optional(table, "phone");
        let email = self.optional(table, "email");
        let quote_prefix = self.optional(table, "quote_prefix");
        let terms = table.get("terms").map(|value| self.strings("terms", value));
        let logo = table.get("logo").map(|value| self.logo(value, folder));
        let decimals = table.get("decimals");
        let decimals = decimals.map(|value| self.whole("decimals", value, 0, 4));
        let currency = self.required(table, "currency", "\"EUR\"", Self::currency);
        let days =
            |reader: &mut Self, key: &str, value: &Value<'_>| reader.whole(key, value, 1, 3650);
        let validity_days = self.required(table, "validity_days", "30", days);
        let rate =
            |reader: &mut Self, key: &str, value: &Value<'_>| reader.number(key, value, 1_000_000);
        let hourly_rate = self.required(table, "hourly_rate", "45.00", rate);
        let example = "{ name = \"VAT\", rate = 20, on = \"total\" }";
        let tax = self.required(table, "tax", example, Self::tax);
        let mut currency = currency?;
        if let Some(decimals) = decimals {
            currency.decimals = decimals?;
        }
        Some(Business {
            name: name?,
            address: address?,
            licence,
            phone,
            email,
            logo: logo.unwrap_or_default(),
            currency,
            tax: tax?,
            quote_prefix,
            validity_days: validity_days?,
            hourly_rate: hourly_rate?,
            terms: terms.unwrap_or_else(|| Some(Vec::new()))?,
            warnings: Vec::new(),
        })
    }

    fn tax(&mut self, key: &str, value: &Value<'_>) -> Option<Tax> {
        let DeValue::Table(table) = value.get_ref() else {
            self.kind(key, value, "a table of name, rate and on");
            return None;
        };
        self.known(table, TAX_KEYS, "tax.");
        let name = self.required(table, "tax.name", "\"VAT\"", Self::string);
        let percent =
            |reader: &mut Self, key: &str, value: &Value<'_>| reader.number(key, value, 100);
        let rate = self.required(table, "tax.rate", "20", percent);
        let on = self.required(table, "tax.on", "\"total\"", |reader, key, value| {
            match value.get_ref() {
                DeValue::String(word) if word == "total" => return Some(TaxOn::Total),
                DeValue::String(word) if word == "lines" => return Some(TaxOn::Lines),
                _ => {}
            }
            let fix = "write \"total\" (on the subtotal) or \"lines\" (line by line)";
            reader.unfit(key, value, fix)
        });
        Some(Tax { name: name?, rate: rate?, on: on? })
    }

    /// Complains of keys that are not known.
    fn known(&mut self, table: &DeTable<'_>, keys: &'static str, before: &str) {
        for (key, _) in table {
            let name = key.get_ref();
            if keys.split(' ').any(|key| key == name) {
                continue;
            }
            self.faults.fault(key.span().start, None, || {
                let fix = did_you_mean(name, keys.split(' '))
                    .unwrap_or_else(|| format!("the keys are {}", keys.replace(' ', ", ")));
                (format!("the key {} is not known", quoted(&format!("{before}{name}"))), fix)
            });
        }
    }

    /// What is read of a key that must be there: `place` is its name in the file, whole.
    fn required<'v, T>(
        &mut self,
        table: &'v DeTable<'_>,
        place: &str,
        example: &str,
        read: impl FnOnce(&mut Self, &str, &'v Value<'v>) -> Option<T>,
    ) -> Option<T> {
        let (within, key) = place.split_once('.').unwrap_or(("", place));
        let value = table.get(key);
        // A misspelt key has a fault where it stands; that the right one is missing goes without
        // saying.
        let keys = if within.is_empty() { KEYS } else { TAX_KEYS }.split(' ');
        let names = table.iter().map(|(name, _)| &**name.get_ref());
        let unknown = names.filter(|name| keys.clone().all(|known| known != *name));
        let mut unknown = unknown.take(MAX_LISTED);
        let misspelt = unknown.any(|name| nearest(name, keys.clone()) == Some(key));
        if value.is_none() && !misspelt {
            let under =
                if within.is_empty() { String::new() } else { format!(" under [{within}]") };
            let fix = format!("add a line such as  {key} = {example}{under}");
            self.fault(None, format!("the key \"{place}\" is missing"), fix);
        }
        value.and_then(|value| read(self, place, value))
    }

    fn kind(&mut self, key: &str, value: &Value<'_>, wanted: &str) {
        let what = format!("{key} is {}, not {wanted}", kind_word(value.get_ref()));
        self.fault(Some(value.span()), what, format!("write {wanted}"));
    }

    fn string(&mut self, key: &str, value: &Value<'_>) -> Option<String> {
        let DeValue::String(text) = value.get_ref() else {
            self.kind(key, value, "a text in quotation marks");
            return None;
        };
        if text.trim().is_empty() || text.chars().count() > LONGEST {
            let what = format!("{key} is empty or longer than {LONGEST} characters");
            self.fault(Some(value.span()), what, "write a text, or leave the line out");
            return None;
        }
        Some(one_line(text.trim()).into_owned())
    }

    fn optional(&mut self, table: &DeTable<'_>, key: &str) -> Option<String> {
        table.get(key).and_then(|value| self.string(key, value))
    }

    /// One text, or a list of them.
    fn strings(&mut self, key: &str, value: &Value<'_>) -> Option<Vec<String>> {
        match value.get_ref() {
            DeValue::Array(entries) if !entries.is_empty() && entries.len() <= 50 => {
                let texts = entries.iter().map(|entry| self.string(key, entry));
                let texts: Vec<Option<String>> = texts.collect();
                texts.into_iter().collect()
            }
            DeValue::String(_) => Some(vec![self.string(key, value)?]),
            _ => {
                self.kind(key, value, "a list of texts, [\"one\", \"two\"], 50 at most");
                None
            }
        }
    }

    /// Complains of a value as it stands in the file.
    fn unfit<T>(&mut self, key: &str, value: &Value<'_>, fix: impl Into<String>) -> Option<T> {
        let text = self.text.get(value.span()).unwrap_or_default();
        let what = format!("{key} is {}", quoted(text.trim_matches('"')));
        self.fault(Some(value.span()), what, fix);
        None
    }

    fn whole(&mut self, key: &str, value: &Value<'_>, low: u32, high: u32) -> Option<u32> {
        let number = match value.get_ref() {
            DeValue::Integer(number) => u32::from_str_radix(number.as_str(), number.radix()).ok(),
            _ => None,
        };
        let number = number.filter(|number| (low..=high).contains(number));
        let fix = || format!("write a whole number from {low} to {high}");
        number.or_else(|| self.unfit(key, value, fix()))
    }

    /// A number that is not negative: as a number of TOML, digit for digit, or as a text.
    fn number(&mut self, key: &str, value: &Value<'_>, most: u32) -> Option<Decimal> {
        let read = match value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => {
                decimal(number.as_str(), Style::Point)
            }
            DeValue::Float(number) => decimal(number.as_str(), Style::Point),
            DeValue::String(text) => decimal(text, Style::Either),
            _ => Err(NoNumber::Signs),
        };
        let number = read.ok().filter(|n| !n.is_sign_negative() && *n <= Decimal::from(most));
        number.or_else(|| {
            let fix = format!(
                "write a number from 0 to {most} with at most six digits after the point, such as 12.50"
            );
            self.unfit(key, value, fix)
        })
    }

    fn currency(&mut self, key: &str, value: &Value<'_>) -> Option<Currency> {
        let code = self.string(key, value)?;
        let known = currency(&code);
        if known.is_none() {
            let what = format!("the currency {} is not known", quoted(&code));
            let fix = "write the three letters of ISO 4217, such as EUR, USD or MXN";
            let fix = did_you_mean(&code, codes()).unwrap_or_else(|| fix.to_owned());
            self.fault(Some(value.span()), what, fix);
        }
        known
    }

    fn logo(&mut self, value: &Value<'_>, folder: &Path) -> Option<Image> {
        let path = self.string("logo", value)?;
        match read_logo(&folder.join(&path)) {
            Ok(logo) => Some(logo),
            Err((what, fix)) => {
                self.fault(Some(value.span()), format!("logo {}: {what}", quoted(&path)), fix);
                None
            }
        }
    }
}

const fn kind_word(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
