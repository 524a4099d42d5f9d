//! Every message that there is, and what its places are called: a method of [`Words`] takes them in
//! the order in which the English text has them.

use super::Words;

/// Declares the messages: a key, a row of [`MESSAGES`] and a method of [`Words`] for each.
macro_rules! messages {
    ($($name:ident($($place:ident),*);)*) => {
        /// A message.
        #[expect(non_camel_case_types, reason = "the keys are those of the message files")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Key {
            $(
                #[doc = concat!("`", stringify!($name), "`")]
                $name,
            )*
        }

        impl Key {
            /// Every message, in the order of [`MESSAGES`].
            pub const ALL: &[Self] = &[$(Self::$name),*];
        }

        /// The key of every message and the names of its places.
        pub const MESSAGES: &[(&str, &[&str])] = &[
            $((stringify!($name), &[$(stringify!($place)),*])),*
        ];

        impl Words {
            $(
                #[doc = concat!("The message `", stringify!($name), "`, its places filled.")]
                #[must_use]
                pub fn $name(&self, $($place: &str),*) -> String {
                    self.said(Key::$name, &[$($place),*])
                }
            )*
        }
    };
}

// Every message of the English file, by `build.rs`.
include!(concat!(env!("OUT_DIR"), "/messages.rs"));
