//! Options of `import`, `new` and `tidy`.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args as ClapArgs, ValueEnum};

use import::Kind;

/// Options of `import`.
#[derive(Debug, ClapArgs)]
#[command(
    after_help = "Nothing is overwritten. What the file does not say is guessed and told; a guess about walls \
    is worth a look at the house before a forecast is believed."
)]
pub struct ImportOptions {
    /// The file: a DXF drawing, a map with Simple Indoor Tagging (.geojson or .osm), an IMDF archive (.zip),
    /// or a tape-measure list (.txt)
    pub file: PathBuf,
    /// What the file is [default: as its first bytes and its name say]
    #[arg(long, value_enum)]
    pub kind: Option<KindWord>,
    /// Where to write the plan [default: output/NAME.geojson]
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// What a drawing's layer, or a map's material, is built of: a construction of the catalogue, or `none`
    /// to leave it out; may be given many times
    #[arg(long, value_name = "NAME=CONSTRUCTION")]
    pub map: Vec<Mapping>,
    /// A TOML file of such pairs: "NAME" = "CONSTRUCTION"
    #[arg(long, value_name = "FILE")]
    pub map_file: Option<PathBuf>,
    /// Unit of a drawing, in place of what the file says
    #[arg(long, value_enum)]
    pub unit: Option<UnitWord>,
    /// Construction of outside walls of which the file says nothing
    #[arg(long, value_name = "CONSTRUCTION")]
    pub outside: Option<String>,
    /// Construction of inside walls of which the file says nothing
    #[arg(long, value_name = "CONSTRUCTION")]
    pub inside: Option<String>,
    /// Put a contact at every door and window that leads outside, up to level 0
    #[arg(long)]
    pub contacts: bool,
    /// How to print the report
    #[arg(long, value_enum, default_value_t = ReportForm::Table)]
    pub format: ReportForm,
}

/// How a report is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReportForm {
    /// For people
    Table,
    /// One JSON object
    Json,
}

/// A kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum KindWord {
    /// A DXF drawing, as text or binary
    Dxf,
    /// Simple Indoor Tagging in a .geojson file
    IndoorGeojson,
    /// Simple Indoor Tagging as OSM XML
    OsmXml,
    /// An archive of the Indoor Mapping Data Format
    Imdf,
    /// A tape-measure list
    Tape,
}

impl KindWord {
    /// The reader's word.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Self::Dxf => Kind::Dxf,
            Self::IndoorGeojson => Kind::IndoorGeojson,
            Self::OsmXml => Kind::OsmXml,
            Self::Imdf => Kind::Imdf,
            Self::Tape => Kind::Tape,
        }
    }
}

/// A unit of a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitWord {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
    /// Inches
    In,
    /// Feet
    Ft,
}

impl UnitWord {
    /// How many metres it has; inch and foot of 1959, exact (from memory).
    #[must_use]
    pub const fn metres(self) -> f64 {
        match self {
            Self::Mm => 0.001,
            Self::Cm => 0.01,
            Self::M => 1.0,
            Self::In => 0.0254,
            Self::Ft => 0.3048,
        }
    }
}

/// A name and the construction that it stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mapping {
    /// Name of a layer or material.
    pub name: String,
    /// Name of a construction, or `none`.
    pub construction: String,
}

impl FromStr for Mapping {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        // A layer's name may hold an equals sign, a construction's does not.
        let (name, construction) =
            text.rsplit_once('=').ok_or("write NAME=CONSTRUCTION, for example WALLS=brick-half")?;
        let (name, construction) = (name.trim(), construction.trim());
        if name.is_empty() || construction.is_empty() {
            return Err("write NAME=CONSTRUCTION, for example WALLS=brick-half".to_owned());
        }
        Ok(Self { name: name.to_owned(), construction: construction.to_owned() })
    }
}

/// Options of `new`.
#[derive(Debug, ClapArgs)]
pub struct NewOptions {
    /// The file to write: a plan if its name ends in .geojson, a tape-measure list if in .txt
    pub file: PathBuf,
    /// Unit of its lengths
    #[arg(long, value_enum, default_value_t = PlanUnit::M)]
    pub unit: PlanUnit,
}

/// A unit of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PlanUnit {
    /// Metres
    M,
    /// Feet
    Ft,
}

/// Options of `tidy`.
#[derive(Debug, ClapArgs)]
pub struct TidyOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// Write the mended plan into a new file; without it nothing is changed
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Farthest that an end is moved, metres
    #[arg(long, value_name = "METRES", default_value = "0.05", value_parser = snap, allow_hyphen_values = true)]
    pub snap: f64,
}

/// A length that the engine takes as it is.
fn snap(text: &str) -> Result<f64, String> {
    let metres: f64 = text.parse().map_err(|_| "give metres".to_owned())?;
    if (0.005..=0.25).contains(&metres) {
        Ok(metres)
    } else {
        Err("give 0.005 to 0.25 m".to_owned())
    }
}
