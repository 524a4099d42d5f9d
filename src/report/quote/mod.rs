//! A quote for the customer: `quote`.

mod devices;
mod document;
mod input;
mod ledger;
mod offer;
mod places;
mod price;
mod signal;

pub use document::quote;
pub use input::{LevelPictures, NewRepeater, Quote};
pub use offer::offer;
