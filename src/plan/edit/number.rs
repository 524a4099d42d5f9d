//! The number of one device, spliced into the text.

use super::super::MAX_NUMBER;
use super::super::feature::named;
use super::super::fields::Fields;
use super::super::layout::Layout;
use super::super::members::is_device;
use super::super::splice::spliced;
use super::{EditError, features_of};

/// The text with the device's property `number` set.
pub(super) fn put_into(text: &str, id: &str, number: u32) -> Result<String, EditError> {
    if number > MAX_NUMBER {
        return Err(EditError::Number(number));
    }
    let items = features_of(text)?.value.items();
    let feature = named(&items).find(|feature| feature.id == id && is_device(&feature.kind));
    let feature = feature.ok_or_else(|| EditError::NoDevice(id.to_owned()))?;
    let properties = feature.fields.value("properties").ok_or(EditError::NotThisPlan)?;
    let properties = Fields::quietly(properties);
    let splice = Layout::set(text, &properties, "number", &number.to_string());
    Ok(spliced(text, splice.into_iter().collect()))
}
