//! Every message that there is: a method of [`Words`] takes what fills its places in the order in
//! which the English text has them.

use super::{Language, Words};

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
