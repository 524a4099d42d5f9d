//! Places that a label may take: boxes round its mark, each with a cost for how far it is, how much
//! of the text had to go, and what it covers.

use crate::base::{Point, Rect, distance};
use crate::parts::search::{Ground, ROOM, Spot, Wanted};

/// Gaps between a mark and its label, pixels at size 1.
const GAPS: [f64; 8] = [3.0, 10.0, 20.0, 34.0, 52.0, 76.0, 106.0, 140.0];

/// Directions tried round a mark.
const DIRECTIONS: u32 = 16;

/// From this gap on a leader line joins label and mark, pixels at size 1.
const LEADER_FROM: f64 = 9.0;

/// Candidates kept for a label.
const CANDIDATES: usize = 96;

/// All places that a label may take by itself, the cheapest first.
pub(crate) fn candidates(label: &Wanted, ground: &Ground) -> Vec<Spot> {
    let mut spots = Vec::new();
    for (form, &[width, height]) in label.forms.iter().enumerate() {
        let form_cost = 34.0 * form as f64;
        let mut offer = |rect: Rect, leader: Option<[Point; 2]>, cost: f64| {
            if let Some(cover) = cover(&rect, leader, label, ground) {
                let reach = leader.iter().flatten().fold(rect, |reach, point| reach.with(*point));
                spots.push(Spot { form, rect, leader, reach, cost: cost + form_cost + cover });
            }
        };
        if let Some(area) = label.area {
            for (step, share) in [0.0, 0.15, -0.15, 0.3, -0.3].into_iter().enumerate() {
                let [x, y] = area.middle();
                let y = y + share * area.height();
                offer(Rect::around([x, y], width, height), None, 6.0 * step as f64);
            }
        }
        // What has no extent may carry its label right upon itself.
        if label.area.is_none() && label.radius == 0.0 {
            offer(Rect::around(label.anchor, width, height), None, -25.0);
        }
        for gap in GAPS {
            for (rect, [dx, dy]) in around(label, gap * ground.size, [width, height]) {
                let from = edge(label, [dx, dy]);
                let to = rect.nearest(label.anchor);
                let apart = distance(to, from) / ground.size;
                let far = label.area.is_none() && apart > LEADER_FROM;
                let leader = far.then_some([label.anchor, to]);
                // Reading order: right is best, then left, above, below, slants last.
                let turn = if dx.abs() > 0.9 { 3.0 * f64::from(dx < 0.0) } else { 5.0 - 2.0 * dx };
                let cost = 0.9 * gap + turn + if far { 14.0 } else { 0.0 };
                offer(rect, leader, if label.area.is_some() { cost + 30.0 } else { cost });
            }
        }
    }
    spots.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    // Enough of each form must be left: the short ones are what fits in a tight place.
    let share = CANDIDATES / label.forms.len().max(1);
    let mut kept = vec![0_usize; label.forms.len()];
    spots.retain(|spot| {
        kept[spot.form] += 1;
        kept[spot.form] <= share
    });
    spots
}

/// Boxes at a gap from what the label belongs to, each with the direction in which it lies: all
/// round, with the part that faces the mark at the end of the gap, and flush above and below.
fn around(label: &Wanted, gap: f64, [width, height]: [f64; 2]) -> Vec<(Rect, [f64; 2])> {
    let mut boxes = Vec::new();
    for step in 0..DIRECTIONS {
        let angle = std::f64::consts::TAU * f64::from(step) / f64::from(DIRECTIONS);
        let (dx, dy) = (angle.cos(), angle.sin());
        let from = edge(label, [dx, dy]);
        let x = from[0] + dx * gap + dx * width / 2.0;
        let y = from[1] + dy * gap + dy * height / 2.0;
        boxes.push((Rect::around([x, y], width, height), [dx, dy]));
    }
    for dy in [-1.0, 1.0] {
        let from = edge(label, [0.0, dy]);
        for slide in [-1.0, -0.5, 0.5, 1.0] {
            let x = from[0] + slide * (width / 2.0 - label.radius).max(0.0);
            let y = from[1] + dy * (gap + height / 2.0);
            boxes.push((Rect::around([x, y], width, height), [0.3 * slide, dy]));
        }
    }
    boxes
}

/// Where a ray from the label's anchor leaves what it belongs to.
fn edge(label: &Wanted, [dx, dy]: [f64; 2]) -> Point {
    let reach = match label.area {
        Some(area) => {
            let across = |half: f64, run: f64| {
                if run.abs() < 1e-9 { f64::INFINITY } else { half / run.abs() }
            };
            across(area.width() / 2.0, dx).min(across(area.height() / 2.0, dy))
        }
        None => label.radius,
    };
    [label.anchor[0] + dx * reach, label.anchor[1] + dy * reach]
}

/// Cost of what a place covers; `None` if it covers what must not be covered.
fn cover(rect: &Rect, leader: Option<[Point; 2]>, label: &Wanted, ground: &Ground) -> Option<f64> {
    let room = ROOM * ground.size;
    if !ground.frame.contains(&rect.grown(room)) {
        return None;
    }
    let mut cost = 0.0;
    for &(centre, radius) in &ground.discs {
        if square(rect.nearest(centre), centre) < (radius + 0.3 * room).powi(2) {
            return None;
        }
        if let Some([from, to]) = leader
            && centre != label.anchor
            && off_line(centre, from, to) < radius * radius
        {
            return None;
        }
    }
    for one in &ground.boxes {
        if one.grown(room).overlaps(rect) {
            return None;
        }
        if leader.is_some_and(|[from, to]| one.meets(from, to)) {
            cost += 20.0;
        }
    }
    Some(cost + 90.0 * ground.walls.share(rect))
}

/// Square of the distance between two points.
fn square(one: Point, other: Point) -> f64 {
    (one[0] - other[0]).powi(2) + (one[1] - other[1]).powi(2)
}

/// Square of the distance of a point from a straight line between two points.
fn off_line(point: Point, from: Point, to: Point) -> f64 {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx * dx + dy * dy;
    let share = if length > 0.0 {
        (((point[0] - from[0]) * dx + (point[1] - from[1]) * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    square(point, [from[0] + share * dx, from[1] + share * dy])
}
