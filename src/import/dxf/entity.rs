//! The entities of a drawing that are read, as their groups say them.

use geo::Coord;

use input::{Codepage, tame};

/// Most bytes of a text that are kept (our own choice: names of rooms are short).
const MOST_LETTERS: usize = 1_000;

#[derive(Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum Sort {
    #[default]
    Line,
    Arc,
    /// A polyline whose corners are groups of its own.
    Light,
    /// A polyline whose corners are entities.
    Polyline,
    Vertex,
    End,
    Insert,
    Circle,
    Ellipse,
    Spline,
    Multiline,
    Hatch,
    /// Three or four filled corners, the last two across.
    Solid,
    /// Three or four filled corners in their order.
    Face,
    Text,
    /// A text of several lines.
    Paragraph,
    /// A text that an insert has for its block.
    Attribute,
    Block,
    /// A row of the table of layers.
    Layer,
}

impl Sort {
    /// The sort of an entity's word; nothing for one that is not read.
    pub(super) fn of(word: &str) -> Option<Self> {
        Some(match word {
            "LINE" => Self::Line,
            "ARC" => Self::Arc,
            "LWPOLYLINE" => Self::Light,
            "POLYLINE" => Self::Polyline,
            "VERTEX" => Self::Vertex,
            "SEQEND" => Self::End,
            "INSERT" => Self::Insert,
            "CIRCLE" => Self::Circle,
            "ELLIPSE" => Self::Ellipse,
            "SPLINE" => Self::Spline,
            "MLINE" => Self::Multiline,
            "HATCH" => Self::Hatch,
            "SOLID" | "TRACE" => Self::Solid,
            "3DFACE" => Self::Face,
            "TEXT" => Self::Text,
            "MTEXT" => Self::Paragraph,
            "ATTRIB" => Self::Attribute,
            "BLOCK" => Self::Block,
            _ => return None,
        })
    }
}

/// Most numbers of one entity that are kept (our own choice: it bounds what a hostile file costs).
const MOST_NUMBERS: usize = 40_000;

pub(super) const fn xy(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

/// A corner of a polyline.
#[derive(Clone, Copy, Default)]
pub(super) struct Corner {
    pub(super) at: Coord<f64>,
    /// The tangent of a quarter of the angle of the arc behind it.
    pub(super) bulge: f64,
    /// How wide the line behind it begins and ends.
    pub(super) width: (f64, f64),
}

/// An entity. What its numbers mean follows from its sort.
#[derive(Clone, Default)]
pub(super) struct Entity {
    pub(super) sort: Sort,
    pub(super) layer: String,
    /// Of a block, and of what is inserted.
    pub(super) name: String,
    /// In paper space, or not shown.
    pub(super) is_hidden: bool,
    /// Group 62, negative for a layer that is switched off.
    pub(super) colour: i16,
    /// Group 70: flags of a polyline, columns of an insert.
    pub(super) flags: i16,
    /// Group 71: rows of an insert.
    pub(super) rows: i16,
    /// Start, middle, or place.
    pub(super) at: Coord<f64>,
    pub(super) to: Coord<f64>,
    pub(super) radius: f64,
    /// Groups 41 and 42: scales of an insert; of a vertex the latter is the bulge.
    pub(super) scale: Coord<f64>,
    /// Between the columns and rows of an insert.
    pub(super) spacing: Coord<f64>,
    /// Where an arc begins and ends; how far an insert is turned; degrees.
    pub(super) angles_deg: (f64, f64),
    /// Group 6: drawn with dashes or dots, if it does not leave that to its layer.
    pub(super) is_broken: Option<bool>,
    /// Which way it is seen from: from below if this is negative.
    pub(super) normal_z: f64,
    pub(super) corners: Vec<Corner>,
    /// What is written: of texts.
    pub(super) text: String,
    /// Groups in their order: of hatches, splines, multilines, solids and faces.
    pub(super) more: Vec<(i16, f64)>,
    /// Whether it has more numbers than are kept.
    pub(super) is_too_large: bool,
    /// No more groups belong to it.
    is_whole: bool,
}

#[derive(Default)]
pub(super) struct Block {
    pub(super) name: String,
    pub(super) base: Coord<f64>,
    pub(super) entities: Vec<Entity>,
}

impl Entity {
    /// One of which no group is known yet.
    pub(super) fn new(sort: Sort) -> Self {
        let of_insert = if sort == Sort::Insert { 1 } else { 0 };
        Self {
            sort,
            layer: "0".to_owned(),
            flags: of_insert,
            rows: of_insert,
            scale: Coord { x: of_insert.into(), y: of_insert.into() },
            angles_deg: (0.0, if sort == Sort::Arc { 360.0 } else { 0.0 }),
            normal_z: 1.0,
            ..Self::default()
        }
    }

    /// Takes a group: layer, name, numbers, flags, nothing else; or says what is wrong with it.
    pub(super) fn gather(&mut self, code: i32, value: &str) -> Result<(), String> {
        // Behind these come seeds of a hatch, and a text within a text.
        self.is_whole |= matches!((self.sort, code), (Sort::Hatch, 75) | (Sort::Attribute, 101));
        if self.is_whole {
            return Ok(());
        }
        let is_kept = match self.sort {
            Sort::Hatch => matches!(code, 72..=73 | 92..=97),
            Sort::Spline => code == 71,
            Sort::Multiline => code == 74,
            _ => false,
        };
        match code {
            8 => self.layer = plain(value),
            2 => self.name = plain(value),
            6 => self.is_broken = is_broken(value),
            1 | 3 if self.is_text() && self.text.len() < MOST_LETTERS => {
                self.text.push_str(&plain(value));
            }
            _ if is_kept => {
                let number = value.parse().map_err(|_| not_a(value, "a whole number"))?;
                self.keep(code, number);
            }
            10..=13 | 20..=23 | 40..=45 | 50 | 51 | 210 | 220 | 230 => {
                let number = value.parse().ok();
                let number = number.filter(|n: &f64| n.is_finite() && n.abs() < 1e12);
                self.number(code, number.ok_or_else(|| not_a(value, "a number of sane size"))?)?;
            }
            60 | 62 | 67 | 70..=72 => {
                let number: i64 = value.parse().map_err(|_| not_a(value, "a whole number"))?;
                let number = i16::try_from(number.clamp(i16::MIN.into(), i16::MAX.into()));
                match (code, number.unwrap_or_default()) {
                    (60 | 67, number) => self.is_hidden |= number == 1,
                    (62, number) => self.colour = number,
                    (70, number) => self.flags = number,
                    // Of a text of one line the 71 says how it is mirrored.
                    (code, number) if (code == 72) == self.is_line_of_text() => self.rows = number,
                    _ => {}
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// Whether it is something written.
    pub(super) const fn is_text(&self) -> bool {
        self.is_line_of_text() || matches!(self.sort, Sort::Paragraph)
    }

    const fn is_line_of_text(&self) -> bool {
        matches!(self.sort, Sort::Text | Sort::Attribute)
    }

    fn keep(&mut self, code: i32, number: f64) {
        let Ok(code) = i16::try_from(code) else { return };
        self.is_too_large |= self.more.len() >= MOST_NUMBERS;
        if self.is_too_large {
            self.more = Vec::new();
        } else {
            self.more.push((code, number));
        }
    }

    fn number(&mut self, code: i32, number: f64) -> Result<(), String> {
        if self.sort == Sort::Light && matches!(code, 10 | 20 | 40..=42) {
            if code == 10 {
                let at = Coord { x: number, y: 0.0 };
                self.corners.push(Corner { at, ..Corner::default() });
            }
            let Some(corner) = self.corners.last_mut() else {
                // Widths may stand before the first corner.
                let has_place = code != 20;
                return has_place
                    .then_some(())
                    .ok_or_else(|| not_a(&number.to_string(), "a corner's x"));
            };
            match code {
                20 => corner.at.y = number,
                40 => corner.width.0 = number,
                41 => corner.width.1 = number,
                42 => corner.bulge = number,
                _ => {}
            }
            return Ok(());
        }
        match self.sort {
            Sort::Hatch | Sort::Spline | Sort::Multiline | Sort::Solid | Sort::Face
                if code < 210 =>
            {
                self.keep(code, number);
                return Ok(());
            }
            _ => {}
        }
        let place = match code {
            10 => &mut self.at.x,
            20 => &mut self.at.y,
            11 => &mut self.to.x,
            21 => &mut self.to.y,
            40 => &mut self.radius,
            41 => &mut self.scale.x,
            42 => &mut self.scale.y,
            44 => &mut self.spacing.x,
            45 => &mut self.spacing.y,
            43 if self.sort == Sort::Light => &mut self.radius,
            50 => &mut self.angles_deg.0,
            51 => &mut self.angles_deg.1,
            230 => &mut self.normal_z,
            _ => return Ok(()),
        };
        *place = number;
        Ok(())
    }
}

/// Whether a line type of this name has dashes or dots: what it draws is hidden, overhead or an
/// axis. Nothing for one that leaves it to the layer. Names as programs ship them, from memory.
fn is_broken(line_type: &str) -> Option<bool> {
    const BROKEN: [&str; 17] = [
        "dash", "dot", "hidden", "center", "centre", "phantom", "divide", "border", "acad_iso",
        "strich", "tiret", "cach", "trazo", "tratt", "tracej", "虚线", "破線",
    ];
    let name = line_type.to_lowercase();
    let is_own = !matches!(name.as_str(), "" | "bylayer" | "byblock");
    is_own.then(|| BROKEN.iter().any(|part| name.contains(part)))
}

/// A name without control characters; letters that are written as `\U+00E4`, or as `\M+` with the
/// number of a codepage and two bytes in it, are letters.
fn plain(value: &str) -> String {
    let number = |code: &str| u32::from_str_radix(code, 16).ok();
    let name = coded(value, "\\U+", 4, |code| {
        number(code).and_then(char::from_u32).map(|letter| letter.to_string())
    });
    let name = coded(&name, "\\M+", 5, |code| {
        let (page, code) = code.split_at_checked(1)?;
        // The numbers of codepages are from memory.
        let page = match page {
            "1" => "ANSI_932",
            "2" => "ANSI_950",
            "3" => "ANSI_949",
            _ => "ANSI_936",
        };
        let bytes = u16::try_from(number(code)?).ok()?.to_be_bytes();
        Some(Codepage::named(page)?.letters(&bytes).into_owned())
    });
    name.chars().filter(|c| !c.is_control()).take(255).collect()
}

/// A text in which what follows each mark, so many bytes, is read as letters if it can be.
fn coded(text: &str, mark: &str, long: usize, read: impl Fn(&str) -> Option<String>) -> String {
    let mut pieces = text.split(mark);
    let mut name = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let found = piece.split_at_checked(long);
        match found.and_then(|(code, rest)| Some((read(code)?, rest))) {
            Some((letters, rest)) => name.extend([letters.as_str(), rest]),
            None => name.extend([mark, piece]),
        }
    }
    name
}

pub(super) fn not_a(value: &str, wanted: &str) -> String {
    let shown: String = value.chars().take(40).collect();
    format!("{wanted} is expected, not \"{}\"", tame(&shown))
}
