//! What every reader of other files promises of any bytes whatever. The fuzz targets check the
//! same.

use std::io::{Cursor, Write};

use forecast::vocabulary;
use import::pdf::painted;
use import::{Kind, Known, Settings, draft};
use plan::{Severity, read_house};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Takes any bytes as a PDF whose first page is laid under a plan: a picture, or why there is none.
pub fn survives_painting(bytes: &[u8]) {
    match painted(bytes, 1) {
        Ok(page) => {
            let (wide, high) = page.picture.size();
            assert!(wide.max(high) <= 4_800 && wide.min(high) >= 16 && page.pages > 0);
        }
        Err((what, fix)) => {
            assert!(!what.is_empty() && !fix.is_empty(), "{what:?} {fix:?}");
            assert!(!what.chars().any(char::is_control), "{what:?}");
        }
    }
}

/// Takes any bytes as a file of a kind: no panic; what is accepted is a plan that reads back
/// without a fault, the same again; what is refused says why, at lines that exist and in
/// characters that play no tricks.
pub fn survives(kind: Kind, bytes: &[u8]) {
    let known = Known { vocabulary: vocabulary() };
    let lengths = vec![(5.0, 100.0)];
    let settings = Settings { known, lengths, ..Settings::default() };
    match draft(kind, "any", bytes, &settings) {
        Ok(made) => {
            let text = made.text();
            assert_eq!(made, draft(kind, "any", bytes, &settings).unwrap_or_default());
            if let Err(faults) = read_house("any", text.as_bytes(), &vocabulary()) {
                let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
                panic!("{}\n{text}\n{}", String::from_utf8_lossy(bytes), faults.join("\n"));
            }
        }
        Err(faults) => {
            assert!(!faults.is_empty(), "refused without a fault");
            let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
            for fault in faults {
                let said = fault.to_string();
                assert!(fault.severity == Severity::Error, "{said}");
                assert!(fault.line <= lines || kind == Kind::Imdf, "{said}");
                assert!(!fault.what.is_empty() && !fault.fix.is_empty(), "{said}");
                assert!(!said.chars().any(|c| c.is_control() && c != '\n'), "{said:?}");
            }
        }
    }
}

/// The files of the invented arcade.
pub const ARCADE: [(&str, &str); 13] = [
    ("address.geojson", include_str!("imdf/files/quay-arcade/address.geojson")),
    ("amenity.geojson", include_str!("imdf/files/quay-arcade/amenity.geojson")),
    ("anchor.geojson", include_str!("imdf/files/quay-arcade/anchor.geojson")),
    ("building.geojson", include_str!("imdf/files/quay-arcade/building.geojson")),
    ("detail.geojson", include_str!("imdf/files/quay-arcade/detail.geojson")),
    ("fixture.geojson", include_str!("imdf/files/quay-arcade/fixture.geojson")),
    ("footprint.geojson", include_str!("imdf/files/quay-arcade/footprint.geojson")),
    ("level.geojson", include_str!("imdf/files/quay-arcade/level.geojson")),
    ("manifest.json", include_str!("imdf/files/quay-arcade/manifest.json")),
    ("occupant.geojson", include_str!("imdf/files/quay-arcade/occupant.geojson")),
    ("opening.geojson", include_str!("imdf/files/quay-arcade/opening.geojson")),
    ("unit.geojson", include_str!("imdf/files/quay-arcade/unit.geojson")),
    ("venue.geojson", include_str!("imdf/files/quay-arcade/venue.geojson")),
];

/// The files of a small archive, any of which [`survives_imdf`] replaces.
pub const REPLACED: [&str; 9] = [
    "manifest.json",
    "unit.geojson",
    "level.geojson",
    "opening.geojson",
    "footprint.geojson",
    "fixture.geojson",
    "venue.geojson",
    "occupant.geojson",
    "anchor.geojson",
];

/// Takes any bytes as an archive, and as the text of a file in an archive that is sound but for it:
/// the first byte says which file the rest replaces.
pub fn survives_imdf(bytes: &[u8]) {
    survives(Kind::Imdf, bytes);
    if let [which, text @ ..] = bytes {
        survives(Kind::Imdf, &with_file(usize::from(*which) % REPLACED.len(), text));
    }
}

/// The small archive with the text of one file replaced, not compressed; of none if there is no
/// file of that number.
pub fn with_file(which: usize, text: &[u8]) -> Vec<u8> {
    let files = REPLACED.iter().enumerate().map(|(number, name)| {
        let old = ARCADE.iter().find(|(known, _)| known == name).map_or("", |(_, text)| text);
        (*name, if number == which { text } else { old.as_bytes() })
    });
    packed_by(files, CompressionMethod::Stored)
}

/// Files packed by a method, all of the same date, so that the same files give the same bytes.
pub fn packed_by<'f>(
    files: impl IntoIterator<Item = (&'f str, &'f [u8])>,
    method: CompressionMethod,
) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(method)
        .last_modified_time(DateTime::default());
    for (name, bytes) in files {
        zip.start_file(name, options).expect("an archive in memory");
        zip.write_all(bytes).expect("an archive in memory");
    }
    zip.finish().expect("an archive in memory").into_inner()
}
