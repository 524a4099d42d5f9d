//! What the readings say by themselves, before any cause is weighed.

use super::calibrate::{DeviceEstimate, ListenerLevel};
use super::cause::{Cause, SensorCauses};
use super::tally::{RARE, SOUND_MISSES, Tally, at_least};
use forecast::{Crossing, Finding, Site, class_of, hop};
use plan::Device;
use radio::ConstructionClass;
use units::Db;

/// A sensor that misses more than one check-in in ten is failing: so does its alarm at the first
/// try (our choice, no source).
const FAILING_MISSES: f64 = 0.1;

impl Tally {
    /// What the check-ins at this listener say without any forecast: failing where a whole
    /// supervision window was lost, or where a sensor that misses one in ten would miss so many
    /// less than one time in twenty; thin where one that misses one in fifty would; `None` without
    /// check-ins.
    #[must_use]
    pub fn finding(&self) -> Option<Finding> {
        let count = |of: usize| u32::try_from(of).unwrap_or(u32::MAX);
        let (missed, all) = (count(self.missed), count(self.heard.saturating_add(self.missed)));
        if self.lost == 0 && all == 0 {
            return None;
        }
        let exceeds = |miss: f64| missed > 0 && at_least(missed, all, miss) < RARE;
        Some(if self.lost > 0 || exceeds(FAILING_MISSES) {
            Finding::Failing
        } else if exceeds(SOUND_MISSES) {
            Finding::Thin
        } else {
            Finding::Sound
        })
    }

    /// Whether nothing was heard of a device that was listened for.
    const fn is_silent(&self) -> bool {
        self.heard == 0 && self.levels == 0 && self.between == 0
    }
}

impl DeviceEstimate {
    /// What its check-ins say without any forecast, at the listener that hears it best; `None`
    /// without check-ins.
    #[must_use]
    pub fn by_readings(&self) -> Option<Finding> {
        self.read.iter().filter_map(Tally::finding).min()
    }

    /// Its finding: the worse of the forecast with the readings and of the check-ins themselves.
    #[must_use]
    pub fn finding(&self) -> Finding {
        self.by_readings().map_or(self.after.finding, |finding| finding.max(self.after.finding))
    }

    /// Whether nothing was heard of it at any listener, although it was listened for.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        let mut listened = self.read.iter();
        !self.read.is_empty()
            && self.read.iter().all(Tally::is_silent)
            && listened.any(|tally| tally.missed + tally.lost > 0)
    }

    /// What is in reserve at the listener that should hear it best by what all readings show of
    /// the site and of its walls, without what only this device loses: its own silence pulls its
    /// level down, whatever the cause is, and would be counted twice.
    #[must_use]
    pub fn explained_margin(&self) -> Option<Db> {
        let explained = |level: &ListenerLevel| match level.listener {
            None => level.after.margin.0 + self.loss.0,
            Some(_) => level.before.margin.0,
        };
        self.levels.iter().map(explained).reduce(f64::max).map(Db)
    }

    /// Whether it is out of reach and no fault need be looked for: the forecast had it failing
    /// before any reading, nothing is heard of it, a path too weak as built is likelier than all
    /// faults together, and what the readings show of the house leaves it short.
    ///
    /// Failing begins at a chance of a fault in a year of one in five, where most such sensors are
    /// heard for years: to take the silence of one of them for distance would be wrong more often
    /// than right. Short is where more than half of the probability is beyond reach, since the
    /// spread goes as far up as down. Then a repeater is the better bet than a test.
    #[must_use]
    pub fn is_out_of_reach(&self, causes: &SensorCauses) -> bool {
        let first = causes.causes.first();
        self.before.finding == Finding::Failing
            && self.is_silent()
            && first.is_some_and(|first| first.cause == Cause::TooWeak && first.chance > 0.5)
            && self.explained_margin().is_some_and(|margin| margin.0 < 0.0)
    }
}

/// The metal, coated glass included, that costs most on the straight line from a device to the
/// panel; `None` where none is crossed or the device's link is not known.
#[must_use]
pub fn metal_between(site: &Site<'_>, device: &Device) -> Option<Crossing> {
    let link = site.link(device.link.as_ref()).ok()?;
    let is_metal = |crossing: &Crossing| {
        let class = class_of(site.plan, &crossing.construction);
        matches!(class, ConstructionClass::Metal | ConstructionClass::CoatedGlass)
    };
    let loss = |crossing: &Crossing| (crossing.slab + crossing.excess).0;
    let crossings = hop(site, &site.panel, device, &link).crossings.into_iter();
    crossings.filter(is_metal).max_by(|a, b| loss(a).total_cmp(&loss(b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(heard: usize, missed: usize, lost: usize) -> Tally {
        let (levels, between) = (0, 0);
        let (mean_level, mean_low, mean_high) = (None, None, None);
        Tally {
            listener: None,
            levels,
            mean_level,
            between,
            mean_low,
            mean_high,
            heard,
            missed,
            lost,
        }
    }

    #[test]
    fn check_ins_speak_for_themselves() {
        assert_eq!(tally(6, 6, 0).finding(), Some(Finding::Failing));
        assert_eq!(tally(10, 2, 0).finding(), Some(Finding::Thin));
        assert_eq!(tally(100, 1, 0).finding(), Some(Finding::Sound));
        assert_eq!(tally(5, 0, 1).finding(), Some(Finding::Failing));
        assert_eq!(tally(0, 0, 0).finding(), None);
    }

    #[test]
    fn the_tail_of_misses_is_binomial() {
        // 1 − 0.9² − 2·0.1·0.9 = 0.01.
        assert!((at_least(2, 2, 0.1) - 0.01).abs() < 1e-12);
        assert!((at_least(1, 3, 0.5) - 0.875).abs() < 1e-12);
    }
}
