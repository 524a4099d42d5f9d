//! The catalogue's floors and ceilings.

use super::{Construction, ConstructionClass, FOIL, LIGHT, OPAQUE, PRACTICE, bulk, excess, kind};

/// Floors, then ceilings; the upper side first.
pub(super) const FLOORS: &[Construction] = &[
    Construction {
        name: "floor-timber",
        layers: &[bulk("chipboard", 22.0), bulk("air", 200.0), bulk("plasterboard", 12.5)],
        excess: excess(2.0, 2.5, TIMBER_FLOOR),
        source: PRACTICE,
        class: ConstructionClass::Timber,
    },
    Construction { name: "floor-concrete", layers: &[bulk("concrete", 150.0)], ..CONCRETE_FLOOR },
    Construction {
        name: "floor-concrete-screed",
        layers: &[bulk("screed", 65.0), bulk("rigid-foam", 25.0), bulk("concrete", 150.0)],
        ..CONCRETE_FLOOR
    },
    Construction {
        name: "floor-beam-block",
        layers: &[bulk("screed", 65.0), bulk("dense-block", 100.0)],
        ..CONCRETE_FLOOR
    },
    Construction {
        name: "ceiling-board-roof",
        layers: &[bulk("mineral-wool", 200.0), bulk("plasterboard", 12.5)],
        ..LIGHT
    },
    Construction {
        name: "ceiling-foil",
        layers: &[bulk("mineral-wool", 200.0), FOIL, bulk("plasterboard", 12.5)],
        source: "common practice, no source; foil of aluminium, 9 µm, 2.65e-8 Ω·m from memory",
        ..OPAQUE
    },
    Construction {
        name: "floor-concrete-foil",
        layers: &[bulk("screed", 65.0), FOIL, bulk("rigid-foam", 80.0), bulk("concrete", 150.0)],
        source: "common practice, no source; foil of aluminium, 9 µm, 2.65e-8 Ω·m from memory",
        ..OPAQUE
    },
    Construction {
        name: "floor-metal-panel",
        layers: &[
            bulk("plywood", 15.0),
            bulk("metal", 0.5),
            bulk("rigid-foam", 80.0),
            bulk("metal", 0.5),
        ],
        ..OPAQUE
    },
    Construction {
        name: "ceiling-metal-panel",
        layers: &[bulk("metal", 0.5), bulk("rigid-foam", 80.0), bulk("metal", 0.5)],
        ..OPAQUE
    },
];

const TIMBER_FLOOR: &str = "midway between two figures less the ideal slab at their frequency, \
    calculated here: ITU-R P.1238 \
    residential, 4 dB a floor at 1.8-2 GHz (seen in a secondary source), and house, 5 dB at 2.4 \
    GHz (from memory); spread: \
    common practice, no source";
const CONCRETE_FLOOR_SOURCE: &str = "14.15 dB at 1.8 GHz, midway between 10 dB (ITU-R P.1238 \
    apartment at 2.4 GHz, from memory) and 18.3 dB \
    (COST 231 reinforced floor, 1.8 GHz, seen in secondary sources), less the ideal slab of 150 mm \
    concrete, calculated here; \
    spread: common practice, no source";

const CONCRETE_FLOOR: Construction =
    kind(excess(5.0, 5.0, CONCRETE_FLOOR_SOURCE), ConstructionClass::Concrete);
