//! From paths to a forecast: what is lost on the way, the margin, the chance of a supervision fault.

mod assess;
mod calibrated;
mod coverage;
mod crossing;
mod fault;
mod field;
mod hop;
mod ledger;
mod model;
mod paths;
mod site;
mod surfaces;

pub use assess::{Assessment, DeviceResult, best_way, onward_chances};
pub use calibrated::{HopLosses, hop_losses, losses_anywhere};
pub use coverage::{
    LevelField, MAX_CELLS, RoamResult, covering, finding_margins, grid_at, level_field, level_grid,
    roam_budget,
};
pub use crossing::{round_block, sharp, soft};
pub use fault::{FaultCurve, Timing, run_of_misses};
pub use field::{Mask, field, field_where};
pub use hop::{Hop, HopFigures, Trail, hop, hop_figures, losses_of, power_gain, tenth_percentile};
pub use ledger::{
    DeviceLosses, Direction, Ledger, LinkOverride, MOUNTS, mount_loss, resolve_link, vocabulary,
};
pub use model::{
    BODY_LOSS, Edges, K_FACTOR, Model, SHADOWING_SIGMA, SITE_OFFSET, SITE_SIGMA, SPOT_SIGMA,
    WALL_CAP, Walls,
};
pub use paths::{Crossed, Crossing, Follower, PathGain, View};
pub use site::{Listener, Site, SiteError};
pub use surfaces::{
    ConstructionFacts, CrossingLoss, Surface, SurfaceNames, Surfaces, class_of, thickness,
};
pub use units::{Finding, Limits};
