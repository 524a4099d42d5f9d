//! The shortest walk from the entries to a spot, through doorways and over stairs.
//!
//! A person is a disc in plan. What stands in the way between knee and head height (walls with
//! their thickness, obstacles) is taken as polygons; the disc's centre keeps its radius away from
//! them. The shortest way of that centre runs straight between corners and bends round them, so it
//! is a way in the visibility graph of the corners. The arc round a corner is replaced by tangents
//! to it, 30° apart: every walk is one that the disc can really take, and at most 7 mm too long for
//! each right angle that it turns (half width 0.2 m).
//!
//! # What is decided here
//! - **Doorways.** An opening that the caller calls passable is a gap in its wall. Where the gap is
//!   narrower than the person, the walk goes straight through its middle.
//! - **Tight places.** Nobody squeezes through a crack while there is another way. Where there is
//!   none, the walk is searched again for a person of half the width, who turns sideways past an
//!   obstacle that stands close to a door; such a walk says so ([`Walk::squeezed`]) and is a little
//!   short, because all of it keeps closer to the corners. What is narrower still is shut.
//! - **Out of doors.** Nobody leaves the house and comes in again: openings with the outer face of
//!   the level's walls on one side stay shut, and so do all entries. A walled yard is indoors in
//!   this sense. A carport is out of doors. Where the walls do not close round the doors and
//!   stairs, only what is off the level's slabs is outside or, without slabs, beyond the convex
//!   hull of the walls.
//! - **Entries.** A walk begins in the middle of the entry's doorway, on the wall's centre line,
//!   goes straight in until the person is clear of the wall, and then anywhere. Of two sides that
//!   are both indoors, the one with more corners to walk to is inside.
//! - **Stairs** join the two ends of their line at their own speed, whatever stands or gapes there;
//!   their length is that of a slope. A stairwell's hole in a slab is not kept clear of otherwise.
//! - **Walls count by height, not by their level**: a wall of the ground floor that rises through
//!   the first floor is in the way there too.
//! - **Spots.** The walk ends at the nearest place with room for the person from which the spot is
//!   within reach and not behind a wall or a tall obstacle (found to 5 cm and 10°).
//!
//! A holed obstacle is solid, since nobody gets into the hole.

mod corner;
mod graph;
mod grid;
mod index;
mod legs;
mod outside;
mod ring;
mod route;
mod settings;
mod stand;
mod storey;

use std::sync::OnceLock;

use geo::Coord;

pub use legs::{Goal, Leg, Legs, Start};
pub use ring::passable_by_default;
pub use route::{EntryWalks, NoWalk, Unreached, Walk, Walks};
pub use settings::{MAX_CORNERS, MAX_ENTRIES, MAX_SIDES, WalkError, WalkSettings};

use graph::Graph;
use plan::{Opening, Plan};
use storey::Building;

/// How much narrower a person is who squeezes through, as a share of the half width (common sense,
/// no source: a body is about half as deep as it is wide).
const SQUEEZED: f64 = 0.5;

/// All ways that a person can walk in a building.
#[derive(Debug)]
pub struct WalkMap {
    settings: WalkSettings,
    building: Building,
    graph: Graph,
    /// Made when first needed.
    squeezed: OnceLock<Option<Graph>>,
}

impl WalkMap {
    /// Works out where a person can walk; `passable` says which openings are ways through
    /// (see [`passable_by_default`]). Openings marked as entries need not be.
    ///
    /// # Errors
    /// A plan beyond [`MAX_SIDES`], [`MAX_CORNERS`] or [`MAX_ENTRIES`].
    pub fn new(
        plan: &Plan,
        settings: &WalkSettings,
        passable: &dyn Fn(&Opening) -> bool,
    ) -> Result<Self, WalkError> {
        let building = Building::new(plan, settings, passable)?;
        let graph = Graph::new(&building, settings, settings.half_width_m)?;
        Ok(Self { settings: *settings, building, graph, squeezed: OnceLock::new() })
    }

    /// Ids of the openings by which people come in, in the order of the levels and, on each, of the
    /// plan; empty if the plan has none. An entry whose line has several parts is there once for
    /// each part.
    pub fn entries(&self) -> impl Iterator<Item = &str> {
        self.building.entries.iter().map(|entry| entry.id.as_str())
    }

    /// The shortest walks from every entry to all corners of the building: one search for each
    /// entry, after which any spot is asked for cheaply.
    #[must_use]
    pub fn from_entries(&self) -> EntryWalks<'_> {
        EntryWalks::new(self)
    }

    /// The quickest walk of an upright person between two places, each a level and a point in
    /// metres; its `entry` is empty. `None` if there is no way or no room for the person at an end.
    /// A search of its own for every call: for many spots, ask [`Self::from_entries`].
    #[must_use]
    pub fn between(&self, from: (i32, Coord<f64>), to: (i32, Coord<f64>)) -> Option<Walk> {
        route::between(self, from, to)
    }

    /// The graph of a person who squeezes through; `None` if it would be too large.
    fn squeezed(&self) -> Option<&Graph> {
        let made = self.squeezed.get_or_init(|| {
            let radius_m = self.settings.half_width_m * SQUEEZED;
            Graph::new(&self.building, &self.settings, radius_m).ok()
        });
        made.as_ref()
    }
}
