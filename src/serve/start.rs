//! What a plan that has no file yet begins with: nothing, or an example.

use serde_json::{Value, json};

use forecast::vocabulary;
use import::{Draft, Kind, Known, STARTER_FT, STARTER_M, Settings};
use units::Lengths;
use words::Words;

/// An example: its name and its text.
type Example = (&'static str, &'static str);

/// The shipped plans.
const EXAMPLES: [Example; 6] = [
    ("bungalow", include_str!("../../floorplans/bungalow.geojson")),
    ("brick-house", include_str!("../../floorplans/brick-house.geojson")),
    ("foil-garage", include_str!("../../floorplans/foil-garage.geojson")),
    ("corner-shop", include_str!("../../floorplans/corner-shop.geojson")),
    ("workshop", include_str!("../../floorplans/workshop.geojson")),
    ("annexe", include_str!("../../floorplans/annexe.geojson")),
];

/// The text of a plan in which nothing is drawn: unit, link and storey are those of the list that
/// `new` writes.
#[must_use]
pub fn empty(unit: Lengths) -> String {
    let list = match unit {
        Lengths::Metric => STARTER_M,
        Lengths::Feet => STARTER_FT,
    };
    let known = Known { vocabulary: vocabulary() };
    let settings = Settings { known, ..Settings::default() };
    // The list is the program's own and has no fault.
    let house = import::draft(Kind::Tape, "", list.as_bytes(), &settings).unwrap_or_default();
    Draft { pieces: Vec::new(), ..house }.text()
}

/// The text of an example.
#[must_use]
pub fn example(name: &str) -> Option<&'static str> {
    EXAMPLES.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}

/// The members of the message `startable`, but for type and version.
#[must_use]
pub fn startable(words: &Words) -> Value {
    let row = |(name, _): &Example| json!({"name": name, "words": words.term("example", name)});
    json!({ "examples": EXAMPLES.iter().map(row).collect::<Vec<_>>() })
}
