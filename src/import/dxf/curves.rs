//! Curves and filled areas of a drawing as lines and arcs: ellipses, splines, multilines, the
//! loops of hatches, solids and faces. Group codes: the format's own reference, from memory, not
//! confirmed; the tests hold them against small drawings made by hand.

use std::f64::consts::TAU;

use geo::{Coord, Distance, Euclidean, Line, Point};

use super::entity::{Corner, Entity, Sort, xy};
use super::rounds::{self, Drawn, Round, bulged};

/// How far a curve may be off, as a share of how far it reaches (our own choice: 5 mm of 10 m).
const OFF: f64 = 0.000_5;
/// Points of a whole ellipse, and of each span of a spline, before those that matter little go.
const DENSE: (f64, usize) = (256.0, 16);
/// Most points of one curve (our own choice).
const MOST_POINTS: usize = 8_000;
/// Highest degree of a spline that is read (our own choice: drawings have three).
const MOST_DEGREE: usize = 10;

type Points = Vec<Coord<f64>>;
/// Groups with their numbers.
type Groups<'e> = &'e [(i16, f64)];

fn all(groups: Groups<'_>, code: i16) -> impl Iterator<Item = f64> {
    groups.iter().filter(move |group| group.0 == code).map(|group| group.1)
}

fn one(groups: Groups<'_>, code: i16) -> Option<f64> {
    all(groups, code).next()
}

/// The places whose x has a code; y has the code ten higher.
fn places(groups: Groups<'_>, code: i16) -> Points {
    all(groups, code).zip(all(groups, code + 10)).map(|(x, y)| xy(x, y)).collect()
}

fn place(groups: Groups<'_>, code: i16) -> Option<Coord<f64>> {
    Some(xy(one(groups, code)?, one(groups, code + 10)?))
}

/// Straight lines from each point to the next.
fn strung(points: &[Coord<f64>]) -> Vec<Drawn> {
    points.windows(2).map(|pair| Drawn::line(pair[0], pair[1])).collect()
}

/// The same as pieces of a curve; but a leaf with its swing as a part of a circle.
pub(super) fn chords(points: &[Coord<f64>]) -> Vec<Drawn> {
    /// Swings of two leaves, and how far round they go together, degrees.
    const SWINGS: (usize, f64) = (2, 200.0);
    let mut all = Vec::new();
    rounds::lines(&mut points.to_vec(), &mut all);
    let swings: Vec<f64> =
        { all.iter() }.filter_map(|it| Some(it.round?.sweep_deg.abs())).collect();
    if (1..=SWINGS.0).contains(&swings.len()) && swings.iter().sum::<f64>() <= SWINGS.1 {
        return all;
    }
    strung(points).into_iter().map(|line| Drawn { is_chord: true, ..line }).collect()
}

/// The points of an ellipse or spline; none of one that is not sound.
pub(super) fn curve(entity: &Entity) -> Points {
    if entity.sort == Sort::Spline {
        return spline(&entity.more, 71, entity.flags & 1 != 0);
    }
    let (from, to) = (entity.scale.x, entity.scale.y);
    let sweep = (to - from).rem_euclid(TAU);
    let sweep = if sweep < 1e-9 { TAU } else { sweep };
    let way = if entity.normal_z < 0.0 { -1.0 } else { 1.0 };
    ellipse(entity.at, entity.to, way * entity.radius, (from, sweep))
}

/// The points of a part of an ellipse: its middle, where its long half-axis leads, the share of
/// this that the other has (below zero: clockwise), where it begins and how far round, radians.
fn ellipse(middle: Coord<f64>, long: Coord<f64>, ratio: f64, (from, sweep): (f64, f64)) -> Points {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "4 to 256")]
    let count = (DENSE.0 * sweep.abs() / TAU).ceil().clamp(4.0, DENSE.0) as usize;
    let at = |number: usize| {
        let (sin, cos) = (from + sweep * number as f64 / count as f64).sin_cos();
        middle + long * cos + xy(-long.y, long.x) * (ratio * sin)
    };
    thinned((0..=count).map(at).collect())
}

/// The points of a spline by its control points, else by the points that it runs through.
fn spline(groups: Groups<'_>, degree_code: i16, is_closed: bool) -> Points {
    let (control, fit) = (places(groups, 10), places(groups, 11));
    let weights: Vec<f64> = all(groups, if degree_code == 71 { 41 } else { 42 }).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked below")]
    let degree = one(groups, degree_code).unwrap_or(3.0).clamp(0.0, 99.0) as usize;
    if control.len() < 2 {
        return thinned(through(fit, is_closed));
    }
    if !(1..=MOST_DEGREE).contains(&degree) || control.len() <= degree {
        return control;
    }
    let count = control.len();
    let mut knots: Vec<f64> = all(groups, 40).collect();
    if knots.len() != count + degree + 1 || knots.windows(2).any(|pair| pair[0] > pair[1]) {
        let inner = (0..=count - degree).map(|number| number as f64);
        let last = (count - degree) as f64;
        knots = vec![0.0; degree];
        knots.extend(inner);
        knots.extend(vec![last; degree]);
    }
    let weight = |at: usize| {
        weights.get(at).copied().filter(|it| weights.len() == count && *it > 0.0).unwrap_or(1.0)
    };
    let weighed: Vec<[f64; 3]> = control
        .iter()
        .enumerate()
        .map(|(at, place)| [place.x * weight(at), place.y * weight(at), weight(at)])
        .collect();
    let mut points = Vec::new();
    for span in degree..count {
        let (from, to) = (knots[span], knots[span + 1]);
        if to <= from || points.len() > MOST_POINTS {
            continue;
        }
        let first = usize::from(!points.is_empty());
        for step in first..=DENSE.1 {
            let at = from + (to - from) * step as f64 / DENSE.1 as f64;
            points.push(on_spline(&weighed, &knots, degree, span, at));
        }
    }
    thinned(points)
}

/// The place of a spline at a parameter within a span of its knots (de Boor's recursion).
fn on_spline(
    weighed: &[[f64; 3]],
    knots: &[f64],
    degree: usize,
    span: usize,
    at: f64,
) -> Coord<f64> {
    let mut near: Vec<[f64; 3]> = weighed[span - degree..=span].to_vec();
    for round in 1..=degree {
        for number in (round..=degree).rev() {
            let low = span - degree + number;
            let (from, to) = (knots[low], knots[low + degree + 1 - round]);
            let share = if to > from { (at - from) / (to - from) } else { 0.0 };
            let before = near[number - 1];
            for (own, before) in near[number].iter_mut().zip(before) {
                *own = before + (*own - before) * share;
            }
        }
    }
    let [x, y, weight] = near[degree];
    xy(x / weight, y / weight)
}

/// A smooth curve through points: a cubic between each two, along its neighbours at its ends.
fn through(fit: Points, is_closed: bool) -> Points {
    let count = fit.len();
    if count < 3 || count * DENSE.1 > MOST_POINTS {
        return fit;
    }
    let known = |at: usize| match is_closed {
        true => fit[(at + count - 1) % count],
        false => fit[at.saturating_sub(1).min(count - 1)],
    };
    let mut points = vec![known(1)];
    for at in 0..if is_closed { count } else { count - 1 } {
        let [before, from, to, then] = [at, at + 1, at + 2, at + 3].map(known);
        let (leaves, comes) = ((to - before) * 0.5, (then - from) * 0.5);
        for step in 1..=DENSE.1 {
            let t = step as f64 / DENSE.1 as f64;
            let (t2, t3) = (t * t, t * t * t);
            let ends = from * (2.0 * t3 - 3.0 * t2 + 1.0) + to * (3.0 * t2 - 2.0 * t3);
            points.push(ends + leaves * (t3 - 2.0 * t2 + t) + comes * (t3 - t2));
        }
    }
    points
}

/// Every second, fourth, eighth… point, as few as keep near enough to all: curves that run beside
/// one another keep pieces that do.
fn thinned(mut points: Points) -> Points {
    points.retain(|at| at.x.abs() < 1e12 && at.y.abs() < 1e12);
    let reach = |from: f64, at: &Coord<f64>| {
        let first = points[0];
        from.max((at.x - first.x).hypot(at.y - first.y))
    };
    let most = OFF * points.iter().fold(0.0, reach);
    let kept = |stride: usize| {
        let mut kept: Points = points.iter().copied().step_by(stride).collect();
        if !points.len().saturating_sub(1).is_multiple_of(stride) {
            kept.extend(points.last());
        }
        kept
    };
    let is_near = |stride: usize| {
        points.chunks(stride).enumerate().all(|(number, chunk)| {
            let next = points.get((number + 1) * stride).or(points.last());
            let Some((start, end)) = chunk.first().zip(next) else { return true };
            let chord = Line::new(*start, *end);
            chunk.iter().all(|at| Euclidean.distance(&Point(*at), &chord) <= most)
        })
    };
    let mut stride = 1;
    while 2 * stride < points.len() && is_near(2 * stride) {
        stride *= 2;
    }
    kept(stride)
}

/// The lines of a multiline, as far as they are not cut.
pub(super) fn multiline(entity: &Entity) -> Vec<Drawn> {
    /// A corner, the way to the next, the way of the mitre, and of each line its groups 41.
    type Joint = (Coord<f64>, Coord<f64>, Coord<f64>, Vec<Vec<f64>>);
    let mut joints: Vec<Joint> = Vec::new();
    for &(code, value) in &entity.more {
        if code == 11 {
            joints.push((xy(value, 0.0), xy(0.0, 0.0), xy(0.0, 0.0), Vec::new()));
        }
        let Some((at, run, mitre, lines)) = joints.last_mut() else { continue };
        match code {
            21 => at.y = value,
            12 => run.x = value,
            22 => run.y = value,
            13 => mitre.x = value,
            23 => mitre.y = value,
            74 => lines.push(Vec::new()),
            41 => lines.iter_mut().last().into_iter().for_each(|own| own.push(value)),
            _ => {}
        }
    }
    if entity.rows & 2 != 0 && joints.len() > 2 {
        joints.push(joints[0].clone());
    }
    let mut out = Vec::new();
    for pair in joints.windows(2) {
        let [(at, run, mitre, lines), (next, _, then_mitre, then_lines)] = pair else { continue };
        for (line, then) in lines.iter().zip(then_lines) {
            let (Some(off), Some(then_off)) = (line.first(), then.first()) else { continue };
            let (start, end) = (*at + *mitre * *off, *next + *then_mitre * *then_off);
            // Behind the offset stand the distances at which the line begins, ends, begins….
            let on = |metres: f64| start + *run * metres;
            let cuts: Vec<f64> = line.iter().skip(1).copied().collect();
            if cuts.len() < 2 {
                out.push(Drawn::line(start, end));
                continue;
            }
            let to = |cut: &[f64]| cut.get(1).map_or(end, |to| on(*to));
            out.extend(cuts.chunks(2).map(|cut| Drawn::line(on(cut[0]), to(cut))));
        }
    }
    out
}

/// A closed edge of what is filled, and whether the fill lies to the left of it.
pub(super) struct Loop {
    pub(super) edges: Vec<Drawn>,
    pub(super) left: bool,
}

impl Loop {
    fn new(edges: Vec<Drawn>) -> Self {
        let left = twice_the_area(&edges) > 0.0;
        Self { edges, left }
    }

    /// Whether a place is within it, arcs taken as their chords.
    fn holds(&self, at: Coord<f64>) -> bool {
        let crossed = self.edges.iter().filter(|edge| {
            let (a, b) = (edge.start, edge.end);
            (a.y > at.y) != (b.y > at.y) && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y)
        });
        crossed.count() % 2 == 1
    }
}

/// Twice the area to the left of edges that follow one another round it.
pub(super) fn twice_the_area(edges: &[Drawn]) -> f64 {
    let Some(zero) = edges.first().map(|edge| edge.start) else { return 0.0 };
    let edge = |edge: &Drawn| {
        let (a, b) = (edge.start - zero, edge.end - zero);
        let cap = edge.round.map_or(0.0, |Round { middle, sweep_deg }| {
            let radius = edge.start - middle;
            let sweep = sweep_deg.to_radians();
            (radius.x * radius.x + radius.y * radius.y) * (sweep - sweep.sin())
        });
        a.x * b.y - a.y * b.x + cap
    };
    edges.iter().map(edge).sum()
}

/// The loops of a hatch, a solid, a trace or a face.
pub(super) fn loops(entity: &Entity) -> Vec<Loop> {
    /// Most loops of one hatch of which it is asked which stands in which (our own choice).
    const MOST_NESTED: usize = 300;
    let mut loops: Vec<Loop> = match entity.sort {
        Sort::Hatch => {
            let paths = entity.more.chunk_by(|_, next| next.0 != 92);
            let paths = paths.filter(|path| path[0].0 == 92);
            paths.map(|path| Loop::new(boundary(path[0].1, path))).collect()
        }
        sort => {
            let code = |code: i16| place(&entity.more, code);
            let mut corners: Points = [10, 11, 12, 13].into_iter().filter_map(code).collect();
            // Solids have their third and fourth corner across.
            if sort == Sort::Solid && corners.len() == 4 {
                corners.swap(2, 3);
            }
            corners.dedup();
            let first = corners.first().copied();
            corners.extend(first.filter(|first| corners.last() != Some(first)));
            vec![Loop::new(strung(&corners))]
        }
    };
    loops.retain(|own| own.edges.len() > 1 || own.edges.iter().any(|edge| edge.round.is_some()));
    if loops.len() <= MOST_NESTED {
        let starts: Points = loops.iter().map(|own| own.edges[0].start).collect();
        for number in 0..loops.len() {
            let others = loops.iter().enumerate().filter(|(other, _)| *other != number);
            let around = others.filter(|(_, other)| other.holds(starts[number])).count();
            loops[number].left ^= around % 2 == 1;
        }
    }
    loops
}

/// The edges of one path of a hatch, each from the end of the one before.
fn boundary(flags: f64, path: Groups<'_>) -> Vec<Drawn> {
    if flags.rem_euclid(4.0) >= 2.0 {
        let mut corners: Vec<Corner> = Vec::new();
        for &(code, value) in path {
            match (code, corners.last_mut()) {
                (10, _) => corners.push(Corner { at: xy(value, 0.0), ..Corner::default() }),
                (20, Some(corner)) => corner.at.y = value,
                (42, Some(corner)) => corner.bulge = value,
                _ => {}
            }
        }
        corners.extend(corners.first().copied());
        return corners.windows(2).map(|pair| bulged(pair[0], pair[1].at)).collect();
    }
    let edges = path.chunk_by(|_, next| next.0 != 72).filter(|edge| edge[0].0 == 72);
    let mut edges: Vec<Vec<Drawn>> = edges.map(|own| edge(own).unwrap_or_default()).collect();
    edges.retain(|edge| !edge.is_empty());
    let ends = |edge: &[Drawn]| (edge[0].start, edge[edge.len() - 1].end);
    let far = |a: Coord<f64>, b: Coord<f64>| (a.x - b.x).hypot(a.y - b.y);
    for at in 1..edges.len() {
        let (first, (start, end)) = (ends(&edges[at - 1]), ends(&edges[at]));
        if at == 1
            && far(first.0, start).min(far(first.0, end))
                < far(first.1, start).min(far(first.1, end))
        {
            turn(&mut edges[0]);
        }
        let last = ends(&edges[at - 1]).1;
        if far(last, end) < far(last, start) {
            turn(&mut edges[at]);
        }
    }
    edges.into_iter().flatten().collect()
}

/// Turns what is drawn round, so that it begins at its end.
fn turn(drawn: &mut [Drawn]) {
    drawn.reverse();
    for edge in drawn {
        std::mem::swap(&mut edge.start, &mut edge.end);
        if let Some(round) = &mut edge.round {
            round.sweep_deg = -round.sweep_deg;
        }
    }
}

/// One edge of a path: a line, an arc, a part of an ellipse, a spline.
fn edge(groups: Groups<'_>) -> Option<Vec<Drawn>> {
    let at = place(groups, 10)?;
    // Clockwise ones have their angles counted clockwise, too.
    let way = if one(groups, 73) == Some(0.0) { -1.0 } else { 1.0 };
    let angles = || {
        let (from, to) = (one(groups, 50)?, one(groups, 51)?);
        let sweep = (to - from).rem_euclid(360.0);
        Some((way * from, way * if sweep < 1e-9 { 360.0 } else { sweep }))
    };
    #[expect(clippy::cast_possible_truncation, reason = "1 to 4; the rest is nothing")]
    match one(groups, 72)? as i64 {
        1 => Some(strung(&[at, place(groups, 11)?])),
        2 => {
            let (from, sweep_deg) = angles()?;
            let radius = one(groups, 40)?;
            let on = |angle: f64| {
                let (sin, cos) = angle.to_radians().sin_cos();
                at + xy(radius * cos, radius * sin)
            };
            let round = Round { middle: at, sweep_deg };
            Some(vec![Drawn::arc(on(from), on(from + sweep_deg), round)])
        }
        3 => {
            let (from, sweep) = angles()?;
            let part = (from.to_radians(), sweep.to_radians());
            Some(chords(&ellipse(at, place(groups, 11)?, one(groups, 40)?, part)))
        }
        4 => Some(chords(&spline(groups, 94, false))),
        _ => None,
    }
}
