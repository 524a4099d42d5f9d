//! What was changed and what was left, while a plan is tidied.

use std::collections::BTreeSet;

use input::{MAX_LISTED, shown};

/// What sort of change a [`Fix`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FixKind {
    /// An end or corner of a wall was moved to another, or onto another wall.
    Moved,
    /// A repeated point was taken out.
    Repeat,
    /// A wall without length, or one that lies on others, was taken out.
    Removed,
    /// A wall was cut to what does not lie on others.
    Cut,
    /// A wall was joined to the one that it goes on from, whose id stays.
    Joined,
    /// A point was put in where two walls cross.
    Crossing,
    /// An opening was put on the middle of its wall.
    OpeningMoved,
    /// An opening was cut to its wall's end, or to where another begins.
    OpeningCut,
    /// An id was written down that would have changed.
    Named,
}

/// One change to a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// Id of the feature (shortened, without control characters).
    pub feature: String,
    /// Line of the text as it was given, from 1.
    pub line: usize,
    /// What sort of change it is.
    pub kind: FixKind,
    /// What was done, in words, with lengths and positions in the plan's unit.
    pub what: String,
}

/// Something that was seen and left as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Id of the feature (shortened, without control characters); empty for what belongs to none.
    pub feature: String,
    /// Line of the text as it was given, from 1.
    pub line: usize,
    /// What was seen.
    pub what: String,
    /// Why it was left, and what may be done.
    pub why: String,
}

#[derive(Debug, Default)]
pub(super) struct Log {
    /// Step, place, feature, what sort, words.
    pub(super) fixes: Vec<(usize, usize, String, FixKind, String)>,
    pub(super) step: usize,
    /// What the last round left; those of earlier rounds may be gone by now.
    pub(super) doubts: BTreeSet<(usize, String, String, String)>,
}

impl Log {
    /// Notes a fix of the feature with this id at a byte of the text.
    pub(super) fn fix(&mut self, at: usize, feature: &str, kind: FixKind, what: String) {
        self.fixes.push((self.step, at, shown(feature), kind, what));
    }

    pub(super) fn doubt(
        &mut self,
        at: usize,
        feature: &str,
        what: impl Into<String>,
        why: impl Into<String>,
    ) {
        self.doubts.insert((at, shown(feature), what.into(), why.into()));
    }

    pub(super) fn finish(mut self, text: &str) -> (Vec<Fix>, Vec<Doubt>) {
        let starts: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
        let line = |at: usize| starts.partition_point(|&end| end < at) + 1;
        // Within a line one step after the other.
        self.fixes.sort_by_key(|fix| (line(fix.1), fix.0, fix.1));
        let fixes = self.fixes.into_iter();
        let fixes =
            fixes.map(|(_, at, feature, kind, what)| Fix { feature, line: line(at), kind, what });
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
        (fixes.collect(), doubts)
    }
}
