//! The forecast of every device, given the levels of all hops: the better of the way to the panel
//! and those over one repeater, as the forecast without readings has it.

use rayon::prelude::*;

use super::network::Network;
use forecast::{Finding, Listener, better_over_repeater, tenth_percentile};
use plan::DeviceKind;
use units::{Db, Dbm};

/// A static level at a listener.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StaticLevel {
    /// The level that arrives, its mean.
    pub level: Dbm,
    /// Mean level over the level needed, in the worse direction of a two-way device.
    pub margin: Db,
    /// Standard deviation of both.
    pub sigma: Db,
}

/// The forecast of a device.
#[derive(Debug, Clone, PartialEq)]
pub struct DeviceForecast {
    /// Level at the listener that it takes, with the margin.
    pub shown: StaticLevel,
    /// Margin that nine of ten such devices exceed.
    pub margin_p10: Db,
    /// The repeater that it takes, or `None` for the panel.
    pub via: Option<String>,
    /// Chance of at least one supervision fault in a year on the whole way.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
}

/// The forecast of every device but the panel, in plan order with its index, if the hops of a
/// network have these levels.
pub(crate) fn device_forecasts(
    network: &Network<'_>,
    levels: &[StaticLevel],
) -> Vec<(usize, DeviceForecast)> {
    let site = network.site;
    let limits = site.model.findings;
    let chances: Vec<f64> = network
        .hops
        .par_iter()
        .zip(levels)
        .map(|(hop, shown)| {
            let curves = site.fault_curves(&hop.link);
            let fading = hop.figures.fading;
            curves.map_or(1.0, |curves| curves.averaged(shown.margin, shown.sigma, fading))
        })
        .collect();
    let hop = |device: usize, listener: usize| {
        let number = network.hop(device, listener)?;
        Some((*levels.get(number)?, *chances.get(number)?))
    };
    let onward = |repeater: &Listener| {
        let mut devices = site.plan.devices.iter();
        let number = devices.position(|device| device.id == repeater.device.id);
        let is_full = repeater.device.capacity == Some(0);
        let onward = number.filter(|_| !is_full).and_then(|number| hop(number, 0));
        (repeater.device.id.clone(), onward.map_or(1.0, |(_, chance)| chance))
    };
    let repeaters: Vec<(String, f64)> = site.repeaters.iter().map(onward).collect();
    let forecast = |(number, device): (usize, &plan::Device)| {
        let (mut shown, mut chance) = hop(number, 0)?;
        let mut via = None;
        if device.kind != DeviceKind::Repeater {
            for (at, (repeater, onward)) in repeaters.iter().enumerate() {
                let (there, first) = hop(number, at + 1)?;
                if let Some(both) = better_over_repeater(chance, first, *onward, limits) {
                    (shown, chance, via) = (there, both, Some(repeater.clone()));
                }
            }
        }
        let forecast = DeviceForecast {
            shown,
            margin_p10: tenth_percentile(shown.margin, shown.sigma),
            via,
            fault_per_year: chance,
            finding: Finding::of(chance, limits),
        };
        Some((number, forecast))
    };
    site.plan.devices.iter().enumerate().filter_map(forecast).collect()
}
