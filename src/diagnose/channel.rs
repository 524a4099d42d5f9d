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

use super::propagation::Joint;
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
    pub const fn channel(&self, number: usize) -> usize {
        self.own(self.devices.len()) + number
    }
}

impl Prior {
    /// Covariance of the levels of two channels.
    #[must_use]
    pub fn covariance(&self, a: &Channel, b: &Channel) -> f64 {
        let square = |x: Db| x.0 * x.0;
        let mut sum = square(self.site_sigma) + self.by_scales(a).dot(&slopes(b));
        if a.key.listener == b.key.listener {
            let correlation = self.shadowing_correlation(a.key.device, b.key.device);
            sum += correlation * a.shadow_sigma.0 * b.shadow_sigma.0;
        }
        if a.key.device == b.key.device {
            if a.key.transmitter == b.key.transmitter {
                sum += a.own_sigma.0 * b.own_sigma.0;
            }
            if a.key.listener == b.key.listener && a.key.placing == b.key.placing {
                sum += a.spot_sigma.0 * b.spot_sigma.0;
            }
        }
        sum
    }

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

    /// Covariance of a channel's loss with each scale.
    fn by_scales(&self, channel: &Channel) -> DVector<f64> {
        &self.scale_covariance * slopes(channel)
    }

    /// The prior of the levels of all channels.
    pub(crate) fn levels(&self, channels: &[Channel]) -> Joint {
        let mut covariance = DMatrix::zeros(channels.len(), channels.len());
        for (i, a) in channels.iter().enumerate() {
            for (j, b) in channels.iter().enumerate().take(i + 1) {
                let both = self.covariance(a, b);
                covariance[(i, j)] = both;
                covariance[(j, i)] = both;
            }
        }
        let levels = channels.iter().map(|channel| channel.level.0);
        Joint { mean: DVector::from_iterator(channels.len(), levels), covariance }
    }

    /// The prior of everything: offset, scales, own losses, channels.
    #[must_use]
    pub fn joint(&self, channels: &[Channel]) -> (Layout, Joint) {
        let mut devices: Vec<usize> = channels.iter().map(|channel| channel.key.device).collect();
        devices.sort_unstable();
        devices.dedup();
        let layout =
            Layout { constructions: self.constructions.len(), devices, channels: channels.len() };
        let count = layout.channel(layout.channels);
        let mut mean = DVector::zeros(count);
        let mut covariance = DMatrix::zeros(count, count);
        let mut place = |at: usize, part: Joint| {
            mean.rows_mut(at, part.mean.len()).copy_from(&part.mean);
            let shape = part.covariance.shape();
            covariance.view_mut((at, at), shape).copy_from(&part.covariance);
        };
        let scales = (self.scales.clone(), self.scale_covariance.clone());
        place(layout.scale(0), Joint { mean: scales.0, covariance: scales.1 });
        place(layout.channel(0), self.levels(channels));
        let site = self.site_sigma.0 * self.site_sigma.0;
        mean[Layout::OFFSET] = self.site_offset.0;
        covariance[(Layout::OFFSET, Layout::OFFSET)] = site;
        for (number, channel) in channels.iter().enumerate() {
            let at = layout.channel(number);
            // What loses more leaves less of the level.
            let mut tie = |other: usize, with: f64| {
                covariance[(at, other)] = -with;
                covariance[(other, at)] = -with;
            };
            tie(Layout::OFFSET, site);
            for (i, with) in self.by_scales(channel).iter().enumerate() {
                tie(layout.scale(i), *with);
            }
            let own = channel.own_sigma.0 * channel.own_sigma.0;
            if let Ok(place) = layout.devices.binary_search(&channel.key.device) {
                if channel.key.transmitter == 0 {
                    tie(layout.own(place), own);
                }
                covariance[(layout.own(place), layout.own(place))] = own;
            }
        }
        (layout, Joint { mean, covariance })
    }
}

fn slopes(channel: &Channel) -> DVector<f64> {
    DVector::from_column_slice(&channel.slopes)
}
