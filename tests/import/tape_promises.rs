//! What the reader of lists promises of any bytes whatever. The fuzz target checks the same.

use forecast::vocabulary;
use import::{Kind, Known, Settings, draft};
use plan::{Severity, read_house};

/// A list is refused with faults at its lines, or gives a plan that can be read.
pub fn survives_tape(bytes: &[u8]) {
    let settings = Settings { known: Known { vocabulary: vocabulary() }, ..Settings::default() };
    match draft(Kind::Tape, "list.txt", bytes, &settings) {
        Err(faults) => {
            assert!(!faults.is_empty());
            let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
            for fault in faults {
                assert!(fault.severity == Severity::Error && fault.line <= lines, "{fault}");
                assert!(!fault.what.is_empty() && !fault.mend.is_empty());
                assert!(
                    !fault.to_string().chars().any(|c| c.is_control() && c != '\n'),
                    "{fault:?}"
                );
            }
        }
        Ok(draft) => {
            let text = draft.text();
            if let Err(faults) = read_house("plan", text.as_bytes(), &settings.known.vocabulary) {
                panic!("{}\n{text}\n{}", String::from_utf8_lossy(bytes), faults[0]);
            }
        }
    }
}
