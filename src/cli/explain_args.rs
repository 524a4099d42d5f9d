//! Options of `explain`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::{PanelSpot, RadioOptions, number};
use explain::ExplainSettings;

/// How an explanation is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExplainFormat {
    /// Tables for people
    Table,
    /// One JSON object
    Json,
}

/// Options of `explain`.
#[derive(Debug, ClapArgs)]
pub struct ExplainOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// The device: its id, its number or its name
    pub sensor: String,
    /// How to print the explanation
    #[arg(long, value_enum, default_value_t = ExplainFormat::Table)]
    pub format: ExplainFormat,
    /// Folder for the pictures; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub no_pictures: bool,
    /// How far the device may be moved along its wall, or freely where it hangs on none, metres
    #[arg(long, value_name = "METRES", default_value = "0.5", value_parser = reach, allow_hyphen_values = true)]
    pub reach: f64,
    /// How far it may be raised or lowered, metres
    #[arg(long, value_name = "METRES", default_value = "0.5", value_parser = reach, allow_hyphen_values = true)]
    pub raise: f64,
    /// Try the panel elsewhere: x,y[,height[,level]] in the plan's unit
    #[arg(long, value_name = "X,Y[,HEIGHT[,LEVEL]]", allow_hyphen_values = true)]
    pub panel: Option<PanelSpot>,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

fn reach(text: &str) -> Result<f64, String> {
    number(text, 0.0, 5.0, "m")
}

impl ExplainOptions {
    /// The settings that the options describe.
    #[must_use]
    pub const fn settings(&self) -> ExplainSettings {
        ExplainSettings { reach_m: self.reach, raise_m: self.raise }
    }
}
