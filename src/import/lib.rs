//! From whatever the installer has to a plan: an architect's drawing or building model, an open
//! indoor map, or a list of lengths from a tape measure.
//!
//! Every reader makes a [`Draft`] of a file's bytes: pieces in metres, each with what it stands
//! for, and a [`Guess`] for whatever the file does not say. [`Draft::text`] writes the plan. A
//! reader knows nothing of radio; which constructions there are, and how thick they are, the caller
//! hands in ([`Known`]).
//!
//! What a reader does not read it says in its module's head, and counts as a guess when it meets
//! it.

mod areas;
mod collection;
mod columns;
mod contacts;
mod draft;
pub mod dxf;
mod frame;
mod ground;
mod guess;
pub mod ifc;
pub mod imdf;
mod joints;
mod line;
mod original;
pub mod osm;
mod outlines;
pub mod pdf;
pub mod picture;
mod room_names;
mod taken;
pub mod tape;
mod text;
mod union;

use std::collections::BTreeMap;

pub use contacts::{Surroundings, propose_contacts};
pub use draft::{Draft, DraftUnit, Piece, What};
pub use frame::LocalFrame;
pub use ground::Ground;
pub use guess::{Guess, PlanPoint};
pub use original::Original;
pub use outlines::{Outline, Side, sides};

use plan::{Diagnostic, Vocabulary};

/// Largest file that is read, in bytes: 64 MiB (our own choice: far beyond the drawing of a house).
pub const MAX_FILE_BYTES: usize = 64 * 1024 * 1024;
/// Largest building model that is read, in bytes: 256 MiB (our own choice: far beyond the model of
/// a house, with its furniture).
pub const MAX_MODEL_BYTES: usize = 256 * 1024 * 1024;
/// Most pieces of a draft (our own choice: as many features as a plan may have).
pub const MAX_PIECES: usize = plan::MAX_FEATURES;

/// What the caller knows and a reader must.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The names that a plan may use.
    pub vocabulary: Vocabulary,
}

/// What the user asks of a reader.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// What is known of constructions.
    pub known: Known,
    /// What the user maps to what: the name of a drawing's layer, or the value of a map's tag
    /// `material`, to the name of a construction, or to [`LEAVE_OUT`].
    pub map: BTreeMap<String, String>,
    /// Metres in one unit of the drawing, where the user overrides what the file says.
    pub metres_per_unit: Option<f64>,
    /// Construction of outside walls about which the file says nothing.
    pub outside: Option<String>,
    /// Construction of inside walls about which the file says nothing.
    pub inside: Option<String>,
    /// The only group of walls of a drawing that is read, from 1.
    pub group: Option<usize>,
    /// The page of a PDF that is read, from 1; without it the one with most lines.
    pub page: Option<usize>,
    /// How the page of a PDF is measured, where the user says it.
    pub scale: Option<pdf::Scale>,
    /// Groups of walls of a drawing that are storeys of one house, from 1, the lowest first.
    pub stack: Vec<usize>,
    /// Known lengths of a picture, each in metres and in pixels.
    pub lengths: Vec<(f64, f64)>,
    /// Four corners by which a picture is squared up.
    pub square: Option<picture::Square>,
}

/// Mapped to this word, a layer is left out.
pub const LEAVE_OUT: &str = "none";
/// Construction of an outside wall about which nobody says anything (our own choice: a common one,
/// and none of the light ones, so that the forecast errs to the safe side).
pub const OUTSIDE_WALL: &str = "brick-cavity";
/// Construction of an inside wall about which nobody says anything (our own choice, as above).
pub const INSIDE_WALL: &str = "brick-half";
/// Construction of a door about which nobody says anything.
pub const DOOR: &str = "door-solid";
/// Construction of a window about which nobody says anything.
pub const WINDOW: &str = "glass-double";
/// Construction of a floor between two levels about which nobody says anything.
pub const FLOOR: &str = "floor-concrete";
/// The same in a house whose outside walls are framed.
pub const FRAMED_FLOOR: &str = "floor-timber";
/// Height of a room about which nobody says anything, metres (as a plan without levels has it).
pub const CEILING_M: f64 = 2.4;
/// Usual head of a door or window, metres above the floor (common practice, no source).
pub const HEAD_M: f64 = 2.0;
/// How far below the head of its opening a contact sits, metres (common practice, no source).
pub const BELOW_HEAD_M: f64 = 0.1;
/// Usual thickness of a floor between two storeys, metres (common practice, no source).
pub const FLOOR_THICKNESS_M: f64 = 0.3;
/// Usual sill of a window, metres above the floor (common practice, no source).
pub const SILL_M: f64 = 0.9;
/// A tape-measure list of a small invented house to start from, in metres.
pub const STARTER_M: &str = include_str!("starter/house-m.txt");
/// The same kind of house in feet, built as is usual where feet are.
pub const STARTER_FT: &str = include_str!("starter/house-ft.txt");

impl Settings {
    /// The construction of outside walls about which the file says nothing.
    #[must_use]
    pub fn outside(&self) -> &str {
        self.outside.as_deref().unwrap_or(OUTSIDE_WALL)
    }

    /// The construction of inside walls about which the file says nothing.
    #[must_use]
    pub fn inside(&self) -> &str {
        self.inside.as_deref().unwrap_or(INSIDE_WALL)
    }

    /// How thick a construction is, metres; 0.1 for one that is not known (our own choice).
    #[must_use]
    pub fn thickness_m(&self, construction: &str) -> f64 {
        self.known_thickness_m(construction).unwrap_or(0.1)
    }

    /// How thick a built-in construction is, metres.
    #[must_use]
    pub fn known_thickness_m(&self, construction: &str) -> Option<f64> {
        self.known.vocabulary.thickness_m.get(construction).copied()
    }
}

/// A kind of file that can be made a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A drawing in the Drawing Interchange Format.
    Dxf,
    /// Simple Indoor Tagging as `GeoJSON`.
    IndoorGeojson,
    /// Simple Indoor Tagging as OSM XML.
    OsmXml,
    /// An archive of the Indoor Mapping Data Format.
    Imdf,
    /// A building model: IFC as STEP text.
    Ifc,
    /// A floor plan printed as PDF, with vectors.
    Pdf,
    /// A picture of a floor plan, PNG or JPEG.
    Picture,
    /// A list of lengths from a tape measure.
    Tape,
}

impl Kind {
    /// The kind of a file by its first bytes, else its name's ending, else its first line, if any.
    #[must_use]
    pub fn of(name: &str, bytes: &[u8]) -> Option<Self> {
        let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let text = text.trim_ascii_start();
        Some(match (text.first(), ending.as_deref()) {
            _ if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") => Self::Imdf,
            _ if bytes.starts_with(&dxf::BINARY) => Self::Dxf,
            _ if ifc::begins_like_one(text) => Self::Ifc,
            _ if text.starts_with(pdf::HEADER) => Self::Pdf,
            _ if bytes.starts_with(b"\xff\xd8\xff") || bytes.starts_with(b"\x89PNG") => {
                Self::Picture
            }
            (Some(b'<'), _) => Self::OsmXml,
            (Some(b'{'), _) => Self::IndoorGeojson,
            (_, Some("dxf")) => Self::Dxf,
            (_, Some("ifc")) => Self::Ifc,
            (_, Some("pdf")) => Self::Pdf,
            (_, Some("osm" | "xml")) => Self::OsmXml,
            (_, Some("geojson" | "json")) => Self::IndoorGeojson,
            (_, Some("zip" | "imdf")) => Self::Imdf,
            (_, Some("txt" | "tape")) => Self::Tape,
            _ if text.starts_with(b"0\n") || text.starts_with(b"0\r\n") => Self::Dxf,
            _ if tape::begins_like_one(text) => Self::Tape,
            _ => return None,
        })
    }
}

/// What a file is by its first bytes if no reader reads its kind, and what to do.
#[must_use]
pub fn unread(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    let begins = |magics: &[&[u8]]| magics.iter().any(|magic| bytes.starts_with(magic));
    if begins(&[b"AC10", b"AC1.", b"AC2.1"]) {
        return Some((
            "this is a DWG drawing, which is not read",
            "open it in a CAD program and save it as DXF, text or binary, with the walls, doors \
             and windows of one storey",
        ));
    }
    if begins(&[b"RIFF", b"GIF8", b"II*\0", b"MM\0*"]) {
        return Some((
            "this is a picture of a kind that is not read",
            "save it as PNG or JPEG, and give one length that you know",
        ));
    }
    begins(&[b"\xd0\xcf\x11\xe0"]).then_some((
        "this is a model or document in a closed format, which is not read",
        "export the floor plan of one storey as DXF",
    ))
}

/// Reads a file of a kind. `name` is the file's: it stands in every fault, and without folder and
/// ending it is the plan's title where the file has none.
///
/// # Errors
/// All faults in order of place. No input makes it panic, and time and memory are bounded.
pub fn draft(
    kind: Kind,
    name: &str,
    bytes: &[u8],
    settings: &Settings,
) -> Result<Draft, Vec<Diagnostic>> {
    let most = if kind == Kind::Ifc { MAX_MODEL_BYTES } else { MAX_FILE_BYTES };
    if bytes.len() > most {
        let what = format!("the file is larger than {} MiB", most >> 20);
        let fix = "export the floor alone, without pictures and furniture";
        return Err(vec![whole_file(name, what, fix)]);
    }
    if let Some((what, fix)) = unread(bytes) {
        return Err(vec![whole_file(name, what, fix)]);
    }
    let mut draft = match kind {
        Kind::Dxf => dxf::draft(name, bytes, settings),
        Kind::IndoorGeojson => osm::draft_geojson(name, bytes, settings),
        Kind::OsmXml => osm::draft_xml(name, bytes, settings),
        Kind::Imdf => imdf::draft(name, bytes, settings),
        Kind::Ifc => ifc::draft(name, bytes, settings),
        Kind::Pdf => pdf::draft(name, bytes, settings),
        Kind::Picture => picture::draft(name, bytes, settings),
        Kind::Tape => tape::draft(name, bytes, settings),
    }?;
    if draft.pieces.len() > MAX_PIECES {
        let pieces = draft.pieces.len();
        let what = format!(
            "the drawing gives {pieces} walls and other pieces; a plan holds at most {MAX_PIECES}"
        );
        let fix = "leave out layers that are not part of the building, or export one storey";
        return Err(vec![whole_file(name, what, fix)]);
    }
    if draft.name.is_empty() {
        draft.name = plan::title_of(name);
    }
    room_names::join_rooms(&mut draft, settings);
    Ok(draft)
}

pub(crate) fn whole_file(name: &str, what: impl Into<String>, fix: &str) -> Diagnostic {
    Diagnostic::at(name, (0, 0), what, fix)
}
