//! What a reader had to assume, for the report.

/// One thing that the file does not say and the plan needs, or that was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
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

/// The guesses of a reader, in the order in which they are told.
#[derive(Default)]
pub(crate) struct Guesses(pub(crate) Vec<Guess>);

impl Guesses {
    /// Adds a guess that is true of this many pieces; of none it is no guess.
    pub(crate) fn add(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        mend: impl Into<String>,
        pieces: usize,
    ) {
        if pieces > 0 {
            self.0.push(Guess::new(about, taken, mend, pieces));
        }
    }
}
