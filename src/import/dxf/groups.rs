//! The groups of a drawing, text or binary, and those of them that are read: lines, arcs, polylines and inserts
//! of the sections BLOCKS and ENTITIES.
//!
//! A drawing is full of what no plan needs, and a hostile one of what no reader expects. So the file is gone
//! through once, group by group; what is of use and in order is written out as plain text groups for the
//! library that makes entities of them, and the rest is counted. Group codes and their types: the format's own
//! reference, from memory, not confirmed; the tests hold the reader against an independent one.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::whole_file;
use input::letters;
use plan::{Diagnostic, tame};

/// Most entities that are read from a file, blocks included (our own choice: ten times the drawing of a large
/// house).
const MAX_ENTITIES: usize = 500_000;

/// The entities that are read.
const READ: [&str; 8] =
    ["LINE", "ARC", "LWPOLYLINE", "POLYLINE", "VERTEX", "SEQEND", "INSERT", "CIRCLE"];

/// The sentinel with which a binary drawing begins, as the format has it.
pub(crate) const BINARY: [u8; 22] =
    [65, 117, 116, 111, 67, 65, 68, 32, 66, 105, 110, 97, 114, 121, 32, 68, 88, 70, 13, 10, 26, 0];

/// What the first walk over a file gives.
#[derive(Debug, Default)]
pub(super) struct Groups {
    /// The groups that are read, as the text of a drawing.
    pub(super) text: String,
    /// `$INSUNITS`: the code of the drawing's unit.
    pub(super) unit_code: Option<i64>,
    /// `$MEASUREMENT`: 0 for inches, 1 for metres and their parts.
    pub(super) measurement: Option<i64>,
    /// Entities that are not read, by type.
    pub(super) not_read: BTreeMap<String, usize>,
}

/// One group: a code and its value as text.
type Group<'f> = (i32, Cow<'f, str>);

/// Goes through a file.
pub(super) fn groups(name: &str, bytes: &[u8]) -> Result<Groups, Vec<Diagnostic>> {
    let mut reader = if bytes.starts_with(&BINARY) {
        Reader::Binary(Binary::new(bytes))
    } else {
        Reader::Text(Text { bytes, at: 0, line: 0 })
    };
    let mut filter = Filter::default();
    let mut ended = false;
    loop {
        match reader.next() {
            Ok(Some((code, value))) => {
                if !filter.take(code, &value) {
                    ended = true;
                    break;
                }
                if let Some(what) = filter.trouble.take() {
                    return Err(vec![placed(name, reader.line(), what)]);
                }
                if filter.entities > MAX_ENTITIES {
                    return Err(vec![whole_file(
                        name,
                        format!("the drawing has more than {MAX_ENTITIES} entities"),
                        "export the walls, doors and windows of one storey",
                    )]);
                }
            }
            Ok(None) => break,
            Err((line, what)) => {
                return Err(vec![placed(name, line, what)]);
            }
        }
    }
    if !filter.any_section {
        return Err(vec![whole_file(
            name,
            "this is no DXF drawing: it has no sections".to_owned(),
            "export the drawing as DXF, as text or binary",
        )]);
    }
    if !ended {
        return Err(vec![placed(
            name,
            reader.line(),
            "the drawing ends in its midst: there is no EOF".to_owned(),
        )]);
    }
    filter.flush();
    filter.close_section();
    filter.out.text.push_str("0\nEOF\n");
    Ok(filter.out)
}

/// A fault at a line, or of the whole file.
fn placed(name: &str, line: usize, what: String) -> Diagnostic {
    let mut fault = whole_file(
        name,
        what,
        "is it a DXF drawing, and whole? Export it again, as text or binary DXF",
    );
    (fault.line, fault.column) = (line, usize::from(line > 0));
    fault
}

/// Where groups come from.
#[derive(Debug)]
enum Reader<'f> {
    Text(Text<'f>),
    Binary(Binary<'f>),
}

impl<'f> Reader<'f> {
    fn next(&mut self) -> Result<Option<Group<'f>>, (usize, String)> {
        match self {
            Self::Text(text) => text.next(),
            Self::Binary(binary) => binary.next().map_err(|what| (0, what)),
        }
    }

    /// The line that was read last; 0 in a binary drawing, which has none.
    const fn line(&self) -> usize {
        match self {
            Self::Text(text) => text.line,
            Self::Binary(_) => 0,
        }
    }
}

/// A line of code, a line of value.
#[derive(Debug)]
struct Text<'f> {
    bytes: &'f [u8],
    at: usize,
    line: usize,
}

impl<'f> Text<'f> {
    fn next_line(&mut self) -> Option<&'f [u8]> {
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len());
        self.at += length + 1;
        self.line += 1;
        rest.get(..length).map(<[u8]>::trim_ascii)
    }

    fn next(&mut self) -> Result<Option<Group<'f>>, (usize, String)> {
        let Some(code) = self.next_line() else {
            return Ok(None);
        };
        let code = code.strip_prefix(b"\xef\xbb\xbf").unwrap_or(code);
        if code.is_empty()
            && self.bytes.get(self.at..).is_none_or(|rest| rest.trim_ascii().is_empty())
        {
            return Ok(None);
        }
        let line = self.line;
        let number = std::str::from_utf8(code).ok().and_then(|code| code.parse().ok());
        let Some(number) = number else {
            let shown: String = String::from_utf8_lossy(code).chars().take(40).collect();
            return Err((
                line,
                format!(
                    "here should be a group code, a whole number, but here is \"{}\"",
                    tame(&shown)
                ),
            ));
        };
        match self.next_line() {
            Some(value) => Ok(Some((number, letters(value)))),
            None => Err((line, "the file ends after a group code, without its value".to_owned())),
        }
    }
}

/// A drawing in binary groups.
#[derive(Debug)]
struct Binary<'f> {
    rest: &'f [u8],
    /// Codes of old drawings have one byte.
    short_codes: bool,
}

impl<'f> Binary<'f> {
    fn new(bytes: &'f [u8]) -> Self {
        let rest = bytes.get(BINARY.len()..).unwrap_or_default();
        // The first group is 0 SECTION: after a code of one byte the letters begin at once.
        Self { rest, short_codes: rest.get(1) == Some(&b'S') }
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], String> {
        let (head, rest) =
            self.rest.split_first_chunk::<N>().ok_or("the file ends within a group")?;
        self.rest = rest;
        Ok(*head)
    }

    fn next(&mut self) -> Result<Option<Group<'f>>, String> {
        if self.rest.is_empty() {
            return Ok(None);
        }
        let code = if self.short_codes {
            match self.take::<1>()? {
                [255] => i32::from(i16::from_le_bytes(self.take()?)),
                [code] => i32::from(code),
            }
        } else {
            i32::from(i16::from_le_bytes(self.take()?))
        };
        let value = match code {
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
                Cow::Owned(f64::from_le_bytes(self.take()?).to_string())
            }
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
                Cow::Owned(i16::from_le_bytes(self.take()?).to_string())
            }
            90..=99 | 420..=429 | 440..=459 | 1071 => {
                Cow::Owned(i32::from_le_bytes(self.take()?).to_string())
            }
            160..=169 => Cow::Owned(i64::from_le_bytes(self.take()?).to_string()),
            290..=299 => Cow::Owned(self.take::<1>()?[0].to_string()),
            310..=319 | 1004 => {
                let [length] = self.take::<1>()?;
                let rest = self.rest.get(usize::from(length)..);
                self.rest = rest.ok_or("the file ends within a group")?;
                Cow::Borrowed("")
            }
            0..=9
            | 100..=109
            | 300..=369
            | 390..=399
            | 410..=419
            | 430..=439
            | 470..=481
            | 999..=1009 => {
                let end = self.rest.iter().position(|byte| *byte == 0);
                let end = end.ok_or("the file ends within a text")?;
                let (text, rest) = self.rest.split_at(end);
                self.rest = rest.get(1..).unwrap_or_default();
                letters(text)
            }
            _ => return Err(format!("a group has the code {code}, which is none")),
        };
        Ok(Some((code, value)))
    }
}

/// Where in the file the walk is.
#[derive(Debug, Default, PartialEq, Eq, Clone, Copy)]
enum Place {
    #[default]
    Elsewhere,
    Header,
    Blocks,
    Entities,
}

/// Picks out what is read.
#[derive(Debug, Default)]
struct Filter {
    out: Groups,
    place: Place,
    any_section: bool,
    section_begins: bool,
    /// The variable of the header whose value comes next.
    variable: String,
    /// The entity that is being gathered, if it is read.
    entity: String,
    /// What is wrong with the group that was taken last.
    trouble: Option<String>,
    keeps: bool,
    in_polyline: bool,
    in_block: bool,
    entities: usize,
}

impl Filter {
    /// Takes a group; false at the end of the drawing.
    fn take(&mut self, code: i32, value: &str) -> bool {
        if code == 0 {
            return self.begin(value.trim());
        }
        if self.section_begins && code == 2 {
            self.section_begins = false;
            self.place = match value.trim() {
                "HEADER" => Place::Header,
                "BLOCKS" => Place::Blocks,
                "ENTITIES" => Place::Entities,
                _ => Place::Elsewhere,
            };
            if matches!(self.place, Place::Blocks | Place::Entities) {
                self.write(0, "SECTION");
                self.write(2, value.trim());
            }
            return true;
        }
        match self.place {
            Place::Header if code == 9 => value.trim().clone_into(&mut self.variable),
            Place::Header if code == 70 => {
                let number = value.trim().parse().ok();
                match self.variable.as_str() {
                    "$INSUNITS" => self.out.unit_code = number,
                    "$MEASUREMENT" => self.out.measurement = number,
                    _ => {}
                }
            }
            Place::Blocks | Place::Entities if self.keeps => self.gather(code, value),
            _ => {}
        }
        true
    }

    /// An entity, a block, a section or the end begins.
    fn begin(&mut self, word: &str) -> bool {
        self.flush();
        match word {
            "EOF" => return false,
            "SECTION" => {
                self.close_section();
                self.any_section = true;
                self.section_begins = true;
                return true;
            }
            "ENDSEC" => {
                self.close_section();
                return true;
            }
            _ => {}
        }
        let in_blocks = self.place == Place::Blocks;
        if !in_blocks && self.place != Place::Entities {
            return true;
        }
        match word {
            "BLOCK" if in_blocks => {
                self.close_block();
                self.in_block = true;
            }
            "ENDBLK" if in_blocks => {
                self.close_block();
                return true;
            }
            _ if in_blocks && !self.in_block => return true,
            _ => {}
        }
        let is_part = matches!(word, "VERTEX" | "SEQEND");
        if !is_part && self.in_polyline {
            self.end_polyline();
        }
        if word == "BLOCK" || (READ.contains(&word) && (!is_part || self.in_polyline)) {
            self.keeps = true;
            self.entity = format!("0\n{word}\n");
            self.in_polyline = match word {
                "POLYLINE" => true,
                "SEQEND" => false,
                _ => self.in_polyline,
            };
            self.entities += 1;
        } else if !matches!(word, "SEQEND" | "ATTRIB" | "VERTEX") {
            let known = self.out.not_read.len() < 200;
            let name: String = word.chars().take(40).collect();
            if known || self.out.not_read.contains_key(&name) {
                *self.out.not_read.entry(tame(&name)).or_default() += 1;
            }
        }
        true
    }

    /// A group of an entity that is read: layer, name, numbers, flags; whatever else is left out.
    fn gather(&mut self, code: i32, value: &str) {
        use std::fmt::Write as _;
        let value = value.trim();
        match code {
            8 | 2 => {
                let name: String = value.chars().filter(|c| !c.is_control()).take(255).collect();
                let _ = write!(self.entity, "{code}\n{name}\n");
            }
            10 | 11 | 20 | 21 | 40..=45 | 50 | 51 | 210 | 220 | 230 => {
                let number: Option<f64> = value.parse().ok();
                match number.filter(|number| number.is_finite() && number.abs() < 1e12) {
                    Some(number) => {
                        let _ = write!(self.entity, "{code}\n{number:?}\n");
                    }
                    None => self.trouble = Some(not_a(value, "a number of sane size")),
                }
            }
            67 | 70 | 71 => match value.parse::<i64>() {
                Ok(number) => {
                    let number = number.clamp(i64::from(i16::MIN), i64::from(i16::MAX));
                    let _ = write!(self.entity, "{code}\n{number}\n");
                }
                Err(_) => self.trouble = Some(not_a(value, "a whole number")),
            },
            _ => {}
        }
    }

    /// Writes out the entity that was gathered.
    fn flush(&mut self) {
        if !std::mem::take(&mut self.keeps) {
            return;
        }
        let entity = std::mem::take(&mut self.entity);
        self.out.text.push_str(&entity);
    }

    fn end_polyline(&mut self) {
        if std::mem::take(&mut self.in_polyline) {
            self.write(0, "SEQEND");
        }
    }

    fn close_block(&mut self) {
        self.end_polyline();
        if std::mem::take(&mut self.in_block) {
            self.write(0, "ENDBLK");
        }
    }

    fn close_section(&mut self) {
        self.close_block();
        if matches!(self.place, Place::Blocks | Place::Entities) {
            self.write(0, "ENDSEC");
        }
        self.place = Place::Elsewhere;
    }

    fn write(&mut self, code: i32, value: &str) {
        use std::fmt::Write as _;
        let _ = write!(self.out.text, "{code}\n{value}\n");
    }
}

/// What is wrong with a value.
fn not_a(value: &str, wanted: &str) -> String {
    let shown: String = value.chars().take(40).collect();
    format!("here should be {wanted}, but here is \"{}\"", tame(&shown))
}
