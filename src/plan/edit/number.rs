//! The number of one device, spliced into the text.

use std::collections::BTreeMap;

use super::super::diagnostic::Diagnostics;
use super::super::feature::{default_id, id_of, kind_name};
use super::super::fields::Fields;
use super::super::json::Sort;
use super::super::layout::Layout;
use super::super::{DeviceKind, MAX_NUMBER};
use super::{EditError, Splice, features_of, spliced};

/// Whether a feature of this kind is a device.
fn is_device(kind: &str) -> bool {
    [
        DeviceKind::Panel,
        DeviceKind::Sensor,
        DeviceKind::Repeater,
        DeviceKind::Keypad,
        DeviceKind::Siren,
    ]
    .iter()
    .any(|known| known.word() == kind)
}

/// The text with the device's property `number` set: put in its place where there is one (null
/// counts), else written behind the device's other properties in their layout.
///
/// # Errors
/// [`EditError::NoDevice`], [`EditError::Number`], or [`EditError::NotThisPlan`] for a text that is no
/// plan.
pub(super) fn put_into(text: &str, id: &str, number: u32) -> Result<String, EditError> {
    if number > MAX_NUMBER {
        return Err(EditError::Number(number));
    }
    let mut ignored = Diagnostics::new("");
    let items = features_of(text)?.value.items();
    let mut counts = BTreeMap::new();
    let objects = items.iter().filter(|item| item.sort() == Sort::Object);
    let features = objects.map(|&item| Fields::of(item, "", "", None, &mut Diagnostics::new("")));
    let mut found = None;
    for feature in features {
        // Counted for every feature: the default ids count them, too.
        let default = default_id(&feature, &mut counts);
        let named = id_of(&feature).or(default).as_deref() == Some(id);
        if found.is_none() && named && kind_name(&feature).as_deref().is_some_and(is_device) {
            found = Some(feature);
        }
    }
    let feature = found.ok_or_else(|| EditError::NoDevice(id.to_owned()))?;
    let at = feature.value("properties").ok_or(EditError::NotThisPlan)?;
    let properties = Fields::of(at, "", "", None, &mut ignored);
    let members = properties.members();
    let digits = number.to_string();
    let splice = match members.iter().find(|member| member.key == "number") {
        Some(member) => Splice::number(member.value, f64::from(number))
            .map(|splice| Splice { with: digits, ..splice }),
        None => {
            let end = members.last().ok_or(EditError::NotThisPlan)?.value.end();
            let with = Layout::another(text, at, members, "number", &digits);
            Some(Splice { from: end, until: end, with: with.ok_or(EditError::NotThisPlan)? })
        }
    };
    Ok(spliced(text, splice.into_iter().collect()))
}
