//! Pushing round bodies apart until none covers another.

use crate::base::{Point, Rect};

/// Something round on the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Body {
    pub centre: Point,
    pub radius: f64,
    /// How easily it moves, against others: 0 only if it meets its like. `None` for what never
    /// moves.
    pub give: Option<f64>,
}

/// Pushes the bodies apart within a frame; gives their centres. Stops after eighty rounds, so that
/// too many bodies for the room may still overlap.
pub(crate) fn push_apart(bodies: &mut [Body], frame: &Rect, size: f64) {
    for _ in 0..80 {
        let mut still = true;
        for one in 0..bodies.len() {
            for other in one + 1..bodies.len() {
                let (left, right) = bodies.split_at_mut(other);
                if let (Some(a), Some(b)) = (left.get_mut(one), right.first_mut()) {
                    still &= !part(a, b, one + other, size);
                }
            }
        }
        for body in bodies.iter_mut().filter(|body| body.give.is_some()) {
            let rim = frame.grown(-body.radius - 2.0);
            body.centre = rim.nearest(body.centre);
        }
        if still {
            break;
        }
    }
}

/// Pushes two bodies apart; false if they were already, or cannot move.
fn part(a: &mut Body, b: &mut Body, turn: usize, size: f64) -> bool {
    let needed = a.radius + b.radius + size;
    let (dx, dy) = (b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]);
    let apart = dx.hypot(dy);
    if apart >= needed {
        return false;
    }
    let (ux, uy) = if apart > 1e-6 {
        (dx / apart, dy / apart)
    } else {
        // On the same spot any direction does; the golden angle spreads many of them.
        let angle = turn as f64 * 2.399_963;
        (angle.cos(), angle.sin())
    };
    let (mut soft_a, mut soft_b) = (a.give.unwrap_or(0.0), b.give.unwrap_or(0.0));
    if soft_a + soft_b == 0.0 {
        if a.give.is_none() || b.give.is_none() {
            return false;
        }
        (soft_a, soft_b) = (1.0, 1.0);
    }
    let push = (needed - apart + 0.1) / (soft_a + soft_b);
    a.centre = [a.centre[0] - ux * push * soft_a, a.centre[1] - uy * push * soft_a];
    b.centre = [b.centre[0] + ux * push * soft_b, b.centre[1] + uy * push * soft_b];
    true
}
