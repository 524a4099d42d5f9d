//! From paths to a forecast: what is lost on the way, the margin, the chance of a supervision
//! fault.

mod assess;
mod coverage;
mod crossing;
mod device_losses;
mod fading;
mod fault;
mod field;
mod first_try;
mod hop;
mod ledger;
mod model;
mod obstructions;
mod outweighed;
mod paths;
mod reverberant;
mod rows;
mod site;
mod sum;
mod surfaces;
mod way;

pub use assess::{Assessment, DeviceResult, Onward, best_way, onward_chances};
pub use coverage::{
    LevelField, RoamResult, check_grids, covering, finding_margins, grid_at, level_box,
    level_field, margins_over, roam_budget, sensor_height,
};
pub use crossing::{sharp, soft};
pub use device_losses::losses_anywhere;
pub use fading::{FadeMoments, Fading, SCATTERED_K_FACTOR};
pub use fault::{FaultCurves, run_of_misses};
pub use field::{field, field_where, least_where};
pub use first_try::first_try;
pub use hop::{Hop, HopFigures, Trail, hop, hop_figures, power_gain, tenth_percentile};
pub use ledger::{DeviceLosses, Direction, Ledger, LinkOverride, MOUNTS, mount_loss, vocabulary};
pub use model::{
    Adding, Edges, K_FACTOR, LEAST_LEFT, Model, POLARISATION_LOSS, SCATTERED_SIGMA,
    SHADOWING_SIGMA, SITE_OFFSET, SITE_SIGMA, SPOT_SIGMA, WALL_CAP, Walls, better_over_repeater,
    is_better,
};
pub use outweighed::MAP_MISSES;
pub use paths::{Crossed, Crossing, Follower, PathGain, View};
pub use rows::Mask;
pub use site::{Listener, Site, SiteError};
pub use sum::{ListenerEnd, PathSum};
pub use surfaces::{
    ConstructionFacts, CrossingLoss, Surface, SurfaceNames, Surfaces, class_of, thickness,
};
pub use units::{Finding, Limits};
pub use way::{Carrier, CarryingWay, carrying_way, way_of};
