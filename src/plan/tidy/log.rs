//! What was mended and what was left, while a plan is tidied.

use std::collections::BTreeSet;

use super::super::diagnostic::MAX_LISTED;
use super::super::names::shown;
use super::{Doubt, Mend, MendKind};

/// Mends and doubts with their places in the text.
#[derive(Debug, Default)]
pub(super) struct Log {
    /// Step, place, feature, what sort, words.
    mends: Vec<(usize, usize, String, MendKind, String)>,
    step: usize,
    /// What the last round left; those of earlier rounds may be mended by now.
    doubts: BTreeSet<(usize, String, String, String)>,
}

impl Log {
    /// Notes a mend of the feature with this id at a byte of the text.
    pub(super) fn mend(&mut self, at: usize, feature: &str, kind: MendKind, what: String) {
        self.mends.push((self.step, at, shown(feature), kind, what));
    }

    /// Notes what was left, and why.
    pub(super) fn doubt(&mut self, at: usize, feature: &str, what: String, why: impl Into<String>) {
        self.doubts.insert((at, shown(feature), what, why.into()));
    }

    /// Forgets what was left: another round looks again.
    pub(super) fn another_round(&mut self) {
        self.doubts.clear();
    }

    /// The next step begins.
    pub(super) fn next_step(&mut self) {
        self.step += 1;
    }

    /// How many mends were noted.
    pub(super) fn count(&self) -> usize {
        self.mends.len()
    }

    /// Everything in order of lines.
    pub(super) fn finish(mut self, text: &str) -> (Vec<Mend>, Vec<Doubt>) {
        let starts: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
        let line = |at: usize| starts.partition_point(|&end| end < at) + 1;
        // Within a line one step after the other.
        self.mends.sort_by_key(|mend| (line(mend.1), mend.0, mend.1));
        let mends = self.mends.into_iter();
        let mends =
            mends.map(|(_, at, feature, kind, what)| Mend { feature, line: line(at), kind, what });
        let more = self.doubts.len().saturating_sub(MAX_LISTED);
        let doubts = self.doubts.into_iter().take(MAX_LISTED);
        let mut doubts: Vec<Doubt> = doubts
            .map(|(at, feature, what, why)| Doubt { feature, line: line(at), what, why })
            .collect();
        if more > 0 {
            doubts.push(Doubt {
                feature: String::new(),
                line: doubts.last().map_or(0, |last| last.line),
                what: format!("and {more} more after this place"),
                why: "see to those above first, then tidy again".to_owned(),
            });
        }
        (mends.collect(), doubts)
    }
}
