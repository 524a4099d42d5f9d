//! The text of a plan before anything is known of its meaning: limits, encoding, syntax.
//!
//! The limits keep a hostile file from costing much time or memory. They are counted in one walk
//! over the bytes before anything is parsed.

use std::borrow::Cow;

use super::limits::{MAX_FILE_BYTES, MAX_NESTING, MAX_VALUES};
use input::json::{outside_strings, well_formed};
use input::{Diagnostics, decoded, too_large};

/// How to fix a plan that is too large.
pub(super) const PLAN_TOO_LARGE: &str =
    "keep only walls, openings and devices, or split the site into several plans";

/// The text of a file of well-formed JSON within the limits, or nothing after noting why not, with
/// as much of the text as the places of what was noted need.
pub(super) fn checked_bytes<'t>(
    bytes: &'t [u8],
    faults: &mut Diagnostics,
) -> Result<Cow<'t, str>, Cow<'t, str>> {
    if bytes.len() > MAX_FILE_BYTES {
        let what = too_large(bytes.len() as u64, MAX_FILE_BYTES);
        faults.fault(0, None, || (what, PLAN_TOO_LARGE));
        return Err(Cow::default());
    }
    let text = decoded(bytes, faults).ok_or_else(Cow::default)?;
    if is_sound(&text, faults) { Ok(text) } else { Err(text) }
}

/// Whether a text is well-formed JSON within the limits; if not, that is noted.
pub(super) fn is_sound(text: &str, faults: &mut Diagnostics) -> bool {
    if text.trim().is_empty() {
        let fix =
            "a plan is a GeoJSON object: {\"type\": \"FeatureCollection\", \"features\": […]}";
        faults.fault(0, None, || ("the file is empty", fix));
        return false;
    }
    within_limits(text, faults) && well_formed(text, faults)
}

/// Counts nesting and values in one walk that knows no more of JSON than strings and brackets.
fn within_limits(text: &str, faults: &mut Diagnostics) -> bool {
    let (mut depth, mut values) = (0_usize, 0_usize);
    for (at, byte) in outside_strings(text) {
        match byte {
            b'[' | b'{' => {
                depth += 1;
                values += 1;
            }
            b']' | b'}' => depth = depth.saturating_sub(1),
            b',' => values += 1,
            _ => {}
        }
        if depth > MAX_NESTING {
            let what = format!("lists and objects are nested more than {MAX_NESTING} deep");
            let fix = "a plan needs eight; look for extra brackets";
            faults.fault(at, None, || (what, fix));
            return false;
        }
        if values > MAX_VALUES {
            let what = format!("the file holds more than {MAX_VALUES} values");
            let fix = "keep only walls, openings and devices";
            faults.fault(at, None, || (what, fix));
            return false;
        }
    }
    true
}
