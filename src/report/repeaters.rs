//! A choice of repeaters: `repeaters`.

mod table;

pub use table::{repeaters_csv, repeaters_table};

use serde::{Serialize, Serializer};

use crate::check::{CheckReport, CheckRow, StateRow};
use crate::json::{as_json, objects, position, rows};
use crate::whereabouts::Places;
use forecast::{Assessment, Crossing, DeviceResult};
use siting::cover::{Hops, Proof};
use siting::reach::Reach;
use siting::relays::{RelayAnswer, RelaySettings, Relays, Unheard};
use siting::spots::Spot;
use units::Db;
use words::Words;

/// One run of `repeaters`. Its JSON is that of `check` for the plan with the repeaters, with these
/// members besides.
#[derive(Debug, Clone, Serialize)]
pub struct RepeatersReport {
    search: SearchRow,
    /// How far the panel moves; null where the plan has none yet.
    panel_moves_m: Option<f64>,
    proof: ProofRow,
    /// Of a fault in a year on any hop in use.
    chance_of_any_fault: f64,
    /// A spot for the panel at which every device is sound without a new repeater, in words, where
    /// repeaters alone do not do it or some are needed; null where none was found or sought.
    panel_alone: Option<String>,
    /// The new repeaters.
    pub new_repeaters: Vec<RepeaterRow>,
    /// Devices that no number of repeaters makes sound.
    unheard: Vec<UnheardRow>,
    /// Every device as the plan has it now; empty for a plan without a panel.
    #[serde(serialize_with = "states")]
    before: Vec<DeviceResult>,
    /// Every device with the repeaters.
    #[serde(flatten, serialize_with = "whole")]
    pub after: CheckReport,
}

fn states<S: Serializer>(results: &[DeviceResult], to: S) -> Result<S::Ok, S::Error> {
    rows(results, StateRow).serialize(to)
}

fn whole<S: Serializer>(report: &CheckReport, to: S) -> Result<S::Ok, S::Error> {
    CheckRow(report).serialize(to)
}

fn wall<S: Serializer>(wall: &Option<Crossing>, to: S) -> Result<S::Ok, S::Error> {
    wall.as_ref().map(WallRow).serialize(to)
}

objects! {
    /// A wall or floor in the way.
    WallRow(wall: Crossing) {
        "feature": wall.feature,
        "construction": wall.construction,
        "loss_db": wall.slab + wall.excess,
    }
}

/// What was asked.
#[derive(Debug, Clone, Copy, Serialize)]
struct SearchRow {
    hops: u8,
    /// Of a new repeater; null for any number.
    capacity: Option<u32>,
    lose_one: bool,
    /// Whether repeaters may hang away from outlets.
    anywhere: bool,
    /// Places for repeaters that were compared, those of the plan included.
    candidates: usize,
    panel_places: usize,
    /// Devices that must be heard.
    devices: usize,
}

/// How far an answer is proven, as [`Proof`] says it.
#[derive(Debug, Clone, Copy, Serialize)]
struct ProofRow {
    best: bool,
    found: usize,
    at_least: usize,
    chance_at_least: f64,
}

/// A new repeater.
#[derive(Debug, Clone, Serialize)]
pub struct RepeaterRow {
    /// Its id.
    pub id: String,
    /// The outlet that it is plugged into, if it is at one.
    outlet: Option<String>,
    level: i32,
    level_name: String,
    position_m: [f64; 3],
    /// Where it hangs, in words.
    place: String,
    /// How many devices it can pass on; null for any number.
    capacity: Option<u32>,
    /// Ids of the devices that it hears itself.
    pub hears: Vec<String>,
    /// Ids of the devices whose messages pass over it, those that it hears included.
    pub carries: Vec<String>,
}

/// A device that no number of repeaters makes sound.
#[derive(Debug, Clone, Serialize)]
struct UnheardRow {
    id: String,
    name: String,
    number: Option<u32>,
    /// Whether it is thin with the choice made.
    is_thin: bool,
    /// Where its best way leads over, in words.
    place: Option<String>,
    /// The repeater, outlet or place of its best way over one repeater, or null for straight to the
    /// panel.
    best_over: Option<String>,
    best_over_position_m: Option<[f64; 3]>,
    best_over_kind: Option<PlaceKind>,
    /// Level received less level needed on the hop to that repeater, and on the hop to the panel.
    to_repeater_db: Option<Db>,
    to_panel_db: Db,
    /// On that way.
    fault_per_year: f64,
    /// The wall or floor that costs most on the hop that fails more often.
    #[serde(serialize_with = "wall")]
    wall: Option<Crossing>,
}

/// What is at a place where a repeater could be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
enum PlaceKind {
    /// A repeater, of the plan or new.
    Repeater,
    Outlet,
    /// Nothing.
    Spot,
}

impl RepeatersReport {
    /// Puts a choice into its machine-readable form.
    #[must_use]
    pub fn new(
        reach: &Reach<'_, '_>,
        relays: &Relays<'_, '_, '_>,
        settings: &RelaySettings,
        answer: &RelayAnswer,
        before: Option<&Assessment>,
        after: CheckReport,
        panel_alone: Option<&Spot>,
    ) -> Self {
        let (places, words) = (Places::new(reach.site.plan), Words::default());
        let states = before.iter().flat_map(|b| b.sensors.iter().chain(&b.two_way));
        let mut candidates = relays.candidates.iter();
        let (found, chance) = (answer.new.len(), answer.chance_of_any_fault);
        Self {
            search: SearchRow {
                hops: match settings.hops {
                    Hops::One => 1,
                    Hops::Two => 2,
                },
                capacity: settings.capacity,
                lose_one: settings.lose_one,
                anywhere: candidates.any(|one| !one.given && one.outlet.is_none()),
                candidates: relays.candidates.len(),
                panel_places: relays.panels.len(),
                devices: relays.wanted.len(),
            },
            panel_moves_m: relays.panels.get(answer.panel).and_then(|panel| {
                let old = reach.site.plan.panel()?;
                let step = panel.position - old.position;
                let flat = step.x.hypot(step.y);
                Some(flat.hypot(panel.height_m - old.height_m))
            }),
            proof: match answer.proof {
                Proof::Best => {
                    ProofRow { best: true, found, at_least: found, chance_at_least: chance }
                }
                Proof::Gap { found, at_least, chance_at_least, .. } => {
                    ProofRow { best: false, found, at_least, chance_at_least }
                }
            },
            chance_of_any_fault: chance,
            panel_alone: panel_alone.map(|spot| {
                places.all(&words, &[(spot.level, spot.position, spot.height_m)]).concat()
            }),
            new_repeaters: rows(&answer.new, |site| {
                repeater((reach, &places), relays, answer, *site)
            }),
            unheard: rows(&answer.unheard, |one| {
                unheard_row((reach, &places), relays, answer, one)
            }),
            before: states.cloned().collect(),
            after,
        }
    }

    as_json!(std::convert::identity, "model");
}

fn repeater(
    (reach, places): (&Reach<'_, '_>, &Places<'_>),
    relays: &Relays<'_, '_, '_>,
    answer: &RelayAnswer,
    site: usize,
) -> RepeaterRow {
    let candidate = &relays.candidates[site];
    let device = &candidate.device;
    let level = reach.site.plan.level(device.level);
    let ids = |takes: &dyn Fn(&[usize]) -> bool| {
        let ways = answer.ways.iter().filter(|(_, over)| takes(over));
        ways.map(|(transmitter, _)| reach.transmitters[*transmitter].device.id.clone()).collect()
    };
    RepeaterRow {
        id: device.id.clone(),
        outlet: candidate.outlet.clone(),
        level: device.level,
        level_name: level.map(|level| level.name.clone()).unwrap_or_default(),
        position_m: position(device),
        place: places.of(&Words::default(), device),
        capacity: device.capacity,
        hears: ids(&|over| over.first() == Some(&site)),
        carries: ids(&|over| over.contains(&site)),
    }
}

fn unheard_row(
    (reach, places): (&Reach<'_, '_>, &Places<'_>),
    relays: &Relays<'_, '_, '_>,
    answer: &RelayAnswer,
    unheard: &Unheard,
) -> UnheardRow {
    let device = reach.transmitters[unheard.transmitter].device;
    let first = unheard.over.as_ref().map(|(_, first)| first);
    let over = unheard.over.as_ref().map(|(site, _)| *site);
    let relay = over.and_then(|site| relays.candidates.get(site));
    let first_kept = first.map_or(1.0, |first| 1.0 - first.fault_per_year);
    let kept = first_kept * (1.0 - unheard.to_panel.fault_per_year);
    UnheardRow {
        id: device.id.clone(),
        name: device.name.clone(),
        number: device.number,
        is_thin: unheard.is_thin,
        place: relay.map(|relay| places.of(&Words::default(), &relay.device)),
        best_over: relay.map(|relay| relay.device.id.clone()),
        best_over_position_m: relay.map(|relay| position(&relay.device)),
        best_over_kind: over.zip(relay).map(|(site, relay)| {
            if answer.open.contains(&site) {
                PlaceKind::Repeater
            } else if relay.outlet.is_some() {
                PlaceKind::Outlet
            } else {
                PlaceKind::Spot
            }
        }),
        to_repeater_db: first.map(|first| first.margin),
        to_panel_db: unheard.to_panel.margin,
        fault_per_year: 1.0 - kept,
        wall: unheard.wall.clone(),
    }
}
