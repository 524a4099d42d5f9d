//! Levels: what the tags `level` and `repeat_on` say, and how high each storey is.
//!
//! Both keys hold numbers, lists as in `0;1` and ranges as in `0-2` or `-3--1` (OpenStreetMap wiki,
//! pages `Key:level` and `Key:repeat_on`).

use std::collections::{BTreeMap, BTreeSet};

use super::element::Tags;
use super::notes::{MEASURE, Notes};
use crate::{CEILING_M, FLOOR_THICKNESS_M};
use plan::Level;

/// Levels that are read (our own choice: with the highest storeys they fit the heights of a plan).
pub(super) const LEVELS: std::ops::RangeInclusive<i32> = -20..=80;
/// Heights of a room that are read, metres (our own choice).
const HEIGHTS_M: std::ops::RangeInclusive<f64> = 1.8..=12.0;

#[derive(Clone, Default, PartialEq)]
pub(super) struct Levels {
    pub(super) numbers: BTreeSet<i32>,
    pub(super) halves: usize,
    /// Values that are no level, or out of reach.
    pub(super) unread: usize,
}

/// The levels that tags name with `level` and `repeat_on`.
pub(super) fn levels(tags: &Tags) -> Levels {
    let mut found = Levels::default();
    for key in ["level", "repeat_on"] {
        for part in tags.get(key).unwrap_or_default().split(';').take(200) {
            let part = part.trim();
            if part.is_empty() {
                continue;
            }
            // The hyphen of a range stands behind a number, that of a negative number does not.
            let hyphen =
                part.char_indices().skip(1).find(|(_, letter)| *letter == '-').map(|(at, _)| at);
            let ends = hyphen.and_then(|at| part.split_at_checked(at));
            let (from, to) = match ends {
                Some((from, to)) => (number(from), number(to.get(1..).unwrap_or_default())),
                None => (number(part), number(part)),
            };
            let (Some((from, from_half)), Some((to, to_half))) = (from, to) else {
                found.unread += 1;
                continue;
            };
            found.halves += usize::from(from_half || to_half);
            found.numbers.extend(from.min(to)..=from.max(to));
        }
    }
    found
}

/// The number of a level, and whether it was a half one.
fn number(text: &str) -> Option<(i32, bool)> {
    let value: f64 = text.trim().parse().ok()?;
    let whole = value.floor();
    let level = LEVELS.clone().find(|level| f64::from(*level) == whole)?;
    Some((level, value != whole))
}

/// What is known of heights before the levels are stacked.
#[derive(Clone, Default)]
pub(super) struct Heights {
    /// Height of the rooms of a level, floor to ceiling, metres: the highest.
    pub(super) rooms_m: BTreeMap<i32, f64>,
    /// From floor to floor, metres, where the building says its height and number of levels.
    pub(super) rise_m: Option<f64>,
    pub(super) names: BTreeMap<i32, String>,
}

impl Heights {
    /// Takes the height of a room, or of a level with all its rooms.
    pub(super) fn room(&mut self, level: i32, tags: &Tags) {
        let Some(height_m) = tags.metres("height").filter(|m| HEIGHTS_M.contains(m)) else {
            return;
        };
        let highest = self.rooms_m.entry(level).or_insert(height_m);
        *highest = highest.max(height_m);
    }

    pub(super) fn building(&mut self, tags: &Tags) {
        let levels = tags.metres("building:levels").filter(|levels| *levels > 0.0);
        let (Some(height_m), Some(levels)) = (tags.metres("height"), levels) else { return };
        let low_m = tags.metres("min_height").unwrap_or(0.0);
        let rise_m = (height_m - low_m) / levels;
        if HEIGHTS_M.contains(&(rise_m - FLOOR_THICKNESS_M)) {
            self.rise_m = Some(rise_m);
        }
    }

    /// The levels, each with floor and ceiling; level 0 has its floor at zero, and levels between
    /// of which the map has nothing count as high as others.
    pub(super) fn stack(&self, numbers: &BTreeSet<i32>, notes: &mut Notes) -> Vec<Level> {
        let room_m = |level: &i32| {
            let known = self.rooms_m.get(level).copied();
            known.or(self.rise_m.map(|rise_m| rise_m - FLOOR_THICKNESS_M))
        };
        let rise_m = |level: i32| room_m(&level).unwrap_or(CEILING_M) + FLOOR_THICKNESS_M;
        let floor_m = |level: i32| {
            let above: f64 = (0..level).map(rise_m).sum();
            let below: f64 = (level..0).map(rise_m).sum();
            above - below
        };
        let level = |number: &i32| {
            let floor_m = floor_m(*number);
            let name = self.names.get(number).cloned();
            if room_m(number).is_none() {
                let taken = format!(
                    "were taken as {CEILING_M} m, with {FLOOR_THICKNESS_M} m of floor between them"
                );
                let fix = "tag rooms with height, or correct \"levels\" in the plan";
                notes.tell(MEASURE, "heights of levels", taken, fix);
            }
            Level {
                number: *number,
                name: name.unwrap_or_else(|| format!("Level {number}")),
                floor_m,
                ceiling_m: floor_m + room_m(number).unwrap_or(CEILING_M),
                is_over_air: false,
            }
        };
        numbers.iter().map(level).collect()
    }
}
