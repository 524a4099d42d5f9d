//! Which device a user means.

use strsim::damerau_levenshtein;
use thiserror::Error;

use super::explainable;
use plan::{Device, DeviceKind, Plan};

/// How many near names are offered.
const MOST_OFFERED: usize = 3;

/// Why no device is meant, or more than one, and what to ask for instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{0}")]
pub struct NotFound(String);

/// The device with an id, a number or a name, small and capital letters alike. An exact id goes
/// before everything else.
pub fn find<'p>(plan: &'p Plan, asked: &str) -> Result<&'p Device, NotFound> {
    let asked = asked.trim();
    let shown = asked.escape_debug().to_string();
    let same = |text: &str| text.to_lowercase() == asked.to_lowercase();
    let number = asked.parse::<u32>().ok();
    let means = |device: &&Device| {
        same(&device.id) || same(&device.name) || (number.is_some() && device.number == number)
    };
    if explainable(&plan.devices).next().is_none() {
        return Err(NotFound("the plan has no device but the panel".to_owned()));
    }
    if let Some(exact) = explainable(&plan.devices).find(|device| device.id == asked) {
        return Ok(exact);
    }
    let found: Vec<&Device> = explainable(&plan.devices).filter(means).collect();
    match found.as_slice() {
        [one] => Ok(one),
        [] => {
            let mut panels = plan.devices.iter();
            let is_panel = |device: &Device| device.kind == DeviceKind::Panel && means(&device);
            let near = near(plan, asked);
            Err(NotFound(if panels.any(is_panel) {
                format!("\"{shown}\" is the panel; name a device that it hears")
            } else if near.is_empty() {
                format!("the plan has no device \"{shown}\"; `drillonce check` lists them")
            } else {
                format!("the plan has no device \"{shown}\"; did you mean {}?", near.join(" or "))
            }))
        }
        many => {
            let ids: Vec<&str> = many.iter().map(|device| device.id.as_str()).collect();
            let ids = ids.join(", ");
            Err(NotFound(format!("\"{shown}\" fits {ids}; give one id")))
        }
    }
}

/// The names and ids nearest to what was asked: those that hold it, those within one edit in two
/// characters, and those of which one word is within one edit in three.
fn near(plan: &Plan, asked: &str) -> Vec<String> {
    let asked = asked.to_lowercase();
    let length = asked.chars().count();
    // A longer text is no misspelt name, and comparing it would cost time.
    if length == 0 || length > 64 {
        return Vec::new();
    }
    let mut scored: Vec<(usize, String)> = Vec::new();
    for device in explainable(&plan.devices) {
        for name in [&device.name, &device.id] {
            let plain = name.to_lowercase();
            let holds = length >= 3 && plain.contains(&asked);
            let edits = damerau_levenshtein(&plain, &asked);
            let words = plain.split([' ', '-', '_']);
            let by_word = words.map(|word| damerau_levenshtein(word, &asked)).min();
            let one_word = by_word.is_some_and(|edits| edits <= length / 3);
            if (holds || one_word || edits <= length / 2)
                && !scored.iter().any(|(_, known)| known == name)
            {
                scored.push((if holds { 0 } else { edits }, name.clone()));
                break;
            }
        }
    }
    scored.sort_by_key(|(edits, _)| *edits);
    scored.truncate(MOST_OFFERED);
    scored.into_iter().map(|(_, name)| format!("\"{name}\"")).collect()
}
