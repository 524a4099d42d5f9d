//! The entities of a drawing that are read, as their groups say them.

use geo::Coord;

use plan::tame;

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
            "BLOCK" => Self::Block,
            _ => return None,
        })
    }
}

/// A corner of a polyline, and the bulge behind it: the tangent of a quarter of its angle.
pub(super) type Corner = (Coord<f64>, f64);

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
        match code {
            8 => self.layer = plain(value),
            2 => self.name = plain(value),
            6 => self.is_broken = is_broken(value),
            10 | 11 | 20 | 21 | 40..=45 | 50 | 51 | 210 | 220 | 230 => {
                let number = value.parse().ok();
                let number = number.filter(|n: &f64| n.is_finite() && n.abs() < 1e12);
                self.number(code, number.ok_or_else(|| not_a(value, "a number of sane size"))?)?;
            }
            60 | 62 | 67 | 70 | 71 => {
                let number: i64 = value.parse().map_err(|_| not_a(value, "a whole number"))?;
                let number = i16::try_from(number.clamp(i16::MIN.into(), i16::MAX.into()));
                match (code, number.unwrap_or_default()) {
                    (60 | 67, number) => self.is_hidden |= number == 1,
                    (62, number) => self.colour = number,
                    (70, number) => self.flags = number,
                    (_, number) => self.rows = number,
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn number(&mut self, code: i32, number: f64) -> Result<(), String> {
        if self.sort == Sort::Light && matches!(code, 10 | 20 | 40..=42) {
            if code == 10 {
                self.corners.push((Coord { x: number, y: 0.0 }, 0.0));
            }
            let Some((at, bulge)) = self.corners.last_mut() else {
                // Widths may stand before the first corner.
                let has_place = code != 20;
                return has_place
                    .then_some(())
                    .ok_or_else(|| not_a(&number.to_string(), "a corner's x"));
            };
            match code {
                20 => at.y = number,
                42 => *bulge = number,
                _ => {}
            }
            return Ok(());
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

/// A name without control characters; letters that are written as `\U+00E4` are letters.
fn plain(value: &str) -> String {
    let mut pieces = value.split("\\U+");
    let mut name = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let coded = piece.split_at_checked(4);
        let letter = coded.and_then(|(code, _)| u32::from_str_radix(code, 16).ok());
        match (letter.and_then(char::from_u32), coded) {
            (Some(letter), Some((_, rest))) => name.extend([letter.to_string().as_str(), rest]),
            _ => name.extend(["\\U+", piece]),
        }
    }
    name.chars().filter(|c| !c.is_control()).take(255).collect()
}

pub(super) fn not_a(value: &str, wanted: &str) -> String {
    let shown: String = value.chars().take(40).collect();
    format!("{wanted} is expected, not \"{}\"", tame(&shown))
}
