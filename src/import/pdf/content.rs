//! What a page draws: its paths as strokes on layers, its texts, how many pictures it has.

use std::collections::{BTreeMap, BTreeSet};

use geo::{AffineTransform, Coord, Line};
use hayro_syntax::content::{Instruction, UntypedIter};
use hayro_syntax::object::{Array, Dict, Name, Object, ObjectIdentifier};
use hayro_syntax::page::Resources;

use super::guard::{Trouble, unpacked};
use super::path::{Piece, drawn};
use super::text::{Line as TextLine, Text, words};
use crate::dxf::{Body, Stroke, Strokes, Written};

/// Most operators and letters of all pages with their forms (our own choice, for hostile files).
const MOST_STEPS: usize = 4_000_000;
/// To unpack so many bytes takes as long as an operator, roughly.
const UNPACKED: usize = 64;
/// Most lines and arcs of a page (our own choice: ten times those of a large house).
const MOST_STROKES: usize = 400_000;
/// Deepest nesting of forms, and of saved states (our own choice).
const MOST_DEPTH: usize = 28;
const MOST_SAVED: usize = 10_000;
/// Millimetres in a point of the page.
const POINT_MM: f64 = 25.4 / 72.0;

/// What is read of a page.
pub(super) struct Content<'p> {
    pub(super) out: Strokes,
    pub(super) texts: Vec<String>,
    /// Lines of text, each with the layer that its content is marked with.
    lines: Vec<TextLine>,
    line_layers: Vec<Option<String>>,
    /// What pictures cover, square points; by the page's area it is a share.
    pub(super) pictures: f64,
    /// Layers that are switched off, in small letters, as far as they occur.
    pub(super) hidden: BTreeSet<String>,
    off: &'p BTreeSet<ObjectIdentifier>,
    layers: BTreeMap<String, usize>,
    /// Operators so far, those of pages before it counted in.
    pub(super) steps: usize,
    /// How many forms are being drawn, one in another.
    depth: usize,
    text: Text,
}

/// What holds of all that is drawn next.
#[derive(Clone)]
struct State {
    place: AffineTransform<f64>,
    width: f64,
    is_dashed: bool,
    stroke: String,
    /// None for a pattern, or white, which hides what is below.
    fill: Option<String>,
}

impl State {
    /// How many times as large an area becomes; a picture is drawn on an area of 1.
    fn grows(&self) -> f64 {
        let place = &self.place;
        (place.a() * place.e() - place.b() * place.d()).abs()
    }
}

/// The layers that content is marked with, the innermost last.
type Marked = Vec<Option<String>>;

impl<'p> Content<'p> {
    pub(super) fn new(off: &'p BTreeSet<ObjectIdentifier>, steps: usize) -> Self {
        Self {
            out: Strokes::default(),
            texts: Vec::new(),
            lines: Vec::new(),
            line_layers: Vec::new(),
            pictures: 0.0,
            hidden: BTreeSet::new(),
            off,
            layers: BTreeMap::new(),
            steps,
            depth: 0,
            text: Text::default(),
        }
    }

    fn step(&mut self, count: usize) -> Result<(), Trouble> {
        self.steps += count;
        if self.steps <= MOST_STEPS {
            return Ok(());
        }
        Err((format!("the PDF has more than {MOST_STEPS} drawing operators"), FEWER))
    }

    /// Draws the content of a page, which comes to lie by `place`.
    pub(super) fn page(
        &mut self,
        data: &[u8],
        resources: &Resources<'p>,
        place: AffineTransform<f64>,
    ) -> Result<(), Trouble> {
        self.step(data.len() / UNPACKED)?;
        let black = colour(&[0.0]).unwrap_or_default();
        let fill = Some(black.clone());
        let state = State { place, width: 1.0, is_dashed: false, stroke: black, fill };
        self.draw(data, resources, state, &mut Vec::new())?;
        self.write();
        Ok(())
    }

    fn draw(
        &mut self,
        data: &[u8],
        resources: &Resources<'p>,
        mut state: State,
        marked: &mut Marked,
    ) -> Result<(), Trouble> {
        let outside = marked.len();
        let mut saved: Vec<State> = Vec::new();
        let mut path = Path::default();
        let mut all = UntypedIter::new(data);
        while let Some(one) = all.next() {
            self.step(1 + letters(&one))?;
            let numbers: Vec<f64> = numbers(&one).collect();
            let operator: &[u8] = one.operator;
            if path.extend(operator, &numbers, &state.place) {
                continue;
            }
            match (operator, numbers.as_slice()) {
                (b"q", _) if saved.len() < MOST_SAVED => saved.push(state.clone()),
                (b"Q", _) => state = saved.pop().unwrap_or(state),
                (b"cm", &[a, b, c, d, e, f]) => {
                    state.place = AffineTransform::new(a, c, e, b, d, f).compose(&state.place);
                }
                (b"w", &[width]) => state.width = width.abs(),
                (b"d", _) => {
                    let dashes = one.operands().next().cloned().and_then(Object::into_array);
                    state.is_dashed = dashes.is_some_and(|dashes| dashes.iter::<f32>().count() > 0);
                }
                (b"G" | b"RG" | b"K" | b"SC" | b"SCN", parts) => {
                    state.stroke = colour(parts).unwrap_or_else(|| "pattern".to_owned());
                }
                (b"g" | b"rg" | b"k" | b"sc" | b"scn", parts) => {
                    state.fill = colour(parts).filter(|colour| colour != WHITE);
                }
                (b"S" | b"s" | b"B" | b"B*" | b"b" | b"b*", _) => {
                    if matches!(operator, b"s" | b"b" | b"b*") {
                        path.close();
                    }
                    self.push(path.take(), &state, marked, true)?;
                }
                (b"f" | b"F" | b"f*", _) => {
                    let pieces = path.take();
                    if state.fill.is_some() {
                        self.push(pieces, &state, marked, false)?;
                    }
                }
                (b"n", _) => drop(path.take()),
                (b"BDC" | b"BMC", _) if marked.len() < MOST_SAVED => {
                    let layer = self.marked_with(&one, resources);
                    marked.push(layer);
                }
                (b"EMC", _) if marked.len() > outside => drop(marked.pop()),
                (b"Do", _) => self.object(&one, resources, &state, marked)?,
                (b"BI" | b"ID" | b"EI", _) => self.pictures += state.grows(),
                _ => {
                    let font = |name: &Name<'_>| resources.get_font(name);
                    let into = (&mut self.texts, &mut self.lines);
                    self.text.take((&one, operator, &numbers), &state.place, into, font);
                    let layer = marked.iter().rev().flatten().next();
                    self.line_layers.resize_with(self.lines.len(), || layer.cloned());
                }
            }
        }
        marked.truncate(outside);
        Ok(())
    }

    /// Adds the lines of a path.
    fn push(
        &mut self,
        path: Vec<Vec<Piece>>,
        state: &State,
        marked: &Marked,
        is_stroke: bool,
    ) -> Result<(), Trouble> {
        let named = marked.iter().rev().flatten().next();
        let name = named.cloned().unwrap_or_else(|| match (is_stroke, &state.fill) {
            (true, _) => {
                let dashed = if state.is_dashed { " dashed" } else { "" };
                let width = state.width * state.grows().sqrt() * POINT_MM;
                format!("{width:.2} mm{}{dashed}", state.stroke)
            }
            (false, fill) => format!("filled{}", fill.as_deref().unwrap_or_default()),
        });
        let layer = self.layer_of(name);
        for mut pieces in path {
            if !is_stroke {
                close(&mut pieces);
            }
            // A whole circle is no wall and no swing.
            let is_circle = |sweep_deg: f64| sweep_deg.abs() > 359.0;
            for drawn in drawn(&pieces) {
                if drawn.round.is_some_and(|round| is_circle(round.sweep_deg)) {
                    continue;
                }
                let stroke = Stroke {
                    drawn,
                    body: Body::Line,
                    layer,
                    block: None,
                    insert: None,
                    is_broken: false,
                };
                self.out.strokes.push(stroke);
            }
            if self.out.strokes.len() > MOST_STROKES {
                let what = format!("the page has more than {MOST_STROKES} lines");
                return Err((what, FEWER));
            }
        }
        Ok(())
    }

    fn layer_of(&mut self, name: String) -> usize {
        *self.layers.entry(name.to_lowercase()).or_insert_with(|| {
            self.out.layers.push(name);
            self.out.layers.len() - 1
        })
    }

    /// Hands the texts over as those of a drawing.
    fn write(&mut self) {
        let lines = std::mem::take(&mut self.lines).into_iter();
        for (line, layer) in lines.zip(std::mem::take(&mut self.line_layers)) {
            let layer = self.layer_of(layer.unwrap_or_else(|| "text".to_owned()));
            let middle = line.start + line.along * (line.length() / 2.0);
            self.out.texts.push(Written {
                at: [middle, line.start],
                height: line.height,
                in_block: false,
                layer,
                lines: vec![line.letters],
            });
        }
    }

    /// The layer with which content is marked, if it is one of optional content.
    fn marked_with(
        &mut self,
        one: &Instruction<'_, '_>,
        resources: &Resources<'p>,
    ) -> Option<String> {
        let mut operands = one.operands().cloned();
        let tag = operands.next()?.into_name()?;
        let name = operands.next().and_then(Object::into_name).filter(|_| *tag == *b"OC")?;
        let id = resources.properties.get_ref(&*name).map(ObjectIdentifier::from);
        self.layer(&resources.properties.get::<Dict<'_>>(&*name)?, id)
    }

    /// The name of a group of optional content, or of the first of a set of such.
    fn layer(&mut self, group: &Dict<'p>, id: Option<ObjectIdentifier>) -> Option<String> {
        let (group, id) = match group.get::<Array<'_>>("OCGs") {
            Some(set) => {
                let id = set.raw_iter().find_map(|one| one.as_obj_ref());
                (set.iter::<Dict<'_>>().next()?, id.map(ObjectIdentifier::from))
            }
            None => match group.get::<Dict<'_>>("OCGs") {
                Some(only) => (only, group.get_ref("OCGs").map(ObjectIdentifier::from)),
                None => (group.clone(), id),
            },
        };
        let name = group.get::<hayro_syntax::object::String<'_>>("Name")?;
        let name = words(name.as_bytes()).trim().to_owned();
        if id.is_some_and(|id| self.off.contains(&id)) {
            self.hidden.insert(name.to_lowercase());
        }
        (!name.is_empty()).then_some(name)
    }

    /// Draws a form, or counts a picture.
    fn object(
        &mut self,
        one: &Instruction<'_, '_>,
        resources: &Resources<'p>,
        state: &State,
        marked: &mut Marked,
    ) -> Result<(), Trouble> {
        let name = one.operands().next().cloned().and_then(Object::into_name);
        let Some(form) = name.and_then(|name| resources.get_x_object(&name)) else { return Ok(()) };
        let dict = form.dict();
        let kind = dict.get::<Name<'_>>("Subtype");
        if kind.is_none_or(|kind| *kind != *b"Form") {
            self.pictures += state.grows();
            return Ok(());
        }
        // The library follows no form into itself; whatever it lets through ends here.
        if self.depth >= MOST_DEPTH {
            let what = format!("forms of the page are nested more than {MOST_DEPTH} deep");
            return Err((what, "print the page into a new PDF"));
        }
        let Some(data) = unpacked(&form) else { return Ok(()) };
        self.step(data.len() / UNPACKED)?;
        let matrix = dict.get::<[f64; 6]>("Matrix");
        let mut state = state.clone();
        if let Some([a, b, c, d, e, f]) = matrix {
            state.place = AffineTransform::new(a, c, e, b, d, f).compose(&state.place);
        }
        let group = dict.get::<Dict<'_>>("OC");
        let group = group
            .and_then(|group| self.layer(&group, dict.get_ref("OC").map(ObjectIdentifier::from)));
        let own = dict.get::<Dict<'_>>("Resources").map(Resources::new);
        marked.push(group);
        self.depth += 1;
        self.draw(&data, own.as_ref().unwrap_or(resources), state, marked)?;
        self.depth -= 1;
        marked.pop();
        Ok(())
    }
}

const FEWER: &str = "choose another page, or print the floor plan alone, without hatches and \
                     furniture, into a new PDF";

/// How many letters an operator writes.
fn letters(one: &Instruction<'_, '_>) -> usize {
    let of = |operand: &Object<'_>| match operand {
        Object::String(text) => text.as_bytes().len(),
        Object::Array(parts) => {
            let texts = parts.iter::<hayro_syntax::object::String<'_>>();
            texts.map(|text| text.as_bytes().len()).sum()
        }
        _ => 0,
    };
    one.operands().map(of).sum()
}

fn numbers(one: &Instruction<'_, '_>) -> impl Iterator<Item = f64> {
    one.operands().filter_map(|operand| match operand {
        Object::Number(number) => Some(number.as_f64()),
        _ => None,
    })
}

/// White, as the name of a layer has it.
const WHITE: &str = " white";

/// A colour as the name of a layer has it: nothing for black. None for what is no colour.
fn colour(parts: &[f64]) -> Option<String> {
    let byte = |part: f64| (part.clamp(0.0, 1.0) * 255.0).round();
    let [red, green, blue] = match *parts {
        [grey] => [grey; 3],
        [red, green, blue] => [red, green, blue],
        [c, m, y, k] => [c, m, y].map(|part| (1.0 - part) * (1.0 - k)),
        _ => return None,
    }
    .map(byte);
    Some(match (red.max(green).max(blue), red.min(green).min(blue)) {
        (most, _) if most < 26.0 => String::new(),
        (_, least) if least > 249.0 => WHITE.to_owned(),
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
        _ => format!(" #{:02x}{:02x}{:02x}", red as u8, green as u8, blue as u8),
    })
}

/// A path that is being drawn, in points of the page.
#[derive(Default)]
struct Path {
    parts: Vec<Vec<Piece>>,
    begin: Coord<f64>,
    /// Where the pen is.
    pen: Coord<f64>,
}

impl Path {
    /// Takes an operator that goes on with the path; says whether it is one.
    fn extend(&mut self, operator: &[u8], numbers: &[f64], place: &AffineTransform<f64>) -> bool {
        let put = |x: f64, y: f64| place.apply(Coord { x, y });
        match (operator, numbers) {
            (b"m", &[x, y]) => self.move_to(put(x, y)),
            (b"l", &[x, y]) => self.line_to(put(x, y)),
            (b"c", &[a, b, c, d, e, f]) => self.curve(put(a, b), put(c, d), put(e, f)),
            (b"v", &[c, d, e, f]) => self.curve(self.pen, put(c, d), put(e, f)),
            (b"y", &[a, b, e, f]) => self.curve(put(a, b), put(e, f), put(e, f)),
            (b"h", _) => self.close(),
            (b"re", &[x, y, wide, high]) => {
                self.move_to(put(x, y));
                self.line_to(put(x + wide, y));
                self.line_to(put(x + wide, y + high));
                self.line_to(put(x, y + high));
                self.close();
            }
            (b"m" | b"l" | b"c" | b"v" | b"y" | b"re", _) => {}
            _ => return false,
        }
        true
    }

    fn move_to(&mut self, to: Coord<f64>) {
        (self.begin, self.pen) = (to, to);
        self.parts.push(Vec::new());
    }

    fn add(&mut self, piece: Piece, to: Coord<f64>) {
        // Scales multiplied with one another may leave all bounds.
        let is_sane = |at: Coord<f64>| at.x.abs() < 1e9 && at.y.abs() < 1e9;
        if let Some(part) = self.parts.last_mut()
            && is_sane(self.pen)
            && is_sane(to)
        {
            part.push(piece);
        }
        self.pen = to;
    }

    fn line_to(&mut self, to: Coord<f64>) {
        self.add(Piece::Straight(Line::new(self.pen, to)), to);
    }

    fn curve(&mut self, a: Coord<f64>, b: Coord<f64>, to: Coord<f64>) {
        self.add(Piece::Curve([self.pen, a, b, to]), to);
    }

    fn close(&mut self) {
        if self.pen != self.begin {
            self.line_to(self.begin);
        }
    }

    fn take(&mut self) -> Vec<Vec<Piece>> {
        std::mem::take(&mut self.parts)
    }
}

/// Closes what is filled.
fn close(pieces: &mut Vec<Piece>) {
    let start = |piece: &Piece| match piece {
        Piece::Straight(line) => (line.start, line.end),
        Piece::Curve([start, _, _, end]) => (*start, *end),
    };
    if let (Some((first, _)), Some((_, last))) =
        (pieces.first().map(start), pieces.last().map(start))
        && first != last
    {
        pieces.push(Piece::Straight(Line::new(last, first)));
    }
}
