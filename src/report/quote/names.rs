//! How devices are called in a quote.

use super::input::Quote;
use forecast::{DeviceResult, Finding};
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
