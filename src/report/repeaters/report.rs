//! The report of a choice of repeaters.

use serde::Serialize;

use crate::check::json::StateRow;
use crate::check::report::CheckReport;
use crate::json::{object, position, rows};
use forecast::{Assessment, Crossing, DeviceResult};
use siting::cover::{Hops, Proof};
use siting::reach::Reach;
use siting::relays::{RelayAnswer, RelaySettings, Relays, Unheard};
use units::Db;

/// One run of `repeaters`. Its JSON is that of `check` for the plan with the repeaters, with these
/// members besides.
#[derive(Debug, Clone, Serialize)]
pub struct RepeatersReport {
    /// What was asked.
    pub search: RelaySearchRow,
    /// How far the panel moves, metres; null where the plan has none yet.
    pub panel_moves_m: Option<f64>,
    /// How far the answer is proven.
    pub proof: ProofRow,
    /// Chance of a fault in a year on any hop in use, 0 to 1.
    pub chance_of_any_fault: f64,
    /// The new repeaters.
    pub new_repeaters: Vec<RepeaterRow>,
    /// Devices that no number of repeaters brings to the panel.
    pub unheard: Vec<UnheardRow>,
    /// Every device as the plan has it now; empty for a plan without a panel.
    #[serde(serialize_with = "states")]
    pub before: Vec<DeviceResult>,
    /// Every device with the repeaters.
    #[serde(flatten)]
    pub after: CheckReport,
}

/// How every device stands, in short.
fn states<S: serde::Serializer>(results: &[DeviceResult], to: S) -> Result<S::Ok, S::Error> {
    rows(results, StateRow).serialize(to)
}

fn wall<S: serde::Serializer>(wall: &Option<Crossing>, to: S) -> Result<S::Ok, S::Error> {
    wall.as_ref().map(WallRow).serialize(to)
}

object! {
    /// A wall or floor in the way.
    WallRow(wall: Crossing) {
        "feature": wall.feature,
        "construction": wall.construction,
        "loss_db": wall.slab + wall.excess,
    }
}

/// What was asked.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct RelaySearchRow {
    /// Most repeaters on a way.
    pub hops: u8,
    /// Capacity of a new repeater; null for any number.
    pub capacity: Option<u32>,
    /// Whether all must be heard when any one repeater fails.
    pub lose_one: bool,
    /// Whether repeaters may hang away from outlets.
    pub anywhere: bool,
    /// Places for repeaters that were compared, those of the plan included.
    pub candidates: usize,
    /// Places for the panel that were compared.
    pub panel_places: usize,
    /// Devices that must be heard.
    pub devices: usize,
}

/// How far an answer is proven.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ProofRow {
    /// Whether it is proven best.
    pub best: bool,
    /// New repeaters in the answer.
    pub found: usize,
    /// Proven: fewer than this cannot do.
    pub at_least: usize,
    /// Proven: so many repeaters cannot have a lower chance of any fault than this.
    pub chance_at_least: f64,
}

/// A new repeater.
#[derive(Debug, Clone, Serialize)]
pub struct RepeaterRow {
    /// Its id.
    pub id: String,
    /// The outlet that it is plugged into, if it is at one.
    pub outlet: Option<String>,
    /// Level number.
    pub level: i32,
    /// Name of the level.
    pub level_name: String,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
    /// How many devices it can pass on; null for any number.
    pub capacity: Option<u32>,
    /// Ids of the devices that it hears itself.
    pub hears: Vec<String>,
    /// Ids of the devices whose messages pass over it, those that it hears included.
    pub carries: Vec<String>,
}

/// A device that cannot be heard.
#[derive(Debug, Clone, Serialize)]
pub struct UnheardRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its number in the panel.
    pub number: Option<u32>,
    /// The repeater, outlet or place of its best way over one repeater, or null for straight to the
    /// panel.
    pub best_over: Option<String>,
    /// Where that is: x, y and height above the plan's zero, metres.
    pub best_over_position_m: Option<[f64; 3]>,
    /// What is at that place.
    pub best_over_kind: Option<PlaceKind>,
    /// Level received less level needed on the hop to that repeater, dB.
    pub to_repeater_db: Option<Db>,
    /// Level received less level needed on the hop to the panel, dB.
    pub to_panel_db: Db,
    /// Chance of a fault in a year on that way, 0 to 1.
    pub fault_per_year: f64,
    /// The wall or floor that costs most on the hop that fails more often.
    #[serde(serialize_with = "wall")]
    pub wall: Option<Crossing>,
}

/// What is at a place where a repeater could be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PlaceKind {
    /// A repeater, of the plan or new.
    Repeater,
    /// An outlet.
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
    ) -> Self {
        let states = before.iter().flat_map(|b| b.sensors.iter().chain(&b.two_way));
        Self {
            search: RelaySearchRow {
                hops: match settings.hops {
                    Hops::One => 1,
                    Hops::Two => 2,
                },
                capacity: settings.capacity,
                lose_one: settings.lose_one,
                anywhere: relays
                    .candidates
                    .iter()
                    .any(|candidate| !candidate.given && candidate.outlet.is_none()),
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
            proof: ProofRow::new(answer),
            chance_of_any_fault: answer.chance_of_any_fault,
            new_repeaters: answer
                .new
                .iter()
                .map(|site| repeater(reach, relays, answer, *site))
                .collect(),
            unheard: answer
                .unheard
                .iter()
                .map(|unheard| unheard_row(reach, relays, answer, unheard))
                .collect(),
            before: states.cloned().collect(),
            after,
        }
    }

    crate::json::as_json!(&["model"]);
}

impl ProofRow {
    fn new(answer: &RelayAnswer) -> Self {
        match answer.proof {
            Proof::Best => Self {
                best: true,
                found: answer.new.len(),
                at_least: answer.new.len(),
                chance_at_least: answer.chance_of_any_fault,
            },
            Proof::Gap { found, at_least, chance_at_least, .. } => {
                Self { best: false, found, at_least, chance_at_least }
            }
        }
    }
}

fn repeater(
    reach: &Reach<'_, '_>,
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
        capacity: device.capacity,
        hears: ids(&|over| over.first() == Some(&site)),
        carries: ids(&|over| over.contains(&site)),
    }
}

fn unheard_row(
    reach: &Reach<'_, '_>,
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
