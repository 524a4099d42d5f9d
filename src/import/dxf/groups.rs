//! The groups of a drawing, text or binary, and the entities that are read of them: lines, arcs,
//! polylines and inserts of the sections BLOCKS and ENTITIES.
//!
//! A drawing is full of what no plan needs, and a hostile one of what no reader expects. So the
//! file is gone through once, group by group; what is of use and in order is kept, and the rest is
//! counted. Group codes and their types: the format's own reference, from memory, not confirmed;
//! the tests hold the reader against an independent one.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::entity::{Block, Corner, Entity, Sort, not_a};
use crate::whole_file;
use input::{Codepage, Diagnostic, letters, tame};

/// Most numbers of all hatches, splines and the like (our own choice).
const MOST_NUMBERS: usize = 2_000_000;
/// Most entities of a file, blocks included (our own choice: ten times those of a large house).
const MAX_ENTITIES: usize = 500_000;

/// The sentinel with which a binary drawing begins, as the format has it.
pub(crate) const BINARY: [u8; 22] =
    [65, 117, 116, 111, 67, 65, 68, 32, 66, 105, 110, 97, 114, 121, 32, 68, 88, 70, 13, 10, 26, 0];

/// What the first walk over a file gives.
#[derive(Default)]
pub(crate) struct Groups {
    /// What is drawn outside of blocks, in order.
    pub(super) entities: Vec<Entity>,
    pub(super) blocks: Vec<Block>,
    /// `$INSUNITS`: the code of the drawing's unit.
    pub(crate) unit_code: Option<i64>,
    /// `$MEASUREMENT`: 0 for inches, 1 for metres and their parts.
    pub(crate) measurement: Option<i64>,
    /// Layers that are switched off or frozen, and those that are frozen, in small letters.
    pub(crate) hidden: BTreeSet<String>,
    pub(super) frozen: BTreeSet<String>,
    /// Layers whose lines have dashes or dots, in small letters.
    pub(super) broken: BTreeSet<String>,
    /// Entities that are not read, by type.
    pub(crate) not_read: BTreeMap<String, usize>,
}

impl Groups {
    /// What a file says that has layers and nothing else of a drawing.
    pub(crate) fn with_hidden(hidden: BTreeSet<String>) -> Self {
        Self { hidden, ..Self::default() }
    }
}

type Group<'f> = (i32, Cow<'f, str>);

pub(super) fn groups(name: &str, bytes: &[u8]) -> Result<Groups, Vec<Diagnostic>> {
    let mut reader = Reader::new(bytes);
    let mut filter = Filter::default();
    let mut ended = false;
    let guessed = Codepage::guessed(if reader.is_binary { &[] } else { bytes });
    let wrong = |line: usize, what: String| {
        let fix = "export the drawing again, as text or binary DXF";
        vec![Diagnostic::at(name, (line, usize::from(line > 0)), what, fix)]
    };
    while let Some((code, value)) = reader.next().map_err(|what| wrong(reader.line, what))? {
        if !filter.take(code, &value).map_err(|what| wrong(reader.line, what))? {
            ended = true;
            break;
        }
        reader.codepage = filter.codepage.or(guessed.filter(|_| !filter.is_unicode));
        if filter.entities > MAX_ENTITIES {
            let what = format!("the drawing has more than {MAX_ENTITIES} entities");
            let fix = "export the walls, doors and windows of one storey";
            return Err(vec![whole_file(name, what, fix)]);
        }
    }
    if !filter.any_section {
        let what = "this is not a DXF drawing: it has no sections".to_owned();
        return Err(vec![whole_file(name, what, "export the drawing as DXF, as text or binary")]);
    }
    if !ended {
        let what = "the drawing is cut off: it has no EOF".to_owned();
        return Err(wrong(reader.line, what));
    }
    filter.close_block();
    Ok(filter.out)
}

/// Where groups come from: a line of code and a line of value each, or binary.
struct Reader<'f> {
    rest: &'f [u8],
    /// The line that was read last; 0 in a binary drawing, which has none.
    line: usize,
    is_binary: bool,
    /// Codes of old binary drawings have one byte.
    short_codes: bool,
    /// What its letters are written in, if not as everywhere else.
    codepage: Option<Codepage>,
}

impl<'f> Reader<'f> {
    fn new(bytes: &'f [u8]) -> Self {
        let is_binary = bytes.starts_with(&BINARY);
        let start = if is_binary { BINARY.len() } else { 0 };
        let rest = bytes.get(start..).unwrap_or_default();
        // The first group is 0 SECTION: after a code of one byte the letters begin at once.
        let short_codes = rest.get(1) == Some(&b'S');
        Self { rest, line: 0, is_binary, short_codes, codepage: None }
    }

    fn next(&mut self) -> Result<Option<Group<'f>>, String> {
        if self.is_binary { self.next_binary() } else { self.next_text() }
    }

    fn letters(&self, bytes: &'f [u8]) -> Cow<'f, str> {
        self.codepage.map_or_else(|| letters(bytes), |codepage| codepage.letters(bytes))
    }

    fn next_line(&mut self) -> Option<&'f [u8]> {
        let rest = Some(self.rest).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len());
        self.rest = rest.get(length + 1..).unwrap_or_default();
        self.line += 1;
        rest.get(..length).map(<[u8]>::trim_ascii)
    }

    fn next_text(&mut self) -> Result<Option<Group<'f>>, String> {
        let Some(code) = self.next_line() else { return Ok(None) };
        let code = code.strip_prefix(b"\xef\xbb\xbf").unwrap_or(code);
        if code.is_empty() && self.rest.trim_ascii().is_empty() {
            return Ok(None);
        }
        let number = std::str::from_utf8(code).ok().and_then(|code| code.parse().ok());
        let Some(number) = number else {
            return Err(not_a(&String::from_utf8_lossy(code), "a group code, a whole number"));
        };
        let value = self.next_line();
        let value = value.ok_or("the file ends after a group code, without its value")?;
        Ok(Some((number, self.letters(value))))
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], String> {
        let (head, rest) =
            self.rest.split_first_chunk::<N>().ok_or("the file ends within a group")?;
        self.rest = rest;
        Ok(*head)
    }

    fn next_binary(&mut self) -> Result<Option<Group<'f>>, String> {
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
                self.letters(text)
            }
            _ => return Err(format!("a group has the code {code}, which does not exist")),
        };
        Ok(Some((code, value)))
    }
}

#[derive(Default, PartialEq, Eq, Clone, Copy)]
enum Place {
    #[default]
    Elsewhere,
    Header,
    Tables,
    Blocks,
    Entities,
}

#[derive(Default)]
struct Filter {
    out: Groups,
    place: Place,
    any_section: bool,
    section_begins: bool,
    /// The variable of the header whose value comes next.
    variable: String,
    /// The entity that is being gathered, if it is read.
    entity: Option<Entity>,
    in_polyline: bool,
    block: Option<Block>,
    entities: usize,
    numbers: usize,
    is_unicode: bool,
    codepage: Option<Codepage>,
}

impl Filter {
    /// Takes a group; false at the end of the drawing. An error says what is wrong with it.
    fn take(&mut self, code: i32, value: &str) -> Result<bool, String> {
        let value = value.trim();
        if code == 0 {
            return Ok(self.begin(value));
        }
        if self.section_begins && code == 2 {
            self.section_begins = false;
            self.place = match value {
                "HEADER" => Place::Header,
                "TABLES" => Place::Tables,
                "BLOCKS" => Place::Blocks,
                "ENTITIES" => Place::Entities,
                _ => Place::Elsewhere,
            };
            return Ok(true);
        }
        match (self.place, &mut self.entity) {
            (Place::Header, _) if code == 9 => value.clone_into(&mut self.variable),
            (Place::Header, _) if code == 70 => match self.variable.as_str() {
                "$INSUNITS" => self.out.unit_code = value.parse().ok(),
                "$MEASUREMENT" => self.out.measurement = value.parse().ok(),
                _ => {}
            },
            // Since 2007 drawings are in UTF-8, whatever codepage they name.
            (Place::Header, _) if code == 1 && self.variable == "$ACADVER" => {
                self.is_unicode = value >= "AC1021";
                self.codepage = self.codepage.filter(|_| !self.is_unicode);
            }
            (Place::Header, _) if code == 3 && self.variable == "$DWGCODEPAGE" => {
                self.codepage = Codepage::named(value).filter(|_| !self.is_unicode);
            }
            (Place::Tables, Some(layer)) => layer.gather(code, value)?,
            (Place::Blocks | Place::Entities, Some(entity)) => entity.gather(code, value)?,
            _ => {}
        }
        Ok(true)
    }

    fn begin(&mut self, word: &str) -> bool {
        self.flush();
        match word {
            "EOF" => return false,
            "SECTION" | "ENDSEC" => {
                self.close_block();
                self.place = Place::Elsewhere;
                self.any_section |= word == "SECTION";
                self.section_begins |= word == "SECTION";
                return true;
            }
            _ => {}
        }
        if self.place == Place::Tables && word == "LAYER" {
            self.entity = Some(Entity::new(Sort::Layer));
        }
        let in_blocks = self.place == Place::Blocks;
        if !in_blocks && self.place != Place::Entities {
            return true;
        }
        match word {
            "BLOCK" if in_blocks => {
                self.close_block();
                self.block = Some(Block::default());
            }
            "ENDBLK" if in_blocks => {
                self.close_block();
                return true;
            }
            _ if in_blocks && self.block.is_none() => return true,
            _ => {}
        }
        let is_part = matches!(word, "VERTEX" | "SEQEND");
        let sort = Sort::of(word).filter(|_| !is_part || self.in_polyline);
        self.in_polyline = sort == Some(Sort::Polyline) || (word == "VERTEX" && self.in_polyline);
        if let Some(sort) = sort {
            self.entity = Some(Entity::new(sort));
            self.entities += 1;
        } else if !is_part {
            let known = self.out.not_read.len() < 200;
            let name: String = word.chars().take(40).collect();
            if known || self.out.not_read.contains_key(&name) {
                *self.out.not_read.entry(tame(&name)).or_default() += 1;
            }
        }
        true
    }

    /// Puts the entity that was gathered where it belongs.
    fn flush(&mut self) {
        let Some(mut entity) = self.entity.take() else { return };
        self.numbers += entity.more.len();
        if self.numbers > MOST_NUMBERS && !entity.more.is_empty() {
            entity.more = Vec::new();
            entity.is_too_large = true;
        }
        let (block, drawn) = (&mut self.block, &mut self.out.entities);
        match (entity.sort, block) {
            (Sort::Layer, _) => {
                let name = entity.name.to_lowercase();
                if entity.is_broken == Some(true) {
                    self.out.broken.insert(name.clone());
                }
                // Frozen by the first flag; off by a colour below zero.
                if entity.flags & 1 != 0 {
                    self.out.frozen.insert(name.clone());
                }
                if entity.flags & 1 != 0 || entity.colour < 0 {
                    self.out.hidden.insert(name);
                }
            }
            (Sort::Block, Some(block)) => (block.name, block.base) = (entity.name, entity.at),
            (Sort::Block | Sort::End, _) => {}
            (sort, block) => {
                let entities = block.as_mut().map_or(drawn, |block| &mut block.entities);
                match (sort, entities.last_mut()) {
                    // Points that only pull at a curve are no corners.
                    (Sort::Vertex, _) if entity.flags & 16 != 0 => {}
                    (Sort::Vertex, Some(line)) => {
                        let (at, bulge) = (entity.at, entity.scale.y);
                        let own = (entity.radius, entity.scale.x);
                        let width =
                            if own == (0.0, 0.0) { (line.radius, line.scale.x) } else { own };
                        line.corners.push(Corner { at, bulge, width });
                    }
                    _ => entities.push(entity),
                }
            }
        }
    }

    fn close_block(&mut self) {
        self.in_polyline = false;
        self.out.blocks.extend(self.block.take());
    }
}
