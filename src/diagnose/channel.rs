//! Channels and what ties their levels together: the linear model in decibels.
//!
//! The static level of a channel is
//! level = forecast − Δoffset − Σ slope·(scale − mean) − own − shadow − spot,
//! with one offset for the site, one scale for each construction, one own loss for each transmitter,
//! one shadowing for each device and listener, and one luck of the spot for each placing of the
//! device. All are normal beforehand. Shadowing at one listener is alike for devices near one another.
//!
//! # References
//! - Gudmundson, Correlation model for shadow fading in mobile radio systems, Electronics Letters 27
//!   (1991), 2145-2146 (from memory): the correlation of shadowing decays exponentially with distance.

use nalgebra::{DMatrix, DVector};

use super::propagation::Joint;
use super::receiver::Receiver;
use units::{Db, Dbm, Metres};

/// Distance over which the correlation of shadowing falls to 1/e: indoors one or two metres are usual
/// (from memory, no source confirmed).
pub const DECORRELATION: Metres = Metres(2.0);

/// One transmitter at one place, heard by one listener.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// The listener: 0 the panel, then the repeaters in plan order.
    pub listener: usize,
    /// Which placing of the device: 0 as found, else moved.
    pub placing: u32,
    /// Which transmitter: 0 the device's own, else another held in its place.
    pub transmitter: u32,
    /// Static level that is forecast.
    pub level: Dbm,
    /// Loss in decibels for each unit of scale, for each construction of the [`Prior`]: at a scale of
    /// one, what the construction costs this channel.
    pub slopes: Vec<f64>,
    /// Standard deviation of shadowing on this channel beyond offset and walls.
    pub shadow_sigma: Db,
    /// Standard deviation of the luck of the spot.
    pub spot_sigma: Db,
    /// Standard deviation of what the transmitter itself differs by.
    pub own_sigma: Db,
    /// What listens.
    pub receiver: Receiver,
}

/// What is known beforehand of a site.
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
    /// Where each device of the plan is, metres; the shadowing of one that is not listed is like no
    /// other's.
    pub places: Vec<[f64; 3]>,
}

/// Where each variable stands in a [`Joint`] of a site: the offset first, then the scales, then the
/// own loss of each device, then the channels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// Number of constructions.
    pub constructions: usize,
    /// Devices with an own loss, indices of the plan's devices, in rising order.
    pub devices: Vec<usize>,
    /// Number of channels.
    pub channels: usize,
}

impl Layout {
    /// The site offset.
    pub const OFFSET: usize = 0;

    /// The scale of a construction.
    #[must_use]
    pub const fn scale(&self, construction: usize) -> usize {
        1 + construction
    }

    /// The own loss of a device, by its place in [`Layout::devices`].
    #[must_use]
    pub const fn own(&self, place: usize) -> usize {
        1 + self.constructions + place
    }

    /// The level of a channel.
    #[must_use]
    pub fn channel(&self, number: usize) -> usize {
        1 + self.constructions + self.devices.len() + number
    }

    /// Number of all variables.
    #[must_use]
    pub fn len(&self) -> usize {
        self.channel(self.channels)
    }

    /// Never: there is always the offset.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        false
    }
}

impl Prior {
    /// Covariance of the levels of two channels.
    #[must_use]
    pub fn covariance(&self, a: &Channel, b: &Channel) -> f64 {
        let square = |x: Db| x.0 * x.0;
        let mut sum = square(self.site_sigma) + self.by_scales(a).dot(&slopes(b));
        if a.listener == b.listener {
            sum += self.nearness(a.device, b.device) * a.shadow_sigma.0 * b.shadow_sigma.0;
        }
        if a.device == b.device {
            if a.transmitter == b.transmitter {
                sum += a.own_sigma.0 * b.own_sigma.0;
            }
            if a.listener == b.listener && a.placing == b.placing {
                sum += a.spot_sigma.0 * b.spot_sigma.0;
            }
        }
        sum
    }

    /// Correlation of the shadowing of two devices at one listener, 0 to 1.
    #[must_use]
    pub fn nearness(&self, a: usize, b: usize) -> f64 {
        if a == b {
            return 1.0;
        }
        let (Some(from), Some(to)) = (self.places.get(a), self.places.get(b)) else {
            return 0.0;
        };
        let squares: f64 = from.iter().zip(to).map(|(x, y)| (x - y).powi(2)).sum();
        (-squares.sqrt() / DECORRELATION.0).exp()
    }

    /// Covariance of a channel's loss with each scale.
    fn by_scales(&self, channel: &Channel) -> DVector<f64> {
        &self.scale_covariance * slopes(channel)
    }

    /// The prior of everything: offset, scales, own losses, channels.
    #[must_use]
    pub fn joint(&self, channels: &[Channel]) -> (Layout, Joint) {
        let mut devices: Vec<usize> = channels.iter().map(|channel| channel.device).collect();
        devices.sort_unstable();
        devices.dedup();
        let layout =
            Layout { constructions: self.constructions.len(), devices, channels: channels.len() };
        let mut mean = DVector::zeros(layout.len());
        let mut covariance = DMatrix::zeros(layout.len(), layout.len());
        mean[Layout::OFFSET] = self.site_offset.0;
        covariance[(Layout::OFFSET, Layout::OFFSET)] = self.site_sigma.0 * self.site_sigma.0;
        for i in 0..layout.constructions {
            mean[layout.scale(i)] = self.scales[i];
            for j in 0..layout.constructions {
                covariance[(layout.scale(i), layout.scale(j))] = self.scale_covariance[(i, j)];
            }
        }
        for (number, channel) in channels.iter().enumerate() {
            let at = layout.channel(number);
            mean[at] = channel.level.0;
            let mut tie = |other: usize, with: f64| {
                covariance[(at, other)] = with;
                covariance[(other, at)] = with;
            };
            // Whatever loses more leaves less of the level.
            tie(Layout::OFFSET, -self.site_sigma.0 * self.site_sigma.0);
            for (i, with) in self.by_scales(channel).iter().enumerate() {
                tie(layout.scale(i), -with);
            }
            let own = channel.own_sigma.0 * channel.own_sigma.0;
            if let Ok(place) = layout.devices.binary_search(&channel.device) {
                if channel.transmitter == 0 {
                    tie(layout.own(place), -own);
                }
                covariance[(layout.own(place), layout.own(place))] = own;
            }
            for (other, with) in channels.iter().enumerate().take(number + 1) {
                let both = self.covariance(channel, with);
                covariance[(at, layout.channel(other))] = both;
                covariance[(layout.channel(other), at)] = both;
            }
        }
        (layout, Joint { mean, covariance })
    }
}

fn slopes(channel: &Channel) -> DVector<f64> {
    DVector::from_column_slice(&channel.slopes)
}
