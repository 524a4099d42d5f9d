//! Where the control panel and the repeaters go, in words.

use super::input::{NewRepeater, Quote};
use crate::blocks::{heading, paragraph};
use crate::whereabouts::{Places, spot_words};
use document::Block;
use plan::{Device, DeviceKind};

/// The places of the control panel and of every repeater: by room and wall, as an installer
/// measures them.
pub(super) fn places(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let plan = quote.site.plan;
    let panel = &quote.site.panel.device;
    let devices: Vec<&Device> = std::iter::once(panel).chain(quote.repeaters()).collect();
    let found = Places::new(plan).devices(&devices);
    let facts = devices.into_iter().zip(found).map(|(device, at)| {
        let place = spot_words(words, plan.lengths(), &at);
        let is_plugged = |new: &&NewRepeater| new.id == device.id && new.outlet.is_some();
        let place = match quote.new.iter().find(is_plugged) {
            Some(_) => words.quote_repeater_outlet(&place),
            None => place,
        };
        let name = match device.kind {
            DeviceKind::Panel => words.device_panel(),
            _ => device.name.clone(),
        };
        (name, place)
    });
    let title = match quote.repeaters().next() {
        None => words.quote_places(),
        Some(_) => words.quote_places_repeaters(),
    };
    vec![heading(2, title), Block::Facts(facts.collect()), paragraph(words.spot_note())]
}
