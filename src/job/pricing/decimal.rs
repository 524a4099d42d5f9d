//! Exact numbers of files, and rounding.

use rust_decimal::{Decimal, RoundingStrategy};

use input::number::{NoNumber, Style, plain};

/// Most digits after the point of a number in a file.
const MOST_PLACES: usize = 6;

/// Most digits before the point.
const MOST_WHOLE: usize = 9;

/// Reads a number.
pub(super) fn decimal(text: &str, style: Style) -> Result<Decimal, NoNumber> {
    let plain = plain(text, style)?;
    let digits = plain.trim_start_matches('-');
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    if whole.len() > MOST_WHOLE || part.len() > MOST_PLACES {
        return Err(NoNumber::TooLong);
    }
    plain.parse().map_err(|_| NoNumber::Signs)
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

    #[test]
    fn what_has_too_many_digits_is_refused() {
        let read = decimal("-123 456 789,123456", Style::Either).map(|value| value.to_string());
        assert_eq!(read.as_deref(), Ok("-123456789.123456"));
        for text in ["1234567890", "1.1234567"] {
            assert_eq!(decimal(text, Style::Point), Err(NoNumber::TooLong), "{text}");
        }
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
