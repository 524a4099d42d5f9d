//! The devices, room by room, and how they are called.

use super::input::Quote;
use crate::blocks::{cell, columns, first_only, heading, row};
use document::{Block, Cell, RowKind};
use forecast::{DeviceResult, Finding};
use job::pricing::item_of;
use plan::{Device, DeviceKind};
use words::Words;

/// What stands in a device's mark on the pictures: a sensor's number, or a letter if it has none;
/// the letter of the other kinds, with the number behind it.
pub(super) fn mark(quote: &Quote<'_>, device: &Device) -> String {
    let kind = match device.kind {
        DeviceKind::Panel => "P",
        DeviceKind::Repeater => "R",
        DeviceKind::Keypad => "K",
        DeviceKind::Siren => "S",
        DeviceKind::Sensor => match device.number {
            Some(number) => return number.to_string(),
            None => return letters(nth_without_number(quote, device)),
        },
    };
    // No line is broken between the two.
    let number = device.number.map(|number| format!("\u{a0}{number}"));
    format!("{kind}{}", number.unwrap_or_default())
}

/// Which of the sensors without a number on its level a sensor is, from 0.
fn nth_without_number(quote: &Quote<'_>, device: &Device) -> usize {
    let devices = quote.site.plan.devices.iter();
    let mut without = devices.filter(|other| {
        other.kind == DeviceKind::Sensor && other.level == device.level && other.number.is_none()
    });
    without.position(|other| other.id == device.id).unwrap_or_default()
}

/// a, b, … z, aa, ab, …: as the pictures letter them.
fn letters(nth: usize) -> String {
    let before = if nth < 26 { String::new() } else { letters(nth / 26 - 1) };
    let last = u8::try_from(nth % 26).unwrap_or_default();
    format!("{before}{}", char::from(b'a' + last))
}

/// What hears a device, by name.
pub(super) fn via_name(quote: &Quote<'_>, result: &DeviceResult) -> String {
    match &result.via {
        None => quote.words.quote_via_panel(),
        Some(id) => {
            let repeater = quote.repeaters().find(|repeater| repeater.id == *id);
            repeater.map_or_else(|| id.clone(), |repeater| repeater.name.clone())
        }
    }
}

/// A finding in the customer's words.
pub(super) fn signal_word(words: &Words, finding: Finding) -> String {
    words.term("signal", finding.word()).unwrap_or_default()
}

/// A role in the customer's words; one that is not known stays as the plan has it.
pub(super) fn role_word(words: &Words, device: &Device) -> String {
    let role = device.role.as_deref().unwrap_or("none");
    words.term("role", role).unwrap_or_else(|| role.to_owned())
}

/// The customer's word for the first of these items that has one.
pub(super) fn sort_word(words: &Words, items: &[String]) -> Option<String> {
    items.iter().find_map(|item| words.term("device", item))
}

/// What a device is, in the customer's words where there are any.
pub(super) fn sort_of(words: &Words, device: &Device) -> String {
    let own = || device.device.clone().unwrap_or_default();
    sort_word(words, &item_of(device)).unwrap_or_else(own)
}

/// What is protected, in a sentence: how many devices of each sort there are. `None` for a plan
/// without devices.
pub(super) fn protects(quote: &Quote<'_>) -> Option<String> {
    let words = quote.words;
    let mut sorts: Vec<(Vec<String>, &Device, usize)> = Vec::new();
    for result in Quote::asked(quote.with) {
        let device = &result.device;
        let items = item_of(device);
        match sorts.iter_mut().find(|(known, ..)| *known == items) {
            Some((.., count)) => *count += 1,
            None => sorts.push((items, device, 1)),
        }
    }
    let named = sorts.iter().map(|(items, device, count)| {
        let own = || device.device.clone().unwrap_or_default();
        let many = items.iter().find_map(|item| words.term("several", item));
        match many.filter(|_| *count > 1) {
            Some(name) => format!("{count}\u{a0}{name}"),
            None => {
                let name = sort_word(words, items).unwrap_or_else(own);
                format!("{count}\u{a0}{}", name.to_lowercase())
            }
        }
    });
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| words.quote_protects(&named.join(", ")))
}

pub(super) fn devices(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let columns = columns(&words.quote_device_heads(), "l1.2 l4.0 l4.0 l4.0 l2.6 l3.0");
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
pub(super) fn by_place<'q>(quote: &'q Quote<'_>) -> Vec<(String, Vec<&'q Device>)> {
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
    let (via, signal) = result.map_or_else(Default::default, |result| {
        (via_name(quote, result), signal_word(words, result.finding))
    });
    [
        cell(mark(quote, device)),
        cell(device.name.clone()),
        cell(sort_of(words, device)),
        cell(role_word(words, device)),
        cell(via),
        match result.map(|result| result.finding) {
            None | Some(Finding::Sound) => cell(signal),
            Some(_) => Cell::Strong(signal),
        },
    ]
}
