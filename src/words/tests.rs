//! The shipped files, and what is wrong with others.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use rust_decimal::Decimal;
use units::Lengths;

use super::{Date, Language, Words};

const ENGLISH: Words = Words { language: Language::English };
const SPANISH: Words = Words { language: Language::Spanish };

#[test]
fn a_value_that_looks_like_a_place_is_none() {
    let said = ENGLISH.list_more("{count}", "{names}");
    assert_eq!(said, "{count} and {names} more");
}

#[test]
fn numbers_money_and_dates_are_written_as_the_language_does() {
    let amount = Decimal::new(-123_456_750, 2);
    assert_eq!(ENGLISH.exact(amount, 2), "\u{2212}1,234,567.50");
    assert_eq!(SPANISH.exact(amount, 2), "\u{2212}1.234.567,50");
    assert_eq!(ENGLISH.money(Decimal::new(5, 1), 2, "EUR"), "EUR\u{a0}0.50");
    assert_eq!(SPANISH.money(Decimal::new(1000, 0), 0, "CLP"), "1.000\u{a0}CLP");
    assert_eq!(ENGLISH.exact(Decimal::new(1250, 4), 2), "0.125");
    assert_eq!(SPANISH.number(-0.04, 1), "0,0");
    assert_eq!(ENGLISH.number(f64::INFINITY, 1), "–");
    assert_eq!(SPANISH.percent(Decimal::new(1050, 2)), "10,5\u{a0}%");
    assert_eq!(SPANISH.chance(0.0004), "menos del 0,1\u{a0}%");
    assert_eq!(ENGLISH.chance(1.0), "above 99.9\u{a0}%");
    assert_eq!(SPANISH.chance(0.123), "12,3\u{a0}%");
    assert_eq!(ENGLISH.length(Lengths::Feet.tape(1.5)), "4'\u{a0}11\"");
    assert_eq!(SPANISH.length(Lengths::Metric.tape(1.5)), "1,50\u{a0}m");
    let date: Date = "2026-10-02".parse().unwrap();
    assert_eq!(ENGLISH.date(date), "2 October 2026");
    assert_eq!(SPANISH.date(date), "2 de octubre de 2026");
}

#[test]
fn long_lists_of_names_are_cut() {
    assert_eq!(ENGLISH.names(&["a", "b", "c", "d", "e", "f"]), "a, b, c, d, e, f");
    assert_eq!(ENGLISH.names(&["a", "b", "c", "d", "e", "f", "g"]), "a, b, c, d, e and 2 more");
}

#[test]
fn days_are_read_and_counted_within_the_years_that_there_are() {
    for (text, days) in [("1970-01-01", 0), ("2000-02-29", 11_016), ("9999-12-31", 2_932_896)] {
        assert_eq!(text.parse(), Ok(Date::from_days(days)));
        assert_eq!(Date::from_days(days).to_string(), text);
    }
    let date: Date = "2026-12-15".parse().unwrap();
    assert_eq!(date.after(30).to_string(), "2027-01-14");
    assert_eq!(date.after(u32::MAX).to_string(), "9999-12-31");
    for wrong in [
        "2026-02-29",
        "2100-02-29",
        "2026-13-01",
        "2026-00-10",
        "2026-1-01",
        "1969-12-31",
        "+026-01-01",
        "2026-01-01 ",
        "2026/01/01",
        "",
        "ñ026-01-0",
    ] {
        assert!(wrong.parse::<Date>().is_err(), "{wrong}");
    }
}
