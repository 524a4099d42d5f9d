//! The variables of a site with their prior, worked out entry by entry: of the channels of a large
//! site few are read, and a matrix of all of them would take gigabytes.

use nalgebra::DVector;

use super::channel::{Channel, Prior};
use super::propagation::Normal;

/// Where each variable of a site stands: the offset first, then the scales, then the own loss of
/// each device, then the channels.
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

    /// How many variables there are.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.channel(self.channels)
    }

    fn what(&self, variable: usize) -> Variable {
        if variable == Self::OFFSET {
            Variable::Offset
        } else if variable < self.own(0) {
            Variable::Scale(variable - self.scale(0))
        } else if variable < self.channel(0) {
            Variable::Own(variable - self.own(0))
        } else {
            Variable::Channel(variable - self.channel(0))
        }
    }
}

/// What one number of a [`Layout`] stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Variable {
    Offset,
    Scale(usize),
    Own(usize),
    Channel(usize),
}

/// The levels of channels before any reading.
#[derive(Debug)]
pub struct Levels<'a> {
    prior: &'a Prior,
    channels: &'a [Channel],
    /// Covariance of each channel's loss with each scale.
    with_scales: Vec<DVector<f64>>,
}

impl<'a> Levels<'a> {
    /// Those of some channels.
    #[must_use]
    pub fn new(prior: &'a Prior, channels: &'a [Channel]) -> Self {
        let with_scales =
            channels.iter().map(|channel| &prior.scale_covariance * slopes(channel)).collect();
        Self { prior, channels, with_scales }
    }
}

impl Normal for Levels<'_> {
    fn mean(&self, channel: usize) -> f64 {
        self.channels[channel].level.0
    }

    fn covariance(&self, a: usize, b: usize) -> f64 {
        let square = |x: units::Db| x.0 * x.0;
        let slopes = self.channels[b].slopes.iter();
        let walls: f64 = self.with_scales[a].iter().zip(slopes).map(|(x, y)| x * y).sum();
        let mut sum = square(self.prior.site_sigma) + walls;
        let (a, b) = (&self.channels[a], &self.channels[b]);
        if a.key.listener == b.key.listener {
            let correlation = self.prior.shadowing_correlation(a.key.device, b.key.device);
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
}

/// Everything that is not known of a site: offset, scales, own losses, and the levels of channels.
#[derive(Debug)]
pub struct Variables<'a> {
    /// Where each stands.
    pub layout: Layout,
    levels: Levels<'a>,
    /// Variance of each device's own loss.
    own: Vec<f64>,
}

impl<'a> Variables<'a> {
    /// Those of some channels.
    #[must_use]
    pub fn new(prior: &'a Prior, channels: &'a [Channel]) -> Self {
        let mut devices: Vec<usize> = channels.iter().map(|channel| channel.key.device).collect();
        devices.sort_unstable();
        devices.dedup();
        let mut own = vec![0.0; devices.len()];
        for channel in channels {
            if let Ok(place) = devices.binary_search(&channel.key.device) {
                own[place] = channel.own_sigma.0 * channel.own_sigma.0;
            }
        }
        let constructions = prior.constructions.len();
        let layout = Layout { constructions, devices, channels: channels.len() };
        Self { layout, levels: Levels::new(prior, channels), own }
    }
}

impl Normal for Variables<'_> {
    fn mean(&self, variable: usize) -> f64 {
        match self.layout.what(variable) {
            Variable::Offset => self.levels.prior.site_offset.0,
            Variable::Scale(number) => self.levels.prior.scales[number],
            Variable::Own(_) => 0.0,
            Variable::Channel(number) => self.levels.mean(number),
        }
    }

    fn covariance(&self, a: usize, b: usize) -> f64 {
        let prior = self.levels.prior;
        let (a, b) = (self.layout.what(a), self.layout.what(b));
        match (a.min(b), a.max(b)) {
            (Variable::Offset, Variable::Offset) => prior.site_sigma.0 * prior.site_sigma.0,
            (Variable::Scale(a), Variable::Scale(b)) => prior.scale_covariance[(a, b)],
            (Variable::Own(a), Variable::Own(b)) if a == b => self.own[a],
            (Variable::Channel(a), Variable::Channel(b)) => self.levels.covariance(a, b),
            // What loses more leaves less of the level.
            (Variable::Offset, Variable::Channel(_)) => -prior.site_sigma.0 * prior.site_sigma.0,
            (Variable::Scale(scale), Variable::Channel(number)) => {
                -self.levels.with_scales[number][scale]
            }
            (Variable::Own(place), Variable::Channel(number)) => {
                let channel = &self.levels.channels[number];
                let its = channel.key.device == self.layout.devices[place];
                if its && channel.key.transmitter == 0 { -self.own[place] } else { 0.0 }
            }
            _ => 0.0,
        }
    }
}

fn slopes(channel: &Channel) -> DVector<f64> {
    DVector::from_column_slice(&channel.slopes)
}
