//! Geometry without physics: which paths lead from one point to another, and what they meet.
//!
//! Walls stand upright, so a path is traced in plan and its height runs linearly over its unfolded
//! length ("2.5-D"). [`Scene`] is the plan as a tracer sees it; [`ImageTree`] holds the images of a
//! transmitter in its mirrors; [`HeightProfile`] tells how the height runs; [`PathTracer`] takes
//! one path apart exactly; [`GridTracer`] does the same for all cells of a [`Grid`] at once.
//!
//! # Conventions at edges
//! * A wall is met where a path crosses its centre line.
//! * A device within [`TOUCH_M`] of a wall's centre line does not cross that wall: it counts as
//!   mounted on the face turned to the other end.
//! * A path through the shared end of two walls meets both at one place; the budget counts the
//!   heavier only.
//! * A wall is no mirror for a device on its own centre line.

mod air;
mod enclosure;
mod floors;
mod grid;
mod grid_tracer;
mod height_profile;
mod image;
mod index;
mod path;
mod plane;
mod ray;
mod scene;
mod screen;

pub use enclosure::{Enclosure, Enclosures, Face};
pub use floors::Floors;
pub use grid::Grid;
pub use grid_tracer::{GridTracer, Region, Run, Shadows, TIE_M, lit_region};
pub use height_profile::{FloorEvent, HeightLeg, HeightProfile};
pub use image::{Image, ImageTree, MAX_IMAGES, TooManyImages};
pub use index::{ScreenIndex, bounding_box};
pub use path::{Leg, LegSpace, PathTracer, leg_spaces};
pub use plane::{HalfPlane, Point, Unfolding, cross, dot, left_of, norm};
pub use ray::{Facet, Ray, Silhouette, Strike};
pub use scene::{Scene, SurfaceFacts};
pub use screen::{
    AIR, Block, CORNER_M, Floor, Hole, Joint, Part, REACH_BEYOND_FREE_END_M, Screen, SurfaceId,
    TOUCH_M, reaches,
};
