//! The walls, openings and devices of a plan's text in the plan's own unit, each position with its
//! place.
//!
//! Unlike the reader's plan this one also holds what the reader refuses: walls without length,
//! openings on no wall. What is not understood is left out here and stays in the text as it is.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Distance, Euclidean, Line, Point as Place};

use super::super::feature::{Named, named};
use super::super::fields::Fields;
use super::super::frame::Frame;
use super::super::limits::{MAX_FEATURES, MAX_HEIGHT_M, MAX_POSITIONS, MIN_SEGMENT_M};
use super::super::measure::{apart, rounded};
use super::super::members::{FEATURE, POINT, is_device};
use super::super::spelling::{Spelt, all_spelt, spelt};
use super::super::unit::Unit;
use super::super::{Construction, DEFAULT_DEVICE_HEIGHT_M, Vocabulary};
use input::json::Value;
use input::{Diagnostics, shown};

/// Off by no more than this, in thousandths of the unit, a point lies on a line: what rounding to
/// thousandths makes of one that was put there, twice over.
const ON_THOUSANDTHS: f64 = 1.5;

/// Where a position stands in the text, and what that says.
type Tie = (usize, Coord<f64>);

/// Most positions for which another stands.
const MOST_TIES: usize = 100;

#[derive(Debug, Clone, Copy)]
pub(super) struct Point<'t> {
    pub(super) place: Coord<f64>,
    /// Where it was drawn or put in.
    said: Coord<f64>,
    /// Nothing for one that was put in.
    pub(super) spelt: Option<Spelt<'t>>,
}

impl<'t> Point<'t> {
    fn drawn(spelt: Spelt<'t>) -> Self {
        Self { place: spelt.said, said: spelt.said, spelt: Some(spelt) }
    }

    pub(super) fn new(place: Coord<f64>) -> Self {
        Self { place, said: place, spelt: None }
    }
}

/// What two walls must have in common to be one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Class {
    pub(super) construction: String,
    /// Lower and upper edge in metres, as bits.
    pub(super) span: (u64, u64),
    /// Thickness in millimetres, as bits.
    pub(super) thickness: Option<u64>,
    /// All other properties and members, as the text spells them.
    pub(super) rest: BTreeMap<String, String>,
}

impl Class {
    /// Lower and upper edge, metres.
    pub(super) fn span_m(&self) -> (f64, f64) {
        (f64::from_bits(self.span.0), f64::from_bits(self.span.1))
    }

    /// Whether the two stand side by side at some height, and not one above the other.
    pub(super) fn beside(&self, other: &Self) -> bool {
        let ((low, high), (other_low, other_high)) = (self.span_m(), other.span_m());
        low < other_high - 0.001 && other_low < high - 0.001
    }

    /// Whether a wall of this class says nothing that one of the other class does not say.
    pub(super) fn within(&self, other: &Self) -> bool {
        self.construction == other.construction
            && self.span == other.span
            && (self.thickness.is_none() || self.thickness == other.thickness)
            && (self.rest.is_empty() || self.rest == other.rest)
    }
}

pub(super) struct Drawn<'t> {
    pub(super) feature: usize,
    /// Level; nothing for an opening that names none in a plan of several.
    pub(super) level: Option<i32>,
    pub(super) points: Vec<Point<'t>>,
    pub(super) before: Vec<Spelt<'t>>,
    pub(super) list: Value<'t>,
    /// Every `bbox` of the feature and of its geometry.
    pub(super) boxes: Vec<Value<'t>>,
    pub(super) class: Class,
    /// How thick, in the plan's unit, as far as the plan says it.
    pub(super) thickness: Option<f64>,
    pub(super) gone: bool,
}

impl Drawn<'_> {
    pub(super) fn pieces(&self) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> {
        let places = self.points.iter().map(|point| point.place);
        places.clone().zip(places.skip(1))
    }

    pub(super) fn is_ring(&self) -> bool {
        let ends = self.points.first().zip(self.points.last());
        self.points.len() > 3 && ends.is_some_and(|(first, last)| first.place == last.place)
    }

    /// Whether a position is the first or the last one of a line that is no ring.
    pub(super) fn is_end(&self, index: usize) -> bool {
        !self.is_ring() && (index == 0 || index + 1 == self.points.len())
    }

    /// Where a position stands in the text; for one that was put in, where the list stands.
    pub(super) fn at(&self, index: usize) -> usize {
        let spelt = self.points.get(index).and_then(|point| point.spelt);
        spelt.map_or(self.list.at, |spelt| spelt.whole.at)
    }
}

pub(super) struct Hung {
    pub(super) feature: usize,
    pub(super) level: i32,
    pub(super) place: Coord<f64>,
    /// Above its floor, in the plan's unit.
    pub(super) height: f64,
}

/// All of a plan that can be tidied.
pub(super) struct Drawing<'t> {
    pub(super) unit: Unit,
    /// How far a thing may be moved, in the unit.
    pub(super) snap: f64,
    /// Off by no more than this, a point lies on a line; in the unit.
    pub(super) on: f64,
    pub(super) shortest: f64,
    pub(super) features: Vec<Named<'t>>,
    pub(super) walls: Vec<Drawn<'t>>,
    pub(super) openings: Vec<Drawn<'t>>,
    pub(super) devices: Vec<Hung>,
    /// Positions that must stay, by where they stand in the text.
    pub(super) pinned: BTreeSet<usize>,
    /// Positions of walls that were taken out, by where the one stands that stands for them now.
    pub(super) tied: BTreeMap<usize, Vec<Tie>>,
    /// Positions that were not moved a second time, since that would have taken them too far.
    pub(super) strained: RefCell<BTreeSet<usize>>,
    /// Whether more walls cross than points can be put in: it need not be found in every round.
    pub(super) too_many_cross: bool,
}

impl<'t> Drawing<'t> {
    /// The drawing in a well-formed text; nothing where it is too large or its unit is not known.
    pub(super) fn of(text: &'t str, vocabulary: &Vocabulary, snap_m: f64) -> Option<Self> {
        let mut frame = Frame::new(vocabulary, Diagnostics::new(""));
        let top = Fields::quietly(Value::whole(text));
        frame.read_units(&top);
        frame.read_levels(&top);
        frame.read_constructions(&top);
        let items = top.value("features")?.items();
        if !frame.lengths_make_sense || items.len() > MAX_FEATURES {
            return None;
        }
        let unit = frame.unit;
        let mut drawing = Self {
            unit,
            snap: snap_m / unit.metres,
            on: ON_THOUSANDTHS / 1_000.0,
            // A hair more than the reader's, so that rounding does not make its limit ours.
            shortest: MIN_SEGMENT_M * 1.01 / unit.metres,
            features: Vec::with_capacity(items.len()),
            walls: Vec::new(),
            openings: Vec::new(),
            devices: Vec::new(),
            pinned: BTreeSet::new(),
            tied: BTreeMap::new(),
            strained: RefCell::default(),
            too_many_cross: false,
        };
        for feature in named(&items) {
            drawing.add(feature, &mut frame);
        }
        let lines = drawing.walls.iter().chain(&drawing.openings);
        let positions: usize = lines.map(|line| line.points.len()).sum();
        (positions <= MAX_POSITIONS).then_some(drawing)
    }

    fn add(&mut self, feature: Named<'t>, frame: &mut Frame<'_>) {
        let (number, fields) = (self.features.len(), &feature.fields);
        match feature.kind.as_str() {
            "wall" => self.walls.extend(drawn(number, fields, frame, true)),
            "opening" => self.openings.extend(drawn(number, fields, frame, false)),
            kind if is_device(kind) => self.devices.extend(hung(number, fields, frame)),
            _ => {}
        }
        self.features.push(feature);
    }

    pub(super) fn id(&self, line: &Drawn<'_>) -> &str {
        &self.features[line.feature].id
    }

    /// Where the positions of the walls stand that openings of these ids lie on or near.
    pub(super) fn under(&self, openings: &BTreeSet<&str>) -> BTreeSet<usize> {
        let lost = self.openings.iter().filter(|opening| openings.contains(self.id(opening)));
        let lost: Vec<&Drawn<'_>> = lost.collect();
        let bears = |wall: &&Drawn<'_>| {
            lost.iter().any(|opening| {
                let near = |(start, end)| {
                    let piece = Line::new(start, end);
                    let ends = opening.points.iter().map(|point| Place(point.place));
                    { ends }.any(|end| Euclidean.distance(&end, &piece) <= self.snap)
                };
                opening.level.is_none_or(|level| wall.level == Some(level))
                    && wall.pieces().any(near)
            })
        };
        let walls = self.walls.iter().filter(bears);
        walls.flat_map(|wall| (0..wall.points.len()).map(|index| wall.at(index))).collect()
    }

    pub(super) fn wall_name(&self, wall: usize) -> String {
        shown(self.id(&self.walls[wall]))
    }

    pub(super) fn length(&self, length: f64) -> String {
        if length.abs() < 0.0005 {
            return format!("less than 0.001 {}", self.unit.symbol);
        }
        self.unit.show(length * self.unit.metres)
    }

    pub(super) fn position(place: Coord<f64>) -> String {
        let place = rounded(place);
        format!("({}, {})", place.x, place.y)
    }

    /// Whether a position may be moved there: by no more than the tolerance, but for rounding.
    pub(super) fn may_move(&self, point: &Point<'_>, to: Coord<f64>) -> bool {
        let near = |from| apart(from, to) <= self.snap + 0.000_75;
        let Some(spelt) = point.spelt else {
            return near(point.said);
        };
        let at = spelt.whole.at;
        let tied = self.tied.get(&at).into_iter().flatten().copied();
        let all: Vec<Tie> = std::iter::once((at, spelt.said)).chain(tied).collect();
        if all.iter().any(|(at, _)| self.pinned.contains(at)) {
            return false;
        }
        let far = all.iter().filter(|(_, said)| !near(*said));
        let far: Vec<usize> = far.map(|(at, _)| *at).collect();
        let may = far.is_empty();
        if near(point.place) {
            self.strained.borrow_mut().extend(far);
        }
        may
    }

    /// Lets the positions of walls stand for those of a wall in the same places that is taken out.
    pub(super) fn tie(&mut self, gone: usize, walls: &[usize]) {
        let key = |place: Coord<f64>| (place.x.to_bits(), place.y.to_bits());
        let mut here: BTreeMap<(u64, u64), Vec<Tie>> = BTreeMap::new();
        for point in &self.walls[gone].points {
            if let Some(spelt) = point.spelt {
                let at = spelt.whole.at;
                let ties = here.entry(key(point.place)).or_default();
                ties.push((at, spelt.said));
                ties.extend(self.tied.get(&at).into_iter().flatten());
            }
        }
        let walls: BTreeSet<usize> = walls.iter().copied().collect();
        for wall in walls {
            for stay in &self.walls[wall].points {
                if let (Some(new), Some(spelt)) = (here.get(&key(stay.place)), stay.spelt) {
                    let ties = self.tied.entry(spelt.whole.at).or_default();
                    // A bound for hostile plans, in which one wall lies on many.
                    let room = MOST_TIES.saturating_sub(ties.len());
                    ties.extend(new.iter().take(room));
                }
            }
        }
    }
}

fn drawn<'t>(
    feature: usize,
    fields: &Fields<'t>,
    frame: &mut Frame<'_>,
    is_wall: bool,
) -> Option<Drawn<'t>> {
    let geometry = Fields::quietly(fields.value("geometry")?);
    let properties = Fields::quietly(fields.value("properties")?);
    if geometry.value("type")?.text()? != "LineString" {
        return None;
    }
    let list = geometry.value("coordinates")?;
    let before = all_spelt(list)?;
    let named = properties.value("level").is_some();
    let level = match frame.levels.as_slice() {
        [only] if !named => Some(only.clone()),
        _ if named => Some(frame.named_level(&properties, "level")?),
        _ if is_wall => return None,
        _ => None,
    };
    let mut height = |name| properties.height_m(name, frame.unit.metres, &mut frame.faults);
    let (base, top) = (height("base"), height("top"));
    let span = level.as_ref().map(|level| (level.floor_m, level.ceiling_m));
    let (floor, ceiling) = span.unwrap_or((-MAX_HEIGHT_M, MAX_HEIGHT_M));
    let construction = properties.text("construction", &mut frame.faults)?;
    let thickness_mm = properties.number("thickness_mm", &mut frame.faults);
    let known = ["kind", "level", "construction", "thickness_mm", "base", "top"];
    let mut rest = BTreeMap::new();
    for (holder, members, known) in [
        ("feature", fields, &FEATURE.names()[..]),
        ("geometry", &geometry, &POINT.names()[..]),
        ("property", &properties, &known[..]),
    ] {
        for member in members.members() {
            if !known.contains(&member.key.as_ref()) {
                let name = format!("{holder} {}", member.key);
                rest.insert(name, member.value.raw.to_owned());
            }
        }
    }
    let own = frame.constructions.get(&construction);
    let built_mm = own.and_then(Construction::thickness_mm);
    Some(Drawn {
        feature,
        level: level.map(|level| level.number),
        points: before.iter().copied().map(Point::drawn).collect(),
        before,
        list,
        boxes: [fields, &geometry].iter().filter_map(|holder| holder.value("bbox")).collect(),
        class: Class {
            construction,
            span: (base.unwrap_or(floor).to_bits(), top.unwrap_or(ceiling).to_bits()),
            thickness: thickness_mm.map(f64::to_bits),
            rest,
        },
        thickness: thickness_mm
            .or(built_mm)
            .filter(|mm| *mm > 0.0)
            .map(|mm: f64| mm.min(1_000.0) / 1_000.0 / frame.unit.metres),
        gone: false,
    })
}

fn hung(feature: usize, fields: &Fields<'_>, frame: &mut Frame<'_>) -> Option<Hung> {
    let geometry = Fields::quietly(fields.value("geometry")?);
    let properties = Fields::quietly(fields.value("properties")?);
    let place = spelt(geometry.value("coordinates")?)?.said;
    let level = frame.required_level(&properties)?.number;
    let default = DEFAULT_DEVICE_HEIGHT_M / frame.unit.metres;
    let height = properties.number("height", &mut frame.faults);
    Some(Hung { feature, level, place, height: height.unwrap_or(default) })
}
