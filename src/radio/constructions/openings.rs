//! The catalogue's glass and doors.

use super::{CatalogueLayer, Construction, ConstructionClass, Excess, OPAQUE, bulk, excess, kind};

/// Glass, then doors.
pub(super) const OPENINGS: &[Construction] = &[
    Construction { name: "glass-single", layers: &[bulk("glass", 4.0)], ..GLASS },
    Construction {
        name: "glass-double",
        layers: &[bulk("glass", 4.0), bulk("air", 16.0), bulk("glass", 4.0)],
        ..GLASS
    },
    Construction {
        name: "glass-double-coated",
        layers: &[bulk("glass", 4.0), bulk("air", 16.0), COAT, bulk("glass", 4.0)],
        excess: excess(0.0, 5.0, COATED),
        source: COAT_SOURCE,
        class: ConstructionClass::CoatedGlass,
    },
    Construction {
        name: "glass-triple-coated",
        layers: &[
            bulk("glass", 4.0),
            COAT,
            bulk("air", 12.0),
            bulk("glass", 4.0),
            bulk("air", 12.0),
            COAT,
            bulk("glass", 4.0),
        ],
        excess: excess(0.0, 5.0, COATED),
        source: COAT_SOURCE,
        class: ConstructionClass::CoatedGlass,
    },
    Construction {
        name: "glass-wired",
        layers: &[
            bulk("glass", 3.5),
            CatalogueLayer::Mesh { pitch_mm: 12.5, wire_mm: 0.5 },
            bulk("glass", 3.5),
        ],
        excess: excess(0.0, 4.0, WIRED),
        source: "common practice, no source: mesh of 12.5 mm pitch and 0.5 mm wire",
        class: ConstructionClass::CoatedGlass,
    },
    Construction {
        name: "door-hollow",
        layers: &[bulk("hardboard", 3.0), bulk("air", 34.0), bulk("hardboard", 3.0)],
        ..DOOR
    },
    Construction { name: "door-solid", layers: &[bulk("wood", 44.0)], ..DOOR },
    Construction {
        name: "door-steel",
        layers: &[bulk("metal", 0.7), bulk("rigid-foam", 43.6), bulk("metal", 0.7)],
        ..OPAQUE
    },
    Construction {
        name: "door-glazed",
        layers: &[bulk("glass", 4.0), bulk("air", 16.0), bulk("glass", 4.0)],
        ..DOOR
    },
    Construction { name: "garage-door-steel", layers: &[bulk("metal", 0.7)], ..OPAQUE },
    Construction { name: "garage-door-timber", layers: &[bulk("wood", 22.0)], ..DOOR },
];

/// A low-emissivity coat: 3 to 8 Ω for sputtered silver, about 15 Ω for a pyrolytic coat.
const COAT: CatalogueLayer = CatalogueLayer::Film { sheet_resistance_ohm: 8.0 };
const COAT_SOURCE: &str = "common practice, no source; coat of 8 Ω per square (3-8 Ω sputtered, \
    about 15 Ω pyrolytic), from memory";
const COATED: &str = "none: the coat's resistance is the doubt, and the frame lets some power \
    round it; 3GPP TR 38.901 gives coated \
    glass about 23 dB (from memory); spread: common practice, no source";
const WIRED: &str =
    "none: the mesh is the doubt (joints, rust, pitch); spread: common practice, no source";
/// Doors and plain glass.
const FRAME_EXCESS: Excess = excess(
    1.8,
    2.0,
    "plain glass, 2.2 dB at 868 MHz (3GPP TR 38.901, 2 + 0.2 f, from memory), less the ideal slab \
        of glass-single and \
     glass-double there, calculated here; for doors the same by common practice, no source; \
     spread: common practice, no source",
);

const DOOR: Construction = kind(FRAME_EXCESS, ConstructionClass::Door);
const GLASS: Construction = kind(FRAME_EXCESS, ConstructionClass::Glass);
