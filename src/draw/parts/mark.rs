//! One mark: of a device, or the pin of a ranked spot.

use crate::base::{Point, Rect, distance};
use crate::picture::{DeviceKind, Finding, Picture};

#[derive(Debug, Clone, Default)]
pub(crate) struct Mark {
    /// Where the mark is drawn.
    pub centre: Point,
    /// Where the device is.
    pub spot: Point,
    /// Radius that the mark takes up.
    pub radius: f64,
    /// Letters in it.
    pub tag: String,
    pub kind: DeviceKind,
    pub finding: Option<Finding>,
    /// Place in the order of merit, if it is the pin of a spot and no device.
    pub rank: Option<u32>,
    /// Whether it is the number of a note.
    pub is_note: bool,
    /// Whether it is only there to show where things are: drawn lightly.
    pub faint: bool,
    /// What is pinned to its rim.
    pub badge: Option<Badge>,
    /// Its size against that of a usual mark of its kind.
    pub scale: f64,
}

/// A sign at the rim of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Badge {
    /// Nothing hears it.
    NotHeard,
    /// It is not there yet.
    New,
}

impl Mark {
    /// A device's mark at its own place, with nothing special about it.
    pub fn plain(
        spot: Point,
        radius: f64,
        tag: String,
        kind: DeviceKind,
        finding: Option<Finding>,
    ) -> Self {
        let centre = spot;
        Self { centre, spot, radius, tag, kind, finding, scale: 1.0, ..Self::default() }
    }

    /// The sample of a kind and a finding.
    pub fn sample(
        centre: Point,
        kind: DeviceKind,
        finding: Option<Finding>,
        scale: f64,
        size: f64,
    ) -> Self {
        let radius = radius(kind, finding) * scale * size;
        Self { scale, ..Self::plain(centre, radius, sample_tag(kind), kind, finding) }
    }

    /// The pin of a ranked spot, with its tip on the spot and its head elsewhere.
    pub fn pin(rank: u32, tip: Point, head: Point, size: f64) -> Self {
        let radius = pin_radius(rank) * size;
        let plain = Self::plain(tip, radius, rank.to_string(), DeviceKind::Sensor, None);
        Self { centre: head, rank: Some(rank), ..plain }
    }

    /// The number of a note, beside the place of which it speaks.
    pub fn note(number: u32, [x, y]: Point, size: f64) -> Self {
        let tag = number.to_string();
        let radius = (NOTE + 2.5 * tag.len() as f64) * size;
        let plain = Self::plain([x, y], radius, tag, DeviceKind::Sensor, None);
        Self { centre: [x + 22.0 * size, y - 22.0 * size], is_note: true, ..plain }
    }

    pub fn badge_box(&self, size: f64) -> Option<Rect> {
        let [x, y] = self.centre;
        self.badge.map(|badge| match badge {
            // At the shoulder: the number stays readable.
            Badge::NotHeard => {
                let size = self.scale * size;
                let off = 0.7 * self.radius + 4.0 * size;
                Rect::around([x + off, y - off], 23.0 * size, 23.0 * size)
            }
            Badge::New => Rect::around([x, y + self.radius + 6.0 * size], 38.0 * size, 18.0 * size),
        })
    }

    /// Whether it had to be moved aside; a pin shows by itself where it belongs.
    pub fn moved(&self) -> bool {
        self.rank.is_none() && distance(self.centre, self.spot) > 3.0
    }
}

/// Radius of a mark at size 1, its rims included, and its size in a plain picture against that of
/// a usual one: there the larger marks give way, so that many of them have room in a small picture
/// and the digits of all are about equally large.
const fn sizes(kind: DeviceKind, finding: Option<Finding>) -> [f64; 2] {
    match (kind, finding) {
        (_, Some(Finding::Failing)) => [27.0, 0.72],
        (DeviceKind::Panel, _) => [26.0, 0.78],
        (DeviceKind::Sensor, Some(Finding::Thin)) => [22.0, 0.93],
        (DeviceKind::Sensor, _) => [14.0, 1.0],
        _ => [20.0, 1.0],
    }
}

pub(crate) const fn radius(kind: DeviceKind, finding: Option<Finding>) -> f64 {
    sizes(kind, finding)[0]
}

pub(crate) const fn plain_scale(kind: DeviceKind, finding: Option<Finding>) -> f64 {
    sizes(kind, finding)[1]
}

/// The letters in each device's mark: a sensor's number or letter, for other kinds their initial.
pub(crate) fn tags(picture: &Picture) -> Vec<String> {
    let mut without = 0_u32;
    picture
        .devices
        .iter()
        .map(|device| match (device.kind, device.number) {
            (DeviceKind::Sensor, Some(number)) => number.to_string(),
            (DeviceKind::Sensor, None) => {
                without += 1;
                letters(without)
            }
            (kind, _) => sample_tag(kind),
        })
        .collect()
}

/// What stands in the mark of a kind: its initial, or any number for a sensor.
pub(crate) fn sample_tag(kind: DeviceKind) -> String {
    let tag = match kind {
        DeviceKind::Sensor => "7",
        DeviceKind::Panel => "P",
        DeviceKind::Repeater => "R",
        DeviceKind::Keypad => "K",
        DeviceKind::Siren => "S",
    };
    tag.to_owned()
}

/// a, b, … z, aa, ab, …
fn letters(mut number: u32) -> String {
    let mut text = Vec::new();
    while number > 0 {
        number -= 1;
        text.push(char::from(b'a' + (number % 26) as u8));
        number /= 26;
    }
    text.iter().rev().collect()
}

/// Radius of a note's number at size 1, but for its digits.
const NOTE: f64 = 9.5;

/// Radius of a pin's head at size 1, its rim included.
pub(crate) const fn pin_radius(rank: u32) -> f64 {
    if rank == 1 { 24.0 } else { 18.0 }
}

/// Distance from the tip to the middle of the head of a pin at size 1, unless the head is moved.
pub(crate) const fn pin_reach(rank: u32) -> f64 {
    if rank == 1 { 38.0 } else { 30.0 }
}

/// Something round on the picture.
struct Body {
    centre: Point,
    radius: f64,
    /// How easily it moves; 0: only if it meets its like. `None` for what never moves.
    give: Option<f64>,
}

/// Most pairs of marks that are looked at: eighty rounds of two thousand marks, for which no
/// picture has room.
const MOST_PAIRS: usize = 160_000_000;

/// Pushes marks apart, and off places with a radius that never move, within a frame. `give` says
/// how easily a mark moves. Stops after eighty rounds, or fewer with thousands of marks, so that
/// too many marks for the room may still overlap.
pub(crate) fn spread(
    marks: &mut [Mark],
    give: fn(&Mark) -> f64,
    fixed: Vec<(Point, f64)>,
    frame: &Rect,
    size: f64,
) {
    let body =
        |mark: &Mark| Body { centre: mark.centre, radius: mark.radius, give: Some(give(mark)) };
    let fixed = fixed.into_iter().map(|(centre, radius)| Body { centre, radius, give: None });
    let mut bodies: Vec<Body> = marks.iter().map(body).chain(fixed).collect();
    let pairs = (bodies.len() * bodies.len() / 2).max(1);
    for _ in 0..(MOST_PAIRS / pairs).clamp(1, 80) {
        let mut still = true;
        for one in 0..bodies.len() {
            for other in one + 1..bodies.len() {
                let (left, right) = bodies.split_at_mut(other);
                still &= !part(&mut left[one], &mut right[0], one + other, size);
            }
        }
        for body in bodies.iter_mut().filter(|body| body.give.is_some()) {
            body.centre = frame.grown(-body.radius - 2.0).nearest(body.centre);
        }
        if still {
            break;
        }
    }
    for (mark, body) in marks.iter_mut().zip(bodies) {
        mark.centre = body.centre;
    }
}

/// Pushes two bodies apart; false if they were already, or cannot move.
fn part(a: &mut Body, b: &mut Body, turn: usize, size: f64) -> bool {
    let needed = a.radius + b.radius + size;
    let (dx, dy) = (b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]);
    // Nearly all pairs are far apart, and no root is needed to see it.
    if dx.abs() >= needed || dy.abs() >= needed {
        return false;
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sensors_without_a_number_get_letters() {
        assert_eq!(letters(1), "a");
        assert_eq!(letters(27), "aa");
    }

    #[test]
    fn far_more_marks_than_a_picture_holds_are_pushed_for_a_round_only() {
        let at = |number: u32| [f64::from(number % 150), f64::from(number / 150)];
        let mark = |spot| Mark::plain(spot, 14.0, String::new(), DeviceKind::Sensor, None);
        let mut marks: Vec<Mark> = (0..20_000).map(|number| mark(at(number))).collect();
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 2_000.0, y1: 2_000.0 };
        spread(&mut marks, |_| 1.0, Vec::new(), &frame, 1.0);
        assert!(marks.iter().all(|mark| frame.contains(&Rect::around(mark.centre, 28.0, 28.0))));
        assert!(marks.iter().any(Mark::moved));
    }
}
