//! What was drawn, as faces, marks and signs, in metres.

use std::collections::{BTreeMap, BTreeSet};

use geo::{BoundingRect, Coord, Line, MultiPoint, Rect};

use super::faces::{Face, Kind, WallGroup};
use super::layers::{Adds, Role, Roles, Use};
use super::marks::{Mark, Marks, Swing};
use super::openings::{LEAF_M, SWING_DEG, Sign};
use super::strokes::{Body, Drawn, Round, Stroke, Strokes, flattened};
use super::{fills, panes, shapes};
use crate::line::length;

/// Thickness of most walls, metres (our own choice).
pub(super) const USUAL_M: std::ops::RangeInclusive<f64> = 0.05..=0.45;
/// How far a flattened arc may be off, metres.
const SAGITTA_M: f64 = 0.005;

/// How long lines are together, and the longest, in the drawing's unit, arcs as their chords.
pub(super) fn long<'s>(strokes: impl Iterator<Item = &'s Stroke>) -> (f64, f64) {
    let long = strokes.map(|stroke| length(Line::new(stroke.drawn.start, stroke.drawn.end)));
    long.fold((0.0, 0.0), |(sum, most), one| (sum + one, one.max(most)))
}

pub(super) fn corners<'s>(strokes: impl Iterator<Item = &'s Stroke>) -> Option<Rect<f64>> {
    let pieces = strokes.flat_map(|stroke| flattened(stroke.drawn, 0.0, 0.0));
    MultiPoint::from_iter(pieces.flat_map(|(start, end)| [start, end])).bounding_rect()
}

/// Whether a layer or block says that it holds doors or windows.
fn is_named(meant: Use) -> bool {
    matches!(meant, Use::Door | Use::Window | Use::DoorOrWindow)
}

/// The lines of a drawing, with what its layers and blocks stand for, in metres from its corner.
pub(super) struct Drawing<'d> {
    pub(super) strokes: &'d Strokes,
    pub(super) roles: &'d Roles,
    pub(super) metres: f64,
    pub(super) low: Coord<f64>,
    /// The least and largest radius of arcs round each middle, in the drawing's unit.
    radii: BTreeMap<(i64, i64), (f64, f64)>,
    /// Strokes on layers of walls with which columns are drawn.
    pub(super) in_columns: BTreeSet<usize>,
}

/// The middle of an arc, to a centimetre.
fn middle_key(middle: Coord<f64>, metres: f64) -> (i64, i64) {
    #[expect(clippy::cast_possible_truncation, reason = "a key: what is cut off does no harm")]
    let whole = |at: f64| (at * metres * 100.0).round() as i64;
    (whole(middle.x), whole(middle.y))
}

impl<'d> Drawing<'d> {
    pub(super) fn new(
        strokes: &'d Strokes,
        roles: &'d Roles,
        metres: f64,
        low: Coord<f64>,
    ) -> Self {
        let mut radii: BTreeMap<(i64, i64), (f64, f64)> = BTreeMap::new();
        for Drawn { start, round, .. } in strokes.strokes.iter().map(|stroke| stroke.drawn) {
            if let Some(Round { middle, .. }) = round {
                let radius = length(Line::new(middle, start));
                let known = radii.entry(middle_key(middle, metres)).or_insert((radius, radius));
                *known = (known.0.min(radius), known.1.max(radius));
            }
        }
        Self { strokes, roles, metres, low, radii, in_columns: BTreeSet::new() }
    }

    pub(super) fn local(&self, at: Coord<f64>) -> Coord<f64> {
        (at - self.low) * self.metres
    }

    /// What was drawn as straight lines in metres.
    pub(super) fn lines(&self, drawn: Drawn) -> Vec<Line<f64>> {
        let same = |round: Round| self.radii.get(&middle_key(round.middle, self.metres));
        let like = drawn.round.and_then(same).map_or(0.0, |(_, largest)| *largest);
        flattened(drawn, SAGITTA_M / self.metres, like)
            .into_iter()
            .map(|(start, end)| Line::new(self.local(start), self.local(end)))
            .filter(|line| length(*line) > 1e-4)
            .collect()
    }

    /// The faces of walls; a group is one layer, or all layers mapped to one construction.
    /// The swings of leaves are none, nor are leaves, nor filled areas wider than walls: of these
    /// it gives how many.
    pub(super) fn faces(&self, marks: Option<&Marks<'_>>) -> (Vec<Face>, Vec<WallGroup>, usize) {
        let mut groups: Vec<WallGroup> = Vec::new();
        let mut numbers: BTreeMap<(Option<&str>, Option<usize>), usize> = BTreeMap::new();
        let (mut faces, mut edges) = (Vec::new(), Vec::new());
        let leaves = marks.map(Marks::all_leaves).unwrap_or_default();
        let by_themselves = self.without_inserts();
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let (Use::Wall, construction) = self.roles.of(stroke) else { continue };
            let is_column = self.in_columns.contains(&number);
            let is_above = stroke.is_broken && !self.roles.is_mapped(stroke.layer);
            let is_symbol = stroke.insert.is_some() && by_themselves.contains(&stroke.layer);
            if is_above
                || is_symbol
                || is_column
                || self.swing(stroke).is_some()
                || leaves.contains(&number)
            {
                continue;
            }
            let of_layer = construction.is_none().then_some(stroke.layer);
            let group = *numbers.entry((construction, of_layer)).or_insert_with(|| {
                groups.push(WallGroup {
                    layer: self.strokes.layers[stroke.layer].clone(),
                    construction: construction.map(str::to_owned),
                    mapped: self.roles.is_mapped(stroke.layer),
                    by_shape: self.roles.by_shape(stroke.layer).is_some(),
                });
                groups.len() - 1
            });
            let is_round = stroke.drawn.round.is_some() || stroke.drawn.is_chord;
            let face = |line, kind| Face { line, group, is_round, kind };
            let lines = self.lines(stroke.drawn).into_iter();
            match stroke.body {
                Body::Fill { number: fill, left } => edges.extend(lines.map(|line| {
                    let face = face(line, Kind::Fill);
                    fills::Edge { fill, left, face }
                })),
                Body::Wide(width) => {
                    let kind = Kind::Wide(width * self.metres);
                    faces.extend(lines.map(|line| face(line, kind)));
                }
                Body::Line => {
                    faces.extend(lines.map(|line| face(line, Kind::Line)));
                }
            }
        }
        fills::wide_lines(&mut faces);
        fills::without_doubles(&mut faces);
        let lost_fills = fills::with_fills(&mut faces, edges);
        (panes::without_panes(shapes::without_rows(faces)), groups, lost_fills)
    }

    /// Layers, taken as walls by their shape, that hold walls without any inserts: what is inserted
    /// on them is furniture.
    fn without_inserts(&self) -> BTreeSet<usize> {
        const ENOUGH: usize = 30;
        let mut plain = vec![0; self.strokes.layers.len()];
        let outside = self.strokes.strokes.iter().filter(|stroke| stroke.insert.is_none());
        outside.for_each(|stroke| plain[stroke.layer] += 1);
        let holds = |layer: &usize| match self.roles.by_shape(*layer) {
            Some(Adds::ToOthers) => true,
            Some(Adds::Alone) => plain[*layer] >= ENOUGH,
            None => false,
        };
        (0..plain.len()).filter(holds).collect()
    }

    /// The swing of a leaf, if a stroke can be one: hinge, radius in metres and how far round. An
    /// arc with another round the same middle is a face of a round wall.
    pub(super) fn swing(&self, stroke: &Stroke) -> Option<(Coord<f64>, f64)> {
        let is_line = !matches!(stroke.body, Body::Fill { .. });
        let Round { middle, sweep_deg } = stroke.drawn.round.filter(|_| is_line)?;
        let (least, largest) = *self.radii.get(&middle_key(middle, self.metres))?;
        let radius = length(Line::new(middle, stroke.drawn.start)) * self.metres;
        let is_wall = self.roles.of(stroke).0 == Use::Wall;
        let is_round_wall = is_wall && (largest - least) * self.metres > 0.03;
        let is_swing = (SWING_DEG.0..=SWING_DEG.1).contains(&sweep_deg.abs())
            && (LEAF_M.0..=LEAF_M.1).contains(&radius);
        (is_swing && !is_round_wall).then(|| (self.local(middle), sweep_deg))
    }

    /// All that may stand in a gap of a wall.
    pub(super) fn marks(&self) -> Marks<'d> {
        let (mut swings, mut lines) = (Vec::new(), Vec::new());
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let role = self.roles.of(stroke);
            // A fill says no more than the lines round it.
            if role.0 == Use::Notes || matches!(stroke.body, Body::Fill { .. }) {
                continue;
            }
            let key = stroke.key(number);
            if let Some((hinge, sweep_deg)) = self.swing(stroke) {
                let ends = [self.local(stroke.drawn.start), self.local(stroke.drawn.end)];
                swings.push(Swing { hinge, ends, sweep_deg, role, key });
            } else if stroke.drawn.round.is_none() && (is_named(role.0) || !stroke.is_broken) {
                let lines_of = self.lines(stroke.drawn).into_iter();
                lines.extend(lines_of.map(|line| Mark { line, role, key, stroke: number }));
            }
        }
        Marks::new(swings, lines)
    }

    /// Doors and windows as drawn that no gap has used, each with its role. Of an insert with arcs
    /// the arcs count, of one without all of its lines together.
    pub(super) fn signs<'m>(
        &self,
        marks: &'m Marks<'d>,
        used: &BTreeSet<usize>,
    ) -> Vec<(Sign, Role<'m>)> {
        let mut signs = Vec::new();
        let mut with_swing = BTreeSet::new();
        for swing in marks.swings() {
            if used.contains(&swing.key) || !marks.is_door(swing) {
                continue;
            }
            with_swing.insert(swing.key);
            let [start, end] = swing.ends;
            // It is shut where no leaf is drawn.
            let turned = marks.stands_open_at(swing, start) && !marks.stands_open_at(swing, end);
            let ends = if turned { [end, start] } else { [start, end] };
            let sign = Sign::Swing { hinge: swing.hinge, ends, sweep_deg: swing.sweep_deg };
            signs.push((sign, (Use::Door, swing.role.1)));
        }
        let mut inserts: BTreeMap<usize, (Vec<Line<f64>>, Role<'d>)> = BTreeMap::new();
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let role = match self.roles.of(stroke) {
                (Use::DoorOrWindow, made) => (Use::Window, made),
                role @ (Use::Door | Use::Window, _) => role,
                _ => continue,
            };
            let key = stroke.key(number);
            if used.contains(&key) || with_swing.contains(&key) || self.swing(stroke).is_some() {
                continue;
            }
            let lines = self.lines(stroke.drawn);
            if stroke.insert.is_some() {
                inserts.entry(key).or_insert_with(|| (Vec::new(), role)).0.extend(lines);
            } else {
                // Each by itself: a leaf that stands open lies in no wall.
                signs.extend(lines.into_iter().map(|line| (Sign::Lines(vec![line]), role)));
            }
        }
        let whole = inserts.into_values().filter(|(lines, _)| !lines.is_empty());
        signs.extend(whole.map(|(lines, role)| (Sign::Lines(lines), role)));
        signs
    }
}
