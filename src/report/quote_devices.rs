//! The devices, room by room.

use super::blocks::heading;
use super::quote::Quote;
use document::{Align, Block, Cell, Column, Row, RowKind};
use forecast::{DeviceResult, Finding};
use job::pricing::item_of;
use plan::{Device, DeviceKind};
use words::Words;

/// The table of devices.
pub(super) fn devices(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let left = |title: String, share: f64| Column { title, align: Align::Left, share };
    let columns = vec![
        left(words.quote_column_number(), 1.0),
        left(words.quote_column_device(), 4.0),
        left(words.quote_column_type(), 4.0),
        left(words.quote_column_role(), 4.0),
        left(words.quote_column_via(), 2.6),
        left(words.quote_column_signal(), 3.2),
    ];
    let mut rows = Vec::new();
    for (place, of_place) in by_place(quote) {
        let empty = (1..columns.len()).map(|_| Cell::Text(String::new()));
        rows.push(Row {
            kind: RowKind::Group,
            cells: [Cell::Strong(place)].into_iter().chain(empty).collect(),
        });
        for device in of_place {
            rows.push(Row { kind: RowKind::Plain, cells: row(quote, device) });
        }
    }
    vec![heading(2, words.quote_devices()), Block::Table { caption: None, columns, rows }]
}

/// The devices by the place at which the customer looks for them: level by level, on each the rooms in
/// the order of the plan, and what the plan puts into no room before them. In each place the panel first,
/// then by number; those without a number last, in plan order.
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

fn row(quote: &Quote<'_>, device: &Device) -> Vec<Cell> {
    let words = quote.words;
    let all = quote.with.sensors.iter().chain(&quote.with.two_way);
    let result = all.into_iter().find(|r| r.device.id == device.id);
    let type_word = sort_word(words, &item_of(device));
    let own = || device.device.clone().unwrap_or_default();
    let (via, signal) = result.map_or_else(Default::default, |result| {
        (via_name(quote, result), signal_word(words, result.finding))
    });
    vec![
        Cell::Text(mark(quote, device)),
        Cell::Text(device.name.clone()),
        Cell::Text(type_word.unwrap_or_else(own)),
        Cell::Text(role_word(words, device)),
        Cell::Text(via),
        match result.map(|result| result.finding) {
            None | Some(Finding::Sound) => Cell::Text(signal),
            Some(_) => Cell::Strong(signal),
        },
    ]
}

/// What stands in a device's mark on the pictures: a sensor's number, or a letter if it has none; the
/// letter of the other kinds, with the number behind it.
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
    let number = device.number.map(|number| format!(" {number}"));
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
    let mut number = nth + 1;
    let mut text = Vec::new();
    while number > 0 {
        number -= 1;
        text.push(char::from(b'a' + u8::try_from(number % 26).unwrap_or_default()));
        number /= 26;
    }
    text.iter().rev().collect()
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
    match finding {
        Finding::Sound => words.signal_sound(),
        Finding::Thin => words.signal_thin(),
        Finding::Failing => words.signal_failing(),
    }
}

fn role_word(words: &Words, device: &Device) -> String {
    match device.role.as_deref() {
        None => words.role_none(),
        Some("perimeter") => words.role_perimeter(),
        Some("entry-exit") => words.role_entry_exit(),
        Some("interior") => words.role_interior(),
        Some("24-hour") => words.role_always(),
        Some("fire") => words.role_fire(),
        Some("carbon-monoxide") => words.role_carbon_monoxide(),
        Some("medical") => words.role_medical(),
        Some("panic") => words.role_panic(),
        Some(other) => other.to_owned(),
    }
}

/// The customer's word for the first of these items that has one.
pub(super) fn sort_word(words: &Words, items: &[String]) -> Option<String> {
    items.iter().find_map(|item| {
        Some(match item.as_str() {
            "contact" => words.device_contact(),
            "motion" => words.device_motion(),
            "glass-break" => words.device_glass_break(),
            "shock" => words.device_shock(),
            "smoke" => words.device_smoke(),
            "heat" => words.device_heat(),
            "co" => words.device_co(),
            "leak" => words.device_leak(),
            "fob" => words.device_fob(),
            "pendant" => words.device_pendant(),
            "panel" => words.device_panel(),
            "sensor" => words.device_sensor(),
            "repeater" => words.device_repeater(),
            "keypad" => words.device_keypad(),
            "siren" => words.device_siren(),
            _ => return None,
        })
    })
}
