//! What a plan that has no file yet begins with: nothing, or an example.

use serde_json::{Value, json};

use forecast::vocabulary;
use import::{Draft, Kind, Known, STARTER_FT, STARTER_M, Settings};
use units::Lengths;

/// An example: its name, what it is, and its text.
type Example = (&'static str, &'static str, &'static str);

/// The shipped plans.
const EXAMPLES: [Example; 6] = [
    (
        "bungalow",
        "A timber bungalow in feet: light walls, fourteen sensors",
        include_str!("../../floorplans/bungalow.geojson"),
    ),
    (
        "brick-house",
        "A brick house of two storeys: a concrete floor, twenty sensors",
        include_str!("../../floorplans/brick-house.geojson"),
    ),
    (
        "foil-garage",
        "A house with a garage turned into an office: foil in its walls, two sensors in doubt",
        include_str!("../../floorplans/foil-garage.geojson"),
    ),
    (
        "corner-shop",
        "A corner shop with a flat above it: solid brick, shelving, a cold room",
        include_str!("../../floorplans/corner-shop.geojson"),
    ),
    (
        "workshop",
        "A joiner's workshop: the panel hangs in a metal store, which is the wrong place",
        include_str!("../../floorplans/workshop.geojson"),
    ),
    (
        "annexe",
        "A house with an annexe: the panel must stay, so repeaters are needed",
        include_str!("../../floorplans/annexe.geojson"),
    ),
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
    EXAMPLES.iter().find(|(known, ..)| *known == name).map(|(.., text)| *text)
}

/// The members of the message `startable`, but for type and version.
#[must_use]
pub fn startable() -> Value {
    let row = |(name, words, _): &Example| json!({"name": name, "words": words});
    json!({ "examples": EXAMPLES.iter().map(row).collect::<Vec<_>>() })
}
