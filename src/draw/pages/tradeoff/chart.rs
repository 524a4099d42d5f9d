//! Where everything of the chart goes.

use super::{Tradeoff, TradeoffSpot};
use crate::base::{Canvas, DrawError, INK, Point, QUIET, Rect};
use crate::output::Drawing;
use crate::pages::tradeoff::paint::{Reach, classes, draw_dot, draw_limit, draw_steps, reach};
use crate::pages::tradeoff::side::Side;
use crate::parts::axis::{Axis, draw_grid};
use crate::parts::mark::{Mark, pin_reach, spread};
use crate::parts::marks::draw_pin;
use crate::parts::sketch::{MOST_HEIGHT_PX, Sketch};
use crate::picture::{MOST_PINS, Size, check};

#[derive(Debug, Clone, Copy)]
struct Dot {
    at: Point,
    reach: Reach,
    unbeaten: bool,
    /// The number in its pin, if it has one.
    pin: Option<u32>,
}

/// Beaten spots nearer than this to one another, pixels at size 1, are drawn once.
const THINNED: f64 = 5.0;

/// More beaten spots than this are thinned further.
const MOST_BEATEN: usize = 1200;

/// Room between the plot's frame and its outermost marks, pixels at size 1.
const INSET: f64 = 16.0;

/// Lays the chart out.
///
/// # Errors
/// As [`layout`](crate::layout).
pub fn layout(tradeoff: &Tradeoff, size: Size) -> Result<Drawing, DrawError> {
    let mut sketch = Sketch::new(size)?;
    let (width, edge, size) = (sketch.width, sketch.edge, sketch.size);
    check_all(tradeoff)?;
    let unit = tradeoff.length_unit;
    let spots = &tradeoff.spots;
    let any = |value: fn(&TradeoffSpot) -> Option<f64>| spots.iter().any(|s| value(s).is_some());
    let (walks, wires) = (any(|spot| spot.walk_s), any(|spot| spot.wire_m));
    let shapes = walks && wires;
    let limits = classes(tradeoff);

    let head = sketch.open(&tradeoff.title, &tradeoff.subtitle, &tradeoff.headline);
    let beside = width >= 1000.0;
    let column = 330.0 * size;
    let gap = 30.0 * size;
    let y0 = (head + 44.0 * size).round();
    let x0 = (edge + 86.0 * size).round();
    let x1 = width - edge - if beside { column + gap } else { 0.0 };
    let mut corner = [x1 + gap, y0];
    let mut front = Canvas::default();
    // With three quantities a line would claim too much; with one there is none.
    let stepped = walks != wires;
    let side = Side::new(tradeoff, shapes.then_some(limits), stepped, size);
    let most_high = if beside { side.height(size) } else { 0.0 };
    let plot =
        Rect { x0, y0, x1: x1.round(), y1: (y0 + (0.62 * (x1 - x0)).max(most_high)).round() };
    let inside = plot.grown(-INSET * size);

    let length = |spot: &TradeoffSpot| spot.wire_m.map(|wire| wire / unit.metres());
    // Values across: those given, or places in the order of chances.
    let (title, values): (String, Vec<Option<f64>>) = match (walks, wires) {
        (true, _) => (
            "Walking time from an entry to the spot, s".to_owned(),
            spots.iter().map(|spot| spot.walk_s).collect(),
        ),
        (false, true) => (
            format!("Wire from an outlet to the spot, {}", unit.sign()),
            spots.iter().map(length).collect(),
        ),
        (false, false) => ("Spots in the order of their chance".to_owned(), in_order(spots)),
    };
    let most = values.iter().flatten().copied().fold(0.0, f64::max);
    let across = Axis::linear(most, [inside.x0, inside.x1], title, 90.0 * size);
    let chances = spots.iter().map(|spot| spot.fault_chance);
    let least = chances.chain(tradeoff.keeps_below).fold(1.0, f64::min);
    let title = "Chance of any supervision fault in a year".to_owned();
    let up = Axis::chances(least, [inside.y1, inside.y0], title);

    let dots: Vec<Dot> = spots
        .iter()
        .zip(&values)
        .filter_map(|(spot, value)| {
            Some(Dot {
                at: [across.place((*value)?), up.chance(spot.fault_chance)],
                reach: if shapes { reach(length(spot), limits) } else { Reach::Near },
                unbeaten: spot.unbeaten,
                pin: spot.rank.filter(|&rank| rank <= MOST_PINS),
            })
        })
        .collect();
    let left_out = spots.len() - dots.len();
    let marks = heads(&dots, &plot, size);
    let steps = if stepped { staircase(&dots, &inside) } else { Vec::new() };
    let points = thinned(dots, size);
    let beaten_drawn = points.iter().filter(|dot| !dot.unbeaten).count();

    let beaten = spots.iter().filter(|spot| !spot.unbeaten).count();
    let what = if walks { "walk" } else { "wire" };
    let lacks = |given: bool| !given && !spots.is_empty();
    let notes = [
        (spots.is_empty(), "There is no spot to show."),
        (lacks(walks), "No walking time: the plan has no entry, or no way leads to a spot."),
        (lacks(wires), "No wire length: the plan has no outlet."),
        (left_out > 0, &format!("Left out: {left_out} without a {what}.")),
        (beaten_drawn + left_out < beaten, "Where beaten spots are close together, one is drawn."),
    ];
    let notes: Vec<&str> =
        notes.into_iter().filter_map(|(holds, note)| holds.then_some(note)).collect();

    let mut y = plot.y1 + 66.0 * size;
    if !beside {
        corner = [edge, y];
    }
    y = y.max(side.draw(&mut front, corner, size));
    for (text, ink) in [(notes.join(" "), QUIET), (tradeoff.caution.clone(), INK)] {
        y = sketch.note(&text, ink, y) + 4.0 * size;
    }
    let page = sketch.page(y, MOST_HEIGHT_PX);

    let mut canvas = Canvas::default();
    draw_grid(&mut canvas, &plot, [&across, &up], size);
    if let Some(limit) = tradeoff.keeps_below {
        draw_limit(&mut canvas, &plot, up.chance(limit), size);
    }
    if steps.len() > 1 {
        draw_steps(&mut canvas, &steps, size);
    }
    let (pinned, loose): (Vec<&Dot>, Vec<&Dot>) = points.iter().partition(|dot| dot.pin.is_some());
    for dot in loose {
        draw_dot(&mut canvas, dot.at, dot.reach, dot.unbeaten, size);
    }
    for mark in marks.iter().rev() {
        draw_pin(&mut canvas, mark, size);
    }
    // Over the pins' tips, so that the shape can be seen.
    for dot in pinned {
        draw_dot(&mut canvas, dot.at, dot.reach, dot.unbeaten, size);
    }
    canvas.outline(&plot.corners(), 1.3 * size, INK);
    canvas.append(front);
    canvas.append(sketch.pen);
    Ok(Drawing { page, canvas, dense: false })
}

fn check_all(tradeoff: &Tradeoff) -> Result<(), DrawError> {
    let within = |what: &'static str, value: Option<f64>, most: f64| {
        value.map_or(Ok(()), |value| check(what, value, 0.0..=most))
    };
    for spot in &tradeoff.spots {
        within("a walking time", spot.walk_s, 1e9)?;
        within("a wire's length", spot.wire_m, 1e9)?;
        within("a chance", Some(spot.fault_chance), 1.0)?;
    }
    within("the limit of chances", tradeoff.keeps_below, 1.0)?;
    let lengths = tradeoff.wire_classes_m.into_iter().flatten();
    lengths.into_iter().try_for_each(|length| within("a class of wires", Some(length), 1e9))
}

/// The place of each spot in the order of chances.
fn in_order(spots: &[TradeoffSpot]) -> Vec<Option<f64>> {
    let mut order: Vec<usize> = (0..spots.len()).collect();
    order.sort_by(|&one, &other| spots[one].fault_chance.total_cmp(&spots[other].fault_chance));
    let mut places = vec![None; spots.len()];
    for (place, index) in order.into_iter().enumerate() {
        places[index] = Some(place as f64 + 1.0);
    }
    places
}

/// Pins of the ranked spots; their heads keep off one another and off the spots themselves.
fn heads(dots: &[Dot], plot: &Rect, size: f64) -> Vec<Mark> {
    let pinned = dots.iter().filter_map(|dot| Some((dot.pin?, dot.at)));
    let mut marks: Vec<Mark> = pinned
        .map(|(rank, [x, y])| {
            let reach = pin_reach(rank) * size;
            // Up and to the right: the better spots lie below and to the left.
            Mark::pin(rank, [x, y], [x + 0.6 * reach, y - 0.8 * reach], size)
        })
        .collect();
    let spots = marks.iter().map(|mark| (mark.spot, 9.0 * size)).collect();
    spread(&mut marks, |_| 1.0, spots, plot, size);
    marks
}

/// The steps beyond which no spot lies, from the unbeaten spots in the order of the lower axis.
fn staircase(dots: &[Dot], inside: &Rect) -> Vec<Point> {
    let mut front: Vec<Point> = dots.iter().filter(|dot| dot.unbeaten).map(|dot| dot.at).collect();
    front.sort_by(|one, other| one[0].total_cmp(&other[0]).then(other[1].total_cmp(&one[1])));
    // Lower on the page is less chance: each step must go down.
    let mut steps: Vec<Point> = Vec::new();
    for [x, y] in front {
        match steps.last().copied() {
            None => steps.extend([[x, inside.y0], [x, y]]),
            Some([_, last]) if y > last => steps.extend([[x, last], [x, y]]),
            Some(_) => {}
        }
    }
    if let Some([_, last]) = steps.last().copied() {
        steps.push([inside.x1, last]);
    }
    steps
}

/// The dots in the order in which they are drawn: beaten ones first, and only one of those that are
/// close together; ranked ones last, so that nothing hides them.
fn thinned(dots: Vec<Dot>, size: f64) -> Vec<Dot> {
    let (mut kept, mut beaten): (Vec<Dot>, Vec<Dot>) =
        dots.into_iter().partition(|dot| dot.unbeaten);
    let mut cell = THINNED * size;
    loop {
        let square = |dot: &Dot| {
            let index = |axis: usize| (dot.at[axis] / cell).round() as i64;
            (index(1), index(0), dot.reach, dot.pin.unwrap_or_default())
        };
        beaten.sort_by_key(square);
        beaten.dedup_by_key(|dot| square(dot));
        // Cells as large as the plot end this at the latest.
        if beaten.len() <= MOST_BEATEN || cell > 1e4 {
            break;
        }
        cell *= 1.4;
    }
    beaten.append(&mut kept);
    beaten.sort_by_key(|dot| dot.pin.is_some());
    beaten
}
