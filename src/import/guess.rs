//! What a reader had to assume, for the report.

use std::borrow::Cow;
use std::collections::BTreeMap;

use input::{Diagnostic, Diagnostics};

/// One thing that the file does not say and the plan needs, or that was not read.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Guess {
    /// What it is about: `layer A-WALL`, `room Kitchen`, `heights`.
    pub about: String,
    /// What was taken, or left out: a clause in the past tense.
    pub taken: String,
    /// How to say it better: an option, a line in the list, a property of the plan.
    #[serde(rename = "mend")]
    pub fix: String,
    /// How many pieces it is true of.
    pub pieces: usize,
}

impl Guess {
    /// A guess that is true of this many pieces.
    pub fn new(
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        pieces: usize,
    ) -> Self {
        Self { about: about.into(), taken: taken.into(), fix: fix.into(), pieces }
    }
}

/// The guesses of a reader, in the order of the report.
#[derive(Default)]
pub(crate) struct Guesses(pub(crate) Vec<Guess>);

impl Guesses {
    /// Adds a guess that is true of this many pieces; of none it is no guess.
    pub(crate) fn add(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        pieces: usize,
    ) {
        if pieces > 0 {
            self.0.push(Guess::new(about, taken, fix, pieces));
        }
    }
}

/// Most different guesses that are listed; what comes later is counted in one.
const MAX_LISTED: usize = 200;

/// Guesses by weight, then by their words; each with the number of pieces it is true of.
#[derive(Default)]
pub(crate) struct Tally(BTreeMap<(u8, String, String, String), usize>);

impl Tally {
    /// Tells one thing; the same thing again only counts.
    pub(crate) fn tell(
        &mut self,
        weight: u8,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
    ) {
        let mut key = (weight, about.into(), taken.into(), fix.into());
        if self.0.len() >= MAX_LISTED && !self.0.contains_key(&key) {
            let more = [
                "further features",
                "were left out or assumed in the same way",
                "fix those above first",
            ];
            let [about, taken, fix] = more.map(str::to_owned);
            key = (u8::MAX, about, taken, fix);
        }
        *self.0.entry(key).or_default() += 1;
    }

    pub(crate) fn guesses(self) -> Vec<Guess> {
        let all = self.0.into_iter();
        all.map(|((_, about, taken, fix), pieces)| Guess { about, taken, fix, pieces }).collect()
    }
}

/// The text of a file, and the guess at its encoding where there is one; or why it is no text.
pub(crate) fn decoded<'b>(
    name: &str,
    bytes: &'b [u8],
) -> Result<(Cow<'b, str>, Option<Guess>), Vec<Diagnostic>> {
    let mut faults = Diagnostics::new(name);
    let Some(text) = input::decoded(bytes, &mut faults) else {
        return Err(faults.finish("").0);
    };
    let doubt = faults.finish(&text).1.pop();
    Ok((text, doubt.map(|doubt| Guess::new("letters", doubt.what, doubt.fix, 1))))
}
