//! Options that several commands share, and how the values of options are read.

use std::borrow::Cow;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use super::error::{CommandError, OrStop as _};
use super::outputs::Outputs;
use document::Paper;
use forecast::{Adding, Edges, LinkOverride, Model, SITE_OFFSET, Walls};
use input::number::quantity;
use radio::{NoiseEnvironment, Polarisation};
use siting::conductor::{Amperes, Celsius, Current, Gauge, Supply, VoltAmperes, Volts};
use siting::delay::DelaySettings;
use siting::spots::SpotSettings;
use siting::walk::WalkSettings;
use siting::wire::PowerSettings;
use units::{Db, FOOT_M, Hertz, Lengths};
use words::{Date, Language};

/// A word that an option takes: the word, what the help says of it, and what it stands for.
pub(crate) type Word<T> = (&'static str, &'static str, T);

pub(crate) fn one_of<T: Copy + Send + Sync + 'static>(
    words: &'static [Word<T>],
) -> impl TypedValueParser<Value = T> {
    let known = words.iter().map(|(word, help, _)| PossibleValue::new(*word).help(*help));
    PossibleValuesParser::new(known).try_map(|given| {
        let found = words.iter().find(|(word, _, _)| *word == given);
        found.map(|(_, _, meant)| *meant).ok_or("not one of the words")
    })
}

pub(crate) fn within(
    low: f64,
    high: f64,
    unit: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match text.parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        Ok(_) => Err(format!("must be between {low} and {high} {unit}")),
        Err(_) => Err(format!("\"{text}\" is not a number")),
    }
}

/// What the help of a command says once of all its lengths.
pub(crate) const LENGTHS: &str =
    "LENGTH: metres, or a number with its unit: 0.75, 75cm, 2' 6\", 2.5ft.";

/// A length from `low` to `high` metres.
pub(crate) fn length(
    low: f64,
    high: f64,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match import::tape::length_m(text, Lengths::Metric)? {
        metres if (low..=high).contains(&metres) => Ok(metres),
        _ => {
            let [low, high] = [low, high].map(|limit| {
                format!("{} ({})", Lengths::Metric.fine(limit), Lengths::Feet.fine(limit))
            });
            Err(format!("must be between {low} and {high}"))
        }
    }
}

/// A speed from `low` to `high` m/s; a number alone is in m/s.
fn speed(
    low: f64,
    high: f64,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| {
        let feet = quantity(text, &["ft/s"]).filter(|_| text.trim_end().ends_with("ft/s"));
        let given = feet.map(|feet| feet * FOOT_M).or_else(|| quantity(text, &["m/s"]));
        let given = given.ok_or_else(|| "give m/s, or ft/s with its unit: 3.5ft/s".to_owned())?;
        let (slow, fast) = (low / FOOT_M, high / FOOT_M);
        let limits =
            || format!("must be between {low} and {high} m/s ({slow:.1} and {fast:.0} ft/s)");
        (low..=high).contains(&given).then_some(given).ok_or_else(limits)
    }
}

/// How an answer is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Format {
    Table,
    Json,
    Csv,
    Geojson,
}

impl Format {
    /// The doubts that this format leaves unsaid: the other two carry them themselves.
    pub(crate) fn unsaid(self, doubts: Vec<String>) -> Vec<String> {
        if matches!(self, Self::Csv | Self::Geojson) { doubts } else { Vec::new() }
    }
}

pub(crate) const FORMATS: [Word<Format>; 4] = [
    ("table", "A table to read", Format::Table),
    ("json", "One JSON object", Format::Json),
    ("csv", "One row per device or spot", Format::Csv),
    ("geojson", "Points and lines in the plan's frame, in metres", Format::Geojson),
];

pub(crate) const LANGUAGES: [Word<Language>; 2] =
    [("en", "English", Language::English), ("es", "Spanish", Language::Spanish)];

pub(crate) const PAPERS: [Word<Paper>; 2] =
    [("a4", "210 × 297 mm", Paper::A4), ("letter", "8.5 × 11 inches", Paper::Letter)];

/// The day that is given, else the day it is by UTC.
pub(crate) fn day_or_today(given: Option<Date>) -> Result<Date, CommandError> {
    if let Some(date) = given {
        return Ok(date);
    }
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let days = since.ok().and_then(|since| u32::try_from(since.as_secs() / 86_400).ok());
    days.map(Date::from_days)
        .ok_or_else(|| CommandError::Usage("the clock is wrong; give --date YYYY-MM-DD".to_owned()))
}

/// Where pictures go.
#[derive(Debug, Args)]
pub(crate) struct PictureOptions {
    /// Folder for the pictures, created if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub(crate) out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub(crate) no_pictures: bool,
}

impl PictureOptions {
    /// Where the pictures of a plan go.
    pub(crate) fn outputs<'o>(&'o self, plan: impl Into<Cow<'o, Path>>) -> Outputs<'o> {
        let folder = (!self.no_pictures).then(|| (plan.into(), self.out.as_path()));
        Outputs { folder, pictures: true, copy: None }
    }
}

/// Where the panel is tried.
#[derive(Debug, Args)]
pub(crate) struct PanelOption {
    /// Try the panel at another place, in the plan's unit
    #[arg(long, value_name = "X,Y[,HEIGHT[,LEVEL]]", allow_hyphen_values = true,
        value_parser = panel_spot)]
    pub(crate) panel: Option<PanelSpot>,
}

/// Settings of the radio model.
#[derive(Debug, Args)]
#[command(next_help_heading = "Radio model")]
pub(crate) struct RadioOptions {
    /// Use this link of the catalogue in place of the plan's; devices with their own link keep it
    #[arg(long, value_name = "NAME")]
    link: Option<String>,
    /// Use this frequency in place of the link's, MHz; devices with their own link keep theirs
    #[arg(long, value_name = "MHZ", allow_hyphen_values = true,
        value_parser = within(30.0, 6000.0, "MHz").map(Hertz::from_mhz))]
    frequency: Option<Hertz>,
    /// Most reflections along a path
    #[arg(long, value_name = "N", default_value_t = 1,
        value_parser = clap::value_parser!(u8).range(0..=3))]
    reflections: u8,
    /// Polarisation of the wave at walls
    #[arg(long, value_parser = one_of(&POLARISATIONS), default_value = "mean")]
    polarisation: Polarisation,
    /// Whether waves go round edges
    #[arg(long, value_parser = one_of(&EDGES), default_value = "soft")]
    openings: Edges,
    /// Whether walls lose more than the ideal slab
    #[arg(long, value_parser = one_of(&WALLS), default_value = "typical")]
    walls: Walls,
    /// How paths add up
    #[arg(long, value_parser = one_of(&ADDING), default_value = "waves")]
    adding: Adding,
    /// Most that one wall can lose, dB
    #[arg(long, value_name = "DB", default_value = "40", allow_hyphen_values = true,
        value_parser = within(0.0, 200.0, "dB").map(Db))]
    wall_cap: Db,
    /// Shadowing: spread from what the plan does not show, dB [default: 8, more through many walls]
    #[arg(long, value_name = "DB", allow_hyphen_values = true,
        value_parser = within(0.0, 200.0, "dB").map(Db))]
    sigma: Option<Db>,
    /// Rician K factor, for moving people and doors, dB
    #[arg(long, value_name = "DB", default_value = "6", allow_hyphen_values = true,
        value_parser = within(-60.0, 60.0, "dB").map(Db))]
    k_factor: Db,
    /// Mean loss from antennas, mounting and clutter, dB [default: 6, or the plan's calibration]
    #[arg(long, value_name = "DB", allow_hyphen_values = true,
        value_parser = within(-60.0, 60.0, "dB").map(Db))]
    pub(crate) site_offset: Option<Db>,
    /// Man-made noise around the panel
    #[arg(long, value_parser = one_of(&NOISES), default_value = "residential")]
    noise: NoiseEnvironment,
    /// A sensor is sound below this chance of a supervision fault a year
    #[arg(long, value_name = "CHANCE", default_value = "0.01", allow_hyphen_values = true,
        value_parser = within(0.0, 1.0, "(a chance)"))]
    sound_below: f64,
    /// A sensor is thin below this chance, else failing
    #[arg(long, value_name = "CHANCE", default_value = "0.2", allow_hyphen_values = true,
        value_parser = within(0.0, 1.0, "(a chance)"))]
    thin_below: f64,
    /// Cell size of pictures and roam areas
    #[arg(long, value_name = "LENGTH", default_value = "0.1m", allow_hyphen_values = true,
        value_parser = length(0.01, 5.0))]
    cell: f64,
}

const POLARISATIONS: [Word<Polarisation>; 3] = [
    ("te", "Electric field along the wall", Polarisation::Te),
    ("tm", "Magnetic field along the wall", Polarisation::Tm),
    ("mean", "Mean of the two powers", Polarisation::Mean),
];

const EDGES: [Word<Edges>; 2] = [
    ("soft", "Waves bend round the edges of openings, walls and obstacles", Edges::Soft),
    ("sharp", "Rays only: nothing bends round metal or is scattered", Edges::Sharp),
];

const WALLS: [Word<Walls>; 2] = [
    ("typical", "The ideal slab and the construction's usual excess", Walls::Typical),
    ("ideal", "The ideal slab alone, the least possible loss", Walls::Ideal),
];

const ADDING: [Word<Adding>; 2] = [
    (
        "waves",
        "As waves near floors, ceilings and walls, plus what leaks round metal",
        Adding::Waves,
    ),
    ("powers", "As powers, path by path", Adding::Powers),
];

const NOISES: [Word<NoiseEnvironment>; 4] = [
    ("city", "City or business area", NoiseEnvironment::City),
    ("residential", "Houses", NoiseEnvironment::Residential),
    ("rural", "Countryside", NoiseEnvironment::Rural),
    ("quiet", "Only the receiver's own noise", NoiseEnvironment::Quiet),
];

impl RadioOptions {
    /// What the options change of the plan's link.
    pub(crate) fn over(&self) -> LinkOverride {
        LinkOverride { link: self.link.clone(), frequency: self.frequency }
    }

    /// The model that the options describe, before any plan is read.
    pub(crate) fn model(&self) -> Result<Model, CommandError> {
        if self.sound_below > self.thin_below {
            return Err(CommandError::Usage(format!(
                "--sound-below {} exceeds --thin-below {}; a sound sensor must be better than a \
                 thin one",
                self.sound_below, self.thin_below
            )));
        }
        let mut model = Model {
            reflections: self.reflections,
            polarisation: self.polarisation,
            openings: self.openings,
            walls: self.walls,
            adding: self.adding,
            noise: self.noise,
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

/// A place for the panel, in the plan's unit: the height is above the level's floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PanelSpot {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) height: Option<f64>,
    pub(crate) level: Option<i32>,
}

fn panel_spot(text: &str) -> Result<PanelSpot, String> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let number = |what: &str, part: &str| -> Result<f64, String> {
        let value: f64 = part.parse().map_err(|_| {
            format!("{what} is \"{part}\", not a number; write x,y or x,y,height,level")
        })?;
        if value.is_finite() && value.abs() < 1e6 {
            Ok(value)
        } else {
            Err(format!("{what} of {part} is far outside any building"))
        }
    };
    let whole =
        |part: &&str| part.parse().map_err(|_| format!("level is \"{part}\", not a whole number"));
    let ([x, y] | [x, y, _] | [x, y, _, _]) = parts.as_slice() else {
        return Err("write x,y or x,y,height or x,y,height,level".to_owned());
    };
    let height = parts.get(2).map(|part| number("height", part)).transpose()?;
    let level = parts.get(3).map(whole).transpose()?;
    Ok(PanelSpot { x: number("x", x)?, y: number("y", y)?, height, level })
}

/// Where spots are sought.
#[derive(Debug, Args)]
#[command(next_help_heading = "Spots")]
pub(crate) struct SpotOptions {
    /// Height of the panel above the floor
    #[arg(long, value_name = "LENGTH", default_value = "1.5m", allow_hyphen_values = true,
        value_parser = length(0.0, 10.0))]
    height: f64,
    /// Distance between spots along a wall [default: 0.25m; for repeaters 0.5m]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true,
        value_parser = length(0.05, 5.0))]
    spacing: Option<f64>,
    /// Least distance from metal: obstacles, steel doors, foil-backed and metal-faced walls
    #[arg(long, value_name = "LENGTH", default_value = "0.5m", allow_hyphen_values = true,
        value_parser = length(0.0, 20.0))]
    metal_clearance: f64,
    /// Least distance from an outside door or window of the same room
    #[arg(long, value_name = "LENGTH", default_value = "1m", allow_hyphen_values = true,
        value_parser = length(0.0, 20.0))]
    way_in_clearance: f64,
    /// Try every wall face inside, whatever the plan marks as mountable
    #[arg(long)]
    every_wall: bool,
    /// Leave out outside walls
    #[arg(long)]
    no_outside_walls: bool,
}

impl SpotOptions {
    /// The settings that the options describe, `spacing_m` apart unless they say otherwise.
    pub(crate) fn settings(&self, spacing_m: f64) -> SpotSettings {
        SpotSettings {
            height_m: self.height,
            spacing_m: self.spacing.unwrap_or(spacing_m),
            clear_of_metal_m: self.metal_clearance,
            clear_of_ways_in_m: self.way_in_clearance,
            outside_walls: !self.no_outside_walls,
            every_wall: self.every_wall,
            ..SpotSettings::default()
        }
    }
}

/// The walk to the panel.
#[derive(Debug, Args)]
#[command(next_help_heading = "Walk")]
pub(crate) struct WalkOptions {
    /// Walking speed on the flat, m/s or ft/s [default: 1.07m/s, which is 3.5ft/s]
    #[arg(long, value_name = "SPEED", allow_hyphen_values = true,
        value_parser = speed(0.05, 10.0))]
    walking_speed: Option<f64>,
    /// Speed along the slope of stairs, m/s or ft/s
    #[arg(long, value_name = "SPEED", default_value = "0.85m/s", allow_hyphen_values = true,
        value_parser = speed(0.05, 10.0))]
    stairs_speed: f64,
    /// Time to disarm at the panel, seconds
    #[arg(long, value_name = "SECONDS", default_value = "10", allow_hyphen_values = true,
        value_parser = within(0.0, 600.0, "s"))]
    disarm_time: f64,
}

impl WalkOptions {
    /// How a person walks.
    pub(crate) fn settings(&self) -> WalkSettings {
        let usual = WalkSettings::default();
        WalkSettings {
            speed_m_per_s: self.walking_speed.unwrap_or(usual.speed_m_per_s),
            stairs_speed_m_per_s: self.stairs_speed,
            ..usual
        }
    }

    /// What a person does at the panel.
    pub(crate) fn delay_settings(&self) -> DelaySettings {
        DelaySettings { disarm_s: self.disarm_time, ..DelaySettings::default() }
    }
}

/// The panel's supply.
#[derive(Debug, Args)]
#[command(next_help_heading = "Power run")]
pub(crate) struct PowerOptions {
    /// Supply voltage at the outlet, V
    #[arg(long, value_name = "VOLTS", default_value = "9", allow_hyphen_values = true,
        value_parser = within(0.1, 1000.0, "").map(Volts))]
    supply: Volts,
    /// Alternating or direct current
    #[arg(long, value_parser = one_of(&CURRENTS), default_value = "ac")]
    current: Current,
    /// Rating of the supply, VA (watts for direct current)
    #[arg(long, value_name = "VA", default_value = "25", allow_hyphen_values = true,
        value_parser = within(0.1, 1000.0, "").map(VoltAmperes))]
    rating: VoltAmperes,
    /// What the panel draws, mA
    #[arg(long, value_name = "MA", default_value = "500", allow_hyphen_values = true,
        value_parser = within(0.0, 100_000.0, "mA").map(|ma| Amperes(ma / 1000.0)))]
    load: Amperes,
    /// Largest voltage drop along the wire, % of the supply voltage
    #[arg(long, value_name = "PERCENT", default_value = "10", allow_hyphen_values = true,
        value_parser = within(0.1, 100.0, "%"))]
    drop_limit: f64,
    /// Thinnest wire to offer, AWG
    #[arg(long, value_name = "AWG", default_value = "18", value_parser = gauge)]
    thinnest: Gauge,
    /// Temperature of the conductors, °C [default: 30]
    #[arg(long, value_name = "CELSIUS", allow_hyphen_values = true,
        value_parser = within(-50.0, 150.0, "°C").map(Celsius))]
    conductor_temperature: Option<Celsius>,
}

/// One of the wire sizes that there are, by its AWG number.
fn gauge(text: &str) -> Result<Gauge, String> {
    let known = |gauge: &Gauge| gauge.0.to_string() == text;
    Gauge::AWG.into_iter().find(known).ok_or_else(|| {
        let sizes: Vec<String> = Gauge::AWG.iter().map(|gauge| gauge.0.to_string()).collect();
        format!("give one of {}", sizes.join(", "))
    })
}

const CURRENTS: [Word<Current>; 2] =
    [("ac", "Alternating", Current::Ac), ("dc", "Direct", Current::Dc)];

impl PowerOptions {
    /// How the panel is fed; a supply that is not of extra-low voltage is refused.
    pub(crate) fn settings(&self) -> Result<PowerSettings, CommandError> {
        let usual = PowerSettings::default();
        Ok(PowerSettings {
            supply: Supply::new(self.supply, self.current, self.rating).or_usage()?,
            load: self.load,
            gauges: self.thinnest.and_thicker(),
            drop_limit_percent: self.drop_limit,
            conductor: self.conductor_temperature.unwrap_or(usual.conductor),
        })
    }
}
