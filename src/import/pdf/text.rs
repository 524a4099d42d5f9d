//! The texts of a page: its scale may stand in them, and the names of rooms.

use geo::{AffineTransform, Coord};

use hayro_syntax::content::Instruction;
use hayro_syntax::object::{Array, Dict, Name, Object, Stream};

use super::guard::unpacked;

/// Most texts that are kept, and most letters of one (our own choice).
const MOST: usize = 20_000;
const MOST_LETTERS: usize = 2_000;

/// A text that is being set.
#[derive(Default)]
pub(super) struct Text {
    letters: String,
    font: Font,
    size: f64,
    /// From the text's own plane to that of the content: where the line begins.
    line: AffineTransform<f64>,
    /// How far below one line the next begins.
    leading: f64,
    /// Where in `letters` the line begins.
    begun: usize,
}

/// One line of text, where it stands on the page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    pub(super) start: Coord<f64>,
    /// Unit vector along it.
    pub(super) along: Coord<f64>,
    pub(super) height: f64,
    pub(super) letters: String,
}

impl Line {
    /// How long it is, about: a letter is half as wide as it is high.
    pub(super) fn length(&self) -> f64 {
        0.5 * self.height * self.letters.chars().count() as f64
    }

    /// Adds a line that goes on where this one ends; gives it back if it does not.
    fn add(&mut self, next: Self) -> Result<(), Self> {
        let off = next.start - self.start;
        let along = off.x * self.along.x + off.y * self.along.y - self.length();
        let across = off.y * self.along.x - off.x * self.along.y;
        let turned = 1.0 - self.along.x * next.along.x - self.along.y * next.along.y;
        let is_alike = (next.height / self.height - 1.0).abs() < 0.1 && turned < 1e-3;
        let goes_on = (-1.0..0.8).contains(&(along / self.height));
        if !is_alike || !goes_on || across.abs() > 0.2 * self.height {
            return Err(next);
        }
        if along > 0.2 * self.height && !self.letters.ends_with(' ') {
            self.letters.push(' ');
        }
        self.letters.push_str(&next.letters);
        Ok(())
    }
}

/// What the codes of a font stand for.
#[derive(Default)]
struct Font {
    /// Bytes of one code, less one.
    is_wide: bool,
    /// From code to code, and the letter of the first.
    rows: Vec<(u16, u16, char)>,
}

impl Text {
    /// Takes an operator that sets text, on a plane that comes to lie by `place`. Whole texts are
    /// added to `texts`, their lines to `lines`.
    pub(super) fn take<'p>(
        &mut self,
        (one, operator, numbers): (&Instruction<'_, '_>, &[u8], &[f64]),
        place: &AffineTransform<f64>,
        (texts, lines): (&mut Vec<String>, &mut Vec<Line>),
        font: impl Fn(&Name<'_>) -> Option<Dict<'p>>,
    ) {
        if matches!(operator, b"Td" | b"TD" | b"T*" | b"Tm" | b"'" | b"\"" | b"BT" | b"ET") {
            self.end_line(place, lines);
            self.line = match (operator, numbers) {
                (b"BT", _) => AffineTransform::identity(),
                (b"Tm", &[a, b, c, d, e, f]) => AffineTransform::new(a, c, e, b, d, f),
                (b"Td" | b"TD", &[x, y]) => AffineTransform::translate(x, y).compose(&self.line),
                (b"T*" | b"'" | b"\"", _) => {
                    AffineTransform::translate(0.0, -self.leading).compose(&self.line)
                }
                _ => self.line,
            };
        }
        match (operator, numbers) {
            (b"TL", &[leading]) => self.leading = leading,
            (b"TD", &[_, y]) => self.leading = -y,
            (b"Tf", &[size]) => self.size = size,
            _ => {}
        }
        match operator {
            b"Tf" => {
                let name = one.operands().next().cloned().and_then(Object::into_name);
                self.font =
                    name.and_then(|name| font(&name)).map(|font| read(&font)).unwrap_or_default();
            }
            b"Td" | b"TD" | b"T*" | b"Tm" => self.letters.push(' '),
            b"Tj" | b"'" | b"\"" => {
                one.operands().filter_map(|it| it.clone().into_string()).for_each(|it| {
                    self.add(it.as_bytes());
                });
            }
            b"TJ" => {
                let list = one.operands().next().cloned().and_then(Object::into_array);
                for piece in list.iter().flat_map(Array::iter::<Object<'_>>) {
                    if let Object::String(text) = piece {
                        self.add(text.as_bytes());
                    }
                }
            }
            b"ET" => {
                let letters = std::mem::take(&mut self.letters);
                self.begun = 0;
                if texts.len() < MOST && !letters.trim().is_empty() {
                    texts.push(letters);
                }
            }
            _ => {}
        }
    }

    /// Adds what was set since the line began.
    fn end_line(&mut self, place: &AffineTransform<f64>, lines: &mut Vec<Line>) {
        let letters = self.letters[self.begun..].trim();
        let whole = self.line.compose(place);
        let start = whole.apply(Coord { x: 0.0, y: 0.0 });
        let [right, up] =
            [(1.0, 0.0), (0.0, 1.0)].map(|(x, y)| whole.apply(Coord { x, y }) - start);
        let (wide, high) = (right.x.hypot(right.y), up.x.hypot(up.y));
        if !letters.is_empty() && lines.len() < MOST && wide > 0.0 && high > 0.0 {
            let (along, height) = (right / wide, (self.size * high).abs());
            let line = Line { start, along, height, letters: letters.to_owned() };
            let rest = match lines.last_mut() {
                Some(last) => last.add(line),
                None => Err(line),
            };
            lines.extend(rest.err());
        }
        self.begun = self.letters.len();
    }

    fn add(&mut self, bytes: &[u8]) {
        if self.letters.len() > MOST_LETTERS {
            return;
        }
        let Font { is_wide, rows } = &self.font;
        for code in bytes.chunks(if *is_wide { 2 } else { 1 }) {
            let code = code.iter().fold(0, |code, byte| code << 8 | u16::from(*byte));
            let row = rows.iter().find(|row| (row.0..=row.1).contains(&code));
            let plain = || char::from_u32(u32::from(code)).filter(|_| !is_wide);
            let known =
                |row: &(u16, u16, char)| char::from_u32(u32::from(row.2) + u32::from(code - row.0));
            self.letters.extend(row.map_or_else(plain, known));
        }
    }
}

/// What the codes of a font stand for, as its own table says; without one, letters of one byte.
fn read(font: &Dict<'_>) -> Font {
    let is_wide = font.get::<Name<'_>>("Subtype").is_some_and(|kind| *kind == *b"Type0");
    let table =
        font.get::<Stream<'_>>("ToUnicode").and_then(|table| Some(unpacked(&table)?.into_owned()));
    let table = String::from_utf8_lossy(&table.unwrap_or_default()).into_owned();
    let mut rows = Vec::new();
    for (word, end, each) in [("beginbfchar", "endbfchar", 2), ("beginbfrange", "endbfrange", 3)] {
        for block in table.split(word).skip(1) {
            let block = block.split(end).next().unwrap_or_default();
            let codes: Vec<u16> = block
                .split('<')
                .skip(1)
                .map(|code| {
                    let digits: String = code.chars().take_while(char::is_ascii_hexdigit).collect();
                    u16::from_str_radix(&digits, 16).unwrap_or_default()
                })
                .take(MOST)
                .collect();
            rows.extend(codes.chunks_exact(each).filter_map(|row| {
                let letter = char::from_u32(u32::from(row[each - 1]))?;
                Some((row[0], row[each - 2], letter))
            }));
        }
    }
    rows.truncate(MOST);
    Font { is_wide, rows }
}

/// A text string outside of content: in UTF-16 or UTF-8 if it says so, else by its bytes.
pub(super) fn words(bytes: &[u8]) -> String {
    let letters = if let Some(rest) = bytes.strip_prefix(b"\xfe\xff") {
        let units: Vec<u16> =
            rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
        String::from_utf16_lossy(&units)
    } else if let Ok(text) =
        std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes))
    {
        text.to_owned()
    } else {
        bytes.iter().map(|byte| char::from(*byte)).collect()
    };
    letters.chars().filter(|letter| !letter.is_control()).take(255).collect()
}
