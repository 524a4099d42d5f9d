//! Leaves of doors that stand open: a line, and from its tip a quarter of a circle round its other
//! end.

use geo::{Coord, Line};

use super::ink::Mask;

/// Narrowest and widest leaf, metres (our own choice: a cupboard's is narrower).
const LEAF_M: (f64, f64) = (0.5, 1.3);
/// A line may run on behind the hinge, through the wall, by so much, metres (our own choice).
const BEHIND_M: f64 = 0.4;
/// Where on the way of the tip ink is looked for, degrees: not where leaf and wall are.
const LOOK_DEG: (f64, f64) = (12.0, 80.0);
/// Share of the way that must be ink, and most of a way that is a little narrower (our own choice).
const DRAWN: f64 = 0.75;
const BARE: f64 = 0.4;
/// Two hinges so near are one, metres: leaves are drawn with two lines.
const SAME_M: f64 = 0.15;
/// Most lines that are looked at (our own choice: it bounds the time of a hostile picture).
const MOST: usize = 20_000;

/// A leaf, and where its tip is when it is shut, pixels.
#[derive(Clone, Copy)]
pub(super) struct Swing {
    pub(super) hinge: Coord<f64>,
    pub(super) tip: Coord<f64>,
    pub(super) shut: Coord<f64>,
}

/// The leaves among some lines that have the way of their tip drawn.
pub(super) fn swings(lines: &[Line<f64>], ink: &Mask, to_a_metre: f64, finer: f64) -> Vec<Swing> {
    let mut found: Vec<(f64, Swing)> = Vec::new();
    for line in lines.iter().take(MOST) {
        for line in [*line, Line::new(line.end, line.start)] {
            let Some((drawn, swing)) = best(line, ink, to_a_metre, finer) else { continue };
            let is_same = |other: &&mut (f64, Swing)| {
                let off = other.1.hinge - swing.hinge;
                off.x.hypot(off.y) < SAME_M * to_a_metre
            };
            match found.iter_mut().find(is_same) {
                Some(known) if known.0 >= drawn => {}
                Some(known) => *known = (drawn, swing),
                None => found.push((drawn, swing)),
            }
        }
    }
    found.into_iter().map(|(_, swing)| swing).collect()
}

/// The swing with its tip at the end of a line that is drawn best.
fn best(line: Line<f64>, ink: &Mask, to_a_metre: f64, finer: f64) -> Option<(f64, Swing)> {
    let long = line.dx().hypot(line.dy());
    let least = (LEAF_M.0 * to_a_metre).max(long - BEHIND_M * to_a_metre);
    let most = (LEAF_M.1 * to_a_metre).min(long);
    let way = line.delta() / long;
    let mut best: Option<(f64, Swing)> = None;
    let mut leaf = most;
    while leaf >= least {
        let hinge = line.end - way * leaf;
        for side in [-1.0, 1.0] {
            let beside = Coord { x: -way.y, y: way.x } * side;
            let at =
                |turn: f64, radius: f64| hinge + (way * turn.cos() + beside * turn.sin()) * radius;
            let share = |radius: f64, off: f64| {
                let (from, to) = (LOOK_DEG.0.to_radians(), LOOK_DEG.1.to_radians());
                let steps = ((to - from) * radius / 2.0).ceil().max(4.0);
                #[expect(clippy::cast_possible_truncation, reason = "some hundreds")]
                let turns =
                    (0..=steps as u32).map(|step| from + (to - from) * f64::from(step) / steps);
                let dark = turns.filter(|turn| {
                    [-off, 0.0, off].iter().any(|by| is_ink(ink, at(*turn, radius + by)))
                });
                dark.count() as f64 / (steps + 1.0)
            };
            let drawn = share(leaf, (0.7 * finer).max(1.0));
            if drawn >= DRAWN
                && best.is_none_or(|best| drawn > best.0)
                && share(0.85 * leaf, 0.0) <= BARE
            {
                let shut = hinge + beside * leaf;
                best = Some((drawn, Swing { hinge, tip: line.end, shut }));
            }
        }
        leaf -= 1.0;
    }
    best
}

fn is_ink(ink: &Mask, at: Coord<f64>) -> bool {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not below zero")]
    let inside = at.x >= 0.0 && at.y >= 0.0 && ink.is(at.x as usize, at.y as usize);
    inside
}
