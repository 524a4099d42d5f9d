//! The number of one device, spliced into the text.

use super::super::MAX_NUMBER;
use super::super::layout::Node;
use super::super::members::is_device;
use super::super::splice::spliced;
use super::error::EditError;
use super::listing::Listing;
use super::properties::set_in;

/// The text with the device's property `number` set.
pub(super) fn put_into(text: &str, id: &str, number: u32) -> Result<String, EditError> {
    if number > MAX_NUMBER {
        return Err(EditError::Number(number));
    }
    let listing = Listing::of(text)?;
    let mut features = listing.features();
    let feature = features.find(|feature| feature.id == id && is_device(&feature.kind));
    let feature = feature.ok_or_else(|| EditError::NoDevice(id.to_owned()))?;
    let splices = set_in(text, &feature, &[("number", Node::Leaf(number.to_string()))]);
    Ok(spliced(text, splices))
}
