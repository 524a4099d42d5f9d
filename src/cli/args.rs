//! The command line.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};

use super::diagnose_args::DiagnoseOptions;
use super::explain_args::ExplainOptions;
use super::handover_args::HandoverOptions;
use super::import_args::{ImportOptions, NewOptions, TidyOptions};
use super::quote_args::QuoteOptions;
use super::siting_args::{PlaceOptions, RepeatersOptions};
use forecast::{Edges, LinkOverride, Model, SITE_OFFSET, Walls};
use plan::Plan;
use radio::{NoiseEnvironment, Polarisation};
use units::{Db, Hertz};

/// Tells, before a hole is drilled, whether every sensor of a wireless alarm will be heard.
#[derive(Debug, Parser)]
#[command(name = "drillonce", version, arg_required_else_help = true, max_term_width = 100)]
#[command(
    after_help = "Exit codes: 0 every device sound or thin; 1 some device failing, or a plan to tidy; \
    2 bad usage or a bad plan; 3 a result could not be written."
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Forecast the margin of every sensor of a plan, and draw it
    Check(CheckOptions),
    /// Find the best spots for the panel: radio, walk and power run, and draw them
    Place(PlaceOptions),
    /// Find the fewest repeaters through which every supervised device is heard, and draw them
    Repeaters(RepeatersOptions),
    /// Explain one device's link: every decibel, every path, and what would help
    Explain(ExplainOptions),
    /// Hold readings of the panel against the forecast: what the house really loses, what is the
    /// matter with a flaky sensor, and which test tells most
    Diagnose(DiagnoseOptions),
    /// Make the customer's quote: plan, coverage with and without repeater, devices, prices
    Quote(QuoteOptions),
    /// Write the sheets from which the panel is programmed and the system tested
    Handover(HandoverOptions),
    /// Make a plan of a DXF drawing, an indoor map or a tape-measure list, and tell what was guessed
    Import(ImportOptions),
    /// Write a small plan or tape-measure list to start from
    New(NewOptions),
    /// Tell what of a plan's drawing can safely be mended: gaps, doubles, crossings; and mend it
    Tidy(TidyOptions),
    /// Print the JSON Schema of a plan, for an editor
    Schema,
    /// List the constructions with their loss, and the links
    Catalogue(CatalogueOptions),
}

/// How the forecast is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// A table for people
    Table,
    /// One JSON object
    Json,
    /// One row a device, or a spot
    Csv,
    /// Points and lines in the plan's frame, metres
    Geojson,
}

/// Options of `check`.
#[derive(Debug, ClapArgs)]
pub struct CheckOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// How to print the forecast
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Folder for the pictures; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub no_pictures: bool,
    /// Try the panel elsewhere: x,y[,height[,level]] in the plan's unit
    #[arg(long, value_name = "X,Y[,HEIGHT[,LEVEL]]", allow_hyphen_values = true)]
    pub panel: Option<PanelSpot>,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

/// Settings of the radio model.
#[derive(Debug, ClapArgs)]
#[command(next_help_heading = "Radio model")]
pub struct RadioOptions {
    /// Link to use in place of the plan's, by its name in the catalogue; devices with a link of
    /// their own keep it
    #[arg(long, value_name = "NAME")]
    pub link: Option<String>,
    /// Frequency to use in place of that of the plan's link, MHz; devices with a link of their own
    /// keep theirs
    #[arg(long, value_name = "MHZ", value_parser = frequency, allow_hyphen_values = true)]
    pub frequency: Option<Hertz>,
    /// Reflections to follow along a path
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u8).range(0..=3))]
    pub reflections: u8,
    /// Polarisation of the wave at walls
    #[arg(long, value_enum, default_value_t = PolarisationWord::Mean)]
    pub polarisation: PolarisationWord,
    /// Whether waves go round edges
    #[arg(long, value_enum, default_value_t = EdgesWord::Soft)]
    pub openings: EdgesWord,
    /// Whether walls lose more than the ideal slab
    #[arg(long, value_enum, default_value_t = WallsWord::Typical)]
    pub walls: WallsWord,
    /// Most that one wall may lose, dB
    #[arg(long, value_name = "DB", default_value = "40", value_parser = loss, allow_hyphen_values = true)]
    pub wall_cap: Db,
    /// Shadowing: spread of what the plan does not show, dB [default: 8, more through many walls]
    #[arg(long, value_name = "DB", value_parser = loss, allow_hyphen_values = true)]
    pub sigma: Option<Db>,
    /// Rician K of people and doors moving, dB
    #[arg(long, value_name = "DB", default_value = "6", value_parser = decibel, allow_hyphen_values = true)]
    pub k_factor: Db,
    /// Mean loss of antennas, mounting and clutter that no wall explains, dB [default: 6, or the
    /// plan's calibration]
    #[arg(long, value_name = "DB", value_parser = decibel, allow_hyphen_values = true)]
    pub site_offset: Option<Db>,
    /// Man-made noise round the panel
    #[arg(long, value_enum, default_value_t = NoiseWord::Residential)]
    pub noise: NoiseWord,
    /// A sensor is sound below this chance of a supervision fault in a year
    #[arg(long, value_name = "CHANCE", default_value = "0.01", value_parser = chance, allow_hyphen_values = true)]
    pub sound_below: f64,
    /// A sensor is thin below this chance, failing from it on
    #[arg(long, value_name = "CHANCE", default_value = "0.2", value_parser = chance, allow_hyphen_values = true)]
    pub thin_below: f64,
    /// Cell of the pictures and roam areas, metres
    #[arg(long, value_name = "METRES", default_value = "0.1", value_parser = cell, allow_hyphen_values = true)]
    pub cell: f64,
}

/// Options of `catalogue`.
#[derive(Debug, ClapArgs)]
pub struct CatalogueOptions {
    /// Show where every value comes from
    #[arg(long)]
    pub sources: bool,
}

/// A word for [`Polarisation`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PolarisationWord {
    /// Electric field along the wall
    Te,
    /// Magnetic field along the wall
    Tm,
    /// Mean of the two powers: a sensor's polarisation is not known
    Mean,
}

/// A word for [`Edges`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum EdgesWord {
    /// Waves go round the edges of openings, walls and obstacles
    Soft,
    /// Rays only
    Sharp,
}

/// A word for [`Walls`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WallsWord {
    /// The ideal slab and the construction's usual excess
    Typical,
    /// The ideal slab alone: the least that it can lose
    Ideal,
}

/// A word for [`NoiseEnvironment`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum NoiseWord {
    /// City or business area
    City,
    /// Houses
    Residential,
    /// Countryside
    Rural,
    /// None: the receiver's own noise only
    Quiet,
}

/// A place for the panel, in the plan's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanelSpot {
    /// To the right.
    pub x: f64,
    /// Up the page.
    pub y: f64,
    /// Above the level's floor.
    pub height: Option<f64>,
    /// The level.
    pub level: Option<i32>,
}

impl FromStr for PanelSpot {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parts: Vec<&str> = text.split(',').map(str::trim).collect();
        let number = |place: usize, what: &str| -> Result<f64, String> {
            let part = parts.get(place).copied().unwrap_or_default();
            let value: f64 = part.parse().map_err(|_| {
                format!("{what} is \"{part}\", not a number; write x,y or x,y,height,level")
            })?;
            if value.is_finite() && value.abs() < 1e6 {
                Ok(value)
            } else {
                Err(format!("{what} of {part} is no place in a building"))
            }
        };
        if parts.len() < 2 || parts.len() > 4 {
            return Err("write x,y or x,y,height or x,y,height,level".to_owned());
        }
        let height = if parts.len() > 2 { Some(number(2, "height")?) } else { None };
        let level = match parts.get(3) {
            Some(part) => {
                Some(part.parse().map_err(|_| format!("level is \"{part}\", not a whole number"))?)
            }
            None => None,
        };
        Ok(Self { x: number(0, "x")?, y: number(1, "y")?, height, level })
    }
}

pub(super) fn number(text: &str, low: f64, high: f64, unit: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        Ok(_) => Err(format!("must lie between {low} and {high} {unit}")),
        Err(_) => Err(format!("\"{text}\" is not a number")),
    }
}

fn frequency(text: &str) -> Result<Hertz, String> {
    number(text, 30.0, 6000.0, "MHz").map(Hertz::from_mhz)
}

fn loss(text: &str) -> Result<Db, String> {
    number(text, 0.0, 200.0, "dB").map(Db)
}

fn decibel(text: &str) -> Result<Db, String> {
    number(text, -60.0, 60.0, "dB").map(Db)
}

fn chance(text: &str) -> Result<f64, String> {
    number(text, 0.0, 1.0, "(a chance)")
}

fn cell(text: &str) -> Result<f64, String> {
    number(text, 0.01, 5.0, "m")
}

impl RadioOptions {
    /// What the options change of the plan's link.
    #[must_use]
    pub fn over(&self) -> LinkOverride {
        LinkOverride { link: self.link.clone(), frequency: self.frequency }
    }

    /// The model that the options describe for a plan that is read: the site offset that the user
    /// gave, else that of the plan's calibration.
    #[must_use]
    pub fn on(&self, plan: &Plan, model: Model) -> Model {
        if self.site_offset.is_some() { model } else { model.calibrated(plan) }
    }

    /// The model that the options describe, before any plan is read.
    ///
    /// # Errors
    /// A sentence if the limits of the findings are the wrong way round.
    pub fn model(&self) -> Result<Model, String> {
        if self.sound_below > self.thin_below {
            return Err(format!(
                "--sound-below {} exceeds --thin-below {}; a sound sensor must be better than a thin one",
                self.sound_below, self.thin_below
            ));
        }
        let mut model = Model {
            reflections: self.reflections,
            polarisation: match self.polarisation {
                PolarisationWord::Te => Polarisation::Te,
                PolarisationWord::Tm => Polarisation::Tm,
                PolarisationWord::Mean => Polarisation::Mean,
            },
            openings: match self.openings {
                EdgesWord::Soft => Edges::Soft,
                EdgesWord::Sharp => Edges::Sharp,
            },
            walls: match self.walls {
                WallsWord::Typical => Walls::Typical,
                WallsWord::Ideal => Walls::Ideal,
            },
            noise: match self.noise {
                NoiseWord::City => NoiseEnvironment::City,
                NoiseWord::Residential => NoiseEnvironment::Residential,
                NoiseWord::Rural => NoiseEnvironment::Rural,
                NoiseWord::Quiet => NoiseEnvironment::Quiet,
            },
            wall_cap_db: self.wall_cap,
            sigma_db: self.sigma,
            k_factor_db: self.k_factor,
            site_offset_db: self.site_offset.unwrap_or(SITE_OFFSET),
            cell_m: self.cell,
            ..Model::default()
        };
        model.findings.sound_below = self.sound_below;
        model.findings.thin_below = self.thin_below;
        Ok(model)
    }
}
