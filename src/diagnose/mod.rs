//! Readings that a panel shows, held against the forecast: what this house really loses, what is
//! wrong with a flaky sensor, and which test would tell most.

pub mod cause;
mod channel;
mod factor;
mod propagation;
mod reading;
mod receiver;

pub use channel::{Channel, Layout, Prior};
pub use factor::{Factor, Tilted};
pub use propagation::{Joint, Posterior, StandIn, posterior};
pub use reading::{Circumstance, Reading, Remark, Seen};
pub use receiver::{Air, LAPSE, METER_SIGMA, Receiver, WILD_SHARE};
