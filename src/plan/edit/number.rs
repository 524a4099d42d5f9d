//! The number of one device, spliced into the text.

use super::super::MAX_NUMBER;
use super::super::layout::Node;
use super::super::members::is_device;
use super::super::splice::Splice;
use super::error::EditError;
use super::listing::Listing;
use super::properties::set_in;

/// What sets the device's property `number`.
pub(super) fn splices(
    listing: &Listing<'_>,
    id: &str,
    number: u32,
) -> Result<Vec<Splice>, EditError> {
    if number > MAX_NUMBER {
        return Err(EditError::Number(number));
    }
    let mut features = listing.features.iter();
    let feature = features.find(|feature| feature.id == id && is_device(&feature.kind));
    let feature = feature.ok_or_else(|| EditError::NoDevice(id.to_owned()))?;
    Ok(set_in(listing.text, feature, &[("number", Node::Leaf(number.to_string()))]))
}
