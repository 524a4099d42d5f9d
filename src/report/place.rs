//! The machine-readable form of a search for the panel's spot.

use std::collections::BTreeMap;

use serde::Serialize;

use super::check::{Settings, chance, rounded};
use forecast::Finding;
use siting::conductor::Supply;
use siting::delay::DelayLimits;
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};
use siting::spots::Spot;

/// One run of `place`.
#[derive(Debug, Clone, Serialize)]
pub struct PlaceReport {
    /// Name of the plan.
    pub plan: String,
    /// Settings of the radio that reproduce the run.
    pub model: Settings,
    /// The other settings.
    pub search: SearchRow,
    /// How many devices must be heard.
    pub devices: usize,
    /// How many spots were compared.
    pub spots: usize,
    /// At how many of them every device is sound.
    pub keep_all: usize,
    /// How many places were left out, by reason.
    pub left_out: Vec<LeftOutRow>,
    /// The spots to choose from, best first.
    pub best: Vec<SpotRow>,
    /// All spots, best first, for the row formats; not in the JSON.
    #[serde(skip)]
    pub all: Vec<SpotRow>,
    /// The places left out; not in the JSON.
    #[serde(skip)]
    pub left_out_places: Vec<LeftOutPlace>,
    /// What is doubtful.
    pub warnings: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<&'static str>,
    /// Metres in one unit of the plan, for texts that a person compares with the plan.
    #[serde(skip)]
    pub metres_per_unit: f64,
}

/// The settings of the search.
#[derive(Debug, Clone, Serialize)]
pub struct SearchRow {
    /// Height of the panel above the floor, metres.
    pub height_m: f64,
    /// Distance between two spots, metres.
    pub spacing_m: f64,
    /// Least distance from metal, metres.
    pub clear_of_metal_m: f64,
    /// Least distance from a door or window of the outside wall, metres.
    pub clear_of_ways_in_m: f64,
    /// Whether outside walls are allowed.
    pub outside_walls: bool,
    /// Walking speed on the flat, m/s.
    pub walking_speed_m_per_s: f64,
    /// Walking speed on stairs, m/s.
    pub stairs_speed_m_per_s: f64,
    /// Time at the panel to disarm it, s.
    pub disarm_s: f64,
    /// Voltage of the panel's supply, V.
    pub supply_v: f64,
    /// Its current: "AC" or "DC".
    pub supply_current: &'static str,
    /// Load of the panel, A.
    pub load_a: f64,
    /// Largest voltage drop, per cent.
    pub drop_limit_percent: f64,
    /// Temperature of the conductors, °C.
    pub conductor_c: f64,
    /// Weights of reliability, walk and wire among spots that no other beats.
    pub weights: [f64; 3],
    /// Limits of the delays, with their source.
    pub delay_limits: DelayLimitsRow,
}

/// The usual limits of entry and exit delay.
#[derive(Debug, Clone, Serialize)]
pub struct DelayLimitsRow {
    /// Shortest and longest entry delay, s.
    pub entry_s: [u32; 2],
    /// Shortest and longest exit delay, s.
    pub exit_s: [u32; 2],
    /// Where they come from.
    pub source: &'static str,
}

/// Places left out for one reason.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOutRow {
    /// The reason.
    pub reason: &'static str,
    /// How many.
    pub places: usize,
}

/// One place left out.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOutPlace {
    /// Level number.
    pub level: i32,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
    /// The reason.
    pub reason: &'static str,
    /// The feature that is in the way.
    pub feature: String,
}

/// One spot.
#[derive(Debug, Clone, Serialize)]
pub struct SpotRow {
    /// Its number among the spots offered, from 1; null for those that are not.
    pub spot: Option<usize>,
    /// Its place in the order of all spots, from 1.
    pub rank: usize,
    /// Level number.
    pub level: i32,
    /// Name of the level.
    pub level_name: String,
    /// The wall that it is on.
    pub wall: Option<String>,
    /// x, y and height above the plan's zero, metres.
    pub position_m: [f64; 3],
    /// Height above the level's floor, metres.
    pub height_above_floor_m: f64,
    /// Whether every device would be sound.
    pub keeps_all: bool,
    /// Whether it is among the best sort and no other spot beats it in reliability, walk and wire
    /// together.
    pub unbeaten: bool,
    /// Chance that any supervised device has a fault in a year, 0 to 1.
    pub any_fault_per_year: f64,
    /// Devices that would not be sound.
    pub not_sound: usize,
    /// Devices that would be failing.
    pub failing: usize,
    /// The device with the least margin.
    pub worst: Option<HeardRow>,
    /// Share of each roam area that is served, estimated from some sixty points.
    pub roams: Vec<RoamShareRow>,
    /// The walk from the farthest entry.
    pub walk: Option<WalkRow>,
    /// The power run.
    pub wire: Option<WireRow>,
    /// Why there is no power run.
    pub no_wire: Option<String>,
    /// Every device; empty for spots that are not offered.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub heard: Vec<HeardRow>,
}

/// How a device would be heard.
#[derive(Debug, Clone, Serialize)]
pub struct HeardRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its number in the panel.
    pub number: Option<u32>,
    /// Level received less level needed, dB; over a repeater the lower of the two hops'.
    pub margin_db: f64,
    /// Chance of a supervision fault in a year, 0 to 1.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
    /// The repeater that it takes, or null for the panel.
    pub via: Option<String>,
}

/// Share of a roam area.
#[derive(Debug, Clone, Serialize)]
pub struct RoamShareRow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Share of the area that works, 0 to 1.
    pub share: f64,
}

/// A walk and the delays that it asks for.
#[derive(Debug, Clone, Serialize)]
pub struct WalkRow {
    /// The entry.
    pub entry: String,
    /// Length, metres.
    pub length_m: f64,
    /// Of it on stairs, metres.
    pub stairs_m: f64,
    /// Time on the way, s.
    pub time_s: f64,
    /// Whether it leads through a place narrower than the person.
    pub squeezed: bool,
    /// Entry delay needed: walk and disarming, rounded up, s.
    pub entry_delay_needed_s: f64,
    /// Entry delay to set, s.
    pub entry_delay_s: f64,
    /// Exit delay to set, never less than the entry delay, s.
    pub exit_delay_s: f64,
    /// The way: level, x and y in metres; empty for spots that are not offered.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub line: Vec<(i32, [f64; 2])>,
}

/// A power run.
#[derive(Debug, Clone, Serialize)]
pub struct WireRow {
    /// The outlet.
    pub outlet: String,
    /// Length along the walls, metres.
    pub length_m: f64,
    /// Cable to buy, with the allowance for ends and slack, metres.
    pub cable_m: f64,
    /// Slabs that must be drilled.
    pub through_floors: usize,
    /// The thinnest conductor that keeps the drop within the limit; null if none does.
    pub gauge: Option<String>,
    /// Voltage at the panel with it, or with the thickest, V.
    pub volts_at_panel: f64,
    /// Drop of the voltage, per cent.
    pub drop_percent: f64,
    /// The way: level, x, y and height above the plan's zero in metres; empty for spots that are
    /// not offered.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<(i32, [f64; 3])>,
}

impl PlaceReport {
    /// Puts a search into its machine-readable form.
    #[must_use]
    pub fn new(
        reach: &Reach<'_, '_>,
        siting: &Siting,
        settings: &SitingSettings,
        mut warnings: Vec<String>,
    ) -> Self {
        let site = reach.site;
        warnings.extend(siting.warnings.iter().cloned());
        for (rank, number) in siting.best.iter().enumerate() {
            let walk = siting.walks[*number].as_ref();
            let delays = walk.map_or(&[][..], |walk| &walk.delays.warnings);
            let run = siting.power[*number].as_ref().ok();
            let run = run.and_then(|run| run.warning(&settings.power));
            let all = delays.iter().cloned().chain(run);
            warnings.extend(all.map(|warning| format!("spot {}: {warning}", rank + 1)));
        }
        let ranks = siting.ranking.iter().zip(1..);
        let rank_of: BTreeMap<usize, usize> = ranks.map(|(number, rank)| (*number, rank)).collect();
        let row = |number: &usize, offered: bool| {
            let rank = rank_of.get(number).copied().unwrap_or_default();
            spot_row(reach, siting, rank, *number, offered)
        };
        let left_out = &siting.spots.left_out;
        let mut reasons: Vec<LeftOutRow> = Vec::new();
        for (_, reason) in left_out {
            match reasons.iter_mut().find(|row| row.reason == reason.word()) {
                Some(row) => row.places += 1,
                None => reasons.push(LeftOutRow { reason: reason.word(), places: 1 }),
            }
        }
        reasons.sort_by(|a, b| b.places.cmp(&a.places).then(a.reason.cmp(b.reason)));
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            search: SearchRow::new(settings),
            devices: reach.transmitters.len(),
            spots: siting.objectives.len(),
            keep_all: siting.objectives.iter().filter(|worth| worth.keeps_all()).count(),
            left_out: reasons,
            best: siting.best.iter().map(|n| row(n, true)).collect(),
            all: siting.ranking.iter().map(|n| row(n, false)).collect(),
            left_out_places: left_out
                .iter()
                .map(|(spot, reason)| LeftOutPlace {
                    level: spot.level,
                    position_m: position(spot),
                    reason: reason.word(),
                    feature: reason.feature().to_owned(),
                })
                .collect(),
            warnings,
            cautions: super::CAUTIONS.to_vec(),
            metres_per_unit: site.plan.metres_per_unit,
        }
    }

    /// The report as JSON, with a line feed at its end.
    ///
    /// # Errors
    /// What `serde_json` answers; a report holds nothing that it refuses.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        super::pretty(self)
    }
}

impl SearchRow {
    fn new(settings: &SitingSettings) -> Self {
        let SitingSettings { spots, walk, delay, power, weights, .. } = settings;
        let limits = &delay.limits;
        let supply: Supply = power.supply;
        Self {
            height_m: spots.height_m,
            spacing_m: spots.spacing_m,
            clear_of_metal_m: spots.clear_of_metal_m,
            clear_of_ways_in_m: spots.clear_of_ways_in_m,
            outside_walls: spots.outside_walls,
            walking_speed_m_per_s: walk.speed_m_per_s,
            stairs_speed_m_per_s: walk.stairs_speed_m_per_s,
            disarm_s: delay.disarm_s,
            supply_v: supply.volts().0,
            supply_current: supply.current().letters(),
            load_a: power.load.0,
            drop_limit_percent: power.drop_limit_percent,
            conductor_c: power.conductor.0,
            weights: [weights.reliability, weights.walk, weights.wire],
            delay_limits: DelayLimitsRow {
                entry_s: [limits.entry_least_s, limits.entry_most_s],
                exit_s: [limits.exit_least_s, limits.exit_most_s],
                source: DelayLimits::SOURCE,
            },
        }
    }
}

fn position(spot: &Spot) -> [f64; 3] {
    [rounded(spot.position.x), rounded(spot.position.y), rounded(spot.height_m)]
}

fn spot_row(
    reach: &Reach<'_, '_>,
    siting: &Siting,
    rank: usize,
    number: usize,
    offered: bool,
) -> SpotRow {
    let plan = reach.site.plan;
    let (spot, radio) = (&siting.spots.allowed[number], &siting.radio[number]);
    let level = plan.level(spot.level);
    let worth = &siting.objectives[number];
    let power = &siting.power[number];
    let heard = |place: usize| heard_row(reach, radio, place);
    let spot_number = siting.best.iter().position(|best| *best == number);
    SpotRow {
        spot: spot_number.map(|place| place + 1),
        rank,
        level: spot.level,
        level_name: level.map(|level| level.name.clone()).unwrap_or_default(),
        wall: spot.wall.map(|wall| plan.walls[wall].id.clone()),
        position_m: position(spot),
        height_above_floor_m: rounded(spot.height_m - level.map_or(0.0, |level| level.floor_m)),
        keeps_all: worth.keeps_all(),
        unbeaten: siting.unbeaten[number],
        any_fault_per_year: chance(worth.any_fault_per_year),
        not_sound: radio.not_sound,
        failing: radio.failing,
        worst: radio.worst.map(heard),
        roams: plan
            .roams
            .iter()
            .zip(&radio.roam_shares)
            .map(|(roam, share)| RoamShareRow {
                id: roam.id.clone(),
                name: roam.name.clone(),
                share: rounded(*share),
            })
            .collect(),
        walk: siting.walks[number].as_ref().map(|walk| {
            let (way, delays) = (&walk.longest, &walk.delays);
            let line = way.line.iter().filter(|_| offered);
            WalkRow {
                entry: way.entry.clone(),
                length_m: rounded(way.length_m),
                stairs_m: rounded(way.stairs_m),
                time_s: rounded(way.time_s),
                squeezed: way.squeezed,
                entry_delay_needed_s: rounded(delays.entry.needed_s),
                entry_delay_s: rounded(delays.entry.proposed_s),
                exit_delay_s: rounded(delays.exit.proposed_s),
                line: line.map(|(level, p)| (*level, [rounded(p.x), rounded(p.y)])).collect(),
            }
        }),
        wire: power.as_ref().ok().map(|run| {
            let route = run.wire.route.iter().filter(|_| offered);
            WireRow {
                outlet: run.wire.outlet.clone(),
                length_m: rounded(run.wire.length_m),
                cable_m: rounded(run.wire.cable_m),
                through_floors: run.wire.through_floors,
                gauge: run.gauge.map(|gauge| gauge.to_string()),
                volts_at_panel: rounded(run.volts_at_panel.0),
                drop_percent: rounded(run.drop_percent),
                route: route
                    .map(|(level, p, z)| (*level, [rounded(p.x), rounded(p.y), rounded(*z)]))
                    .collect(),
            }
        }),
        no_wire: power.as_ref().err().map(ToString::to_string),
        heard: (0..radio.heard.len()).filter(|_| offered).map(heard).collect(),
    }
}

fn heard_row(reach: &Reach<'_, '_>, radio: &siting::reach::SpotRadio, place: usize) -> HeardRow {
    let (device, heard) = (reach.transmitters[place].device, &radio.heard[place]);
    let repeater = heard.via.and_then(|via| reach.site.repeaters.get(via));
    HeardRow {
        id: device.id.clone(),
        name: device.name.clone(),
        number: device.number,
        margin_db: rounded(heard.margin.0),
        fault_per_year: chance(heard.fault_per_year),
        finding: Finding::of(heard.fault_per_year, reach.site.model.findings),
        via: repeater.map(|repeater| repeater.device.id.clone()),
    }
}
