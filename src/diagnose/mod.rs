//! Readings that a panel shows, held against the forecast: what this house really loses, what is
//! wrong with a flaky sensor, and which test would tell most.

mod channel;
mod factor;
mod propagation;
mod reading;
mod receiver;
pub mod readings;

pub use channel::{Channel, Layout, Prior, SHADOW_LENGTH_M};
pub use factor::{Factor, Tilted};
pub use propagation::{Joint, Posterior, posterior};
pub use reading::{Circumstance, Reading, Remark, Seen};
pub use receiver::{Air, LAPSE, METER_SIGMA, Receiver, WILD_SHARE};
