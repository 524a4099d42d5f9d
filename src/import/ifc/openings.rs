//! Doors, windows and mere openings on the walls that they are cut out of.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Line};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

use super::links::{Links, Product};
use super::materials::{leaf, made};
use super::notes::{Notes, Weight};
use super::shape::Body;
use super::space::{Place, Space};
use super::storeys::Storeys;
use super::walls::Wall;
use crate::line::{LineIndex, along, around, length, line_to_millimetre, seen_from};
use crate::taken::Taken;
use crate::{DOOR, Piece, PlanPoint, Settings, What};
use plan::{Diagnostic, Level};

/// Narrowest and lowest door or window, metres; and what nothing fills (our own choice: what is
/// smaller is for pipes).
const SMALLEST_M: f64 = 0.2;
const SMALLEST_HOLE_M: f64 = 0.5;
/// How far beside the faces of its wall an opening may be drawn, metres (our own choice).
const BESIDE_M: f64 = 0.3;
/// A niche is less deep than so much of its wall.
const THROUGH: f64 = 0.8;
/// A window begins at least so high above the floor, metres; a door is on it.
const THRESHOLD_M: f64 = 0.1;
/// Most walls around a door that is cut out of none.
const MAX_AROUND: usize = 200;

/// A straight piece of a wall on one level, as it is drawn.
pub(super) struct Stretch {
    /// Of the list of walls.
    pub(super) wall: usize,
    /// Of the list of levels.
    pub(super) at: usize,
    /// To the millimetre.
    pub(super) line: Line<f64>,
    pub(super) thickness_m: f64,
    /// From where to where it reaches above the plan's zero, metres.
    pub(super) heights: (f64, f64),
    pub(super) is_outside: bool,
    /// Whether the outdoors are on its left, where rooms show it.
    pub(super) outdoors_left: Option<bool>,
}

/// The middles of doors and windows, with their numbers.
type Middles = RTree<GeomWithData<Place, u32>>;

pub(super) struct Openings<'a> {
    pub(super) walls: &'a [Wall],
    pub(super) stretches: &'a [Stretch],
    /// Of the stretches.
    pub(super) index: LineIndex,
    pub(super) storeys: &'a Storeys,
    pub(super) links: &'a Links,
    pub(super) settings: &'a Settings,
}

/// What fills an opening.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Filling {
    Door,
    Window,
    Nothing,
}

/// Where an opening is on a stretch: from where to where along it, and how far to its left.
struct Seen {
    along: (f64, f64),
    off: (f64, f64),
}

impl Openings<'_> {
    /// Draws every opening; `moved` is how far the plan was moved.
    pub(super) fn draw(
        &self,
        space: &mut Space<'_, '_>,
        moved: Coord<f64>,
        notes: &mut Notes,
    ) -> Result<Vec<Piece>, Diagnostic> {
        let mut of_wall: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (number, stretch) in self.stretches.iter().enumerate() {
            of_wall.entry(stretch.wall).or_default().push(number);
        }
        let (mut taken, mut pieces) = (Taken::default(), Vec::new());
        let leaves = ["IFCDOOR", "IFCWINDOW"].into_iter().flat_map(|kind| space.model.all(kind));
        let mut leaves: BTreeSet<u32> = leaves.collect();
        let mut loose = self.loose(space, &leaves)?;
        for (number, wall) in self.walls.iter().enumerate() {
            let near = of_wall.get(&number).map(Vec::as_slice).unwrap_or_default();
            let parts = self.links.parts.get(&wall.number).into_iter().flatten().copied();
            let hosts = std::iter::once(wall.number).chain(parts);
            for opening in hosts.filter_map(|host| self.links.voids.get(&host)).flatten() {
                let hole = body(space, Some(*opening), self.links)?;
                let said = self.links.fills.get(opening).copied();
                let fillers = match said {
                    Some(said) => vec![said],
                    None => self.take_fillings(space, &mut loose, &hole, (near, moved))?,
                };
                // Several in one hole are where they are, one fills it.
                let shapes = if let [_, _, ..] = fillers.as_slice() {
                    let leaf = |it: &u32| Ok((Some(*it), *it, self.leaf_body(space, Some(*it))?));
                    fillers.iter().map(leaf).collect::<Result<Vec<_>, Diagnostic>>()?
                } else {
                    let filler = fillers.first().copied();
                    let seen = !hole.points.is_empty();
                    let body = if seen { hole } else { self.leaf_body(space, filler)? };
                    vec![(filler, *opening, body)]
                };
                for shape in shapes {
                    self.place(space, shape, near, moved, (&mut taken, &mut pieces), notes)?;
                }
                fillers.iter().for_each(|it| _ = leaves.remove(it));
            }
        }
        let slabs = space.model.all("IFCSLAB").chain(space.model.all("IFCROOF"));
        let holes = slabs.filter_map(|slab| self.links.voids.get(&slab)).flatten();
        let fillings = holes.filter_map(|hole| self.links.fills.get(hole));
        for above in fillings.filter(|it| leaves.remove(it)).collect::<Vec<_>>() {
            let taken = "in slabs and roofs were left out";
            let fix = "nothing to do: the plan has no place for them";
            let at = Some((space.model, *above));
            notes.tell(Weight::Expected, ("roof lights", taken, fix), at);
        }
        for number in leaves {
            let body = self.leaf_body(space, Some(number))?;
            let near = self.near(&body, moved);
            let shape = (Some(number), number, body);
            self.place(space, shape, &near, moved, (&mut taken, &mut pieces), notes)?;
        }
        Ok(pieces)
    }

    /// The middles of doors and windows that no relation puts into an opening.
    fn loose(
        &self,
        space: &mut Space<'_, '_>,
        leaves: &BTreeSet<u32>,
    ) -> Result<Middles, Diagnostic> {
        let filled: BTreeSet<u32> = self.links.fills.values().copied().collect();
        let mut middles = Vec::new();
        for leaf in leaves.difference(&filled) {
            let bounds = self.leaf_body(space, Some(*leaf))?.bounds();
            let middle = |(low, high): (Place, Place)| [0, 1, 2].map(|i| (low[i] + high[i]) / 2.0);
            middles.extend(bounds.map(|it| GeomWithData::new(middle(it), *leaf)));
        }
        Ok(RTree::bulk_load(middles))
    }

    /// Takes out the doors and windows that are in an opening that nothing is said to fill, along
    /// its wall: round a corner they are in that of another.
    fn take_fillings(
        &self,
        space: &mut Space<'_, '_>,
        loose: &mut Middles,
        opening: &Body,
        (near, moved): (&[usize], Coord<f64>),
    ) -> Result<Vec<u32>, Diagnostic> {
        let Some((low, high)) = opening.bounds() else { return Ok(Vec::new()) };
        let within = loose.locate_in_envelope(&AABB::from_corners(low, high));
        let mut within: Vec<_> = { within }.take(MAX_AROUND).copied().collect();
        within.sort_unstable_by_key(|it| it.data);
        let mut fillings = Vec::new();
        for leaf in within {
            let body = self.leaf_body(space, Some(leaf.data))?;
            let mut on = near.iter().filter_map(|at| seen(&self.stretches[*at], &body, moved));
            if on.any(|it| it.along.1 - it.along.0 >= it.off.1 - it.off.0) {
                loose.remove(&leaf);
                fillings.push(leaf.data);
            }
        }
        Ok(fillings)
    }

    /// The body of a door or window; without one, its width and height from its place on.
    fn leaf_body(&self, space: &mut Space<'_, '_>, leaf: Option<u32>) -> Result<Body, Diagnostic> {
        let found = body(space, leaf, self.links)?;
        let Some(args) =
            leaf.filter(|_| found.points.is_empty()).and_then(|it| space.model.get(it))
        else {
            return Ok(found);
        };
        let frame = space.placed(args.reference(5))?;
        let size = |index| args.number(index).map_or(0.0, |it| it * space.metres);
        let (high, wide) = (size(8), size(9));
        let corners = [[0.0, 0.0, 0.0], [wide, 0.0, 0.0], [wide, 0.0, high], [0.0, 0.0, high]];
        let points = corners.map(|at| frame.place(at)).to_vec();
        let points = if wide > 0.0 && high > 0.0 { points } else { Vec::new() };
        Ok(Body { points, areas: Vec::new() })
    }

    /// The stretches around a door or window that is cut out of no wall.
    fn near(&self, body: &Body, moved: Coord<f64>) -> Vec<usize> {
        let Some([a, _, c, _]) = body.rectangle() else { return Vec::new() };
        let line = Line::new(a - moved, c - moved);
        let found = self.index.locate_in_envelope_intersecting(&around(line, BESIDE_M));
        let mut near: Vec<usize> = { found }.take(MAX_AROUND).map(|it| it.data).collect();
        near.sort_unstable();
        near
    }

    fn place(
        &self,
        space: &mut Space<'_, '_>,
        (filler, number, body): (Option<u32>, u32, Body),
        near: &[usize],
        moved: Coord<f64>,
        (taken, pieces): (&mut Taken, &mut Vec<Piece>),
        notes: &mut Notes,
    ) -> Result<(), Diagnostic> {
        let at = Some((space.model, number));
        let filling = match filler.map(|it| space.model.kind(it)) {
            Some("IFCDOOR") => Filling::Door,
            Some("IFCWINDOW") => Filling::Window,
            _ => Filling::Nothing,
        };
        let about = match filling {
            Filling::Door => "doors",
            Filling::Window => "windows",
            Filling::Nothing => "openings without a door",
        };
        let fix = "draw them in the plan";
        let Some((low_m, high_m)) = body.heights() else {
            let taken = "were left out, because neither they nor their opening have a body or size";
            notes.tell(Weight::Missing, (about, taken, fix), at);
            return Ok(());
        };
        let zero_m = self.storeys.zero_m;
        let (low_m, high_m) = (low_m - zero_m, high_m - zero_m);
        let mut drawn = false;
        let mut why = (Weight::Missing, "were left out, because they are on no wall that is drawn");
        for at in self.levels((low_m, high_m)) {
            let level = &self.storeys.levels[at];
            // The stretch on which most of it lies, then the nearest.
            let on = near.iter().map(|number| &self.stretches[*number]);
            let on = on.filter(|stretch| stretch.at == at);
            let seen = on.filter_map(|stretch| Some((stretch, seen(stretch, &body, moved)?)));
            let best = seen.max_by(|a, b| {
                let on = |it: &Seen| ((it.along.1 - it.along.0) * 100.0).round();
                let off = |it: &Seen| (it.off.0 + it.off.1).abs();
                on(&a.1).total_cmp(&on(&b.1)).then(off(&b.1).total_cmp(&off(&a.1)))
            });
            let Some((stretch, seen)) = best else { continue };
            let deep = seen.off.1 - seen.off.0;
            let (base_m, top_m) = (low_m.max(stretch.heights.0), high_m.min(stretch.heights.1));
            let wide = seen.along.1 - seen.along.0;
            let least = if filling == Filling::Nothing { SMALLEST_HOLE_M } else { SMALLEST_M };
            if wide < least || top_m - base_m < least {
                let weight = match filling {
                    Filling::Nothing => Weight::Expected,
                    _ => Weight::Missing,
                };
                why = (weight, "were left out, because they are too small on their wall");
                continue;
            }
            if filling == Filling::Nothing && deep < THROUGH * stretch.thickness_m {
                why = (Weight::Expected, "were left out, because they do not go through the wall");
                continue;
            }
            let line =
                Line::new(along(stretch.line, seen.along.0), along(stretch.line, seen.along.1));
            let line = line_to_millimetre(line);
            let Some(line) = taken.take_rest(level.number, line, (base_m, top_m)) else {
                why = (Weight::Missing, "were left out, because another opening is there");
                continue;
            };
            let product = filler.map(|it| space.product(it)).transpose()?.flatten();
            let made = self.leaf(space, filling, product.as_ref(), notes);
            drawn = true;
            let Some(construction) = made else { continue };
            let heights = (base_m, top_m);
            pieces.push(piece(stretch, level, (line, heights), filling, construction));
        }
        if !drawn {
            let at = Some((space.model, number));
            let point = body.rectangle().zip(self.levels((low_m, high_m)).first().copied());
            let point = point.map(|([a, _, c, _], level)| {
                let level = self.storeys.levels[level].number;
                PlanPoint { level, at: (a + c) * 0.5 - moved }
            });
            notes.tell_at(why.0, (about, why.1, fix), at, point);
        }
        Ok(())
    }

    /// The levels that an opening is on: each of which it covers half, else where its middle is.
    fn levels(&self, (low_m, high_m): (f64, f64)) -> Vec<usize> {
        let levels = &self.storeys.levels;
        let common = |level: &Level| high_m.min(level.ceiling_m) - low_m.max(level.floor_m);
        let long_m = high_m - low_m;
        let fits = |level: &Level| {
            let common_m = common(level);
            common_m > 0.5 * (level.ceiling_m - level.floor_m) || common_m > 0.5 * long_m
        };
        let on: Vec<usize> = (0..levels.len()).filter(|at| fits(&levels[*at])).collect();
        if !on.is_empty() {
            return on;
        }
        let best =
            (0..levels.len()).max_by(|a, b| common(&levels[*a]).total_cmp(&common(&levels[*b])));
        best.into_iter().collect()
    }

    fn leaf(
        &self,
        space: &Space<'_, '_>,
        filling: Filling,
        product: Option<&Product>,
        notes: &mut Notes,
    ) -> Option<String> {
        let Some(product) = product.filter(|_| filling != Filling::Nothing) else {
            let taken = "were taken as open";
            let fix = "for a door or a pane, set \"state\": \"closed\" and its construction in the \
                       plan";
            notes.tell(Weight::Taken, ("openings without a door", taken, fix), None);
            return Some(DOOR.to_owned());
        };
        let made = made(space.model, self.links, product.number, space.metres);
        let is_window = filling == Filling::Window;
        leaf(&made, product.name.as_deref(), is_window, self.settings, notes)
    }
}

fn body(space: &mut Space<'_, '_>, number: Option<u32>, links: &Links) -> Result<Body, Diagnostic> {
    let product = number.map(|number| space.product(number)).transpose()?.flatten();
    product.map_or(Ok(Body::default()), |product| space.whole_body(&product, links))
}

/// Where a body is on a stretch; nothing if it is not on it.
fn seen(stretch: &Stretch, body: &Body, moved: Coord<f64>) -> Option<Seen> {
    let mut seen =
        Seen { along: (f64::INFINITY, f64::NEG_INFINITY), off: (f64::INFINITY, f64::NEG_INFINITY) };
    for at in &body.points {
        let (along_m, off_m) = seen_from(stretch.line, Coord { x: at[0], y: at[1] } - moved);
        seen.along = (seen.along.0.min(along_m), seen.along.1.max(along_m));
        seen.off = (seen.off.0.min(off_m), seen.off.1.max(off_m));
    }
    let reach_m = stretch.thickness_m / 2.0 + BESIDE_M;
    let beside = seen.off.0 > reach_m || seen.off.1 < -reach_m;
    seen.along = (seen.along.0.max(0.0), seen.along.1.min(length(stretch.line)));
    // Across the wall it is the edge of another's opening.
    let is_on = !beside && seen.along.1 - seen.along.0 > 1e-3;
    is_on.then_some(seen)
}

fn piece(
    stretch: &Stretch,
    level: &Level,
    (line, (base_m, top_m)): (Line<f64>, (f64, f64)),
    filling: Filling,
    construction: String,
) -> Piece {
    let on_floor = base_m - level.floor_m <= THRESHOLD_M;
    let word = match filling {
        Filling::Door => "door",
        Filling::Window => "window",
        Filling::Nothing => "gap",
    };
    let what = What::Opening {
        construction,
        entry: filling == Filling::Door && stretch.is_outside && on_floor,
        open: filling == Filling::Nothing,
        base_m: (!on_floor).then_some(base_m),
        top_m: Some(top_m),
    };
    // Programs name each door by its kind and number: that is no name for people.
    Piece::new(word, level.number, line, what)
}
