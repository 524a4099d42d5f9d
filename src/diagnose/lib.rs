//! Readings that a panel shows, held against the forecast: what this house really loses, what is
//! wrong with a flaky sensor, and which test would tell most.

mod calibrate;
pub mod cause;
mod channel;
mod device_forecast;
mod factor;
mod network;
mod propagation;
mod reading;
pub mod readings;
mod receiver;
mod shared_fade;
mod site_causes;
mod tally;
mod variables;
mod verdict;

pub use calibrate::{
    Calibration, ConstructionEstimate, DeviceEstimate, Estimate, Fit, ListenerLevel, MOST_READ,
    ReadingsByChannel, calibrate, fit, noise,
};
pub use channel::{Channel, ChannelKey, DECORRELATION, Prior};
pub use device_forecast::{DeviceForecast, StaticLevel};
pub use factor::Factor;
pub use network::{LinearLoss, Network, OWN_SIGMA, SCALE_SIGMA, WALLS_MOST};
pub use propagation::{Joint, Normal, Posterior};
pub use reading::{Circumstance, Reading, Remark, Seen};
pub use receiver::{Air, METER_SIGMA, Receiver, WILD_SHARE};
pub use shared_fade::weighted;
pub use site_causes::causes;
pub use tally::Tally;
pub use variables::{Layout, Levels, Variables};
pub use verdict::metal_between;
