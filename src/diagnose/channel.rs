//! Channels and how their levels vary together: the linear model in decibels.
//!
//! The static level of a channel is
//! level = forecast − Δoffset − Σ slope·(scale − mean) − own − shadow − spot,
//! with one offset for the site, one scale for each construction, one own loss for each
//! transmitter, one shadowing for each device and listener, and one luck of the spot for each place
//! of the device. All have a normal prior. Shadowing at one listener is correlated between near
//! devices.
//!
//! # Prior
//! Site offset 6 ± 4 dB; each construction's scale 1 ± its spread over its loss, correlated by 0.8
//! within a class (our choice); a device's own loss ± 3 dB (our choice); the luck of the spot ± 5
//! dB; and shadowing, the rest of the static spread of `check`, shared by neighbours over 2 m. So
//! without a reading the forecast is that of `check` to the bit.
//!
//! # References
//! - Gudmundson, Correlation model for shadow fading in mobile radio systems, Electronics Letters
//!   27 (1991), 2145-2146 (from memory): the correlation of shadowing decays exponentially with
//!   distance.

use nalgebra::{DMatrix, DVector};

use super::receiver::Receiver;
use units::{Db, Dbm, Metres};

/// Distance over which the correlation of shadowing falls to 1/e: indoors one or two metres are
/// usual (from memory, no source confirmed).
pub const DECORRELATION: Metres = Metres(2.0);

/// Which transmitter, at which place, and which listener.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChannelKey {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// The listener: 0 the panel, then the repeaters in plan order.
    pub listener: usize,
    /// Which place of the device: 0 as found, else moved.
    pub placing: u32,
    /// Which transmitter: 0 the device's own, else another held in its place.
    pub transmitter: u32,
}

impl ChannelKey {
    /// The channel of a device as found.
    #[must_use]
    pub const fn as_found(device: usize, listener: usize) -> Self {
        Self { device, listener, placing: 0, transmitter: 0 }
    }

    /// Whether the device was neither moved nor swapped.
    pub(crate) const fn is_as_found(&self) -> bool {
        self.placing == 0 && self.transmitter == 0
    }
}

/// One transmitter at one place, heard by one listener.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Which channel it is.
    pub key: ChannelKey,
    /// Static level that is forecast.
    pub level: Dbm,
    /// Loss in decibels for each unit of scale, for each construction of the [`Prior`]: at a scale
    /// of one, what the construction costs this channel.
    pub slopes: Vec<f64>,
    /// Standard deviation of shadowing on this channel beyond offset and walls.
    pub shadow_sigma: Db,
    /// Standard deviation of the luck of the spot.
    pub spot_sigma: Db,
    /// Standard deviation of the transmitter's own loss.
    pub own_sigma: Db,
    /// What listens.
    pub receiver: Receiver,
}

/// The prior of a site.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// Mean of the site offset, a loss.
    pub site_offset: Db,
    /// Standard deviation of the site offset.
    pub site_sigma: Db,
    /// Names of the constructions.
    pub constructions: Vec<String>,
    /// Mean scale of each.
    pub scales: DVector<f64>,
    /// Covariance of the scales.
    pub scale_covariance: DMatrix<f64>,
    /// Where each device of the plan is, metres; the shadowing of one that is not listed is
    /// independent of all others.
    pub places: Vec<[f64; 3]>,
}

impl Prior {
    /// Correlation of the shadowing of two devices at one listener, 0 to 1.
    #[must_use]
    pub fn shadowing_correlation(&self, a: usize, b: usize) -> f64 {
        if a == b {
            return 1.0;
        }
        let (Some(from), Some(to)) = (self.places.get(a), self.places.get(b)) else {
            return 0.0;
        };
        let squares: f64 = from.iter().zip(to).map(|(x, y)| (x - y).powi(2)).sum();
        (-squares.sqrt() / DECORRELATION.0).exp()
    }
}
