//! Which construction a material is taken for.

use super::element::Tags;
use super::notes::{LEFT_OUT, MEASURE, Notes, TAKEN};
use crate::{DOOR, LEAVE_OUT, Settings, WINDOW};
use plan::quoted;

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    Outside,
    Inside,
    Door,
    Window,
}

/// Values of the tags, and what they are taken for: outside, inside, as a door, as a window. The
/// values are common ones of the keys `material` and `building:material` (from memory, not
/// confirmed); what they stand for is our own choice. An empty word leaves the default.
const MATERIALS: [(&str, [&str; 4]); 13] = [
    ("brick bricks masonry", ["brick-cavity", "brick-half", "", ""]),
    ("concrete", ["concrete-200", "concrete-100", "", ""]),
    (
        "reinforced_concrete concrete_reinforced",
        ["concrete-reinforced-200", "concrete-reinforced-200", "", ""],
    ),
    ("concrete_block cement_block block", ["block-dense", "block-dense", "", ""]),
    ("aerated_concrete lightweight_block", ["block-light", "block-light", "", ""]),
    ("stone sandstone limestone granite", ["stone-wall", "stone-wall", "", ""]),
    ("wood timber", ["timber-frame-exterior", "stud-partition", "door-solid", ""]),
    (
        "timber_framing plasterboard drywall gypsum_board gypsum",
        ["timber-frame-exterior", "stud-partition", "", ""],
    ),
    ("lath_and_plaster", ["", "lath-and-plaster", "", ""]),
    ("glass safety_glass", ["glass-double", "glass-single", "door-glazed", "glass-double"]),
    ("wired_glass", ["glass-wired", "glass-wired", "door-glazed", "glass-wired"]),
    (
        "metal steel aluminium metal_plates",
        ["metal-panel-insulated", "sheet-metal", "door-steel", ""],
    ),
    ("tiles", ["tiled-brick", "tiled-stud", "", ""]),
];

impl Place {
    /// What such things are called, their usual construction, and how to say it better.
    fn usual(self, settings: &Settings) -> (&'static str, &str, &'static str) {
        let outside = "give --outside NAME, or tag the map with material";
        let inside = "give --inside NAME, or tag the map with material";
        let tag = "tag the map with material, or correct \"construction\" in the plan";
        match self {
            Self::Outside => ("outside walls", settings.outside(), outside),
            Self::Inside => ("inside walls", settings.inside(), inside),
            Self::Door => ("doors", DOOR, tag),
            Self::Window => ("windows", WINDOW, tag),
        }
    }
}

/// The construction of what these tags speak of, the first first; none if the user wants none.
pub(super) fn construction(
    tags: &[&Tags],
    place: Place,
    settings: &Settings,
    notes: &mut Notes,
) -> Option<String> {
    let (word, default, fix) = place.usual(settings);
    let said = tags.iter().find_map(|tags| {
        let facade = || tags.get("building:material");
        let value = tags.get("material").or_else(facade)?;
        value.split(';').next().map(str::trim)
    });
    let Some(said) = said else {
        let about = format!("{word} without a material");
        notes.tell(MEASURE, about, format!("were taken as {default}"), fix);
        return Some(default.to_owned());
    };
    if let Some(wanted) = settings.map.get(said) {
        if wanted == LEAVE_OUT {
            let about = format!("material {}", quoted(said));
            notes.tell(LEFT_OUT, about, "was left out, as asked", "drop its --map");
            return None;
        }
        return Some(wanted.clone());
    }
    let known = MATERIALS.iter().find(|(values, _)| values.split(' ').any(|value| value == said));
    let taken = known.map(|(_, names)| names[place as usize]);
    if let Some(taken) = taken.filter(|taken| !taken.is_empty()) {
        return Some(taken.to_owned());
    }
    let about = format!("material {}", quoted(said));
    let taken = format!("names no construction here; taken as {default}");
    notes.tell(TAKEN, about, taken, "give --map MATERIAL=CONSTRUCTION");
    Some(default.to_owned())
}

/// All constructions that a material may be taken for.
pub fn all() -> impl Iterator<Item = &'static str> {
    MATERIALS.iter().flat_map(|(_, names)| names.iter().copied()).filter(|name| !name.is_empty())
}
