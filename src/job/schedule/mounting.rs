//! What a device is fixed to, which decides the anchor.

use serde::Serialize;

use forecast::class_of;
use plan::{Device, Plan};
use radio::ConstructionClass;

/// What a device is fixed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fixing {
    /// Plasterboard or plaster on studs.
    Light,
    /// Timber.
    Timber,
    /// Brick, block or stone.
    Masonry,
    /// Concrete.
    Concrete,
    /// Plain glass.
    Glass,
    /// Glass with a coat.
    CoatedGlass,
    /// Metal.
    Metal,
    /// A door's leaf.
    Door,
    /// The frame of a door or window.
    Frame,
    /// A ceiling.
    Ceiling,
    /// Let into a frame or wall.
    Recessed,
}

/// What a device is fixed to: as its mount says, else the construction of the wall with this id;
/// `None` where it hangs on no wall.
#[must_use]
pub fn fixing(plan: &Plan, device: &Device, wall: Option<&str>) -> Option<Fixing> {
    match device.mount.as_deref() {
        Some("frame") => return Some(Fixing::Frame),
        Some("ceiling") => return Some(Fixing::Ceiling),
        Some("recessed") => return Some(Fixing::Recessed),
        Some("metal") => return Some(Fixing::Metal),
        _ => {}
    }
    let wall = plan.walls.iter().find(|known| Some(known.id.as_str()) == wall)?;
    Some(match class_of(plan, &wall.construction) {
        ConstructionClass::Light => Fixing::Light,
        ConstructionClass::Timber => Fixing::Timber,
        ConstructionClass::Masonry => Fixing::Masonry,
        ConstructionClass::Concrete => Fixing::Concrete,
        ConstructionClass::Glass => Fixing::Glass,
        ConstructionClass::CoatedGlass => Fixing::CoatedGlass,
        ConstructionClass::Metal => Fixing::Metal,
        ConstructionClass::Door => Fixing::Door,
    })
}
