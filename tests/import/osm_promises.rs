//! What the readers of open indoor maps promise of any bytes.

use forecast::vocabulary;
use import::{Kind, Known, Settings, draft};
use plan::read_house;

/// Reads bytes as OSM XML: no panic, and what is accepted is a sound plan.
pub fn survives_osm_xml(bytes: &[u8]) {
    survives(Kind::OsmXml, bytes);
}

/// Reads bytes as `GeoJSON`: no panic, and what is accepted is a sound plan.
pub fn survives_osm_geojson(bytes: &[u8]) {
    survives(Kind::IndoorGeojson, bytes);
}

fn survives(kind: Kind, bytes: &[u8]) {
    let settings = Settings { known: Known { vocabulary: vocabulary() }, ..Settings::default() };
    match draft(kind, "map", bytes, &settings) {
        Ok(draft) => {
            let text = draft.text();
            assert_eq!(
                draft,
                import::draft(kind, "map", bytes, &settings).unwrap_or_default(),
                "the same bytes give the same draft"
            );
            if let Err(faults) = read_house("map", text.as_bytes(), &vocabulary()) {
                let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
                panic!("{}\n{text}", faults.join("\n"));
            }
        }
        Err(faults) => {
            assert!(!faults.is_empty());
            for fault in faults {
                let said = fault.to_string();
                assert!(!fault.what.is_empty() && !fault.mend.is_empty());
                assert!(!said.chars().any(|c| c.is_control() && c != '\n'), "{said:?}");
            }
        }
    }
}
