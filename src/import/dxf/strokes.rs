//! The lines and arcs of a drawing with all inserts put in their place.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use geo::{AffineTransform, Coord};

use super::curves::{chords, curve, loops, multiline, twice_the_area};
use super::entity::{Block, Corner, Entity, Sort, xy};
use super::groups::Groups;
use super::names;
pub(crate) use super::rounds::{Drawn, Round};
use super::rounds::{bulged, of_corners};
use crate::whole_file;
use plan::{Diagnostic, quoted};

/// Most lines, arcs and inserts with everything in its place (our own choice, for hostile files).
const MAX_STROKES: usize = 400_000;
/// Most numbers of hatches and curves, and most edges of them (our own choice, as above).
const MAX_NUMBERS: usize = 4_000_000;
const MAX_EDGES: usize = 100_000;
/// Deepest nesting of inserts (our own choice: drawings nest three or four deep).
const MAX_DEPTH: usize = 40;
/// Most positions of one row or column of copies (our own choice).
const MAX_COPIES: i16 = 1_000;

/// What a stroke is a part of.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Body {
    Line,
    /// The edge of a filled area, of which every one has its number.
    Fill {
        number: usize,
        /// Whether the area lies to the left.
        left: bool,
    },
    /// A line of this width.
    Wide(f64),
}

pub(crate) struct Stroke {
    pub(crate) drawn: Drawn,
    pub(crate) body: Body,
    /// Index of its layer in [`Strokes::layers`].
    pub(crate) layer: usize,
    /// Index in [`Strokes::blocks`] of the block in which it was drawn.
    pub(crate) block: Option<usize>,
    /// Number of the outermost insert that it came with.
    pub(crate) insert: Option<usize>,
    /// Drawn with dashes or dots.
    pub(crate) is_broken: bool,
}

impl Stroke {
    /// What tells it, and all that came with it, from the rest: its insert, else its own number.
    pub(crate) fn key(&self, number: usize) -> usize {
        self.insert.map_or(number, |insert| MAX_STROKES + insert)
    }
}

/// A text, with its middle and where it begins, in the drawing's unit.
pub(crate) struct Written {
    pub(crate) at: [Coord<f64>; 2],
    pub(crate) height: f64,
    pub(crate) in_block: bool,
    pub(crate) layer: usize,
    pub(crate) lines: Vec<String>,
}

/// A closed outline that may be a column: a circle as corners, or four corners.
pub(crate) struct Spot {
    pub(crate) ring: Vec<Coord<f64>>,
    pub(crate) layer: usize,
    pub(crate) block: Option<usize>,
    /// The strokes that it is drawn with.
    pub(crate) strokes: Range<usize>,
}

#[derive(Default)]
pub(crate) struct Strokes {
    pub(crate) strokes: Vec<Stroke>,
    pub(crate) texts: Vec<Written>,
    pub(crate) spots: Vec<Spot>,
    pub(crate) layers: Vec<String>,
    pub(crate) blocks: Vec<String>,
    pub(crate) circles: usize,
    /// Hatches and curves with too many corners to be read.
    pub(crate) too_large: usize,
    /// Inserts of blocks that the file does not hold.
    pub(crate) lost_inserts: usize,
    /// How far walls of one drawing may be apart, metres, if farther than usual.
    pub(crate) apart_m: f64,
}

pub(super) fn strokes(name: &str, groups: &Groups) -> Result<Strokes, Vec<Diagnostic>> {
    let mut blocks: BTreeMap<String, &Block> = BTreeMap::new();
    for block in &groups.blocks {
        blocks.entry(block.name.to_lowercase()).or_insert(block);
    }
    let (frozen, broken) = (Some(&groups.frozen), Some(&groups.broken));
    let mut expander = Expander { blocks, frozen, broken, ..Expander::default() };
    let top = Frame::default();
    for entity in groups.entities.iter().filter(|entity| !entity.is_hidden) {
        let drawn = expander.entity(entity, &top);
        drawn.map_err(|(what, fix)| vec![whole_file(name, what, fix)])?;
    }
    Ok(expander.out)
}

/// Where an entity stands; as long as it is in no insert, where it was drawn.
#[derive(Clone, Default)]
struct Frame {
    place: AffineTransform<f64>,
    /// Layer of the insert, which entities on layer 0 take over.
    layer: Option<usize>,
    block: Option<usize>,
    insert: Option<usize>,
}

type Trouble = (String, &'static str);

#[derive(Default)]
struct Expander<'d> {
    blocks: BTreeMap<String, &'d Block>,
    frozen: Option<&'d BTreeSet<String>>,
    broken: Option<&'d BTreeSet<String>>,
    /// Whether what is being put in place has dashes or dots.
    is_broken: bool,
    out: Strokes,
    layers: BTreeMap<String, usize>,
    block_numbers: BTreeMap<String, usize>,
    steps: usize,
    /// Numbers of hatches and curves that were gone through, and edges that came of them.
    numbers: usize,
    edges: usize,
    fills: usize,
    inserts: usize,
    /// The blocks that are being put in place, from the outermost on.
    open: Vec<String>,
}

impl<'d> Expander<'d> {
    fn step(&mut self) -> Result<(), Trouble> {
        self.steps += 1;
        if self.steps <= MAX_STROKES {
            return Ok(());
        }
        let what = format!("with its blocks the drawing has more than {MAX_STROKES} lines");
        Err((what, "export only walls, doors and windows of one storey, with blocks exploded"))
    }

    fn layer(&mut self, name: &str, frame: &Frame) -> usize {
        if let (Some(layer), "0" | "") = (frame.layer, name) {
            return layer;
        }
        numbered(name, &mut self.layers, &mut self.out.layers)
    }

    fn entity(&mut self, entity: &'d Entity, frame: &Frame) -> Result<(), Trouble> {
        self.step()?;
        let layer = self.layer(&entity.layer, frame);
        let by_layer =
            || self.broken.is_some_and(|of| of.contains(&self.out.layers[layer].to_lowercase()));
        self.is_broken = entity.is_broken.unwrap_or_else(by_layer);
        let from_below = entity.normal_z < 0.0;
        let seen = |at: Coord<f64>| if from_below { xy(-at.x, at.y) } else { at };
        let way = if from_below { -1.0 } else { 1.0 };
        match entity.sort {
            Sort::Line => {
                let drawn = Drawn::line(entity.at, entity.to);
                self.push(drawn, Body::Line, layer, frame);
            }
            Sort::Arc => {
                let (from, to) = entity.angles_deg;
                let at = |angle: f64| {
                    let (sin, cos) = angle.to_radians().sin_cos();
                    let (x, y) = (entity.radius * cos, entity.radius * sin);
                    seen(xy(entity.at.x + x, entity.at.y + y))
                };
                let sweep_deg = way * (to - from).rem_euclid(360.0);
                let round = Round { middle: seen(entity.at), sweep_deg };
                let drawn = Drawn::arc(at(from), at(to), round);
                self.push(drawn, Body::Line, layer, frame);
            }
            // Meshes in space are no walls.
            Sort::Polyline if entity.flags & 0b0101_0000 != 0 => {}
            Sort::Light | Sort::Polyline => {
                let corner = |corner: &Corner| Corner {
                    at: seen(corner.at),
                    bulge: way * corner.bulge,
                    width: if entity.sort == Sort::Light && entity.radius > 0.0 {
                        (entity.radius, entity.radius)
                    } else {
                        corner.width
                    },
                };
                let mut corners: Vec<Corner> = entity.corners.iter().map(corner).collect();
                if entity.flags & 1 != 0 && corners.len() > 2 {
                    corners.push(corners[0]);
                }
                let before = self.out.strokes.len();
                for drawn in of_corners(&corners) {
                    self.step()?;
                    self.push(drawn, Body::Line, layer, frame);
                }
                let is_done = self.out.strokes.len() > before;
                for pair in corners.windows(2).filter(|_| !is_done) {
                    self.step()?;
                    // What grows wider is an arrow.
                    let (from, to) = pair[0].width;
                    let is_wide = from > 0.0 && (from - to).abs() < 0.05 * from;
                    let body = if is_wide { Body::Wide(from) } else { Body::Line };
                    self.push(bulged(pair[0], pair[1].at), body, layer, frame);
                }
                self.spot_of(before, layer, frame);
            }
            Sort::Ellipse
            | Sort::Spline
            | Sort::Multiline
            | Sort::Hatch
            | Sort::Solid
            | Sort::Face => self.shape(entity, layer, frame),
            Sort::Insert => self.insert(entity, layer, frame)?,
            Sort::Circle => {
                self.out.circles += 1;
                let at = |number: u32| {
                    let (sin, cos) = (f64::from(number) * std::f64::consts::TAU / 16.0).sin_cos();
                    let (x, y) = (entity.radius * cos, entity.radius * sin);
                    frame.place.apply(seen(xy(entity.at.x + x, entity.at.y + y)))
                };
                let before = self.out.strokes.len();
                self.spot((0..16).map(at).collect(), before, layer, frame);
            }
            // Invisible by its first flag.
            Sort::Attribute if entity.flags & 1 != 0 => {}
            Sort::Text | Sort::Paragraph | Sort::Attribute => self.text(entity, layer, frame),
            Sort::Vertex | Sort::End | Sort::Block | Sort::Layer => {}
        }
        Ok(())
    }

    /// Keeps the strokes since a number as a spot, if they are four straight lines in a ring.
    fn spot_of(&mut self, before: usize, layer: usize, frame: &Frame) {
        let own = self.out.strokes.get(before..).unwrap_or_default();
        let straight = own.iter().all(|stroke| stroke.drawn.round.is_none());
        let starts = own.iter().map(|stroke| stroke.drawn.start);
        if own.len() == 4 && straight && own[3].drawn.end == own[0].drawn.start {
            self.spot(starts.collect(), before, layer, frame);
        }
    }

    fn spot(&mut self, ring: Vec<Coord<f64>>, before: usize, layer: usize, frame: &Frame) {
        let is_near = ring.iter().all(|at| at.x.abs() < 1e12 && at.y.abs() < 1e12);
        if is_near {
            let strokes = before..self.out.strokes.len();
            self.out.spots.push(Spot { ring, layer, block: frame.block, strokes });
        }
    }

    fn text(&mut self, entity: &Entity, layer: usize, frame: &Frame) {
        let lines = names::lines(entity);
        let from_below = entity.normal_z < 0.0 && entity.sort != Sort::Paragraph;
        let put = |at: Coord<f64>| frame.place.apply(if from_below { xy(-at.x, at.y) } else { at });
        let at = names::places(entity, &lines).map(put);
        let place = &frame.place;
        let scale = (place.a() * place.e() - place.b() * place.d()).abs().sqrt();
        let height = entity.radius.abs() * scale;
        let is_near = at.iter().all(|at| at.x.abs() < 1e12 && at.y.abs() < 1e12);
        if is_near && !lines.is_empty() {
            let in_block = frame.block.is_some() && entity.sort != Sort::Attribute;
            self.out.texts.push(Written { at, height, in_block, layer, lines });
        }
    }

    /// Curves as chords, and filled areas as their edges; what is too large is counted.
    fn shape(&mut self, entity: &'d Entity, layer: usize, frame: &Frame) {
        self.numbers += entity.more.len();
        let edges = self.out.strokes.len();
        if entity.is_too_large || self.numbers > MAX_NUMBERS || self.edges > MAX_EDGES {
            self.out.too_large += 1;
            return;
        }
        match entity.sort {
            Sort::Ellipse | Sort::Spline => {
                for drawn in chords(&curve(entity)) {
                    self.push(drawn, Body::Line, layer, frame);
                }
            }
            Sort::Multiline => {
                for drawn in multiline(entity) {
                    self.push(drawn, Body::Line, layer, frame);
                }
            }
            _ => {
                self.fills += 1;
                // Faces are in space; the rest is seen from its own side.
                let from_below = entity.normal_z < 0.0 && entity.sort != Sort::Face;
                let mirror = if from_below {
                    AffineTransform::scale(-1.0, 1.0, (0.0, 0.0))
                } else {
                    AffineTransform::identity()
                };
                let seen = Frame { place: mirror.compose(&frame.place), ..frame.clone() };
                for own in loops(entity) {
                    let long =
                        |edge: &&Drawn| (edge.end - edge.start).x.hypot((edge.end - edge.start).y);
                    let longest = own.edges.iter().max_by(|a, b| long(a).total_cmp(&long(b)));
                    // An upright face is a line, seen from above.
                    let upright = longest.filter(|edge| {
                        twice_the_area(&own.edges).abs() < 1e-6 * long(edge) * long(edge)
                    });
                    if let Some(drawn) = upright {
                        self.push(*drawn, Body::Line, layer, &seen);
                        continue;
                    }
                    let body = Body::Fill { number: self.fills, left: own.left };
                    let before = self.out.strokes.len();
                    for drawn in own.edges {
                        self.push(drawn, body, layer, &seen);
                    }
                    self.spot_of(before, layer, frame);
                }
            }
        }
        self.edges += self.out.strokes.len() - edges;
    }

    fn push(&mut self, drawn: Drawn, body: Body, layer: usize, frame: &Frame) {
        let place = &frame.place;
        let put = |at: Coord<f64>| place.apply(at);
        let scale = place.a() * place.e() - place.b() * place.d();
        let is_mirrored = scale < 0.0;
        let body = match body {
            Body::Fill { number, left } => Body::Fill { number, left: left != is_mirrored },
            Body::Wide(width) => Body::Wide(width * scale.abs().sqrt()),
            body => body,
        };
        let round = drawn.round.map(|Round { middle, sweep_deg }| Round {
            middle: put(middle),
            sweep_deg: if is_mirrored { -sweep_deg } else { sweep_deg },
        });
        let drawn = Drawn { start: put(drawn.start), end: put(drawn.end), round, ..drawn };
        let all = [drawn.start, drawn.end, round.map_or(drawn.start, |round| round.middle)];
        // Scales multiplied with one another may leave all bounds.
        if all.iter().all(|at| at.x.abs() < 1e12 && at.y.abs() < 1e12) {
            let (block, insert) = (frame.block, frame.insert);
            let is_broken = self.is_broken;
            self.out.strokes.push(Stroke { drawn, body, layer, block, insert, is_broken });
        }
    }

    fn insert(&mut self, insert: &Entity, layer: usize, frame: &Frame) -> Result<(), Trouble> {
        // All of a block goes with the layer of its insert when that is frozen.
        let own_layer = self.out.layers[layer].to_lowercase();
        if self.frozen.is_some_and(|frozen| frozen.contains(&own_layer)) {
            return Ok(());
        }
        let name = insert.name.to_lowercase();
        let Some(&block) = self.blocks.get(&name) else {
            self.out.lost_inserts += 1;
            return Ok(());
        };
        if let Some(from) = self.open.iter().position(|known| *known == name) {
            let as_written =
                |name: &String| quoted(self.blocks.get(name).map_or(name, |block| &block.name));
            let open = self.open.iter().skip(from).take(6);
            let mut circle: Vec<String> = open.map(as_written).collect();
            circle.push(quoted(&block.name));
            let circle = circle.join(" in ");
            let what = format!("blocks contain each other in a circle: {circle}");
            let fix = "explode the blocks before the export";
            return Err((what, fix));
        }
        if self.open.len() >= MAX_DEPTH {
            let what = format!("blocks are nested more than {MAX_DEPTH} deep");
            return Err((what, "explode the blocks before the export"));
        }
        if insert.flags > MAX_COPIES || insert.rows > MAX_COPIES {
            let copies = format!("in rows or columns of more than {MAX_COPIES} copies");
            let what = format!("block {} is inserted {copies}", quoted(&block.name));
            let fix = "explode the block, or leave its layer out of the export";
            return Err((what, fix));
        }
        let number = numbered(&insert.name, &mut self.block_numbers, &mut self.out.blocks);
        let outermost = frame.insert.unwrap_or_else(|| {
            self.inserts += 1;
            self.inserts
        });
        let (columns, rows) = (insert.flags.max(1), insert.rows.max(1));
        self.open.push(name);
        for row in 0..rows {
            for column in 0..columns {
                self.step()?;
                let (x, y) = (f64::from(column), f64::from(row));
                let at = xy(x * insert.spacing.x, y * insert.spacing.y);
                let inner = Frame {
                    place: placed(insert, block, at).compose(&frame.place),
                    layer: Some(layer),
                    block: Some(number),
                    insert: Some(outermost),
                };
                for entity in block.entities.iter().filter(|entity| !entity.is_hidden) {
                    self.entity(entity, &inner)?;
                }
            }
        }
        self.open.pop();
        Ok(())
    }
}

/// The number of a name, whatever its case, among those so far.
fn numbered(name: &str, known: &mut BTreeMap<String, usize>, names: &mut Vec<String>) -> usize {
    *known.entry(name.to_lowercase()).or_insert_with(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Where a block comes to lie: its base on the insert's point, scaled, turned, and for the copies
/// of a row or column shifted along the turned axes.
fn placed(insert: &Entity, block: &Block, copy: Coord<f64>) -> AffineTransform<f64> {
    let scale = |factor: f64| if factor == 0.0 { 1.0 } else { factor };
    let (sx, sy) = (scale(insert.scale.x), scale(insert.scale.y));
    let (sin, cos) = insert.angles_deg.0.to_radians().sin_cos();
    let base = block.base;
    let (a, b, d, e) = (sx * cos, -sy * sin, sx * sin, sy * cos);
    let x = insert.at.x + copy.x * cos - copy.y * sin - (a * base.x + b * base.y);
    let y = insert.at.y + copy.x * sin + copy.y * cos - (d * base.x + e * base.y);
    if insert.normal_z < 0.0 {
        // Seen from below: x runs the other way.
        AffineTransform::new(-a, -b, -x, d, e, y)
    } else {
        AffineTransform::new(a, b, x, d, e, y)
    }
}

/// What was drawn as straight pieces that are nowhere farther from it than the sagitta, in the same
/// unit, and as long as those of an arc round the same middle with a radius `like`, so that the
/// faces of a round wall run beside one another.
pub(super) fn flattened(drawn: Drawn, sagitta: f64, like: f64) -> Vec<(Coord<f64>, Coord<f64>)> {
    /// Most pieces of one arc.
    const MOST: f64 = 180.0;
    let Drawn { start, end, round, .. } = drawn;
    let Some(Round { middle, sweep_deg }) = round else { return vec![(start, end)] };
    let from = start - middle;
    let radius = from.x.hypot(from.y);
    if radius <= 0.0 || !radius.is_finite() {
        return vec![(start, end)];
    }
    let sweep = sweep_deg.to_radians();
    let turned = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        middle + xy(from.x * cos - from.y * sin, from.x * sin + from.y * cos)
    };
    let widest = 2.0 * (1.0 - (sagitta / radius.max(like)).min(1.0)).acos();
    // A half, a quarter, an eighth… of a turn.
    let halvings = (std::f64::consts::PI / widest.max(1e-4)).log2().ceil().max(0.0);
    let step = std::f64::consts::PI / halvings.exp2();
    let count = (sweep.abs() / step - 1e-9).ceil().clamp(1.0, MOST);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 180")]
    let count = count as usize;
    let share = |number: usize| {
        if number == count { end } else { turned(sweep * number as f64 / count as f64) }
    };
    let ends: Vec<Coord<f64>> = std::iter::once(start).chain((1..=count).map(share)).collect();
    ends.windows(2).map(|pair| (pair[0], pair[1])).collect()
}
