//! Curves and the outlines of profiles as corners.

use std::f64::consts::{PI, TAU};

use geo::{Coord, LineString, Polygon};

use super::space::{Frame, Place, Space};
use super::value::Value;

/// Longest piece by which an arc is drawn, as a share of a full turn (our own choice: a wall that
/// bends is out by a hundredth of its radius at the most).
const PIECES_OF_TURN: f64 = 24.0;
/// Most corners of one curve (our own choice).
const MAX_CORNERS: usize = 20_000;
/// Deepest curve in a curve.
const MAX_DEPTH: usize = 6;

impl Space<'_, '_> {
    /// The corners of a curve, metres; none for one that is not read.
    pub(super) fn curve(&self, number: u32) -> Vec<Place> {
        let mut corners = self.curve_within(number, MAX_DEPTH);
        corners.truncate(MAX_CORNERS);
        corners
    }

    fn curve_within(&self, number: u32, depth: usize) -> Vec<Place> {
        let Some(args) = self.model.get(number).filter(|_| depth > 0) else { return Vec::new() };
        match args.kind {
            "IFCPOLYLINE" | "IFCPOLYLOOP" => {
                args.references(0).into_iter().filter_map(|at| self.point(at)).collect()
            }
            "IFCEDGELOOP" => {
                let edges = args.references(0).into_iter().take(MAX_CORNERS);
                edges.filter_map(|edge| self.edge_start(edge)).collect()
            }
            "IFCINDEXEDPOLYCURVE" => {
                let points = args.reference(0).map(|at| self.points(at)).unwrap_or_default();
                let segments = args.at(1).items();
                if segments.is_empty() {
                    return points;
                }
                let mut corners = Vec::new();
                for segment in segments {
                    let Value::Typed(name, values) = segment else { continue };
                    let at = values.first().map(Value::numbers).unwrap_or_default();
                    let at: Vec<Place> =
                        at.iter().filter_map(|index| indexed(&points, *index)).collect();
                    match at.as_slice() {
                        [a, b, c] if name.eq_ignore_ascii_case(b"IFCARCINDEX") => {
                            join(&mut corners, through(*a, *b, *c));
                        }
                        _ => join(&mut corners, at),
                    }
                    if corners.len() > MAX_CORNERS {
                        break;
                    }
                }
                corners
            }
            "IFCCOMPOSITECURVE" => {
                let mut corners = Vec::new();
                for segment in args.references(0) {
                    let Some(segment) = self.model.get_as(segment, "IFCCOMPOSITECURVESEGMENT")
                    else {
                        continue;
                    };
                    let curve = segment.reference(2);
                    let mut piece =
                        curve.map(|curve| self.curve_within(curve, depth - 1)).unwrap_or_default();
                    if segment.word(1) == b"F" {
                        piece.reverse();
                    }
                    join(&mut corners, piece);
                    if corners.len() > MAX_CORNERS {
                        break;
                    }
                }
                corners
            }
            "IFCTRIMMEDCURVE" => self.trimmed(&args.values).unwrap_or_default(),
            "IFCCIRCLE" => {
                let frame = self.axes(args.reference(0));
                arc(&frame, args.number(1).unwrap_or(0.0) * self.metres, 0.0, TAU)
            }
            _ => Vec::new(),
        }
    }

    /// Where an edge of a loop begins: what bends between two corners is cut short.
    fn edge_start(&self, number: u32) -> Option<Place> {
        let oriented = self.model.get_as(number, "IFCORIENTEDEDGE")?;
        let edge = self.model.get_as(oriented.reference(2)?, "IFCEDGECURVE")?;
        let end = edge.reference(usize::from(oriented.word(3) == b"F"))?;
        self.point(self.model.get_as(end, "IFCVERTEXPOINT")?.reference(0)?)
    }

    /// The points of a list, metres.
    pub(super) fn points(&self, number: u32) -> Vec<Place> {
        let Some(args) = self.model.get(number) else { return Vec::new() };
        let rows = args.at(0).items();
        rows.iter().map(|row| self.position(&row.numbers()).unwrap_or_default()).collect()
    }

    fn trimmed(&self, values: &[Value<'_>]) -> Option<Vec<Place>> {
        let [basis, from, to, sense, ..] = values else { return None };
        let basis = self.model.get(basis.reference()?)?;
        let point = |trim: &Value<'_>| {
            trim.items().iter().filter_map(Value::reference).find_map(|at| self.point(at))
        };
        let parameter = |trim: &Value<'_>| trim.items().iter().find_map(Value::number);
        match basis.kind {
            "IFCLINE" => {
                let start = self.point(basis.reference(0)?)?;
                let vector = self.model.get_as(basis.reference(1)?, "IFCVECTOR")?;
                let run = super::space::unit(self.direction(vector.reference(0)?)?)?;
                let long = vector.number(1).unwrap_or(1.0) * self.metres;
                let at = |trim| {
                    let along = |t: f64| super::space::scaled(run, t * long);
                    point(trim).or_else(|| Some(super::space::sum(start, along(parameter(trim)?))))
                };
                Some(vec![at(from)?, at(to)?])
            }
            "IFCCIRCLE" => {
                let frame = self.axes(basis.reference(0));
                let radius = basis.number(1)? * self.metres;
                let angle = |trim| {
                    let seen = |at: Place| {
                        let to = super::space::sum(at, super::space::scaled(frame.origin, -1.0));
                        let along = |axis: Place| (0..3).map(|i| axis[i] * to[i]).sum::<f64>();
                        along(frame.axes[1]).atan2(along(frame.axes[0]))
                    };
                    let by_point = point(trim).map(seen);
                    by_point.or_else(|| Some(parameter(trim)? * self.radians))
                };
                let (from, to) = (angle(from)?, angle(to)?);
                let forward = *sense != Value::Word(b"F");
                let sweep = if forward {
                    (to - from).rem_euclid(TAU)
                } else {
                    -(from - to).rem_euclid(TAU)
                };
                Some(arc(&frame, radius, from, if sweep == 0.0 { TAU } else { sweep }))
            }
            _ => None,
        }
    }

    /// The outline of a profile, with its holes, in the frame that it is drawn in.
    pub(super) fn profile(&self, number: u32) -> Option<Polygon<f64>> {
        let args = self.model.get(number)?;
        let length = |index| args.number(index).map(|number| number.abs() * self.metres);
        let frame = || self.axes(args.reference(2));
        match args.kind {
            "IFCARBITRARYCLOSEDPROFILEDEF" | "IFCARBITRARYPROFILEDEFWITHVOIDS" => {
                let outer = flat(&self.curve(args.reference(2)?));
                let holes = if args.kind.ends_with("VOIDS") { args.references(3) } else { vec![] };
                let holes = holes.into_iter().map(|hole| flat(&self.curve(hole)));
                let holes = holes.filter(|hole| hole.0.len() >= 3).collect();
                (outer.0.len() >= 3).then(|| Polygon::new(outer, holes))
            }
            "IFCRECTANGLEPROFILEDEF"
            | "IFCRECTANGLEHOLLOWPROFILEDEF"
            | "IFCROUNDEDRECTANGLEPROFILEDEF"
            | "IFCISHAPEPROFILEDEF" => {
                let (x, y) = (length(3)? / 2.0, length(4)? / 2.0);
                let corners = [[-x, -y], [x, -y], [x, y], [-x, y]];
                let frame = frame();
                let corners = corners.map(|[x, y]| frame.place([x, y, 0.0]));
                Some(Polygon::new(flat(&corners), vec![]))
            }
            "IFCCIRCLEPROFILEDEF" | "IFCCIRCLEHOLLOWPROFILEDEF" => {
                Some(Polygon::new(flat(&arc(&frame(), length(3)?, 0.0, TAU)), vec![]))
            }
            _ => None,
        }
    }
}

pub(super) fn flat(corners: &[Place]) -> LineString<f64> {
    corners.iter().map(|at| Coord { x: at[0], y: at[1] }).collect()
}

/// The point of a list with an index from 1.
pub(super) fn indexed(points: &[Place], index: f64) -> Option<Place> {
    let whole = index >= 1.0 && index <= points.len() as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the list")]
    let at = |index: f64| (index as usize).checked_sub(1);
    points.get(at(index).filter(|_| whole)?).copied()
}

/// Adds a piece to a curve; where it begins at the curve's end, its first corner is there already.
fn join(corners: &mut Vec<Place>, piece: Vec<Place>) {
    let near = |a: &Place, b: &Place| (0..3).all(|i| (a[i] - b[i]).abs() < 1e-6);
    let skip = usize::from(corners.last().zip(piece.first()).is_some_and(|(a, b)| near(a, b)));
    corners.extend(piece.into_iter().skip(skip));
}

fn arc(frame: &Frame, radius: f64, from: f64, sweep: f64) -> Vec<Place> {
    let pieces = (sweep.abs() / TAU * PIECES_OF_TURN).ceil().clamp(1.0, PIECES_OF_TURN);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 24")]
    let count = pieces as usize;
    let at = |index: usize| {
        let angle = from + sweep * index as f64 / pieces;
        frame.place([radius * angle.cos(), radius * angle.sin(), 0.0])
    };
    (0..=count).map(at).collect()
}

/// The arc from the first of three places through the second to the third, in plan.
fn through(a: Place, b: Place, c: Place) -> Vec<Place> {
    let cross = |p: Place, q: Place, r: Place| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let twice = 2.0 * cross(a, b, c);
    if twice.abs() < 1e-9 {
        return vec![a, b, c];
    }
    let square = |p: Place| p[0] * p[0] + p[1] * p[1];
    let sum = |f: fn(Place, Place) -> f64| {
        square(a) * f(b, c) + square(b) * f(c, a) + square(c) * f(a, b)
    };
    let middle = [sum(|p, q| p[1] - q[1]) / twice, sum(|p, q| q[0] - p[0]) / twice, a[2]];
    let angle = |p: Place| (p[1] - middle[1]).atan2(p[0] - middle[0]);
    let radius = (a[0] - middle[0]).hypot(a[1] - middle[1]);
    let (from, to) = (angle(a), angle(c));
    let turn = if twice > 0.0 { TAU } else { -TAU };
    let mut sweep = (to - from) % TAU;
    if sweep * turn < 0.0 {
        sweep += turn;
    }
    if sweep.abs() < 1e-12 || sweep.abs() > TAU - PI / 1e6 {
        return vec![a, b, c];
    }
    let frame = Frame { origin: middle, ..super::space::WORLD };
    arc(&frame, radius, from, sweep)
}
