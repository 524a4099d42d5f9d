//! The devices, room by room.

use super::input::Quote;
use super::names::{mark, role_word, signal_word, sort_word, via_name};
use crate::blocks::{cell, columns, first_only, heading, row};
use document::{Block, Cell, RowKind};
use forecast::Finding;
use job::pricing::item_of;
use plan::{Device, DeviceKind};

/// The table of devices.
pub(super) fn devices(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let columns = columns(&words.quote_device_heads(), "l1.0 l4.0 l4.0 l4.0 l2.6 l3.2");
    let mut rows = Vec::new();
    for (place, of_place) in by_place(quote) {
        rows.push(first_only(RowKind::Group, Cell::Strong(place), columns.len()));
        rows.extend(of_place.into_iter().map(|device| row(cells(quote, device))));
    }
    vec![heading(2, words.quote_devices()), Block::Table { caption: None, columns, rows }]
}

/// The devices by the place at which the customer looks for them: level by level, on each the rooms
/// in the order of the plan, and what the plan puts into no room before them. In each place the
/// panel first, then by number; those without a number last, in plan order.
fn by_place<'q>(quote: &'q Quote<'_>) -> Vec<(String, Vec<&'q Device>)> {
    let plan = quote.site.plan;
    let mut places = Vec::new();
    for level in &plan.levels {
        let here = plan.devices.iter().filter(|d| d.level == level.number);
        let mut here: Vec<&Device> = here.collect();
        here.sort_by_key(|device| {
            let after = device.kind != DeviceKind::Panel;
            (after, device.number.is_none(), device.number)
        });
        let mut rooms: Vec<(String, Vec<&Device>)> = Vec::new();
        let by_room = here.iter().filter(|device| device.room.is_none());
        let by_room = by_room.chain(here.iter().filter(|device| device.room.is_some()));
        for device in by_room {
            let place = plan.place_of(device);
            match rooms.iter_mut().find(|(known, _)| *known == place) {
                Some((_, devices)) => devices.push(device),
                None => rooms.push((place, vec![*device])),
            }
        }
        places.extend(rooms);
    }
    places
}

fn cells(quote: &Quote<'_>, device: &Device) -> [Cell; 6] {
    let words = quote.words;
    let all = quote.with.sensors.iter().chain(&quote.with.two_way);
    let result = all.into_iter().find(|r| r.device.id == device.id);
    let type_word = sort_word(words, &item_of(device));
    let own = || device.device.clone().unwrap_or_default();
    let (via, signal) = result.map_or_else(Default::default, |result| {
        (via_name(quote, result), signal_word(words, result.finding))
    });
    [
        cell(mark(quote, device)),
        cell(device.name.clone()),
        cell(type_word.unwrap_or_else(own)),
        cell(role_word(words, device)),
        cell(via),
        match result.map(|result| result.finding) {
            None | Some(Finding::Sound) => cell(signal),
            Some(_) => Cell::Strong(signal),
        },
    ]
}
