//! What the chart and its key draw alike: the classes of wires and their dots, the limit, the
//! steps.

use super::Tradeoff;
use crate::base::{ACCENT, Canvas, FRAME, INK, Ink, PAPER, Point, QUIET, Rect, hatch};

/// How long a wire is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Reach {
    Near,
    Middle,
    Far,
    /// No length is known, or shapes do not show it.
    Untold,
}

/// The two lengths between the classes, in the chart's unit: those given, or such that a third of
/// the spots is in each, rounded to whole units.
pub(crate) fn classes(tradeoff: &Tradeoff) -> [f64; 2] {
    let unit = tradeoff.length_unit;
    if let Some(given) = tradeoff.wire_classes_m {
        return given.map(|length| length / unit.metres());
    }
    let mut lengths: Vec<f64> = tradeoff.spots.iter().filter_map(|spot| spot.wire_m).collect();
    lengths.sort_by(f64::total_cmp);
    let third = |count: usize| {
        let length = lengths.get(count * lengths.len() / 3).copied();
        (length.unwrap_or_default() / unit.metres()).round().max(1.0)
    };
    let low = third(1);
    [low, third(2).max(low + 1.0)]
}

/// The class of a wire.
pub(crate) fn reach(length: Option<f64>, [near, middle]: [f64; 2]) -> Reach {
    match length {
        None => Reach::Untold,
        Some(length) if length <= near => Reach::Near,
        Some(length) if length <= middle => Reach::Middle,
        Some(_) => Reach::Far,
    }
}

/// Draws a line across an area, and hatches what lies above.
pub(crate) fn draw_limit(canvas: &mut Canvas, area: &Rect, y: f64, size: f64) {
    let above = Rect { y1: y.max(area.y0), ..*area };
    for line in hatch(&[above.corners().to_vec()], 18.0 * size, true) {
        canvas.line(&line, 1.2 * size, FRAME.at(0.45));
    }
    canvas.rimmed_line(&[[area.x0, y], [area.x1, y]], [4.5 * size, 2.5 * size], INK);
}

pub(crate) fn draw_steps(canvas: &mut Canvas, steps: &[Point], size: f64) {
    canvas.line(steps, 4.0 * size, PAPER);
    canvas.dashed(steps, &[7.0 * size, 4.0 * size], 2.0 * size, ACCENT);
}

/// Draws one spot: its shape says how long the wire is, its filling that no other beats it.
pub(crate) fn draw_dot(canvas: &mut Canvas, at: Point, reach: Reach, unbeaten: bool, size: f64) {
    if unbeaten {
        draw_shape(canvas, at, reach, 9.0 * size, PAPER);
        draw_shape(canvas, at, reach, 7.0 * size, ACCENT);
    } else {
        draw_shape(canvas, at, reach, 5.6 * size, QUIET);
        draw_shape(canvas, at, reach, 4.0 * size, PAPER);
    }
}

/// Shapes of about one area.
fn draw_shape(canvas: &mut Canvas, [x, y]: Point, reach: Reach, radius: f64, ink: Ink) {
    match reach {
        Reach::Near => canvas.disc([x, y], radius, ink),
        Reach::Middle => canvas.rectangle(Rect::around([x, y], 1.8 * radius, 1.8 * radius), ink),
        Reach::Far => {
            let (wide, high) = (1.25 * radius, 1.1 * radius);
            let corners =
                [[x - wide, y + high * 0.85], [x + wide, y + high * 0.85], [x, y - high * 1.15]];
            canvas.polygon(&corners, ink);
        }
        Reach::Untold => {
            let reach = 1.3 * radius;
            let corners = [[x, y - reach], [x + reach, y], [x, y + reach], [x - reach, y]];
            canvas.polygon(&corners, ink);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tradeoff::TradeoffSpot;
    use units::Lengths;

    #[test]
    fn a_third_of_the_wires_is_in_each_class() {
        let spot = |wire| TradeoffSpot { wire_m: Some(wire), ..TradeoffSpot::default() };
        let spots = (0..30).map(|wire| spot(f64::from(wire))).collect();
        let mut tradeoff = Tradeoff { spots, ..Tradeoff::default() };
        assert_eq!(classes(&tradeoff), [10.0, 20.0]);
        assert_eq!(reach(Some(10.0), [10.0, 20.0]), Reach::Near);
        assert_eq!(reach(Some(20.1), [10.0, 20.0]), Reach::Far);
        tradeoff.length_unit = Lengths::Feet;
        tradeoff.wire_classes_m = Some([3.048, 6.096]);
        let feet = classes(&tradeoff);
        assert!((feet[0] - 10.0).abs() < 1e-9 && (feet[1] - 20.0).abs() < 1e-9);
        tradeoff = Tradeoff { spots: vec![spot(0.0)], ..Tradeoff::default() };
        assert_eq!(classes(&tradeoff), [1.0, 2.0]);
    }
}
