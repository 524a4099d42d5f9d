//! What a reader had to assume, for the report.

use std::borrow::Cow;

use input::{Diagnostic, Diagnostics};

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

/// The text of a file, and the guess at its encoding where there is one.
///
/// # Errors
/// The fault of a file that is no text.
pub(crate) fn decoded<'b>(
    name: &str,
    bytes: &'b [u8],
) -> Result<(Cow<'b, str>, Option<Guess>), Vec<Diagnostic>> {
    let mut faults = Diagnostics::new(name);
    let Some(text) = input::decoded(bytes, &mut faults) else {
        return Err(faults.finish("").0);
    };
    let doubt = faults.finish(&text).1.pop();
    Ok((text, doubt.map(|doubt| Guess::new("letters", doubt.what, doubt.mend, 1))))
}
