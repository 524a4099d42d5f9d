//! What documents for customers say: one message file for each language.
//!
//! The words stand in `en.toml` and `es.toml` beside this file and are built into the program. Each
//! message is a method of [`Words`] with a parameter for every place that its text has, so that a
//! message that the program does not know, or is given too few values, does not compile; nor do
//! files of which one has a message, or a place in one, that the other lacks.
//!
//! # Numbers, dates and money
//! English: `1,234.50`, `EUR 1,234.50`, `2 October 2026`. Spanish: `1.234,50`, `1.234,50 EUR`,
//! `2 de octubre de 2026`. Groups of three from a thousand on, decimal comma, the currency's code
//! after the amount: common practice in Spain, no source; some countries of America write a decimal
//! point. A space that must not break is U+00A0, the minus sign U+2212.

mod date;
mod numbers;

pub use date::{Date, NoDate};

/// A language of the documents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// Spanish.
    Spanish,
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::English, Self::Spanish];

    /// Its tag, after BCP 47.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }
}

/// All messages of a language.
#[derive(Debug, Clone, Copy, Default)]
pub struct Words {
    /// The language.
    pub language: Language,
}

impl Words {
    /// The message of a group for a term of plans and schedules, such as `entry-exit` of `zone`;
    /// `None` where there is none.
    #[must_use]
    pub fn term(&self, group: &str, term: &str) -> Option<String> {
        let name = format!("{group}_{}", term.replace('-', "_"));
        let (_, texts) = MESSAGES.iter().find(|(key, _)| *key == name)?;
        let text = texts[self.language as usize];
        (!text.contains('{')).then(|| text.to_owned())
    }

    /// What people call a construction; one that the program does not know stays as it is.
    #[must_use]
    pub fn construction(&self, name: &str) -> String {
        self.term("construction", name).unwrap_or_else(|| name.to_owned())
    }

    /// Names in a row: all of them up to six, else the first five and how many more.
    #[must_use]
    pub fn names(&self, names: &[&str]) -> String {
        const MOST: usize = 6;
        if names.len() <= MOST {
            return names.join(", ");
        }
        let (first, more) = names.split_at(MOST - 1);
        self.list_more(&first.join(", "), &more.len().to_string())
    }
}

/// Declares the messages: a row of [`MESSAGES`] and a method of [`Words`] for each.
macro_rules! messages {
    ($($name:ident($($place:ident),*) = $english:literal, $spanish:literal;)*) => {
        /// The key of every message, and its text in each language, its places in braces.
        pub const MESSAGES: &[(&str, [&str; 2])] =
            &[$((stringify!($name), [$english, $spanish])),*];

        impl Words {
            $(
                #[doc = concat!("The message `", stringify!($name), "`, its places filled.")]
                #[must_use]
                pub fn $name(&self, $($place: &str),*) -> String {
                    match self.language {
                        Language::English => format!($english),
                        Language::Spanish => format!($spanish),
                    }
                }
            )*
        }
    };
}

// Every message of the files, by `build.rs`.
include!(concat!(env!("OUT_DIR"), "/messages.rs"));

#[cfg(test)]
mod tests;
