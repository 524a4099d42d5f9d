//! What the reader of drawings promises of any bytes whatever. The fuzz target checks the same.

use forecast::vocabulary;
use import::{Kind, Known, Settings, draft};
use plan::{Severity, read_house};

/// Whatever the bytes are, they are refused with faults at places that exist or become a plan that
/// is sound.
pub fn survives_dxf(bytes: &[u8]) {
    let settings = Settings { known: Known { vocabulary: vocabulary() }, ..Settings::default() };
    match draft(Kind::Dxf, "any.dxf", bytes, &settings) {
        Err(faults) => {
            assert!(!faults.is_empty(), "refused without a fault");
            let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
            for fault in faults {
                assert!(fault.severity == Severity::Error && fault.line <= lines, "{fault}");
                assert!(!fault.what.is_empty() && !fault.mend.is_empty());
            }
        }
        Ok(draft) => {
            let text = draft.text();
            let reading = read_house("any.geojson", text.as_bytes(), &settings.known.vocabulary);
            if let Err(faults) = reading {
                let first = faults.first().map(ToString::to_string);
                panic!("{}\n{text}", first.unwrap_or_default());
            }
        }
    }
}
