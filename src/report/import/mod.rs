//! What an imported file gave and what was guessed: `import`.

mod report;
mod table;

pub use report::{ImportReport, ImportedLevel, ImportedRoom};
pub use table::import_table;
