//! What was assumed and left out, gathered for the report.

use std::collections::BTreeMap;

use super::member::Feature;
use crate::import::Guess;
use crate::plan::quoted;

/// How many ids of features a guess names.
const MOST_NAMED: usize = 3;

/// Guesses so far, and features left out by reason.
#[derive(Debug, Default)]
pub(super) struct Notes {
    guesses: Vec<Guess>,
    left_out: BTreeMap<(String, &'static str), LeftOut>,
}

#[derive(Debug, Default)]
struct LeftOut {
    ids: Vec<String>,
    count: usize,
}

impl Notes {
    /// A guess that is true of this many pieces; of none it is no guess.
    pub(super) fn guess(&mut self, about: &str, taken: String, mend: &str, pieces: usize) {
        if pieces > 0 {
            self.guesses.push(Guess::new(about, taken, mend, pieces));
        }
    }

    /// A feature that is not in the plan, for a reason that goes with «they» of several.
    pub(super) fn leave_out(&mut self, feature: &Feature<'_>, reason: &'static str) {
        self.leave_out_id(feature.member(), &feature.id, reason);
    }

    /// As [`Notes::leave_out`].
    pub(super) fn leave_out_id(&mut self, member: &str, id: &str, reason: &'static str) {
        let key = (member.to_owned(), reason);
        let left_out = self.left_out.entry(key).or_default();
        left_out.count += 1;
        if left_out.ids.len() < MOST_NAMED {
            left_out.ids.push(quoted(id));
        }
    }

    /// Everything, what was left out last.
    pub(super) fn finish(self) -> Vec<Guess> {
        let mut guesses = self.guesses;
        for ((member, reason), left_out) in self.left_out {
            let mut ids = left_out.ids.join(", ");
            if left_out.count > MOST_NAMED {
                ids.push_str(&format!(" and {} more", left_out.count - MOST_NAMED));
            }
            guesses.push(Guess::new(
                member,
                format!("features {reason}: {ids}"),
                "mend them in the archive, or draw what is missing in the plan",
                left_out.count,
            ));
        }
        guesses
    }
}
