//! Options of `handover`.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::{Args as ClapArgs, ValueEnum};

use super::args::{RadioOptions, number};
use super::siting_args::WalkOptions;
use crate::document::Paper;
use crate::report::BatteryInput;
use crate::schedule::{
    AgeYears, AmpereHours, CellTemperature, Hours, Load, MilliAmperes, SERVICE_LIFE_YEARS,
};

/// Options of `handover`.
#[derive(Debug, ClapArgs)]
pub struct HandoverOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// What to make: html and pdf go into files, csv or json to standard output
    #[arg(long, value_enum, value_delimiter = ',', default_value = "html,pdf")]
    pub format: Vec<HandoverFormat>,
    /// Which sheet to print as CSV
    #[arg(long, value_enum, default_value_t = Sheet::Zones)]
    pub sheet: Sheet,
    /// Folder for the files; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Date on the sheets [default: today, in UTC]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<Date>,
    /// Paper of the PDF
    #[arg(long, value_enum, default_value_t = PaperWord::A4)]
    pub paper: PaperWord,
    /// Give devices without a number the lowest free one: entry doors first, then perimeter,
    /// interior, 24-hour, fire, carbon monoxide, medical, panic; last keypads, sirens, repeaters
    #[arg(long)]
    pub number: bool,
    /// Write a copy of the plan with the numbers filled in
    #[arg(long, value_name = "FILE", requires = "number")]
    pub write: Option<PathBuf>,
    #[command(flatten)]
    /// The panel's battery.
    pub battery: BatteryOptions,
    #[command(flatten)]
    /// The walk to the panel.
    pub walk: WalkOptions,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

/// What is made of a hand-over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HandoverFormat {
    /// A page for the browser, and the test sheet as CSV
    Html,
    /// Sheets to print, and the test sheet as CSV
    Pdf,
    /// One row a zone, or the test sheet with --sheet readings
    Csv,
    /// One JSON object
    Json,
}

/// Which sheet is printed as CSV.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Sheet {
    /// The zone schedule
    Zones,
    /// The test sheet: a file of readings, to be filled in
    Readings,
}

/// A word for [`Paper`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 inches
    Letter,
}

impl PaperWord {
    /// The paper itself.
    #[must_use]
    pub const fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::Letter,
        }
    }
}

/// The panel's battery.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Battery")]
pub struct BatteryOptions {
    /// What the panel with all that it feeds draws in standby, mA
    #[arg(long, value_name = "MA", value_parser = load, requires = "alarm_ma", allow_hyphen_values = true)]
    pub standby_ma: Option<f64>,
    /// What it draws in alarm, mA
    #[arg(long, value_name = "MA", value_parser = load, requires = "standby_ma", allow_hyphen_values = true)]
    pub alarm_ma: Option<f64>,
    /// Capacity of the battery that is fitted, Ah at the 20-hour rate
    #[arg(long, value_name = "AH", value_parser = capacity, requires = "standby_ma", allow_hyphen_values = true)]
    pub battery_ah: Option<f64>,
    /// How long the alarm sounds at the end, minutes
    #[arg(long, value_name = "MINUTES", default_value = "5", value_parser = minutes, allow_hyphen_values = true)]
    pub alarm_min: f64,
    /// Standby that is asked for, hours
    #[arg(long, value_name = "HOURS", default_value = "24", value_parser = hours, allow_hyphen_values = true)]
    pub standby_h: f64,
    /// Temperature where the battery hangs, °C
    #[arg(long, value_name = "CELSIUS", default_value = "20", value_parser = celsius, allow_hyphen_values = true)]
    pub temperature: f64,
    /// Age at which the battery must still do it, years [default: 5, when it is due]
    #[arg(long, value_name = "YEARS", value_parser = years, allow_hyphen_values = true)]
    pub age: Option<f64>,
}

fn load(text: &str) -> Result<f64, String> {
    number(text, 0.1, 100_000.0, "mA")
}

fn capacity(text: &str) -> Result<f64, String> {
    number(text, 0.05, 1000.0, "Ah")
}

fn minutes(text: &str) -> Result<f64, String> {
    number(text, 0.0, 1440.0, "min")
}

fn hours(text: &str) -> Result<f64, String> {
    number(text, 0.0, 1000.0, "h")
}

fn celsius(text: &str) -> Result<f64, String> {
    number(
        text,
        -3.9,
        48.9,
        "°C: for these a lead-acid battery's factor is known",
    )
}

fn years(text: &str) -> Result<f64, String> {
    number(text, 0.0, 15.0, "years")
}

impl BatteryOptions {
    /// The battery, if its loads are given.
    #[must_use]
    pub fn input(&self) -> Option<BatteryInput> {
        let (standby, alarm) = (self.standby_ma?, self.alarm_ma?);
        Some(BatteryInput {
            rated: self.battery_ah.map(AmpereHours),
            load: Load {
                standby: MilliAmperes(standby),
                alarm: MilliAmperes(alarm),
                alarm_time: Hours(self.alarm_min / 60.0),
            },
            standby: Hours(self.standby_h),
            temperature: CellTemperature(self.temperature),
            age: AgeYears(self.age.unwrap_or(SERVICE_LIFE_YEARS)),
        })
    }
}

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

const fn is_leap(year: u16) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

const fn days_of(year: u16, month: u8) -> u8 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl Date {
    /// Today in UTC, by the system's clock; the first of January 1970 if that stands before it.
    #[must_use]
    pub fn today() -> Self {
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        Self::after_1970(since.map_or(0, |since| since.as_secs() / 86_400))
    }

    /// The day so many days after the first of January 1970; at the latest the last one of 9999.
    #[must_use]
    pub fn after_1970(mut days: u64) -> Self {
        for year in 1970..=9999 {
            for month in 1..=12 {
                let length = days_of(year, month);
                if days < u64::from(length) {
                    let day = u8::try_from(days).map_or(length, |day| day + 1);
                    return Self { year, month, day };
                }
                days -= u64::from(length);
            }
        }
        Self {
            year: 9999,
            month: 12,
            day: 31,
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for Date {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parts: Vec<&str> = text.split('-').collect();
        let plain = |part: &&str| part.bytes().all(|byte| byte.is_ascii_digit());
        let date = match parts.as_slice() {
            [y, m, d] if (y.len(), m.len(), d.len()) == (4, 2, 2) && parts.iter().all(plain) => {
                y.parse().ok().zip(m.parse().ok()).zip(d.parse().ok())
            }
            _ => None,
        };
        match date {
            Some(((year, month), day))
                if year >= 1
                    && (1..=12).contains(&month)
                    && (1..=days_of(year, month)).contains(&day) =>
            {
                Ok(Self { year, month, day })
            }
            Some(_) => Err(format!("the calendar has no {text}")),
            None => Err("write it as 2026-11-25".to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_counted_as_the_calendar_does() {
        for (days, date) in [
            (0, "1970-01-01"),
            (58, "1970-02-28"),
            (59, "1970-03-01"),
            (11_016, "2000-02-29"),
            (20_782, "2026-11-25"),
            (u64::MAX, "9999-12-31"),
        ] {
            assert_eq!(Date::after_1970(days).to_string(), date);
        }
    }

    #[test]
    fn a_date_is_a_day_of_the_calendar() {
        for good in ["2026-11-25", "2024-02-29", "2000-02-29", "0001-01-01"] {
            assert_eq!(
                good.parse::<Date>().map(|date| date.to_string()),
                Ok(good.to_owned())
            );
        }
        for bad in [
            "2026-2-9",
            "2026-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "",
            "tomorrow",
            "2026-11-25-1",
            "+026-11-25",
            "0000-01-01",
        ] {
            assert!(bad.parse::<Date>().is_err(), "{bad}");
        }
    }
}
