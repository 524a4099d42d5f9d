//! Decimal numbers as people write them in files.

use rust_decimal::{Decimal, RoundingStrategy};

/// Most digits after the point of a number in a file.
const MOST_PLACES: usize = 6;

/// Most digits before the point.
const MOST_WHOLE: usize = 9;

/// How the numbers of a file are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// The point is the decimal sign; a comma only sets off thousands.
    Point,
    /// Point or comma may be the decimal sign.
    Either,
}

/// Why a text is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoNumber {
    /// It has other signs than a number.
    Signs,
    /// One comma or point with three digits after it: decimal sign or thousands?
    Ambiguous,
    /// Too many digits.
    TooLong,
}

/// Reads a number. Spaces and apostrophes between digits are taken as thousands' separators.
pub(super) fn decimal(text: &str, style: Style) -> Result<Decimal, NoNumber> {
    let text = text.trim();
    let (negative, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(body) => (true, body),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let between = |letter: char| matches!(letter, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '’');
    let body: String = body.chars().filter(|letter| !between(*letter)).collect();
    let starts_and_ends = |body: &str| {
        let is_digit = |letter: Option<char>| letter.is_some_and(|l| l.is_ascii_digit());
        is_digit(body.chars().next()) && is_digit(body.chars().next_back())
    };
    let known = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',');
    if !body.chars().all(known) || !starts_and_ends(&body) {
        return Err(NoNumber::Signs);
    }
    let sign = decimal_sign(&body, style)?;
    let (whole, part) = match sign {
        Some(sign) => body.rsplit_once(sign).unwrap_or((&body, "")),
        None => (body.as_str(), ""),
    };
    let whole = without_groups(whole, sign)?;
    if whole.len() > MOST_WHOLE || part.len() > MOST_PLACES {
        return Err(NoNumber::TooLong);
    }
    let minus = if negative { "-" } else { "" };
    let point = if part.is_empty() { "" } else { "." };
    let plain = format!("{minus}{whole}{point}{part}");
    plain.parse().map_err(|_| NoNumber::Signs)
}

/// The sign between whole and part, if there is one.
fn decimal_sign(body: &str, style: Style) -> Result<Option<char>, NoNumber> {
    let count = |sign: char| body.matches(sign).count();
    let (points, commas) = (count('.'), count(','));
    match (points, commas, style) {
        (0, 0, _) => Ok(None),
        (1, _, Style::Point) => Ok(Some('.')),
        (0, _, Style::Point) => Ok(None),
        (_, 0, Style::Either) | (0, _, Style::Either) => {
            let sign = if commas == 0 { '.' } else { ',' };
            if points + commas > 1 {
                return Ok(None);
            }
            let (whole, part) = body.split_once(sign).unwrap_or((body, ""));
            // Nobody writes 0.125 for a hundred and twenty-five.
            let may_be_group = part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0');
            if may_be_group { Err(NoNumber::Ambiguous) } else { Ok(Some(sign)) }
        }
        // Both occur: the last one is the decimal sign, if it occurs once.
        (_, _, Style::Either) => {
            let last = if body.rfind('.') > body.rfind(',') { '.' } else { ',' };
            (count(last) == 1).then_some(Some(last)).ok_or(NoNumber::Signs)
        }
        _ => Err(NoNumber::Signs),
    }
}

/// The digits before the decimal sign; what sets off thousands must do so every three digits.
fn without_groups(whole: &str, sign: Option<char>) -> Result<String, NoNumber> {
    let marks: Vec<char> = ['.', ','].into_iter().filter(|mark| whole.contains(*mark)).collect();
    match marks.as_slice() {
        [] => Ok(whole.to_owned()),
        [mark] if Some(*mark) != sign => {
            let mut groups = whole.split(*mark);
            let first = groups.next().unwrap_or_default();
            let fits =
                !first.is_empty() && first.len() <= 3 && groups.all(|group| group.len() == 3);
            fits.then(|| whole.replace(*mark, "")).ok_or(NoNumber::Signs)
        }
        _ => Err(NoNumber::Signs),
    }
}

/// To so many digits after the point, half a unit away from zero.
pub(super) fn rounded(value: Decimal, places: u32) -> Decimal {
    let away = RoundingStrategy::MidpointAwayFromZero;
    let mut rounded = value.round_dp_with_strategy(places, away);
    rounded.rescale(places);
    rounded
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, style: Style) -> Result<String, NoNumber> {
        decimal(text, style).map(|value| value.to_string())
    }

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
            (" +7 ", "7"),
        ] {
            assert_eq!(read(text, Style::Either).as_deref(), Ok(value), "{text}");
        }
        for (text, value) in [("1.234", "1.234"), ("1,234", "1234"), ("1,234.5", "1234.5")] {
            assert_eq!(read(text, Style::Point).as_deref(), Ok(value), "{text}");
        }
    }

    #[test]
    fn what_could_be_read_two_ways_is_refused() {
        for text in ["1,234", "1.234", "12.345", "123,456"] {
            assert_eq!(read(text, Style::Either), Err(NoNumber::Ambiguous), "{text}");
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
            assert_eq!(read(text, Style::Either), Err(NoNumber::Signs), "{text}");
        }
        assert_eq!(read("1,5", Style::Point), Err(NoNumber::Signs));
        assert_eq!(read("1234567890", Style::Point), Err(NoNumber::TooLong));
        assert_eq!(read("1.1234567", Style::Point), Err(NoNumber::TooLong));
    }

    #[test]
    fn half_a_unit_goes_away_from_zero() {
        for (value, places, expected) in [
            ("0.125", 2, "0.13"),
            ("0.124999", 2, "0.12"),
            ("2.5", 0, "3"),
            ("3.5", 0, "4"),
            ("-0.125", 2, "-0.13"),
            ("1.0005", 3, "1.001"),
            ("7", 2, "7.00"),
        ] {
            let value: Decimal = value.parse().expect("a number");
            assert_eq!(rounded(value, places).to_string(), expected);
        }
    }
}
