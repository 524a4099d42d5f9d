//! A day of the calendar.

use std::fmt;
use std::str::FromStr;

/// A day of the Gregorian calendar, from the year 1970 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

/// A text that is no day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a day; write it as YYYY-MM-DD, from 1970-01-01 to 9999-12-31")]
pub struct NoDate(String);

const LAST_YEAR: u16 = 9999;

const fn is_leap(year: u16) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

const fn days_of_year(year: u16) -> u32 {
    if is_leap(year) { 366 } else { 365 }
}

const fn days_of_month(year: u16, month: u8) -> u8 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl Date {
    /// A day, if there is such a one.
    #[must_use]
    pub const fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let year_known = year >= 1970 && year <= LAST_YEAR;
        if year_known && month >= 1 && month <= 12 && day >= 1 && day <= days_of_month(year, month)
        {
            Some(Self { year, month, day })
        } else {
            None
        }
    }

    /// The day that lies so many days after 1970-01-01; the last day that there is if that is
    /// beyond it.
    #[must_use]
    pub fn from_days(mut days: u32) -> Self {
        let mut year = 1970;
        while days >= days_of_year(year) {
            days -= days_of_year(year);
            year += 1;
            if year > LAST_YEAR {
                return Self { year: LAST_YEAR, month: 12, day: 31 };
            }
        }
        let mut month = 1;
        while days >= u32::from(days_of_month(year, month)) {
            days -= u32::from(days_of_month(year, month));
            month += 1;
        }
        #[expect(clippy::cast_possible_truncation, reason = "fewer than 31 days are left")]
        let day = days as u8 + 1;
        Self { year, month, day }
    }

    /// Days since 1970-01-01.
    #[must_use]
    pub fn days(self) -> u32 {
        let years: u32 = (1970..self.year).map(days_of_year).sum();
        let months: u32 =
            (1..self.month).map(|month| u32::from(days_of_month(self.year, month))).sum();
        years + months + u32::from(self.day) - 1
    }

    /// The day so many days later.
    #[must_use]
    pub fn after(self, days: u32) -> Self {
        Self::from_days(self.days().saturating_add(days))
    }

    /// Year.
    #[must_use]
    pub const fn year(self) -> u16 {
        self.year
    }

    /// Month, 1 to 12.
    #[must_use]
    pub const fn month(self) -> u8 {
        self.month
    }

    /// Day of the month, from 1.
    #[must_use]
    pub const fn day(self) -> u8 {
        self.day
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for Date {
    type Err = NoDate;

    fn from_str(text: &str) -> Result<Self, NoDate> {
        let is_written_so = text.len() == 10
            && text.char_indices().all(|(at, letter)| match at {
                4 | 7 => letter == '-',
                _ => letter.is_ascii_digit(),
            });
        let mut parts = text.split('-');
        let mut part = || parts.next().filter(|_| is_written_so);
        let date = || {
            let (year, month, day) = (part()?, part()?, part()?);
            Self::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
        };
        let mut date = date;
        date().ok_or_else(|| NoDate(text.chars().take(40).collect()))
    }
}
