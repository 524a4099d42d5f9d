//! What was assumed, gathered while a map becomes a draft.

use std::collections::BTreeMap;

use crate::Guess;

/// Most different guesses that are told; what comes later is counted in one.
const MAX_TOLD: usize = 200;

/// Guesses by weight, then by their words; each with the number of pieces it is true of.
#[derive(Default)]
pub(super) struct Notes(BTreeMap<(u8, String, String, String), usize>);

/// What was left out: most important, for it may be missed in the plan.
pub(super) const LEFT_OUT: u8 = 0;
/// What was taken for what.
pub(super) const TAKEN: u8 = 1;
/// Measures about which the file says nothing.
pub(super) const MEASURE: u8 = 2;

impl Notes {
    /// Tells one thing; the same thing again only counts.
    pub(super) fn tell(
        &mut self,
        weight: u8,
        about: impl Into<String>,
        taken: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let key = (weight, about.into(), taken.into(), mend.into());
        if self.0.len() >= MAX_TOLD && !self.0.contains_key(&key) {
            let more = (
                u8::MAX,
                "further features".to_owned(),
                "were left out or guessed likewise".to_owned(),
                "mend those above first".to_owned(),
            );
            *self.0.entry(more).or_default() += 1;
            return;
        }
        *self.0.entry(key).or_default() += 1;
    }

    /// All of them, most important first.
    pub(super) fn guesses(self) -> Vec<Guess> {
        self.0
            .into_iter()
            .map(|((_, about, taken, mend), pieces)| Guess::new(about, taken, mend, pieces))
            .collect()
    }
}
