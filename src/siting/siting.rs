//! Every spot with all that is known of it, and which of them to offer.

use rayon::prelude::*;
use thiserror::Error;

use super::delay::{DelaySettings, Delays, delays_for};
use super::rank::{Objectives, Weights, ranking, unbeaten, well_apart};
use super::reach::{Reach, SpotRadio};
pub use super::spots::spots_of;
use super::spots::{Spot, SpotError, SpotSettings, Spots};
use super::walk::{NoWalk, Walk, WalkError, WalkMap, WalkSettings, Walks, passable_by_default};
use super::wire::{
    NoRun, PowerRun, PowerSettings, TooDense, WireNetwork, outlet_warnings, power_run,
};
use forecast::Finding;
use plan::Plan;

/// What the user may settle about spots.
#[derive(Debug, Clone, PartialEq)]
pub struct SitingSettings {
    /// Where spots are sought.
    pub spots: SpotSettings,
    /// How a person walks.
    pub walk: WalkSettings,
    /// What a person does at the panel.
    pub delay: DelaySettings,
    /// How the panel is fed.
    pub power: PowerSettings,
    /// What counts how much among spots that no other beats.
    pub weights: Weights,
    /// How many spots to offer.
    pub best: usize,
    /// How far apart they must lie, metres.
    pub apart_m: f64,
}

impl Default for SitingSettings {
    fn default() -> Self {
        Self {
            spots: SpotSettings::default(),
            walk: WalkSettings::default(),
            delay: DelaySettings::default(),
            power: PowerSettings::default(),
            weights: Weights::default(),
            best: 5,
            apart_m: 1.5,
        }
    }
}

/// The walk to one spot.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotWalk {
    /// The walk from the entry that takes longest.
    pub longest: Walk,
    /// The delays that it asks for.
    pub delays: Delays,
}

/// The spots of a plan, with all that is known of each.
#[derive(Debug, Clone)]
pub struct Siting {
    /// The spots; everything below is in the order of those allowed.
    pub spots: Spots,
    /// Their radio.
    pub radio: Vec<SpotRadio>,
    /// The walk to each: `None` where some entry that others can be reached from does not lead, or
    /// the plan has no entry.
    pub walks: Vec<Option<SpotWalk>>,
    /// The power run to each.
    pub power: Vec<Result<PowerRun, NoRun>>,
    /// What each is worth.
    pub objectives: Vec<Objectives>,
    /// Whether no other beats it (see [`unbeaten`]).
    pub unbeaten: Vec<bool>,
    /// All spots, best first.
    pub ranking: Vec<usize>,
    /// Those to offer, best first.
    pub best: Vec<usize>,
    /// The panel where the plan has it, by the same figures; `None` for a plan without one.
    pub now: Option<Now>,
    /// What is doubtful, for people.
    pub warnings: Vec<String>,
}

/// The panel where the plan has it.
#[derive(Debug, Clone)]
pub struct Now {
    /// Its place.
    pub spot: Spot,
    /// Its radio.
    pub radio: SpotRadio,
    /// The walk to it, as [`Siting::walks`].
    pub walk: Option<SpotWalk>,
    /// Its power run.
    pub power: Result<PowerRun, NoRun>,
    /// What it is worth.
    pub worth: Objectives,
    /// Its place in the order of all spots and itself, from 1.
    pub rank: usize,
}

/// Why spots cannot be compared.
#[derive(Debug, Error)]
#[allow(missing_docs, reason = "the messages say it")]
pub enum SitingError {
    #[error(transparent)]
    Spots(#[from] SpotError),
    #[error("the walk to the panel cannot be worked out: {0}")]
    Walk(#[from] WalkError),
    #[error("the power run cannot be worked out: {0}")]
    Wire(#[from] TooDense),
}

impl Siting {
    /// Finds the spots of a site and works out radio, walk and power run of each. `progress` is
    /// given, from any thread, how many parts in a thousand are done.
    pub fn new(
        reach: &Reach<'_, '_>,
        settings: &SitingSettings,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Result<Self, SitingError> {
        let plan = reach.site.plan;
        let spots = spots_of(plan, &settings.spots)?;
        let mut warnings = spots.warnings.clone();
        let now = plan.panel().map(|panel| Spot {
            level: panel.level,
            position: panel.position,
            height_m: panel.height_m,
            facing: None,
            wall: None,
        });
        let places: Vec<Spot> = spots.allowed.iter().copied().chain(now).collect();
        let mut walks = walks(plan, settings, &places, &mut warnings)?;
        let mut power = power(plan, settings, &places, &mut warnings)?;
        let done = std::sync::atomic::AtomicU64::new(0);
        let all = places.len().max(1) as u64;
        let mut radio = reach.radio(&places, &|more| {
            let before = done.fetch_add(more, std::sync::atomic::Ordering::Relaxed);
            progress((before + more) * 1000 / all);
        });
        let mut objectives: Vec<Objectives> = (0..places.len())
            .map(|n| Objectives {
                failing: radio[n].failing,
                not_sound: radio[n].not_sound,
                any_fault_per_year: radio[n].any_fault_per_year,
                walk_s: walks[n].as_ref().map(|walk| walk.longest.time_s),
                wire_m: power[n].as_ref().ok().map(|run| run.wire.length_m),
            })
            .collect();
        let among_all = ranking(&objectives, settings.weights);
        let now = now.and_then(|spot| {
            let number = objectives.len() - 1;
            Some(Now {
                spot,
                radio: radio.pop()?,
                walk: walks.pop()?,
                power: power.pop()?,
                worth: objectives.pop()?,
                rank: 1 + among_all.iter().position(|other| *other == number)?,
            })
        });
        let ranking = ranking(&objectives, settings.weights);
        let places: Vec<_> = spots.allowed.iter().map(|s| (s.level, s.position)).collect();
        let best = well_apart(&ranking, &places, settings.best, settings.apart_m);
        Ok(Self {
            unbeaten: unbeaten(&objectives),
            spots,
            radio,
            walks,
            power,
            objectives,
            ranking,
            best,
            now,
            warnings,
        })
    }

    /// The devices that are failing at every spot, as indices of [`Reach::transmitters`].
    #[must_use]
    pub fn out_of_reach(&self, reach: &Reach<'_, '_>) -> Vec<usize> {
        let limits = reach.site.model.findings;
        let fails = |radio: &SpotRadio, number: usize| {
            Finding::of(radio.heard[number].fault_per_year, limits) == Finding::Failing
        };
        let numbers = 0..reach.transmitters.len();
        numbers.filter(|&number| self.radio.iter().all(|radio| fails(radio, number))).collect()
    }
}

fn walks(
    plan: &Plan,
    settings: &SitingSettings,
    spots: &[Spot],
    warnings: &mut Vec<String>,
) -> Result<Vec<Option<SpotWalk>>, SitingError> {
    let map = WalkMap::new(plan, &settings.walk, &|opening| passable_by_default(plan, opening))?;
    if map.entries().next().is_none() {
        warnings.push(
            "no opening is marked as an entry, so the walk to the panel and the delays are not \
             known; mark the door that people use with \"entry\": true"
                .to_owned(),
        );
        return Ok(vec![None; spots.len()]);
    }
    let entries = map.from_entries();
    let all: Vec<Walks> =
        spots.par_iter().map(|spot| entries.to(spot.level, spot.position, spot.facing)).collect();
    // An entry that leads to no spot at all says nothing about any of them.
    let mut dead: Vec<&str> = Vec::new();
    for entry in map.entries() {
        let leads = |walks: &Walks| walks.walks.iter().any(|walk| walk.entry == entry);
        if !all.iter().any(leads) && !dead.contains(&entry) {
            dead.push(entry);
            let mut why = all.iter().flat_map(|walks| &walks.unreached);
            let why = why.find(|unreached| unreached.entry == entry);
            warnings.push(format!(
                "entry {entry} is not counted in the walks: {}",
                why.map_or(NoWalk::NoWay, |unreached| unreached.why)
            ));
        }
    }
    Ok(all
        .iter()
        .map(|walks| {
            let cut_off = |u: &super::walk::Unreached| !dead.contains(&u.entry.as_str());
            if walks.unreached.iter().any(cut_off) {
                return None;
            }
            let longest = walks.longest()?.clone();
            Some(SpotWalk { delays: delays_for(longest.time_s, &settings.delay), longest })
        })
        .collect())
}

fn power(
    plan: &Plan,
    settings: &SitingSettings,
    spots: &[Spot],
    warnings: &mut Vec<String>,
) -> Result<Vec<Result<PowerRun, NoRun>>, SitingError> {
    let network = WireNetwork::new(plan)?;
    warnings.extend(outlet_warnings(&network, &settings.power));
    Ok(spots
        .par_iter()
        .map(|spot| power_run(&network, &settings.power, spot.level, spot.position, spot.height_m))
        .collect())
}

/// The spot for the panel at which every device is sound with the repeaters that there are, and
/// any fault the least likely, if there is one.
#[must_use]
pub fn sound_spot(reach: &Reach<'_, '_>, settings: &SpotSettings) -> Option<Spot> {
    let spots = spots_of(reach.site.plan, settings).ok()?.allowed;
    let radio = reach.radio(&spots, &|_| {});
    let sound = (0..spots.len()).filter(|&number| radio[number].not_sound == 0);
    let least = sound.min_by(|&a, &b| {
        radio[a].any_fault_per_year.total_cmp(&radio[b].any_fault_per_year).then(a.cmp(&b))
    });
    least.map(|number| spots[number])
}
