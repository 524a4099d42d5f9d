//! Options of `diagnose`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::RadioOptions;
use diagnose::readings::{BarScale, PercentScale, Scales};

/// How a diagnosis is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DiagnoseFormat {
    /// Text for people
    Table,
    /// One JSON object
    Json,
}

/// Options of `diagnose`.
#[derive(Debug, ClapArgs)]
pub struct DiagnoseOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// Readings that the panel showed, CSV or JSON
    #[arg(long, value_name = "FILE", required_unless_present = "template")]
    pub readings: Option<PathBuf>,
    /// Print a table of readings to fill in for this plan, and do nothing else
    #[arg(long, conflicts_with_all = ["readings", "write", "sensor"])]
    pub template: bool,
    /// Ask what may be the matter with this device, too, even if it is not flaky: its id, number or
    /// name; may be given several times
    #[arg(long, value_name = "SENSOR")]
    pub sensor: Vec<String>,
    /// Levels from which the panel shows 1, 2, 3 ... bars, dBm: -105,-95,-85,-75
    #[arg(long, value_name = "DBM,DBM,...", allow_hyphen_values = true)]
    pub bars: Option<BarScale>,
    /// Levels at which the panel shows 0 and 100 per cent, dBm: "-110 to -50"
    #[arg(long, value_name = "DBM to DBM", allow_hyphen_values = true)]
    pub percent: Option<PercentScale>,
    /// How to print the diagnosis
    #[arg(long, value_enum, default_value_t = DiagnoseFormat::Table)]
    pub format: DiagnoseFormat,
    /// Folder for the pictures; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub no_pictures: bool,
    /// Write a copy of the plan with what the readings told of the house, for the other commands
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

impl DiagnoseOptions {
    /// The scales that the options declare.
    #[must_use]
    pub fn scales(&self) -> Scales {
        Scales { bars: self.bars.clone(), percent: self.percent }
    }
}
