//! Paths of a page as straight lines and parts of circles.
//!
//! A page knows no arcs: programs write them as Bézier curves, or as many short lines. Both are
//! taken back to parts of circles, so that the swing of a door can be told.

use geo::{Coord, Line};

use crate::dxf::rounds::{OFF, lines, middle, push_arc, turn_deg};
use crate::dxf::{Drawn, Round};
use crate::line::length;

/// A piece of a path, in points of the page.
#[derive(Clone, Copy)]
pub(super) enum Piece {
    Straight(Line<f64>),
    /// From the first point to the last, by the two between.
    Curve([Coord<f64>; 4]),
}

/// Most lines of one curve that is no part of a circle, and how long they are, points: the letters
/// of a text that is drawn need few (our own choice).
const MOST: f64 = 16.0;
const LONG_PT: f64 = 3.0;

/// The lines and arcs of a part of a path that was drawn without lifting the pen.
pub(super) fn drawn(pieces: &[Piece]) -> Vec<Drawn> {
    let mut all: Vec<Drawn> = Vec::new();
    let mut run: Vec<Coord<f64>> = Vec::new();
    for piece in pieces {
        match *piece {
            Piece::Straight(line) => {
                if run.last() != Some(&line.start) {
                    lines(&mut run, &mut all);
                    run.push(line.start);
                }
                run.push(line.end);
            }
            Piece::Curve(curve) => {
                lines(&mut run, &mut all);
                match arc(&curve) {
                    Some(arc) => push_arc(&mut all, arc),
                    None => all.extend(flat(&curve)),
                }
            }
        }
    }
    lines(&mut run, &mut all);
    all
}

fn at(curve: &[Coord<f64>; 4], t: f64) -> Coord<f64> {
    let s = 1.0 - t;
    let [a, b, c, d] = *curve;
    a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t)
}

fn flat(curve: &[Coord<f64>; 4]) -> impl Iterator<Item = Drawn> + '_ {
    let by_corners = curve.windows(2).map(|pair| length(Line::new(pair[0], pair[1])));
    let count = (by_corners.sum::<f64>() / LONG_PT).ceil().clamp(2.0, MOST);
    let places = (0_u8..=16).map(f64::from).take_while(move |number| *number <= count);
    let places: Vec<Coord<f64>> = places.map(|number| at(curve, number / count)).collect();
    (1..places.len()).map(move |number| Drawn::line(places[number - 1], places[number]))
}

/// A curve as a part of a circle, if it is one.
fn arc(curve: &[Coord<f64>; 4]) -> Option<Drawn> {
    let places = [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| at(curve, t));
    let middle = middle(places[0], places[2], places[4])?;
    let radius = length(Line::new(middle, places[0]));
    let off = |place: &Coord<f64>| (length(Line::new(middle, *place)) - radius).abs();
    if places.iter().any(|place| off(place) > OFF * radius) {
        return None;
    }
    let sweep_deg = places.windows(2).map(|pair| turn_deg(middle, pair[0], pair[1])).sum();
    let round = Some(Round { middle, sweep_deg });
    Some(Drawn { start: places[0], end: places[4], round, is_chord: false })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle(from_deg: f64, to_deg: f64, count: usize) -> Vec<Coord<f64>> {
        let angle = |number: usize| from_deg + (to_deg - from_deg) * number as f64 / count as f64;
        let place = |number| {
            let (sin, cos) = angle(number).to_radians().sin_cos();
            Coord { x: 100.0 + 45.0 * cos, y: 50.0 + 45.0 * sin }
        };
        (0..=count).map(place).collect()
    }

    fn only(pieces: &[Piece]) -> (f64, f64) {
        let all = drawn(pieces);
        assert_eq!(all.len(), 1);
        let round = all[0].round.expect("an arc");
        (length(Line::new(round.middle, all[0].start)), round.sweep_deg)
    }

    #[test]
    fn short_lines_round_a_middle_are_an_arc_and_corners_are_not() {
        let straight = |corners: &[Coord<f64>]| -> Vec<Piece> {
            let line = |pair: &[Coord<f64>]| Piece::Straight(Line::new(pair[0], pair[1]));
            corners.windows(2).map(line).collect()
        };
        let (radius, sweep_deg) = only(&straight(&circle(10.0, 100.0, 9)));
        assert!((radius - 45.0).abs() < 1e-6 && (sweep_deg - 90.0).abs() < 1e-6);
        let (_, back) = only(&straight(&circle(100.0, 10.0, 9)));
        assert!((back + 90.0).abs() < 1e-6);
        // Four corners of a square lie on a circle, too.
        let square = drawn(&straight(&circle(0.0, 360.0, 4)));
        assert_eq!(square.iter().filter(|one| one.round.is_none()).count(), 4);
        let zigzag: Vec<Coord<f64>> =
            (0..20).map(|x| Coord { x: f64::from(x), y: f64::from(x % 2) }).collect();
        assert_eq!(drawn(&straight(&zigzag)).len(), 19);
    }

    #[test]
    fn curves_of_a_quarter_join_to_the_whole_circle_and_a_wave_stays_a_wave() {
        let k = 0.552_284_75 * 45.0;
        let around = |quarter: f64| {
            let turn = |x: f64, y: f64| {
                let (sin, cos) = (90.0 * quarter).to_radians().sin_cos();
                Coord { x: 100.0 + x * cos - y * sin, y: 50.0 + x * sin + y * cos }
            };
            Piece::Curve([turn(45.0, 0.0), turn(45.0, k), turn(k, 45.0), turn(0.0, 45.0)])
        };
        let (radius, sweep_deg) = only(&[around(0.0)]);
        assert!((radius - 45.0).abs() < 0.05 && (sweep_deg - 90.0).abs() < 0.1);
        let all: Vec<Piece> = [0.0, 1.0, 2.0, 3.0].map(around).to_vec();
        assert!((only(&all).1 - 360.0).abs() < 0.2);
        let wave = [(0.0, 0.0), (10.0, 30.0), (20.0, -30.0), (30.0, 0.0)];
        let wave = drawn(&[Piece::Curve(wave.map(|(x, y)| Coord { x, y }))]);
        assert!(wave.len() > 1 && wave.iter().all(|one| one.round.is_none()));
    }
}
