//! Promises of the chart.

use super::*;
use crate::base::distance;
use crate::picture::Size;
use crate::tests::check_apart;

/// Invented spots, spread without chance: a walk, a chance and a wire that pull against one
/// another.
fn spots(count: usize) -> Vec<TradeoffSpot> {
    let mut spots: Vec<TradeoffSpot> = (0..count)
        .map(|index| {
            let turn = |by: f64| (index as f64 * by).fract();
            let (one, other, third) = (turn(0.618_034), turn(0.754_878), turn(0.569_84));
            TradeoffSpot {
                walk_s: Some(4.0 + 16.0 * one * (0.4 + 0.6 * third)),
                fault_chance: 10_f64.powf(-4.6 + 4.6 * (0.75 * other + 0.25 * (1.0 - one))),
                wire_m: Some(0.6 + 14.0 * third),
                rank: None,
                unbeaten: false,
            }
        })
        .collect();
    let beats = |one: &TradeoffSpot, other: &TradeoffSpot| {
        one.walk_s <= other.walk_s
            && one.fault_chance <= other.fault_chance
            && one.wire_m <= other.wire_m
            && one != other
    };
    let all = spots.clone();
    for spot in &mut spots {
        spot.unbeaten = !all.iter().any(|other| beats(other, spot));
    }
    let mut best: Vec<usize> = (0..count).filter(|&index| spots[index].unbeaten).collect();
    best.sort_by(|&one, &other| {
        let merit = |index: usize| {
            let spot: &TradeoffSpot = &spots[index];
            spot.fault_chance.log10() + spot.walk_s.unwrap_or(0.0) / 6.0
        };
        merit(one).total_cmp(&merit(other))
    });
    for (rank, index) in best.into_iter().take(5).enumerate() {
        spots[index].rank = Some(rank as u32 + 1);
    }
    spots
}

fn png(tradeoff: &Tradeoff, size: Size) -> Result<Vec<u8>, DrawError> {
    layout(tradeoff, size)?.png()
}

fn svg(tradeoff: &Tradeoff, size: Size) -> Result<String, DrawError> {
    layout(tradeoff, size)?.svg()
}

fn house(count: usize) -> Tradeoff {
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

/// Checks that no two things on the page collide.
fn check_layout(tradeoff: &Tradeoff, width_px: u32) -> Chart {
    let chart = layout(tradeoff, Size { width_px }).expect("a layout");
    for (index, pin) in chart.pins.iter().enumerate() {
        assert!(chart.plot.contains(pin), "a pin leaves the plot");
        for other in &chart.pins[index + 1..] {
            let needed = (pin.width() + other.width()) / 2.0;
            let apart = distance(pin.middle(), other.middle());
            assert!(apart > needed - 0.5, "{pin:?} and {other:?}");
        }
    }
    check_apart(&chart.page, &[("plot", chart.plot), ("legend", chart.legend)], 0.0);
    if let Some(label) = chart.limit_label {
        assert!(chart.plot.contains(&label), "{label:?}");
    }
    chart
}

#[test]
fn nothing_collides_on_a_chart() {
    for width in [480, 640, 1600, 3000] {
        for count in [1, 2, 300] {
            check_layout(&house(count), width);
        }
    }
}

#[test]
fn axes_and_legend_carry_units_and_every_ranked_spot_its_number() {
    let text = svg(&house(300), Size::default()).expect("an SVG");
    for words in [
        "spot, s",
        "Chance of any supervision fault in a year",
        "100 %",
        "0.01 %",
        "wire, m",
        "up to",
        "no other spot beats it",
        "below: every sensor is kept",
        "walk-test",
    ] {
        assert!(text.contains(words), "{words}");
    }
    for rank in 1..=5 {
        // In its pin and in the table; 2 also in the legend.
        assert!(text.matches(&format!(">\n{rank}\n</text>")).count() >= 2);
    }
    assert!(text.starts_with("<svg ") && text.trim_end().ends_with("</svg>"));
}

#[test]
fn ten_thousand_spots_are_thinned_and_all_unbeaten_ones_drawn() {
    let mut many = house(300);
    let more =
        spots(10_000).into_iter().map(|spot| TradeoffSpot { unbeaten: false, rank: None, ..spot });
    many.spots.extend(more);
    let chart = check_layout(&many, 1600);
    assert!(chart.beaten_drawn < 1_300, "{}", chart.beaten_drawn);
    let unbeaten = chart.points.iter().filter(|dot| dot.unbeaten).count();
    let given = many.spots.iter().filter(|spot| spot.unbeaten).count();
    assert_eq!(unbeaten, given);
    assert!(chart.notes.iter().any(|note| note.contains("one is drawn")));
    assert!(svg(&many, Size::default()).expect("an SVG").len() < 1_000_000);
}

#[test]
fn what_is_lacking_is_said_and_the_rest_is_used() {
    let mut no_wire = house(300);
    for spot in &mut no_wire.spots {
        spot.wire_m = None;
    }
    let chart = check_layout(&no_wire, 1600);
    assert!(chart.notes.join(" ").contains("no outlet"));
    assert!(chart.steps.len() > 3, "two quantities: steps are drawn");
    assert!(chart.steps.windows(2).all(|pair| pair[0][1] <= pair[1][1]));

    let mut no_walk = house(300);
    for spot in &mut no_walk.spots {
        spot.walk_s = None;
    }
    let chart = check_layout(&no_walk, 1600);
    assert!(chart.notes.join(" ").contains("no entry"));
    assert!(chart.across.title.contains("Wire"));

    for spot in &mut no_walk.spots {
        spot.wire_m = None;
    }
    let chart = check_layout(&no_walk, 1600);
    let notes = chart.notes.join(" ");
    assert!(notes.contains("no entry") && notes.contains("no outlet"));
    assert!(chart.across.title.contains("order"));

    let mut some = house(300);
    some.spots[7].walk_s = None;
    let chart = check_layout(&some, 1600);
    assert!(chart.notes.join(" ").contains("Left out: 1"));
    assert!(chart.steps.is_empty(), "three quantities: no line");
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
            length_unit: LengthUnit::Feet,
            title: "x".repeat(500),
            ..of(vec![equal])
        },
    ] {
        assert!(png(&tradeoff, size).is_ok() && svg(&tradeoff, size).is_ok());
    }
    for (walk, chance) in [(f64::NAN, 0.1), (-1.0, 0.1), (1.0, 1.1), (1.0, f64::NAN)] {
        let bad = TradeoffSpot { walk_s: Some(walk), fault_chance: chance, ..equal };
        assert!(matches!(png(&of(vec![bad]), size), Err(DrawError::Number { .. })));
    }
}

#[test]
fn the_same_chart_gives_the_same_bytes() {
    let chart = house(300);
    assert_eq!(png(&chart, Size::default()).ok(), png(&chart, Size::default()).ok());
}
