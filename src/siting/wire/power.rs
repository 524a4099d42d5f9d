//! The power run of a spot: its wire, the gauge that it needs, and what arrives at the panel.

use geo::Coord;

use super::{NoRun, WireNetwork, WireRun};
use crate::conductor::{Amperes, Celsius, DEFAULT_CONDUCTOR, Gauge, Supply, Volts};
use units::{Lengths, Metres};

/// How the panel is fed.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerSettings {
    /// What is plugged into the outlet; default [`Supply::default`].
    pub supply: Supply,
    /// What the panel draws; default 0.5 A (common practice, no source). 0 to 100.
    pub load: Amperes,
    /// Conductors to choose from; default those from [`Gauge::THINNEST_USUAL`] on.
    pub gauges: Vec<Gauge>,
    /// Temperature of the conductors; default [`DEFAULT_CONDUCTOR`]. −50 to 150 °C.
    pub conductor: Celsius,
    /// Largest drop, per cent of the supply's voltage; default 10 (common practice, no source).
    /// Above 0, up to 100.
    pub drop_limit_percent: f64,
}

impl Default for PowerSettings {
    fn default() -> Self {
        Self {
            supply: Supply::default(),
            load: Amperes(0.5),
            gauges: Gauge::THINNEST_USUAL.and_thicker(),
            conductor: DEFAULT_CONDUCTOR,
            drop_limit_percent: 10.0,
        }
    }
}

/// What is left at the end of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtPanel {
    /// Voltage at the panel.
    pub volts: Volts,
    /// The drop on both conductors as a share of the supply's voltage, per cent: 0 to 100.
    pub drop_percent: f64,
}

impl PowerSettings {
    /// The voltage at the panel: the supply's less load current times the resistance of both
    /// conductors of a run. A drop that would be more than the supply's voltage means that the load
    /// cannot draw its current: then nothing is left.
    #[must_use]
    pub fn at_panel(&self, gauge: Gauge, length: Metres) -> AtPanel {
        let supply = self.supply.volts().0;
        let ohms = 2.0 * gauge.ohms_per_km(self.conductor) * length.0 / 1_000.0;
        let drop = (self.load.0 * ohms).clamp(0.0, supply);
        AtPanel { volts: Volts(supply - drop), drop_percent: 100.0 * drop / supply }
    }

    /// The conductor with the greatest resistance whose drop stays within the limit, itself
    /// allowed, and what it leaves at the panel; `None` if none does.
    #[must_use]
    pub fn thinnest(&self, length: Metres) -> Option<(Gauge, AtPanel)> {
        let mut all =
            self.thin_first().into_iter().map(|gauge| (gauge, self.at_panel(gauge, length)));
        all.find(|(_, left)| left.drop_percent <= self.drop_limit_percent)
    }

    /// The gauges from the greatest resistance to the least.
    fn thin_first(&self) -> Vec<Gauge> {
        let mut sorted = self.gauges.clone();
        let ohms = |gauge: &Gauge| gauge.ohms_per_km(self.conductor);
        sorted.sort_by(|a, b| ohms(b).total_cmp(&ohms(a)));
        sorted
    }
}

/// The power run of one spot.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerRun {
    /// The wire.
    pub wire: WireRun,
    /// The thinnest conductor that keeps the drop within the limit over [`WireRun::cable_m`];
    /// `None` if none does.
    pub gauge: Option<Gauge>,
    /// Voltage at the panel with that conductor, or with the thickest if none does.
    pub volts_at_panel: Volts,
    /// Drop with the same conductor, per cent of the supply's voltage.
    pub drop_percent: f64,
}

impl PowerRun {
    /// A warning if no conductor is thick enough.
    #[must_use]
    pub fn warning(&self, settings: &PowerSettings, lengths: Lengths) -> Option<String> {
        if self.gauge.is_some() {
            return None;
        }
        let thickest = settings.thin_first().pop()?;
        Some(format!(
            "even {thickest} drops {:.1} % over {} of cable, more than the limit of {} %; choose a \
             nearer outlet, or raise --drop-limit",
            self.drop_percent,
            lengths.run(self.wire.cable_m),
            settings.drop_limit_percent
        ))
    }
}

/// The power run of a spot: level, place in plan in metres, height above the plan's zero in metres.
pub fn power_run(
    network: &WireNetwork,
    settings: &PowerSettings,
    level: i32,
    position: Coord<f64>,
    height_m: f64,
) -> Result<PowerRun, NoRun> {
    let wire = network.to(level, position, height_m)?;
    let length = Metres(wire.cable_m);
    let (gauge, left) = settings.thinnest(length).unzip();
    let left = left.or_else(|| Some(settings.at_panel(settings.thin_first().pop()?, length)));
    Ok(PowerRun {
        wire,
        gauge,
        volts_at_panel: left.map_or(Volts(0.0), |left| left.volts),
        drop_percent: left.map_or(100.0, |left| left.drop_percent),
    })
}

/// What to warn of before any spot is looked at: no outlet, outlets of no use, a supply too small.
#[must_use]
pub fn outlet_warnings(network: &WireNetwork, settings: &PowerSettings) -> Vec<String> {
    let mut found: Vec<String> = network
        .unusable()
        .map(|(id, why)| format!("outlet \"{id}\" cannot feed the panel: {why}"))
        .collect();
    if !network.has_outlet() {
        let none = if found.is_empty() {
            "the plan has no outlet, so the power run is not known"
        } else {
            "no outlet of the plan can be used, so the power run is not known"
        };
        found.push(none.to_owned());
    }
    found.extend(settings.supply.overload(settings.load));
    found
}
