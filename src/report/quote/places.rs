//! Where the control panel and the repeaters go, in words.

use super::input::Quote;
use crate::blocks::heading;
use crate::whereabouts::Places;
use document::Block;
use plan::{Device, DeviceKind};

/// The places of the control panel and of every repeater: by room and wall, as an installer
/// measures them.
pub(super) fn places(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let plan = quote.site.plan;
    let panel = &quote.site.panel.device;
    let devices: Vec<&Device> = std::iter::once(panel).chain(quote.repeaters()).collect();
    let spots: Vec<_> =
        devices.iter().map(|device| (device.level, device.position, device.height_m)).collect();
    let said = Places::new(plan).in_words(words, &spots);
    let facts = devices.into_iter().zip(said).map(|(device, place)| {
        let outlet = quote.new.iter().find(|new| new.id == device.id);
        let place = match outlet.and_then(|new| new.outlet.as_ref()) {
            Some(outlet) => words.quote_repeater_outlet(&place, outlet),
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
    vec![heading(2, title), Block::Facts(facts.collect())]
}
