//! Options of `place` and `repeaters`.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::{Format, PanelSpot, RadioOptions, number};
use siting::conductor::{Amperes, Celsius, Current, Supply, VoltAmperes, Volts};
use siting::delay::DelaySettings;
use siting::rank::Weights;
use siting::siting::SitingSettings;
use siting::spots::SpotSettings;
use siting::walk::WalkSettings;

/// Options of `place`.
#[derive(Debug, ClapArgs)]
pub struct PlaceOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// How to print the spots
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Folder for the pictures; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub no_pictures: bool,
    /// How many spots to offer
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=99))]
    pub best: u16,
    /// How far apart they must lie, metres
    #[arg(long, value_name = "METRES", default_value = "1.5", value_parser = distance, allow_hyphen_values = true)]
    pub apart: f64,
    /// What counts how much among spots that no other beats: any of reliability, walk and wire, each
    /// from 0 to 100, 1 if not named
    #[arg(long, value_name = "walk=2,wire=0", value_parser = Weighed::from_str)]
    pub weigh: Option<Weighed>,
    /// Write a copy of the plan with the panel at one of the spots offered
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Which of the spots offered to write
    #[arg(long, value_name = "N", default_value_t = 1, requires = "write", value_parser = clap::value_parser!(u16).range(1..=99))]
    pub spot: u16,
    #[command(flatten)]
    /// Where spots are sought.
    pub spots: SpotOptions,
    #[command(flatten)]
    /// The walk to the panel.
    pub walk: WalkOptions,
    #[command(flatten)]
    /// The panel's supply.
    pub power: PowerOptions,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

/// Options of `repeaters`.
#[derive(Debug, ClapArgs)]
pub struct RepeatersOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Folder for the pictures; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    /// Draw no pictures
    #[arg(long)]
    pub no_pictures: bool,
    /// Repeaters may hang at any spot of a wall, not only at outlets
    #[arg(long)]
    pub anywhere: bool,
    /// Choose the panel's spot together with the repeaters
    #[arg(long, conflicts_with = "panel")]
    pub move_panel: bool,
    /// Try the panel elsewhere: x,y[,height[,level]] in the plan's unit
    #[arg(long, value_name = "X,Y[,HEIGHT[,LEVEL]]", allow_hyphen_values = true)]
    pub panel: Option<PanelSpot>,
    /// Most repeaters on the way of a message
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=2), allow_hyphen_values = true)]
    pub hops: u8,
    /// How many devices a new repeater can pass on [default: any number]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000), allow_hyphen_values = true)]
    pub capacity: Option<u32>,
    /// All devices must still be heard when any one repeater fails
    #[arg(long)]
    pub lose_one: bool,
    /// Longest search, seconds; then the best answer so far, and how far it is from proven
    #[arg(long, value_name = "SECONDS", default_value = "30", value_parser = limit, allow_hyphen_values = true)]
    pub time_limit: f64,
    /// Write a copy of the plan with the repeaters, and with the panel if it moved
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    #[command(flatten)]
    /// Where spots are sought, for --anywhere and --move-panel.
    pub spots: SpotOptions,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

/// Where spots are sought.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Spots")]
pub struct SpotOptions {
    /// Height of the panel above the floor, metres
    #[arg(long, value_name = "METRES", default_value = "1.5", value_parser = height, allow_hyphen_values = true)]
    pub height: f64,
    /// Distance between two spots along a wall, metres [default: 0.25; for repeaters 0.5]
    #[arg(long, value_name = "METRES", value_parser = spacing, allow_hyphen_values = true)]
    pub spacing: Option<f64>,
    /// Least distance from metal: obstacles, steel doors, foil-backed and metal-faced walls, metres
    #[arg(long, value_name = "METRES", default_value = "0.5", value_parser = distance, allow_hyphen_values = true)]
    pub metal_clearance: f64,
    /// Least distance from a door or window in an outside wall of the same room, metres
    #[arg(long, value_name = "METRES", default_value = "1", value_parser = distance, allow_hyphen_values = true)]
    pub way_in_clearance: f64,
    /// Seek spots on every wall face inside, whatever the plan marks as mountable
    #[arg(long)]
    pub every_wall: bool,
    /// Keep off outside walls
    #[arg(long)]
    pub no_outside_walls: bool,
}

/// The walk to the panel.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Walk")]
pub struct WalkOptions {
    /// Walking speed on the flat, m/s [default: 1.07, which is 3.5 ft/s]
    #[arg(long, value_name = "M/S", value_parser = speed, allow_hyphen_values = true)]
    pub walking_speed: Option<f64>,
    /// Speed along the slope of stairs, m/s
    #[arg(long, value_name = "M/S", default_value = "0.85", value_parser = speed, allow_hyphen_values = true)]
    pub stairs_speed: f64,
    /// Time at the panel to disarm it, seconds
    #[arg(long, value_name = "SECONDS", default_value = "10", value_parser = seconds, allow_hyphen_values = true)]
    pub disarm_time: f64,
}

/// The panel's supply.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Power run")]
pub struct PowerOptions {
    /// Voltage of the supply at the outlet, V
    #[arg(long, value_name = "VOLTS", default_value = "9", value_parser = volts, allow_hyphen_values = true)]
    pub supply: f64,
    /// Alternating or direct current
    #[arg(long, value_enum, default_value_t = CurrentWord::Ac)]
    pub current: CurrentWord,
    /// Rating of the supply, VA (watts for direct current)
    #[arg(long, value_name = "VA", default_value = "25", value_parser = volts, allow_hyphen_values = true)]
    pub rating: f64,
    /// What the panel draws, mA
    #[arg(long, value_name = "MA", default_value = "500", value_parser = milliamperes, allow_hyphen_values = true)]
    pub load: f64,
    /// Largest voltage drop on the wire, per cent of the supply's voltage
    #[arg(long, value_name = "PERCENT", default_value = "10", value_parser = percent, allow_hyphen_values = true)]
    pub drop_limit: f64,
    /// Temperature of the conductors, °C [default: 30]
    #[arg(long, value_name = "CELSIUS", value_parser = celsius, allow_hyphen_values = true)]
    pub conductor_temperature: Option<f64>,
}

/// A word for [`Current`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CurrentWord {
    /// Alternating
    Ac,
    /// Direct
    Dc,
}

/// The argument of `--weigh`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed(pub Weights);

impl FromStr for Weighed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut weights = Weights::default();
        for part in text.split(',') {
            let (name, value) = part
                .split_once('=')
                .ok_or_else(|| format!("\"{part}\" has no value; write it as walk=2"))?;
            let value = number(value.trim(), 0.0, 100.0, "")?;
            match name.trim() {
                "reliability" => weights.reliability = value,
                "walk" => weights.walk = value,
                "wire" => weights.wire = value,
                other => {
                    return Err(format!(
                        "\"{other}\" cannot be weighed; reliability, walk and wire can"
                    ));
                }
            }
        }
        if weights.reliability + weights.walk + weights.wire <= 0.0 {
            return Err("at least one of them must count".to_owned());
        }
        Ok(Self(weights))
    }
}

fn distance(text: &str) -> Result<f64, String> {
    number(text, 0.0, 20.0, "m")
}

fn height(text: &str) -> Result<f64, String> {
    number(text, 0.0, 10.0, "m")
}

fn spacing(text: &str) -> Result<f64, String> {
    number(text, 0.05, 5.0, "m")
}

fn speed(text: &str) -> Result<f64, String> {
    number(text, 0.05, 10.0, "m/s")
}

fn limit(text: &str) -> Result<f64, String> {
    number(text, 0.0, 86_400.0, "s")
}

fn seconds(text: &str) -> Result<f64, String> {
    number(text, 0.0, 600.0, "s")
}

fn volts(text: &str) -> Result<f64, String> {
    number(text, 0.1, 1000.0, "")
}

fn milliamperes(text: &str) -> Result<f64, String> {
    number(text, 0.0, 100_000.0, "mA")
}

fn percent(text: &str) -> Result<f64, String> {
    number(text, 0.1, 100.0, "%")
}

fn celsius(text: &str) -> Result<f64, String> {
    number(text, -50.0, 150.0, "°C")
}

impl SpotOptions {
    /// The settings that the options describe, `spacing_m` apart unless they say otherwise.
    #[must_use]
    pub fn settings(&self, spacing_m: f64) -> SpotSettings {
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

impl WalkOptions {
    /// How a person walks.
    #[must_use]
    pub fn settings(&self) -> WalkSettings {
        let usual = WalkSettings::default();
        WalkSettings {
            speed_m_per_s: self.walking_speed.unwrap_or(usual.speed_m_per_s),
            stairs_speed_m_per_s: self.stairs_speed,
            ..usual
        }
    }

    /// What a person does at the panel.
    #[must_use]
    pub fn delay_settings(&self) -> DelaySettings {
        DelaySettings { disarm_s: self.disarm_time, ..DelaySettings::default() }
    }
}

impl PlaceOptions {
    /// The settings that the options describe.
    ///
    /// # Errors
    /// A sentence for a supply that is not of extra-low voltage.
    pub fn settings(&self) -> Result<SitingSettings, String> {
        let mut settings = SitingSettings {
            spots: self.spots.settings(SpotSettings::default().spacing_m),
            best: usize::from(self.best),
            apart_m: self.apart,
            weights: self.weigh.map_or_else(Weights::default, |weighed| weighed.0),
            ..SitingSettings::default()
        };
        settings.walk = self.walk.settings();
        settings.delay = self.walk.delay_settings();
        let current = match self.power.current {
            CurrentWord::Ac => Current::Ac,
            CurrentWord::Dc => Current::Dc,
        };
        let power = &mut settings.power;
        power.supply =
            Supply::new(Volts(self.power.supply), current, VoltAmperes(self.power.rating))
                .map_err(|fault| fault.to_string())?;
        power.load = Amperes(self.power.load / 1000.0);
        power.drop_limit_percent = self.power.drop_limit;
        if let Some(celsius) = self.power.conductor_temperature {
            power.conductor = Celsius(celsius);
        }
        Ok(settings)
    }
}
