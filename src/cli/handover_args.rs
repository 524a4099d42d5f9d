//! Options of `handover`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::{RadioOptions, number};
use super::document_files::{LanguageWord, PaperWord};
use super::siting_args::WalkOptions;
use job::schedule::{
    AgeYears, AmpereHours, CellTemperature, Hours, Load, MilliAmperes, SERVICE_LIFE_YEARS,
};
use report::BatteryInput;
use words::Date;

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
    /// Language of the sheets and of what is said of the plan
    #[arg(long, value_enum, default_value_t = LanguageWord::En)]
    pub language: LanguageWord,
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
    number(text, -3.9, 48.9, "°C: for these a lead-acid battery's factor is known")
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
