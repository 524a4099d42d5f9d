//! What every test of a reader needs.

use forecast::vocabulary;
use import::{Draft, Kind, Known, Settings, draft};
use plan::{Diagnostic, Plan, read_house};

/// The program's own catalogue.
pub fn known() -> Known {
    Known { vocabulary: vocabulary() }
}

/// Settings without any wish of the user's.
pub fn plain() -> Settings {
    Settings { known: known(), ..Settings::default() }
}

/// A file as a draft and as the plan that is read of its text, which must be sound.
pub fn imported(kind: Kind, name: &str, bytes: &[u8], settings: &Settings) -> (Draft, Plan) {
    let draft = draft(kind, name, bytes, settings).unwrap_or_else(|faults| {
        let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", lines.join("\n"))
    });
    let text = draft.text();
    let reading = read_house(name, text.as_bytes(), &vocabulary()).unwrap_or_else(|faults| {
        let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{text}\n{}", lines.join("\n"))
    });
    (draft, reading.plan)
}

/// The faults of a file that must be refused.
pub fn refused(kind: Kind, name: &str, bytes: &[u8]) -> Vec<Diagnostic> {
    draft(kind, name, bytes, &plain()).expect_err("the file must be refused")
}
