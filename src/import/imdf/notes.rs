//! What was assumed and left out, gathered for the report.

use std::collections::BTreeMap;

use crate::guess::Guesses;
use crate::{Guess, Piece};
use plan::{Diagnostic, MAX_LISTED, quoted};

/// How many ids of features a guess names.
const MOST_NAMED: usize = 3;

/// Faults and guesses so far, and features left out by reason.
#[derive(Default)]
pub(super) struct Notes {
    pub(super) faults: Diagnostics,
    pub(super) guesses: Guesses,
    /// Everything drawn so far, in the order of the draft.
    pub(super) pieces: Vec<Piece>,
    left_out: BTreeMap<(String, Why), LeftOut>,
    pub(super) unread: Guesses,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Why {
    NoLevel,
    NoGeometry,
    OtherGeometry,
    Empty,
    OnNoWall,
    Taken,
    Narrow,
    Crowded,
    Crossing,
    Asked,
    Outdoors,
}

/// What became of several such features, in the order of [`Why`].
const SAID: [&str; 11] = [
    "were left out, because their level_id names no level",
    "were left out, because they have no geometry",
    "were left out, because their geometry is of another type",
    "were left out, because they have no extent",
    "were left out, because they are on no wall within 0.05 m",
    "were left out, because they are where another opening is",
    "were left out, because they are narrower than 0.2 m",
    "were left out, because more than 500 walls are around them",
    "were drawn as walls all round, because their outlines cross themselves or are too small",
    "were left out, as asked with --map",
    "were left out, because they are outdoors",
];

#[derive(Default)]
struct LeftOut {
    ids: Vec<String>,
    count: usize,
}

impl Notes {
    pub(super) fn leave_out(&mut self, member: &str, id: &str, reason: Why) {
        let key = (member.to_owned(), reason);
        let left_out = self.left_out.entry(key).or_default();
        left_out.count += 1;
        if left_out.ids.len() < MOST_NAMED {
            left_out.ids.push(quoted(id));
        }
    }

    /// Everything: what is missing against all expectation, what was assumed, what nobody misses.
    pub(super) fn guesses(self) -> Vec<Guess> {
        let (mut missing, mut expected) = (Guesses::default(), Guesses::default());
        for ((member, reason), left_out) in self.left_out {
            let mut ids = left_out.ids.join(", ");
            if left_out.count > MOST_NAMED {
                ids.push_str(&format!(" and {} more", left_out.count - MOST_NAMED));
            }
            let nobody_misses = matches!(reason, Why::Asked | Why::Outdoors);
            let list = if nobody_misses { &mut expected } else { &mut missing };
            let taken = format!("features {}: {ids}", SAID[reason as usize]);
            let fix = "fix them in the archive, or draw what is missing in the plan";
            list.add(member, taken, fix, left_out.count);
        }
        let lists = [missing, self.guesses, expected, self.unread];
        lists.into_iter().flat_map(|list| list.0).collect()
    }
}

#[derive(Default)]
pub(super) struct Diagnostics {
    pub(super) list: Vec<Diagnostic>,
    more: usize,
}

impl Diagnostics {
    pub(super) fn note(&mut self, fault: Diagnostic) {
        if self.list.len() < MAX_LISTED {
            self.list.push(fault);
        } else {
            self.more += 1;
        }
    }

    /// All of them, or nothing if there is none.
    pub(super) fn finish(mut self) -> Result<(), Vec<Diagnostic>> {
        if let (Some(last), 1..) = (self.list.last().cloned(), self.more) {
            let what = format!("and {} more", self.more);
            let fix = "fix those above first, then run this again".to_owned();
            self.list.push(Diagnostic { feature: None, what, fix, ..last });
        }
        if self.list.is_empty() { Ok(()) } else { Err(self.list) }
    }
}
