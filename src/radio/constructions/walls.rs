//! The catalogue's walls.

use super::{
    CatalogueLayer, Construction, ConstructionClass, FOIL, HEAVY, LIGHT, OPAQUE, PRACTICE, bulk,
    excess,
};

/// Walls, light ones first.
pub(super) const WALLS: &[Construction] = &[
    Construction {
        name: "stud-partition",
        layers: &[bulk("plasterboard", 12.5), bulk("air", 90.0), bulk("plasterboard", 12.5)],
        ..LIGHT
    },
    Construction {
        name: "stud-partition-insulated",
        layers: &[
            bulk("plasterboard", 12.5),
            bulk("mineral-wool", 90.0),
            bulk("plasterboard", 12.5),
        ],
        ..LIGHT
    },
    Construction {
        name: "stud-partition-double-board",
        layers: &[
            bulk("plasterboard", 25.0),
            bulk("mineral-wool", 90.0),
            bulk("plasterboard", 25.0),
        ],
        ..LIGHT
    },
    Construction {
        name: "lath-and-plaster",
        layers: &[
            bulk("plaster", 16.0),
            bulk("wood", 6.0),
            bulk("air", 100.0),
            bulk("wood", 6.0),
            bulk("plaster", 16.0),
        ],
        ..LIGHT
    },
    Construction {
        name: "metal-lath-plaster",
        layers: &[bulk("plaster", 19.0), LATH, bulk("air", 90.0), bulk("plaster", 19.0)],
        source: "common practice, no source; the lath taken as a mesh of 10 mm pitch and 1 mm \
            wire; two lathed sides would, as ideal \
            parallel sheets, resonate in a way that no real wall does",
        ..OPAQUE
    },
    Construction {
        name: "timber-frame-exterior",
        layers: &[
            bulk("wood", 20.0),
            bulk("air", 25.0),
            bulk("chipboard", 9.0),
            bulk("mineral-wool", 140.0),
            bulk("plasterboard", 12.5),
        ],
        class: ConstructionClass::Timber,
        ..LIGHT
    },
    Construction {
        name: "timber-frame-brick",
        layers: &[
            bulk("brick", 102.5),
            bulk("air", 50.0),
            bulk("chipboard", 9.0),
            bulk("mineral-wool", 140.0),
            bulk("plasterboard", 12.5),
        ],
        ..HEAVY
    },
    Construction {
        name: "brick-half",
        layers: &[bulk("plaster", 13.0), bulk("brick", 102.5), bulk("plaster", 13.0)],
        ..HEAVY
    },
    Construction {
        name: "brick-solid",
        layers: &[bulk("brick", 215.0), bulk("plaster", 13.0)],
        ..HEAVY
    },
    Construction {
        name: "brick-cavity",
        layers: &[
            bulk("brick", 102.5),
            bulk("air", 50.0),
            bulk("dense-block", 100.0),
            bulk("plaster", 13.0),
        ],
        ..HEAVY
    },
    Construction {
        name: "brick-cavity-insulated",
        layers: &[
            bulk("brick", 102.5),
            bulk("mineral-wool", 100.0),
            bulk("aerated-block", 100.0),
            bulk("plaster", 13.0),
        ],
        ..HEAVY
    },
    Construction {
        name: "block-light",
        layers: &[bulk("plaster", 13.0), bulk("aerated-block", 100.0), bulk("plaster", 13.0)],
        ..HEAVY
    },
    Construction {
        name: "block-dense",
        layers: &[bulk("plaster", 13.0), bulk("dense-block", 100.0), bulk("plaster", 13.0)],
        ..HEAVY
    },
    Construction {
        name: "concrete-100",
        layers: &[bulk("concrete", 100.0)],
        class: ConstructionClass::Concrete,
        ..HEAVY
    },
    Construction {
        name: "concrete-200",
        layers: &[bulk("concrete", 200.0)],
        class: ConstructionClass::Concrete,
        ..HEAVY
    },
    Construction {
        name: "concrete-reinforced-200",
        layers: &[bulk("concrete", 200.0)],
        excess: excess(6.2, 4.0, REINFORCED),
        source: PRACTICE,
        class: ConstructionClass::Concrete,
    },
    Construction {
        name: "stone-wall",
        layers: &[bulk("stone", 450.0), bulk("plaster", 20.0)],
        excess: excess(6.2, 5.0, STONE),
        source: PRACTICE,
        class: ConstructionClass::Masonry,
    },
    Construction {
        name: "foil-board-stud",
        layers: &[
            bulk("plasterboard", 12.5),
            bulk("air", 90.0),
            FOIL,
            bulk("rigid-foam", 25.0),
            FOIL,
            bulk("plasterboard", 12.5),
        ],
        source: FOIL_SOURCE,
        ..OPAQUE
    },
    Construction {
        name: "foil-board-brick",
        layers: &[
            bulk("brick", 215.0),
            bulk("air", 25.0),
            FOIL,
            bulk("rigid-foam", 50.0),
            FOIL,
            bulk("plasterboard", 12.5),
        ],
        source: FOIL_SOURCE,
        ..OPAQUE
    },
    Construction {
        name: "metal-panel-insulated",
        layers: &[bulk("metal", 0.5), bulk("rigid-foam", 80.0), bulk("metal", 0.5)],
        ..OPAQUE
    },
    Construction { name: "sheet-metal", layers: &[bulk("metal", 1.0)], ..OPAQUE },
    Construction {
        name: "tiled-stud",
        layers: &[
            bulk("ceramic-tile", 8.0),
            bulk("plasterboard", 12.5),
            bulk("air", 90.0),
            bulk("plasterboard", 12.5),
        ],
        excess: excess(4.3, 3.0, WET_ROOM),
        source: PRACTICE,
        class: ConstructionClass::Light,
    },
    Construction {
        name: "tiled-brick",
        layers: &[
            bulk("ceramic-tile", 8.0),
            bulk("plaster", 13.0),
            bulk("brick", 102.5),
            bulk("plaster", 13.0),
        ],
        excess: excess(4.7, 3.5, WET_ROOM),
        source: PRACTICE,
        class: ConstructionClass::Masonry,
    },
    Construction {
        name: "mirror-stud",
        layers: &[
            bulk("glass", 4.0),
            SILVER,
            bulk("plasterboard", 12.5),
            bulk("air", 90.0),
            bulk("plasterboard", 12.5),
        ],
        source: "common practice, no source; silver 0.1 µm thick, 1.6e-8 Ω·m from memory",
        ..OPAQUE
    },
];

const LATH: CatalogueLayer = CatalogueLayer::Mesh { pitch_mm: 10.0, wire_mm: 1.0 };
/// Silver, 1.6e-8 Ω·m (from memory) over 0.1 µm (common practice, no source).
const SILVER: CatalogueLayer = CatalogueLayer::Film { sheet_resistance_ohm: 0.16 };
const FOIL_SOURCE: &str =
    "common practice, no source; foil of aluminium, 9 µm, 2.65e-8 Ω·m from memory";
const REINFORCED: &str = "common practice, no source: 3 dB over the heavy walls, for bars whose \
    pitch is near the wavelength in \
    concrete";
const STONE: &str = "common practice, no source: 3 dB over the heavy walls, for damp, mortar and \
    rubble in a thick old wall";
const WET_ROOM: &str =
    "the wall without tiles and 1.5 dB for pipes and fittings: common practice, no source";
