//! The shipped files, and what is wrong with others.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use rust_decimal::Decimal;

use super::{Date, Key, Language, WordingError, Words};

fn words(language: Language) -> Words {
    Words::load(language).unwrap()
}

#[test]
fn every_shipped_file_has_every_message_with_its_places() {
    for language in Language::ALL {
        let words = words(language);
        for key in Key::ALL {
            assert!(!words.template(*key).trim().is_empty(), "{key:?}");
        }
    }
}

#[test]
fn a_missing_an_empty_a_superfluous_and_a_misfitting_message_are_told() {
    let whole = include_str!("en.toml");
    let faulty = |from: &str, to: &str| {
        assert!(whole.contains(from), "{from}");
        Words::from_text(Language::English, &whole.replacen(from, to, 1)).unwrap_err()
    };
    let missing = WordingError::Missing("quote_total".to_owned());
    assert_eq!(faulty("total = \"Total\"\n", ""), missing);
    assert_eq!(faulty("total = \"Total\"", "total = \" \""), missing);
    assert_eq!(
        faulty("total = \"Total\"", "total = \"Total\"\nsum = \"Sum\""),
        WordingError::Superfluous("quote_sum".to_owned())
    );
    let places = faulty("{names} and {count} more", "{names} and {number} more");
    assert_eq!(
        places.to_string(),
        "the message \"list_more\" has the places [\"names\", \"number\"], but must have \
         [\"count\", \"names\"]"
    );
    let lost = faulty("{names} and {count} more", "{names} and more");
    assert!(matches!(lost, WordingError::Places { .. }), "{lost}");
    let unreadable = faulty("[quote]", "[quote");
    assert!(matches!(unreadable, WordingError::Unreadable(_)), "{unreadable}");
}

#[test]
fn a_value_that_looks_like_a_place_is_none() {
    let said = words(Language::English).list_more("{count}", "{names}");
    assert_eq!(said, "{count} and {names} more");
}

#[test]
fn numbers_money_and_dates_are_written_as_the_language_does() {
    let (english, spanish) = (words(Language::English), words(Language::Spanish));
    let amount = Decimal::new(-123_456_750, 2);
    assert_eq!(english.exact(amount, 2), "\u{2212}1,234,567.50");
    assert_eq!(spanish.exact(amount, 2), "\u{2212}1.234.567,50");
    assert_eq!(english.money(Decimal::new(5, 1), 2, "EUR"), "EUR\u{a0}0.50");
    assert_eq!(spanish.money(Decimal::new(1000, 0), 0, "CLP"), "1.000\u{a0}CLP");
    assert_eq!(english.exact(Decimal::new(1250, 4), 2), "0.125");
    assert_eq!(spanish.number(-0.04, 1), "0,0");
    assert_eq!(english.number(f64::INFINITY, 1), "–");
    assert_eq!(spanish.percent(Decimal::new(1050, 2)), "10,5\u{a0}%");
    assert_eq!(spanish.chance(0.0004), "menos del 0,1\u{a0}%");
    assert_eq!(english.chance(1.0), "above 99.9\u{a0}%");
    assert_eq!(spanish.chance(0.123), "12,3\u{a0}%");
    assert_eq!(english.length(1.5, 0.3048), "4.9\u{a0}ft");
    let date: Date = "2026-10-02".parse().unwrap();
    assert_eq!(english.date(date), "2 October 2026");
    assert_eq!(spanish.date(date), "2 de octubre de 2026");
}

#[test]
fn long_lists_of_names_are_cut() {
    let english = words(Language::English);
    assert_eq!(english.names(&["a", "b", "c", "d", "e", "f"]), "a, b, c, d, e, f");
    assert_eq!(english.names(&["a", "b", "c", "d", "e", "f", "g"]), "a, b, c, d, e and 2 more");
}

#[test]
fn days_are_counted_as_the_calendar_does() {
    // 2000-02-29 is day 11,016 and 2100-03-01 day 47,541 (calculated with another program's
    // calendar).
    for (text, days) in [
        ("1970-01-01", 0),
        ("2000-02-29", 11_016),
        ("2026-12-31", 20_818),
        ("2100-03-01", 47_541),
        ("9999-12-31", 2_932_896),
    ] {
        let date: Date = text.parse().unwrap();
        assert_eq!(date.days(), days, "{text}");
        assert_eq!(Date::from_days(days), date);
        assert_eq!(date.to_string(), text);
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
