//! What a reader had to assume, for the report.

/// One thing that the file does not say and the plan needs, or that was not read.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Guess {
    /// What it is about: `layer A-WALL`, `room Kitchen`, `heights`.
    pub about: String,
    /// What was taken, or left out: a clause in the past tense.
    pub taken: String,
    /// How to say it better: an option, a line in the list, a property of the plan.
    pub mend: String,
    /// How many pieces it is true of.
    pub pieces: usize,
}

impl Guess {
    /// A guess that is true of this many pieces.
    pub fn new(
        about: impl Into<String>,
        taken: impl Into<String>,
        mend: impl Into<String>,
        pieces: usize,
    ) -> Self {
        Self { about: about.into(), taken: taken.into(), mend: mend.into(), pieces }
    }
}
