//! The text of a model (ISO 10303-21) as entities that are found by number and read when needed.

use std::cell::Cell;

use super::value::{Args, Reader};
use crate::whole_file;
use plan::{Diagnostic, quoted};

/// The entities that are read; all others are passed over. In order of their names.
const KINDS: [&str; 85] = [
    "IFCARBITRARYCLOSEDPROFILEDEF",
    "IFCARBITRARYPROFILEDEFWITHVOIDS",
    "IFCAXIS2PLACEMENT2D",
    "IFCAXIS2PLACEMENT3D",
    "IFCBOOLEANCLIPPINGRESULT",
    "IFCBOOLEANRESULT",
    "IFCBUILDING",
    "IFCBUILDINGSTOREY",
    "IFCCARTESIANPOINT",
    "IFCCARTESIANPOINTLIST2D",
    "IFCCARTESIANPOINTLIST3D",
    "IFCCARTESIANTRANSFORMATIONOPERATOR3D",
    "IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM",
    "IFCCIRCLE",
    "IFCCIRCLEHOLLOWPROFILEDEF",
    "IFCCIRCLEPROFILEDEF",
    "IFCCLOSEDSHELL",
    "IFCCOLUMN",
    "IFCCOMPOSITECURVE",
    "IFCCOMPOSITECURVESEGMENT",
    "IFCCONNECTEDFACESET",
    "IFCCONVERSIONBASEDUNIT",
    "IFCCURTAINWALL",
    "IFCDIRECTION",
    "IFCDOOR",
    "IFCEDGECURVE",
    "IFCEDGELOOP",
    "IFCEXTRUDEDAREASOLID",
    "IFCFACE",
    "IFCFACEBASEDSURFACEMODEL",
    "IFCFACEBOUND",
    "IFCFACEOUTERBOUND",
    "IFCFACETEDBREP",
    "IFCINDEXEDPOLYCURVE",
    "IFCINDEXEDPOLYGONALFACE",
    "IFCINDEXEDPOLYGONALFACEWITHVOIDS",
    "IFCISHAPEPROFILEDEF",
    "IFCLINE",
    "IFCLOCALPLACEMENT",
    "IFCMAPPEDITEM",
    "IFCMATERIAL",
    "IFCMATERIALCONSTITUENT",
    "IFCMATERIALCONSTITUENTSET",
    "IFCMATERIALLAYER",
    "IFCMATERIALLAYERSET",
    "IFCMATERIALLAYERSETUSAGE",
    "IFCMATERIALLIST",
    "IFCMATERIALPROFILE",
    "IFCMATERIALPROFILESET",
    "IFCMATERIALPROFILESETUSAGE",
    "IFCMEASUREWITHUNIT",
    "IFCOPENINGELEMENT",
    "IFCOPENSHELL",
    "IFCORIENTEDEDGE",
    "IFCPOLYGONALFACESET",
    "IFCPOLYLINE",
    "IFCPOLYLOOP",
    "IFCPRODUCTDEFINITIONSHAPE",
    "IFCPROJECT",
    "IFCPROPERTYSET",
    "IFCPROPERTYSINGLEVALUE",
    "IFCRECTANGLEHOLLOWPROFILEDEF",
    "IFCRECTANGLEPROFILEDEF",
    "IFCRELAGGREGATES",
    "IFCRELASSOCIATESMATERIAL",
    "IFCRELCONTAINEDINSPATIALSTRUCTURE",
    "IFCRELDEFINESBYPROPERTIES",
    "IFCRELDEFINESBYTYPE",
    "IFCRELFILLSELEMENT",
    "IFCRELVOIDSELEMENT",
    "IFCREPRESENTATIONMAP",
    "IFCROOF",
    "IFCROUNDEDRECTANGLEPROFILEDEF",
    "IFCSHAPEREPRESENTATION",
    "IFCSHELLBASEDSURFACEMODEL",
    "IFCSIUNIT",
    "IFCSLAB",
    "IFCSPACE",
    "IFCSTAIR",
    "IFCSTAIRFLIGHT",
    "IFCTRIANGULATEDFACESET",
    "IFCTRIMMEDCURVE",
    "IFCUNITASSIGNMENT",
    "IFCVECTOR",
    "IFCVERTEXPOINT",
];
/// Kinds that stand for more than one of [`KINDS`], or came later; and the kind that they are read
/// as.
const ALIASES: [(&str, &str); 22] = [
    ("IFCADVANCEDBREP", "IFCFACETEDBREP"),
    ("IFCADVANCEDBREPWITHVOIDS", "IFCFACETEDBREP"),
    ("IFCADVANCEDFACE", "IFCFACE"),
    ("IFCCOLUMNSTANDARDCASE", "IFCCOLUMN"),
    ("IFCDOORSTANDARDCASE", "IFCDOOR"),
    ("IFCEXTRUDEDAREASOLIDTAPERED", "IFCEXTRUDEDAREASOLID"),
    ("IFCFACESURFACE", "IFCFACE"),
    ("IFCFACETEDBREPWITHVOIDS", "IFCFACETEDBREP"),
    ("IFCMATERIALLAYERWITHOFFSETS", "IFCMATERIALLAYER"),
    ("IFCMEMBER", "IFCMEMBER"),
    ("IFCMEMBERSTANDARDCASE", "IFCMEMBER"),
    ("IFCOPENINGSTANDARDCASE", "IFCOPENINGELEMENT"),
    ("IFCPLATE", "IFCMEMBER"),
    ("IFCPLATESTANDARDCASE", "IFCMEMBER"),
    ("IFCSLABELEMENTEDCASE", "IFCSLAB"),
    ("IFCSLABSTANDARDCASE", "IFCSLAB"),
    ("IFCTRIANGULATEDIRREGULARNETWORK", "IFCTRIANGULATEDFACESET"),
    ("IFCWALL", "IFCWALL"),
    ("IFCWALLELEMENTEDCASE", "IFCWALL"),
    ("IFCWALLSTANDARDCASE", "IFCWALL"),
    ("IFCWINDOW", "IFCWINDOW"),
    ("IFCWINDOWSTANDARDCASE", "IFCWINDOW"),
];
/// Deepest nesting of lists (our own choice: the format's own entities need five).
const MAX_DEPTH: usize = 12;
/// Highest number of an entity.
const MAX_NUMBER: u64 = u32::MAX as u64;
/// How often the bytes of a file may be read again (our own choice: shapes that are used by many
/// elements are read for each), and how many may be at least.
const READ_AGAIN: u64 = 8;
const LEAST_BYTES: u64 = 64 << 20;
const MOST_BYTES: u64 = 900 << 20;

#[derive(Clone, Copy)]
struct Entry {
    number: u32,
    /// Where its arguments begin.
    start: u32,
    line: u32,
    kind: &'static str,
}

/// A model: where each of its entities begins.
pub(super) struct Model<'b> {
    bytes: &'b [u8],
    entries: Vec<Entry>,
    /// The schema that it names, such as `IFC4`.
    pub(super) schema: String,
    /// How many bytes may be read yet.
    left: Cell<u64>,
}

/// What the text says of an entity's kind: the kind that it is read as.
fn kind_of(name: &[u8]) -> Option<&'static str> {
    let name = std::str::from_utf8(name).ok()?;
    let find = |name: &str| KINDS.binary_search(&name).ok().map(|at| KINDS[at]);
    let alias = |name: &str| ALIASES.iter().find(|(from, _)| *from == name).map(|(_, to)| *to);
    if !name.starts_with("IFC") && !name.starts_with("Ifc") && !name.starts_with("ifc") {
        return None;
    }
    if name.bytes().any(|byte| byte.is_ascii_lowercase()) {
        let name = name.to_ascii_uppercase();
        return find(&name).or_else(|| alias(&name));
    }
    find(name).or_else(|| alias(name))
}

impl<'b> Model<'b> {
    /// Finds every entity of a text.
    pub(super) fn read(file: &str, bytes: &'b [u8]) -> Result<Self, Diagnostic> {
        let mut scan = Scan { file, bytes, at: 0, line: 1 };
        let (entries, schema) = scan.run()?;
        let left = (bytes.len() as u64 * READ_AGAIN).clamp(LEAST_BYTES, MOST_BYTES);
        Ok(Self { bytes, entries, schema, left: Cell::new(left) })
    }

    fn entry(&self, number: u32) -> Option<&Entry> {
        let at = self.entries.binary_search_by_key(&number, |entry| entry.number).ok()?;
        self.entries.get(at)
    }

    /// The kind of an entity, empty for one that is not there or is not read.
    pub(super) fn kind(&self, number: u32) -> &'static str {
        self.entry(number).map_or("", |entry| entry.kind)
    }

    /// The line on which an entity begins.
    pub(super) fn line(&self, number: u32) -> usize {
        self.entry(number).map_or(0, |entry| entry.line as usize)
    }

    /// The numbers of all entities of a kind, ascending.
    pub(super) fn all<'m>(&'m self, kind: &'static str) -> impl Iterator<Item = u32> + 'm {
        self.entries.iter().filter(move |entry| entry.kind == kind).map(|entry| entry.number)
    }

    /// The arguments of an entity; nothing if it is not there, not read or ill-formed, or if too
    /// much of the file was read again and again.
    pub(super) fn get(&self, number: u32) -> Option<Args<'b>> {
        let entry = self.entry(number)?;
        let mut reader = Reader { bytes: self.bytes, at: entry.start as usize };
        let left = self.left.get();
        if left == 0 {
            return None;
        }
        let values = reader.list();
        self.left.set(left.saturating_sub((reader.at - entry.start as usize) as u64 + 16));
        Some(Args { kind: entry.kind, values: values? })
    }

    /// The arguments of an entity of one kind.
    pub(super) fn get_as(&self, number: u32, kind: &str) -> Option<Args<'b>> {
        self.get(number).filter(|args| args.kind == kind)
    }

    /// Whether the file asked to be read again and again, so that part of it was not read.
    pub(super) fn is_exhausted(&self) -> bool {
        self.left.get() == 0
    }
}

struct Scan<'f, 'b> {
    file: &'f str,
    bytes: &'b [u8],
    at: usize,
    line: usize,
}

const EXPORT: &str = "copy or export the file again";

impl Scan<'_, '_> {
    fn fault(&self, line: usize, what: impl Into<String>, fix: &str) -> Diagnostic {
        Diagnostic::at(self.file, (line, 1), what, fix)
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn step(&mut self) {
        if self.peek() == Some(b'\n') {
            self.line += 1;
        }
        self.at += 1;
    }

    /// Passes over blanks and comments.
    fn blanks(&mut self) {
        while let Some(byte) = self.peek() {
            if byte == b'/' && self.bytes.get(self.at + 1) == Some(&b'*') {
                self.at += 2;
                while self.at < self.bytes.len() && !self.bytes[self.at..].starts_with(b"*/") {
                    self.step();
                }
                self.at += 2;
            } else if byte.is_ascii_whitespace() || byte == 0 {
                self.step();
            } else {
                break;
            }
        }
    }

    fn word(&mut self) -> &[u8] {
        let from = self.at;
        while self.peek().is_some_and(|byte| byte.is_ascii_alphanumeric() || b"_-".contains(&byte))
        {
            self.at += 1;
        }
        &self.bytes[from.min(self.bytes.len())..self.at.min(self.bytes.len())]
    }

    /// Passes over what stands up to the next `;` outside strings and lists.
    fn rest(&mut self, what: &dyn Fn() -> String) -> Result<(), Diagnostic> {
        let begun = self.line;
        let mut depth = 0_usize;
        while let Some(byte) = self.peek() {
            match byte {
                b'\'' => {
                    let from = self.line;
                    self.at += 1;
                    // A doubled apostrophe ends one string and begins the next: as good as one.
                    while self.peek().is_some_and(|byte| byte != b'\'') {
                        self.step();
                    }
                    if self.peek().is_none() {
                        let what = format!("{} holds a text that does not end", what());
                        return Err(self.fault(from, what, EXPORT));
                    }
                }
                b'/' if self.bytes.get(self.at + 1) == Some(&b'*') => {
                    self.blanks();
                    continue;
                }
                b'(' => {
                    depth += 1;
                    if depth > MAX_DEPTH {
                        let what =
                            format!("{} holds lists in lists, deeper than {MAX_DEPTH}", what());
                        return Err(self.fault(self.line, what, EXPORT));
                    }
                }
                b')' if depth == 0 => {
                    let what = format!("{} closes a list that it did not open", what());
                    return Err(self.fault(self.line, what, EXPORT));
                }
                b')' => depth -= 1,
                b';' if depth == 0 => {
                    self.at += 1;
                    return Ok(());
                }
                b';' => {
                    let what = format!("{} ends within a list", what());
                    return Err(self.fault(self.line, what, EXPORT));
                }
                b'=' if depth == 0 => {
                    let what = format!("{} does not end with a semicolon", what());
                    return Err(self.fault(begun, what, EXPORT));
                }
                _ => {}
            }
            self.step();
        }
        Err(self.fault(begun, format!("the file ends within {}", what()), EXPORT))
    }

    fn run(&mut self) -> Result<(Vec<Entry>, String), Diagnostic> {
        let mut entries: Vec<Entry> = Vec::new();
        let (mut schema, mut sorted, mut any, mut ended) = (String::new(), true, false, false);
        loop {
            self.blanks();
            match self.peek() {
                None => break,
                Some(b'#') => {
                    any = true;
                    if let Some(entry) = self.entity()? {
                        sorted &= entries.last().is_none_or(|last| last.number < entry.number);
                        entries.push(entry);
                    }
                }
                Some(b';') => self.at += 1,
                Some(_) => {
                    let (from, line) = (self.at, self.line);
                    let word = String::from_utf8_lossy(self.word()).into_owned();
                    if word.is_empty() || (any && word.starts_with("IFC")) {
                        let what = "here is neither an entity (#1=…;) nor a section of the file";
                        return Err(self.fault(line, what, EXPORT));
                    }
                    self.rest(&|| quoted(&word))?;
                    if word == "FILE_SCHEMA" {
                        let text = String::from_utf8_lossy(&self.bytes[from..self.at]);
                        text.split('\'').nth(1).unwrap_or_default().clone_into(&mut schema);
                    }
                    if word == "END-ISO-10303-21" {
                        ended = true;
                        break;
                    }
                }
            }
        }
        if !ended {
            let what = "the file ends before \"END-ISO-10303-21;\": part of it is missing";
            return Err(self.fault(self.line, what, EXPORT));
        }
        if !sorted {
            entries.sort_by_key(|entry| (entry.number, entry.start));
            let twice = entries.windows(2).find(|pair| pair[0].number == pair[1].number);
            if let Some([first, second]) = twice {
                let (number, line) = (first.number, first.line);
                let what = format!("#{number} is given again; line {line} gave it first");
                return Err(self.fault(second.line as usize, what, EXPORT));
            }
        }
        if !schema.to_ascii_uppercase().starts_with("IFC") {
            let what = format!("the schema {} is not one of buildings", quoted(&schema));
            let fix = "export IFC2x3 or IFC4; this reader looks for IfcWall and the like";
            return Err(whole_file(self.file, what, fix));
        }
        Ok((entries, schema))
    }

    /// An entity from its `#` to its `;`; nothing for one that is not read.
    fn entity(&mut self) -> Result<Option<Entry>, Diagnostic> {
        let line = self.line;
        self.at += 1;
        let digits = self.word();
        let shown = String::from_utf8_lossy(digits).into_owned();
        let number = shown.parse::<u64>().ok().filter(|number| *number <= MAX_NUMBER);
        self.blanks();
        let (Some(number), Some(b'=')) = (number, self.peek()) else {
            let what = format!("here is no entity with a number: #{shown}");
            return Err(self.fault(line, what, EXPORT));
        };
        self.at += 1;
        self.blanks();
        let kind = kind_of(self.word());
        self.blanks();
        let start = self.at;
        self.rest(&|| format!("#{number}"))?;
        let small = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
        Ok(kind.map(|kind| Entry {
            number: small(number),
            start: small(start as u64),
            line: small(line as u64),
            kind,
        }))
    }
}
