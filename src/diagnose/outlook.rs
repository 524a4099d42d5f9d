//! How every device stands, given the levels of all ways: the better of the way to the panel and those
//! over one repeater, as the forecast without readings has it.

use rayon::prelude::*;

use super::network::Network;
use forecast::{Finding, tenth_percentile};
use plan::DeviceKind;
use units::{Db, Dbm};

/// A static level at a listener.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The level that arrives, its mean.
    pub level: Dbm,
    /// Mean level over the level needed, in the worse direction of a two-way device.
    pub margin: Db,
    /// Standard deviation of both.
    pub sigma: Db,
}

/// How a device stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Level at the listener that it takes, with the margin.
    pub shown: Shown,
    /// Margin that nine of ten such devices exceed.
    pub margin_p10: Db,
    /// The repeater that it takes, or `None` for the panel.
    pub via: Option<String>,
    /// Chance of at least one supervision fault in a year on the whole way.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
}

/// How every device but the panel stands, in plan order with its index, if the ways of a network
/// show these levels.
#[must_use]
pub fn outlooks(network: &Network<'_>, levels: &[Shown]) -> Vec<(usize, Outlook)> {
    let site = network.site;
    let chances: Vec<f64> = network
        .ways
        .par_iter()
        .zip(levels)
        .map(|(way, shown)| {
            let curve = site.fault_curve(&way.link);
            curve.map_or(1.0, |curve| curve.averaged(shown.margin, shown.sigma))
        })
        .collect();
    let way = |device: usize, listener: usize| {
        let number = network.way(device, listener)?;
        Some((*levels.get(number)?, *chances.get(number)?))
    };
    let onward: Vec<f64> = site
        .repeaters
        .iter()
        .map(|repeater| {
            let mut devices = site.plan.devices.iter();
            let number = devices.position(|device| device.id == repeater.device.id);
            let chance = number.and_then(|number| way(number, 0));
            if repeater.device.capacity == Some(0) {
                1.0
            } else {
                chance.map_or(1.0, |(_, chance)| chance)
            }
        })
        .collect();
    let limits = site.model.findings;
    let devices = site.plan.devices.iter().enumerate();
    devices
        .filter_map(|(number, device)| {
            let (mut shown, mut chance) = way(number, 0)?;
            let mut via = None;
            if device.kind != DeviceKind::Repeater {
                for (at, (repeater, onward)) in site.repeaters.iter().zip(&onward).enumerate() {
                    let (there, first) = way(number, at + 1)?;
                    let both = 1.0 - (1.0 - first) * (1.0 - onward);
                    let fails = Finding::of(*onward, limits) == Finding::Failing;
                    // As in the forecast: rounding is no reason for a way round.
                    if !fails && both < chance * (1.0 - 1e-6) {
                        (shown, chance) = (there, both);
                        via = Some(repeater.device.id.clone());
                    }
                }
            }
            let outlook = Outlook {
                shown,
                margin_p10: tenth_percentile(shown.margin, shown.sigma),
                via,
                fault_per_year: chance,
                finding: Finding::of(chance, limits),
            };
            Some((number, outlook))
        })
        .collect()
}
