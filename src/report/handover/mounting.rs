//! The plan with numbers, and the mounting sheet.

use std::collections::BTreeSet;

use super::HandoverReport;
use super::words::term;
use crate::blocks::{cell, columns, dash, heading, number, paragraph, table};
use document::{Block, Cell, Figure};
use job::pricing::Image;
use job::schedule::{Sort, sort_of};
use plan::DeviceKind;

/// The plan of every level, with the numbers of its devices.
pub(super) fn plan(report: &HandoverReport, pictures: &[(i32, Image)]) -> Vec<Block> {
    let words = &report.words;
    let figure = |(level, image): &(i32, Image)| {
        let level = report.plan.level(*level).map_or_else(String::new, |level| level.name.clone());
        Block::Figures(vec![Figure {
            png: image.png.clone(),
            width: image.width,
            height: image.height,
            alt: words.handover_plan_alt(&level),
            caption: words.handover_plan_caption(&level),
        }])
    };
    let title = (!pictures.is_empty()).then(|| heading(2, words.handover_plan()));
    title.into_iter().chain(pictures.iter().map(figure)).collect()
}

/// Panel and supply, where every device hangs and what it is fixed to, what to look for first.
pub(super) fn sheet(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let panel = report.spot(&report.panel);
    let fixing = |of: Option<&super::Spot>| Some(term(words, "fix", of?.fixing?));
    let on = fixing(panel).map_or_else(String::new, |on| format!(" ({on})"));
    let place = panel.map_or_else(String::new, |spot| format!("{}{on}", spot.place));
    let rows = report.results().map(|result| {
        let (device, spot) = (&result.device, report.spot(&result.device));
        let hinged = device.kind == DeviceKind::Sensor && sort_of(device) == Sort::Contact;
        [
            number(device.number),
            cell(&device.name),
            dash(spot.map(|spot| spot.place.clone())),
            dash(fixing(spot)),
            if hinged { Cell::Blank } else { cell("–") },
        ]
    });
    let used: BTreeSet<_> = report.spots.values().filter_map(|spot| spot.fixing).collect();
    let anchors = used.into_iter().map(|on| (term(words, "fix", on), term(words, "anchor", on)));
    let heads = words.mounting_heads();
    let mut facts = vec![
        (words.mounting_panel(), place),
        (words.mounting_supply(), words.mounting_supply_text()),
        (words.mounting_power(), words.mounting_power_text()),
    ];
    if report.battery.is_none() {
        facts.push((words.battery_title(), words.battery_none()));
    }
    vec![
        heading(2, words.mounting_title()),
        Block::Facts(facts),
        table(
            columns(&words.mounting_cable_heads(), "l4.0 c1.5 c1.5"),
            [[cell(words.mounting_cable_text()), Cell::Tick, Cell::Tick]],
        ),
        heading(3, words.mounting_drill()),
        Block::List(vec![
            words.mounting_drill_signal(),
            words.mounting_drill_cables(),
            words.mounting_drill_pipes(),
            words.mounting_drill_studs(),
        ]),
        paragraph(words.spot_note()),
        table(columns(&heads, "r0.5 l2.2 l4.6 l1.3 l1.1"), rows),
        heading(3, words.mounting_fixing()),
        Block::Facts(anchors.collect()),
    ]
}
