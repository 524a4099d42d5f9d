//! Promises of the chart.

use super::{SIZES, check_drawn, check_refused, check_says, check_texts};
use crate::base::{ACCENT, Shape};
use crate::tradeoff::{Tradeoff, TradeoffSpot, layout};
use crate::*;
use units::Lengths;

/// Invented spots, spread without chance; every fifteenth is unbeaten, five of those are ranked.
fn spots(count: usize) -> Vec<TradeoffSpot> {
    let spot = |index: usize| {
        let [one, other, third] =
            [0.618_034, 0.754_878, 0.569_84].map(|by| (index as f64 * by).fract());
        TradeoffSpot {
            walk_s: Some(4.0 + 16.0 * one * (0.4 + 0.6 * third)),
            fault_chance: 10_f64.powf(-4.6 + 4.6 * (0.75 * other + 0.25 * (1.0 - one))),
            wire_m: Some(0.6 + 14.0 * third),
            rank: [0, 15, 30, 45, 60].iter().position(|own| *own == index).map(|at| at as u32 + 1),
            unbeaten: index.is_multiple_of(15),
        }
    };
    (0..count).map(spot).collect()
}

pub(super) fn house(count: usize) -> Tradeoff {
    Tradeoff {
        title: "14 Quarry Rise: spots for the panel".to_owned(),
        subtitle: "Link: 868 MHz. Spots every 0.25 m along inside wall faces.".to_owned(),
        headline: "Spot 1 keeps every sensor, 8 s from the farthest entry.".to_owned(),
        caution: "A prediction, not a measurement: walk-test every sensor.".to_owned(),
        spots: spots(count),
        keeps_below: Some(0.01),
        ..Tradeoff::default()
    }
}

fn drawn(tradeoff: &Tradeoff) -> Drawing {
    let drawing = layout(tradeoff, Size::default()).expect("a layout");
    check_texts(&drawing);
    drawing
}

#[test]
fn no_words_collide_on_a_chart() {
    for width_px in SIZES {
        for count in [1, 2, 300] {
            check_texts(&layout(&house(count), Size { width_px }).expect("a layout"));
        }
    }
}

#[test]
fn axes_and_legend_carry_units_and_every_ranked_spot_its_number() {
    let wanted = "\
        spot, s | Chance of any supervision fault in a year | 100 % | 0.01 % | wire, \
        m | up to | no other spot beats it | below the line | walk-test";
    let said = check_says(&drawn(&house(300)), wanted);
    for rank in 1..=5 {
        // In its pin and in the table; 2 also in the legend.
        assert!(said.matches(&format!("\n{rank}\n")).count() >= 2);
    }
}

#[test]
fn ten_thousand_spots_are_thinned_and_all_unbeaten_ones_drawn() {
    let mut many = house(300);
    let unbeaten = many.spots.iter().filter(|spot| spot.unbeaten).count();
    let few = drawn(&many).canvas.shapes;
    let more =
        spots(10_000).into_iter().map(|spot| TradeoffSpot { unbeaten: false, rank: None, ..spot });
    many.spots.extend(more);
    let drawing = drawn(&many);
    let drawn = drawing.canvas.shapes.len() - few.len();
    // A beaten spot is two shapes, and so is an unbeaten one, one of them in its own colour.
    assert!((300..2 * 1_300).contains(&drawn), "{drawn}");
    let own = |shapes: &[Shape]| {
        let own = |shape: &&Shape| match shape {
            Shape::Fill(_, ink) | Shape::Disc(_, _, ink) => *ink == ACCENT,
            _ => false,
        };
        shapes.iter().filter(own).count()
    };
    assert!(own(&few) > unbeaten);
    assert_eq!(own(&drawing.canvas.shapes), own(&few));
    check_says(&drawing, "one is drawn");
    assert!(drawing.svg().expect("an SVG").len() < 1_000_000);
}

#[test]
fn what_is_lacking_is_said_and_the_rest_is_used() {
    let with = |change: fn(usize, &mut TradeoffSpot)| {
        let mut lacking = house(300);
        lacking.spots.iter_mut().enumerate().for_each(|(index, spot)| change(index, spot));
        drawn(&lacking)
    };
    let steps = "no spot is below and left of this";
    // Two quantities: steps are drawn.
    check_says(
        &with(|_, spot| spot.wire_m = None),
        "no outlet | no spot is below and left of this",
    );
    check_says(
        &with(|_, spot| spot.walk_s = None),
        "no entry | Wire from an outlet | no spot is below and left of this",
    );
    let neither = with(|_, spot| (spot.walk_s, spot.wire_m) = (None, None));
    check_says(&neither, "no entry | no outlet | in the order of");
    let some = with(|index, spot| spot.walk_s = spot.walk_s.filter(|_| index != 7));
    let said = check_says(&some, "Left out: 1");
    assert!(!said.contains(steps), "three quantities: no line");
}

#[test]
fn poor_input_is_drawn_or_refused_but_never_panics() {
    let size = Size { width_px: 480 };
    let equal = TradeoffSpot {
        walk_s: Some(5.0),
        fault_chance: 0.5,
        wire_m: Some(3.0),
        rank: Some(1),
        unbeaten: true,
    };
    let of = |spots: Vec<TradeoffSpot>| Tradeoff { spots, ..Tradeoff::default() };
    for tradeoff in [
        of(Vec::new()),
        of(vec![equal]),
        of(vec![equal; 30]),
        of(vec![TradeoffSpot::default(); 3]),
        of(vec![TradeoffSpot {
            walk_s: Some(1e9),
            fault_chance: 1.0,
            rank: Some(u32::MAX),
            ..equal
        }]),
        Tradeoff {
            keeps_below: Some(1.0),
            wire_classes_m: Some([0.0, 0.0]),
            length_unit: Lengths::Feet,
            title: "x".repeat(500),
            ..of(vec![equal])
        },
    ] {
        check_drawn(layout(&tradeoff, size));
    }
    for (walk, chance) in [(f64::NAN, 0.1), (-1.0, 0.1), (1.0, 1.1), (1.0, f64::NAN)] {
        let bad = TradeoffSpot { walk_s: Some(walk), fault_chance: chance, ..equal };
        check_refused(layout(&of(vec![bad]), size));
    }
}
