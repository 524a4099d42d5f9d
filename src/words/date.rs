//! A day of the calendar.

use std::fmt;
use std::str::FromStr;

/// A day of the Gregorian calendar, from the year 1970 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(time::Date);

/// A text that is no day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a day; write it as YYYY-MM-DD, from 1970-01-01 to 9999-12-31")]
pub struct NoDate(String);

/// The Julian day of 1970-01-01.
const FIRST: i32 = 2_440_588;

impl Date {
    /// The day that lies so many days after 1970-01-01; the last day that there is if that is
    /// beyond it.
    #[must_use]
    pub fn from_days(days: u32) -> Self {
        let day = i32::try_from(days).ok().and_then(|days| FIRST.checked_add(days));
        let day = day.and_then(|day| time::Date::from_julian_day(day).ok());
        Self(day.unwrap_or(time::Date::MAX))
    }

    /// The day so many days later.
    #[must_use]
    pub fn after(self, days: u32) -> Self {
        let since = (self.0.to_julian_day() - FIRST).unsigned_abs();
        Self::from_days(since.saturating_add(days))
    }

    /// Day of the month, month and year.
    pub(crate) fn parts(self) -> (u8, u8, i32) {
        (self.0.day(), self.0.month().into(), self.0.year())
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (day, month, year) = self.parts();
        write!(out, "{year:04}-{month:02}-{day:02}")
    }
}

impl FromStr for Date {
    type Err = NoDate;

    fn from_str(text: &str) -> Result<Self, NoDate> {
        let sign = |(at, letter): (usize, char)| match at {
            4 | 7 => letter == '-',
            _ => letter.is_ascii_digit(),
        };
        let date = || {
            let text =
                Some(text).filter(|text| text.len() == 10 && text.char_indices().all(sign))?;
            let year = text[..4].parse().ok().filter(|year| *year >= 1970)?;
            let month = time::Month::try_from(text[5..7].parse::<u8>().ok()?).ok()?;
            time::Date::from_calendar_date(year, month, text[8..].parse().ok()?).ok()
        };
        date().map(Self).ok_or_else(|| NoDate(text.chars().take(40).collect()))
    }
}
