//! Options of `import`.

use std::path::PathBuf;

use clap::Args;

use crate::options::{Format, Word, one_of};
use import::Kind;

#[derive(Debug, Args)]
#[command(
    after_help = "Nothing is overwritten. What the file does not say is guessed and told; a guess \
    about walls is worth a look at the house before a forecast is believed."
)]
pub(crate) struct ImportOptions {
    /// The file: a DXF drawing, a map with Simple Indoor Tagging (.geojson or .osm), an IMDF
    /// archive (.zip), or a tape-measure list (.txt)
    pub(crate) file: PathBuf,
    /// What the file is [default: as its first bytes and its name say]
    #[arg(long, value_parser = one_of(&KINDS))]
    pub(crate) kind: Option<Kind>,
    /// Where to write the plan [default: output/NAME.geojson]
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<PathBuf>,
    /// What a drawing's layer, or a map's material, is built of: a construction of the catalogue,
    /// or `none` to leave it out; may be given many times
    #[arg(long, value_name = "NAME=CONSTRUCTION", value_parser = mapping)]
    pub(crate) map: Vec<(String, String)>,
    /// A TOML file of such pairs: "NAME" = "CONSTRUCTION"
    #[arg(long, value_name = "FILE")]
    pub(crate) map_file: Option<PathBuf>,
    /// Unit of a drawing, in place of what the file says
    #[arg(long, value_parser = one_of(&UNITS))]
    pub(crate) unit: Option<f64>,
    /// Construction of outside walls of which the file says nothing
    #[arg(long, value_name = "CONSTRUCTION")]
    pub(crate) outside: Option<String>,
    /// Construction of inside walls of which the file says nothing
    #[arg(long, value_name = "CONSTRUCTION")]
    pub(crate) inside: Option<String>,
    /// Put a contact at every door and window that leads outside, up to level 0
    #[arg(long)]
    pub(crate) contacts: bool,
    /// How to print the report
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    pub(crate) format: Format,
}

const FORMATS: [Word<Format>; 2] =
    [("table", "For people", Format::Table), ("json", "One JSON object", Format::Json)];

const KINDS: [Word<Kind>; 5] = [
    ("dxf", "A DXF drawing, as text or binary", Kind::Dxf),
    ("indoor-geojson", "Simple Indoor Tagging in a .geojson file", Kind::IndoorGeojson),
    ("osm-xml", "Simple Indoor Tagging as OSM XML", Kind::OsmXml),
    ("imdf", "An archive of the Indoor Mapping Data Format", Kind::Imdf),
    ("tape", "A tape-measure list", Kind::Tape),
];

/// How many metres a unit has; inch and foot of 1959, exact (from memory).
const UNITS: [Word<f64>; 5] = [
    ("mm", "Millimetres", 0.001),
    ("cm", "Centimetres", 0.01),
    ("m", "Metres", 1.0),
    ("in", "Inches", 0.0254),
    ("ft", "Feet", 0.3048),
];

/// A name and the construction that it stands for.
fn mapping(text: &str) -> Result<(String, String), &'static str> {
    // A layer's name may hold an equals sign, a construction's does not.
    match text.rsplit_once('=').map(|(name, built)| (name.trim(), built.trim())) {
        Some((name, built)) if !name.is_empty() && !built.is_empty() => {
            Ok((name.to_owned(), built.to_owned()))
        }
        _ => Err("write NAME=CONSTRUCTION, for example WALLS=brick-half"),
    }
}
