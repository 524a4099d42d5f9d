//! What a reader had to assume, for the report.

use std::borrow::Cow;
use std::collections::BTreeMap;

use geo::Coord;

use input::{Diagnostic, Diagnostics};

/// One thing that the file does not say and the plan needs, or that was not read.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
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
    /// Where in the plan they are, as far as that is known: the first of them.
    #[serde(skip)]
    pub places: Vec<PlanPoint>,
}

/// A place on a level of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanPoint {
    /// Number of the level.
    pub level: i32,
    /// Where, metres.
    pub at: Coord<f64>,
}

impl PlanPoint {
    /// A place on the level of a plan that has one.
    pub(crate) const fn ground(at: Coord<f64>) -> Self {
        Self { level: 0, at }
    }
}

/// Most places of one guess: more numbers would hide the plan (our own choice).
pub(crate) const MOST_PLACES: usize = 24;

impl Guess {
    /// A guess that is true of this many pieces.
    pub fn new(
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        pieces: usize,
    ) -> Self {
        let places = Vec::new();
        Self { about: about.into(), taken: taken.into(), fix: fix.into(), pieces, places }
    }

    /// The same with the first of the places where its pieces are.
    #[must_use]
    pub(crate) fn at(mut self, places: impl IntoIterator<Item = PlanPoint>) -> Self {
        self.places.extend(places);
        self.places.truncate(MOST_PLACES);
        self
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
        self.add_all(about, taken, fix, pieces, None);
    }

    /// Adds a guess that is true of the pieces at these places; of none it is no guess.
    pub(crate) fn add_at(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        places: Vec<PlanPoint>,
    ) {
        self.add_all(about, taken, fix, places.len(), places);
    }

    /// Adds a guess that is true of so many pieces, of which some have a place.
    pub(crate) fn add_all(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        pieces: usize,
        places: impl IntoIterator<Item = PlanPoint>,
    ) {
        if pieces > 0 {
            self.0.push(Guess::new(about, taken, fix, pieces).at(places));
        }
    }
}

/// Most different guesses that are listed; what comes later is counted in one.
const MAX_LISTED: usize = 200;

/// Guesses by weight, then by their words; each with the number of pieces it is true of.
#[derive(Default)]
pub(crate) struct Tally(BTreeMap<Told, (usize, Vec<PlanPoint>)>);

/// Weight, what it is about, what was taken, how to fix it.
type Told = (u8, String, String, String);

impl Tally {
    /// Tells one thing; the same thing again only counts.
    pub(crate) fn tell(
        &mut self,
        weight: u8,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
    ) {
        self.tell_at(weight, about, taken, fix, None);
    }

    /// Tells one thing of a place.
    pub(crate) fn tell_at(
        &mut self,
        weight: u8,
        about: impl Into<String>,
        taken: impl Into<String>,
        fix: impl Into<String>,
        place: Option<PlanPoint>,
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
        let (pieces, places) = self.0.entry(key).or_default();
        *pieces += 1;
        places.extend(place.filter(|_| places.len() < MOST_PLACES));
    }

    pub(crate) fn guesses(self) -> Vec<Guess> {
        let all = self.0.into_iter();
        let all = all.map(|((_, about, taken, fix), (pieces, places))| Guess {
            about,
            taken,
            fix,
            pieces,
            places,
        });
        all.collect()
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
