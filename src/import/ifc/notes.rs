//! What was assumed and what was left out, with the places in the file.

use std::collections::BTreeMap;

use super::step::Model;
use crate::guess::MOST_PLACES;
use crate::{Guess, PlanPoint};

/// How much a note counts: the report is in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Weight {
    /// Part of the building is missing.
    Missing,
    /// What the forecast goes by was assumed.
    Taken,
    /// A length was assumed.
    Measure,
    /// As was asked, or nobody misses it.
    Expected,
}

/// How many places a note names.
const MOST_NAMED: usize = 3;
/// Most different notes; what comes later is not listed (our own choice).
const MAX_NOTES: usize = 200;

type Key = (Weight, String, String, String);

/// How often a thing is true, and where: in the file, and in the plan.
#[derive(Default)]
struct Told {
    count: usize,
    lines: Vec<String>,
    points: Vec<PlanPoint>,
}

#[derive(Default)]
pub(super) struct Notes {
    notes: BTreeMap<Key, Told>,
    more: usize,
}

impl Notes {
    /// Notes one thing of an entity; the same thing of another only counts.
    pub(super) fn tell(
        &mut self,
        weight: Weight,
        (about, taken, fix): (&str, &str, &str),
        at: Option<(&Model<'_>, u32)>,
    ) {
        self.tell_at(weight, (about, taken, fix), at, None);
    }

    /// Notes one thing of an entity that has a place in the plan.
    pub(super) fn tell_at(
        &mut self,
        weight: Weight,
        (about, taken, fix): (&str, &str, &str),
        at: Option<(&Model<'_>, u32)>,
        point: Option<PlanPoint>,
    ) {
        let key = (weight, about.to_owned(), taken.to_owned(), fix.to_owned());
        if self.notes.len() >= MAX_NOTES && !self.notes.contains_key(&key) {
            self.more += 1;
            return;
        }
        let told = self.notes.entry(key).or_default();
        told.count += 1;
        if let Some((model, number)) = at.filter(|_| told.lines.len() < MOST_NAMED) {
            told.lines.push(format!("#{number} on line {}", model.line(number)));
        }
        told.points.extend(point.filter(|_| told.points.len() < MOST_PLACES));
    }

    pub(super) fn guesses(self) -> Vec<Guess> {
        let listed = self.notes.into_iter().map(|((_, about, mut taken, fix), told)| {
            if !told.lines.is_empty() {
                let more = told.count - told.lines.len();
                taken = format!("{taken}: {}", told.lines.join(", "));
                if more > 0 {
                    taken.push_str(&format!(" and {more} more"));
                }
            }
            Guess::new(about, taken, fix, told.count).at(told.points)
        });
        let mut guesses: Vec<Guess> = listed.collect();
        if self.more > 0 {
            let (about, taken) = ("further elements", "were left out or assumed in the same way");
            guesses.push(Guess::new(about, taken, "fix those above first", self.more));
        }
        guesses
    }
}
