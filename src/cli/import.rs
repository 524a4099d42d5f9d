//! `drillonce import`: a plan of whatever the installer has.

mod ground;
mod picture;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;

use self::picture::Understood;
use super::error::{CommandError, text_of};
use super::files::{level_files, stem};
use super::frame::{Answer, pictures, table_width};
use super::options::{Format, PictureOptions, Word, one_of};
use super::outputs::{CopyPlace, Outputs};
use forecast::vocabulary;
use ground::{Known as KnownLength, corners};
use import::pdf::Scale;
use import::{self, Draft, Kind, Known, LEAVE_OUT, Settings, Surroundings, propose_contacts};
use input::{file_bytes, fix_name, quoted};
use plan::{self, Diagnostic, Inside, Plan, Reading, Rooms, Severity, place_of_byte};
use report::{ImportReport, import_table};

#[derive(Debug, Args)]
#[command(
    after_help = "No file is overwritten. What the file does not say is assumed and listed; check \
    every assumption about walls on site before you trust a forecast."
)]
pub(crate) struct ImportOptions {
    /// A DXF drawing, a PDF with lines, a picture (.png or .jpg), a building model (.ifc), a map
    /// with Simple Indoor Tagging (.geojson or .osm), an IMDF archive (.zip) or a tape-measure list
    /// (.txt)
    file: PathBuf,
    /// Kind of file [default: by content and name]
    #[arg(long, value_parser = one_of(&KINDS))]
    kind: Option<Kind>,
    /// File to write the plan to [default: output/NAME.geojson]
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Construction of a drawing's layer or block, or of a map's or model's material, or `none` to
    /// leave it out; repeatable
    #[arg(long, value_name = "NAME=CONSTRUCTION", value_parser = mapping)]
    map: Vec<(String, String)>,
    /// TOML file of such pairs: "NAME" = "CONSTRUCTION"
    #[arg(long, value_name = "FILE")]
    map_file: Option<PathBuf>,
    /// Unit of a drawing or model, in place of the file's own
    #[arg(long, value_parser = one_of(&UNITS))]
    unit: Option<f64>,
    /// Construction of outside walls that have none in the file
    #[arg(long, value_name = "CONSTRUCTION")]
    outside: Option<String>,
    /// Construction of inside walls that have none in the file
    #[arg(long, value_name = "CONSTRUCTION")]
    inside: Option<String>,
    /// Read one group of a drawing's walls alone, by its number in the report
    #[arg(long, value_name = "N")]
    group: Option<usize>,
    /// Read this page of a PDF, counted from 1 [default: the one with most lines]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    page: Option<u32>,
    /// Scale at which a PDF is drawn, such as 1:50 [default: as the page says]
    #[arg(long, value_name = "1:N", value_parser = ratio, conflicts_with = "length")]
    scale: Option<Scale>,
    /// A length of the house and how long it is on the page of a PDF, in pt, mm or in, such as
    /// "3.6 m = 412 pt", or in a picture, in px; of a picture repeatable
    #[arg(long, value_name = "LENGTHS", value_parser = ground::known_length)]
    length: Vec<KnownLength>,
    /// Text file of four corners in a picture of something rectangular, to square it up: a line
    /// "column row" for each, clockwise from the upper left one, and perhaps one with its width and
    /// height, such as "4.2 m by 3 m"
    #[arg(long, value_name = "FILE")]
    corners: Option<PathBuf>,
    /// Read groups of a drawing's walls as storeys of one house, the lowest first, laid over one
    /// another by their outlines: --stack 2,1,3
    #[arg(long, value_name = "N,N", value_delimiter = ',', conflicts_with = "group")]
    stack: Vec<usize>,
    /// Put a contact on every outside door and window up to level 0
    #[arg(long)]
    contacts: bool,
    #[command(flatten)]
    pictures: PictureOptions,
    /// How to print the report
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
}

const FORMATS: [Word<Format>; 2] =
    [("table", "Text to read", Format::Table), ("json", "One JSON object", Format::Json)];

const KINDS: [Word<Kind>; 8] = [
    ("dxf", "A DXF drawing, as text or binary", Kind::Dxf),
    ("indoor-geojson", "Simple Indoor Tagging in a .geojson file", Kind::IndoorGeojson),
    ("osm-xml", "Simple Indoor Tagging as OSM XML", Kind::OsmXml),
    ("imdf", "An archive of the Indoor Mapping Data Format", Kind::Imdf),
    ("ifc", "A building model, IFC2x3 or IFC4 as STEP text", Kind::Ifc),
    ("pdf", "A floor plan as PDF, with lines and not scanned", Kind::Pdf),
    ("picture", "A picture of a floor plan, PNG or JPEG", Kind::Picture),
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

/// The scale of a page.
fn ratio(text: &str) -> Result<Scale, &'static str> {
    /// Largest that is taken: a plan of a town.
    const MOST: f64 = 5_000.0;
    match import::pdf::scales(text).as_slice() {
        [ratio] if *ratio <= MOST => Ok(Scale::Ratio(*ratio)),
        _ => Err("write 1:N, for example 1:50"),
    }
}

/// Where the plan goes: a file to which the user gave no name finds its folder, or has it made.
pub(crate) fn outputs(options: &ImportOptions) -> Outputs<'_> {
    let place = options.to();
    let is_named = options.write.is_some();
    let option = if is_named { "--write " } else { "" };
    let copy = Some(CopyPlace { place, option, makes_folder: !is_named });
    Outputs { copy, ..options.pictures.outputs(options.to()) }
}

impl ImportOptions {
    /// What is wrong with an option that says nothing of this kind of file.
    fn misplaced(&self, kind: Kind) -> Option<&'static str> {
        let is_drawn = matches!(kind, Kind::Dxf | Kind::Pdf | Kind::Picture);
        let of_page = self.page.is_some() || self.scale.is_some();
        let in_pixels = |length: &KnownLength| matches!(length, KnownLength::Picture(..));
        match kind {
            _ if self.group.is_some() && !is_drawn => Some("--group: only a drawing has groups"),
            Kind::Picture if of_page => Some("--page and --scale: only a PDF has pages"),
            Kind::Picture if self.unit.is_some() => {
                Some("--unit: a picture has none; give --length \"3.6 m = 412 px\"")
            }
            Kind::Picture if !self.length.iter().all(in_pixels) => {
                Some("--length: in a picture lengths are in px, for example \"3.6 m = 412 px\"")
            }
            Kind::Picture => None,
            _ if self.corners.is_some() => Some("--corners: only a picture is squared up"),
            Kind::Pdf if self.length.len() > 1 || self.length.iter().any(in_pixels) => {
                Some("--length: give one of a PDF, in pt, mm or in")
            }
            Kind::Pdf if self.unit.is_some() => {
                Some("--unit: a PDF has none; give --scale 1:50, or --length \"3.6 m = 412 pt\"")
            }
            Kind::Pdf => None,
            _ if !self.length.is_empty() => Some("--length: only a PDF or a picture needs one"),
            _ => of_page.then_some("--page and --scale: only a PDF has pages"),
        }
    }

    /// The file for the plan.
    fn to(&self) -> PathBuf {
        let usual = || PathBuf::from(format!("output/{}.geojson", stem(&self.file)));
        self.write.clone().unwrap_or_else(usual)
    }
}

pub(crate) fn run(options: &ImportOptions) -> Result<Answer, CommandError> {
    let settings = settings(options)?;
    let name = options.file.display().to_string();
    let bytes = file_bytes(
        &options.file,
        import::MAX_MODEL_BYTES,
        "a drawing, model, map, archive or list",
        "export the floor alone, without pictures and furniture",
    )
    .map_err(|fault| CommandError::Plan(vec![*fault]))?;
    let kind = options.kind.or_else(|| Kind::of(&name, &bytes));
    let kind = kind.ok_or_else(|| unknown_kind(&name, &bytes))?;
    if let Some(why) = options.misplaced(kind) {
        return Err(CommandError::Usage(why.to_owned()));
    }
    if !options.stack.is_empty() && kind != Kind::Dxf {
        return Err(CommandError::Usage("--stack: only a DXF drawing has groups".to_owned()));
    }
    let mut draft = import::draft(kind, &name, &bytes, &settings).map_err(CommandError::Plan)?;
    if let Some(open) = draft.not_closed.as_ref().filter(|_| options.contacts) {
        let what =
            format!("--contacts needs to know inside from outside, but the outline is {open}");
        let fix = "import it without --contacts, close the walls in the plan or the drawing, then \
                   add the contacts; or map the layers that are missing with --map";
        return Err(CommandError::file(&name, what, fix));
    }
    // What is doubtful in the plan is said of the plan.
    let written = options.to().display().to_string();
    let beside = ground::kept(&mut draft, &options.to());
    let mut made = draft.text();
    let mut reading = read_back(&written, &made, &settings)?;
    if options.contacts && contacts(&mut draft, &reading.plan, &settings) > 0 {
        made = draft.text();
        reading = read_back(&written, &made, &settings)?;
    }
    let rooms = Rooms::new(&reading.plan, &|name| settings.known_thickness_m(name));
    let prefix = format!("{}-import", stem(&options.to()));
    let shown = picture::levels(&reading.plan);
    let named = shown.iter().filter(|_| !options.pictures.no_pictures).flat_map(|level| {
        let folder = options.pictures.out.display();
        [".png", ".svg"].map(|kind| format!("{folder}/{prefix}-level{}{kind}", level.number))
    });
    let report = ImportReport::new(
        (name, kind_words(kind)),
        written,
        &draft,
        &reading.plan,
        &rooms,
        &reading.warnings,
        named.collect(),
    );
    let files = pictures(&options.pictures, || {
        let seen =
            Understood { draft: &draft, plan: &reading.plan, rooms: &rooms, report: &report };
        let levels = shown.iter().map(|level| (level.number, seen.picture(level)));
        level_files(&prefix, &levels.collect::<Vec<_>>())
    })?;
    // It says where the plan is.
    let written = match options.format {
        Format::Json => report.json(),
        _ => import_table(&report, table_width()),
    };
    Ok(Answer { written, files, copy: Some(made), beside, ..Answer::default() })
}

/// Puts contacts at what leads outside; gives how many.
fn contacts(draft: &mut Draft, plan: &Plan, settings: &Settings) -> usize {
    let inside = Inside::of_levels(plan, &|name| settings.known_thickness_m(name));
    let rooms = Rooms::within(plan, &inside);
    let number = |level: i32| plan.levels.iter().position(|known| known.number == level);
    let around = Surroundings {
        indoors: &|level, at| number(level).is_some_and(|number| inside[number].holds(at)),
        room: &|level, at| rooms.at(level, at).and_then(|room| room.name.clone()),
        is_metal: &|construction| settings.known.vocabulary.metal.contains(construction),
    };
    propose_contacts(draft, &around)
}

/// What is known of constructions, for readers.
pub(crate) fn known() -> Known {
    Known { vocabulary: vocabulary() }
}

/// What the options ask of a reader.
fn settings(options: &ImportOptions) -> Result<Settings, CommandError> {
    let known = known();
    let mut map = match &options.map_file {
        Some(path) => map_file(path, &known)?,
        None => BTreeMap::new(),
    };
    for (name, construction) in &options.map {
        check(construction, &known, true)
            .map_err(|why| CommandError::Usage(format!("--map {name}: {why}")))?;
        map.insert(name.clone(), construction.clone());
    }
    for (option, name) in [("--outside", &options.outside), ("--inside", &options.inside)] {
        if let Some(name) = name {
            check(name, &known, false)
                .map_err(|why| CommandError::Usage(format!("{option}: {why}")))?;
        }
    }
    Ok(Settings {
        known,
        map,
        metres_per_unit: options.unit,
        outside: options.outside.clone(),
        inside: options.inside.clone(),
        group: options.group,
        page: options.page.and_then(|page| usize::try_from(page).ok()),
        scale: options.scale.or(options.length.iter().find_map(KnownLength::on_paper)),
        lengths: options.length.iter().filter_map(KnownLength::in_picture).collect(),
        square: options.corners.as_deref().map(corners).transpose()?,
        stack: options.stack.clone(),
    })
}

/// Whether a name is a construction or, where it may be, the word that leaves a layer out.
fn check(name: &str, known: &Known, may_leave_out: bool) -> Result<(), String> {
    let names = &known.vocabulary.constructions;
    if (may_leave_out && name == LEAVE_OUT) || names.iter().any(|known| known == name) {
        return Ok(());
    }
    let near =
        fix_name(name, names.iter().map(String::as_str), "`drillonce catalogue` lists every name");
    Err(format!("the construction {} is not known; {near}", quoted(name)))
}

/// A file of pairs of a name and a construction.
fn map_file(path: &Path, known: &Known) -> Result<BTreeMap<String, String>, CommandError> {
    /// Largest such file, bytes: some thousand layers.
    const MOST: usize = 256 * 1024;
    let fix = "write one pair per line: \"NAME\" = \"CONSTRUCTION\"";
    let (name, text) =
        text_of(path, MOST, "a TOML file of pairs", "check that it is the right file")?;
    let text = text.as_str();
    let pairs: BTreeMap<toml::Spanned<String>, toml::Spanned<String>> = toml::from_str(text)
        .map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            placed(&name, text, at, error.message().to_owned(), fix)
        })?;
    if pairs.is_empty() {
        return Err(CommandError::file(&name, "the file holds no pair", fix));
    }
    let mut map = BTreeMap::new();
    for (from, to) in pairs {
        check(to.get_ref(), known, true).map_err(|why| {
            placed(
                &name,
                text,
                to.span().start,
                why,
                "or write `none` to leave it \
                                                                      out",
            )
        })?;
        map.insert(from.into_inner(), to.into_inner());
    }
    Ok(map)
}

/// A fault at a byte of a text.
fn placed(file: &str, text: &str, at: usize, what: String, fix: &str) -> CommandError {
    CommandError::Plan(vec![Diagnostic::at(file, place_of_byte(text, at), what, fix)])
}

fn unknown_kind(name: &str, bytes: &[u8]) -> CommandError {
    if let Some((what, fix)) = import::unread(bytes) {
        return CommandError::file(name, what, fix);
    }
    CommandError::file(
        name,
        "neither the content nor the name of the file says what it is",
        "give --kind dxf, pdf, picture, indoor-geojson, osm-xml, imdf, ifc or tape",
    )
}

/// What a kind of file is called in a report.
const fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Dxf => "DXF drawing",
        Kind::IndoorGeojson => "indoor map, GeoJSON",
        Kind::OsmXml => "indoor map, OSM XML",
        Kind::Imdf => "indoor map, IMDF archive",
        Kind::Ifc => "building model, IFC",
        Kind::Pdf => "PDF",
        Kind::Picture => "picture",
        Kind::Tape => "tape-measure list",
    }
}

/// The plan as every other command will read it.
pub(crate) fn read_back(
    name: &str,
    text: &str,
    settings: &Settings,
) -> Result<Reading, CommandError> {
    plan::read_house(name, text.as_bytes(), &settings.known.vocabulary).map_err(|faults| {
        let first = faults.into_iter().find(|fault| fault.severity == Severity::Error);
        let (what, fix) = first.map_or_else(Default::default, |fault| {
            let feature = fault.feature.unwrap_or_default();
            (format!("{feature}: {}", fault.what), fault.fix)
        });
        CommandError::file(name, format!("the plan made of it has a fault: {what}"), fix)
    })
}
