//! Files from outside, before anything is known of their meaning: from bytes to text
//! ([`file_text`], [`decoded`]), numbers as people write them ([`number`]), tables with a heading
//! ([`table`]), JSON that knows its places ([`json`]), names in messages ([`names`]) and the one
//! type of what is wrong with a file ([`Diagnostic`]).

pub mod diagnostic;
pub mod json;
pub mod names;
pub mod number;
pub mod table;
mod text;

pub use diagnostic::{Diagnostic, Diagnostics, MAX_LISTED, Severity, Spot, place_of_byte};
pub use names::with_article;
pub use names::{did_you_mean, fix_name, is_hidden, nearest, one_of, quoted, shown, tame};
pub use text::{FileText, decoded, file_bytes, file_text, letters, too_large, with_line_feeds};
