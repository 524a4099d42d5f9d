//! Numbers, money, lengths and dates as a language writes them.

use rust_decimal::Decimal;

use super::{Date, Language, Words};
use units::{Chance, Length, Lengths, Shown};

/// A space that no line breaks at.
const NO_BREAK: &str = "\u{a0}";
const MINUS: char = '\u{2212}';

/// A plain number such as `-1234.50` with the language's signs.
fn written(language: Language, plain: &str) -> String {
    let (comma, point) = match language {
        Language::English => (',', '.'),
        Language::Spanish => ('.', ','),
    };
    let unsigned = plain.trim_start_matches('-');
    let (whole, part) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let mut text = String::with_capacity(plain.len() + 8);
    let is_nothing = unsigned.chars().all(|sign| matches!(sign, '0' | '.'));
    if plain.starts_with('-') && !is_nothing {
        text.push(MINUS);
    }
    let digits = whole.chars().count();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (digits - at).is_multiple_of(3) {
            text.push(comma);
        }
        text.push(digit);
    }
    if !part.is_empty() {
        text.push(point);
        text.push_str(part);
    }
    text
}

impl Words {
    /// A number with so many digits after the point. What is not finite is a dash.
    #[must_use]
    pub fn number(&self, value: f64, places: usize) -> String {
        if value.is_finite() {
            written(self.language, &format!("{value:.places$}"))
        } else {
            "–".to_owned()
        }
    }

    /// A number that is written already, with the language's decimal sign and nothing else changed.
    #[must_use]
    pub fn plain(&self, number: impl ToString) -> String {
        match self.language {
            Language::English => number.to_string(),
            Language::Spanish => number.to_string().replace('.', ","),
        }
    }

    /// An exact number as it is, with at least so many digits after the point.
    #[must_use]
    pub fn exact(&self, value: Decimal, least_places: u32) -> String {
        let value = value.normalize();
        let places = value.scale().max(least_places) as usize;
        written(self.language, &format!("{value:.places$}"))
    }

    /// An amount of money with the code of its currency.
    #[must_use]
    pub fn money(&self, value: Decimal, places: u32, currency: &str) -> String {
        let amount = self.exact(value, places);
        match self.language {
            Language::English => format!("{currency}{NO_BREAK}{amount}"),
            Language::Spanish => format!("{amount}{NO_BREAK}{currency}"),
        }
    }

    /// A share of a hundred.
    #[must_use]
    pub fn percent(&self, value: Decimal) -> String {
        format!("{}{NO_BREAK}%", self.exact(value, 0))
    }

    /// A length as the language writes it.
    #[must_use]
    pub fn length(&self, length: Length) -> String {
        length.with_decimal(&self.plain("."), NO_BREAK)
    }

    /// An area as [`Lengths::area`] shows it.
    #[must_use]
    pub fn area(&self, lengths: Lengths, square_metres: f64) -> String {
        let shown = self.plain(lengths.area(square_metres));
        let english = Self { language: Language::English };
        shown.replace(&english.unit_square_feet(), &self.unit_square_feet())
    }

    /// A chance, as [`Chance`] is shown.
    #[must_use]
    pub fn chance(&self, chance: f64) -> String {
        let percent = |value: f64| format!("{}{NO_BREAK}%", self.number(value, 1));
        match Chance(chance).shown(1) {
            Shown::Below(value) => self.chance_below(&percent(value)),
            Shown::About(value) => percent(value),
            Shown::Above(value) => self.chance_above(&percent(value)),
        }
    }

    /// A date in words.
    #[must_use]
    pub fn date(&self, date: Date) -> String {
        let (day, month, year) = date.parts();
        let month = self.term("month", &month.to_string()).unwrap_or_default();
        self.month_date(&day.to_string(), &month, &year.to_string())
    }
}
