//! Files from outside, before anything is known of their meaning: from bytes to text
//! ([`file_text`], [`decoded`]), numbers as people write them ([`number`]), tables with a heading
//! ([`table`]), JSON that knows its places ([`json`]), names in messages ([`names`]), how text
//! from outside is shown ([`one_line`], [`printable`]) and the one
//! type of what is wrong with a file ([`Diagnostic`]).

pub mod as_written;
pub mod diagnostic;
pub mod json;
pub mod names;
pub mod number;
mod shown;
pub mod table;
mod text;

pub use as_written::AsWritten;
pub use diagnostic::{Diagnostic, Diagnostics, MAX_LISTED, Severity, Spot, place_of_byte};
pub use names::with_article;
pub use names::{did_you_mean, fix_name, nearest, one_of};
pub use shown::{LONGEST_NAME, is_hidden, isolated, one_line, printable};
pub use shown::{quoted, set_apart, shown, tame};
pub use text::{
    Codepage, FileText, decoded, file_bytes, file_text, letters, too_large, with_line_feeds,
};
