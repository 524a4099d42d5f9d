//! Whether a device will keep supervision.

use serde::Serialize;

/// Where the chance of a fault turns one finding into the next.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// Below this chance of a fault in a year a sensor is sound.
    pub sound_below: f64,
    /// Below this chance it is thin, from it on failing.
    pub thin_below: f64,
}

/// The word for a device's state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Finding {
    /// It will keep supervision.
    Sound,
    /// It will probably keep it, with little to spare.
    Thin,
    /// It will probably drop it.
    Failing,
}

impl Finding {
    /// The finding for a chance of a fault in a year.
    #[must_use]
    pub fn of(chance: f64, limits: Limits) -> Self {
        if chance < limits.sound_below {
            Self::Sound
        } else if chance < limits.thin_below {
            Self::Thin
        } else {
            Self::Failing
        }
    }

    /// The word itself.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Thin => "thin",
            Self::Failing => "failing",
        }
    }

    /// The English word in a table, with a mark that catches the eye.
    #[must_use]
    pub fn mark(self) -> String {
        self.marked(self.word())
    }

    /// The word in a table, with a mark that catches the eye. `word` is that of some language.
    #[must_use]
    pub fn marked(self, word: &str) -> String {
        match self {
            Self::Sound => word.to_owned(),
            Self::Thin => format!("{word} ~"),
            Self::Failing => format!("{} !", word.to_uppercase()),
        }
    }
}
