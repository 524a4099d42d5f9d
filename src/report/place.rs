//! A search for the panel's spot: `place`.

mod features;
mod table;

use serde::Serialize;

pub use features::{place_csv, place_geojson};
pub use table::place_table;

use crate::json::{as_json, objects, rows};
use crate::settings::Settings;
use crate::table::{cautions, too_long};
use crate::whereabouts::{Place, Places};
use forecast::Finding;
use plan::{Device, Level, Roam};
use siting::delay::DelayLimits;
use siting::reach::{Heard, Reach, SpotRadio};
use siting::siting::{Siting, SitingSettings, SpotWalk};
use siting::spots::Spot;
use siting::wire::{NoRun, PowerRun};
use words::Words;

/// One run of `place`.
#[derive(Debug, Clone)]
pub struct PlaceReport<'a> {
    reach: &'a Reach<'a, 'a>,
    siting: &'a Siting,
    settings: &'a SitingSettings,
    /// Every spot in words, in the order of the spots allowed, then the panel now.
    places: Vec<String>,
    /// What ways in and outlets are called.
    names: Places<'a>,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

/// A spot of a report.
#[derive(Debug, Clone)]
pub(crate) struct SpotOf<'a> {
    report: &'a PlaceReport<'a>,
    /// Its place in the order of all spots, from 1.
    rank: usize,
    /// Its number among the spots offered, from 1.
    number: Option<usize>,
    /// Whether it is told of in full: its devices and lines, too.
    in_full: bool,
    spot: &'a Spot,
    level: Option<&'a Level>,
    keeps_all: bool,
    /// Whether no other spot beats it in reliability, walk and wire together.
    is_unbeaten: bool,
    radio: &'a SpotRadio,
    /// The walk from the farthest entry.
    walk: Option<&'a SpotWalk>,
    /// The power run, or why there is none.
    power: Result<&'a PowerRun, &'a NoRun>,
    /// Where it is, in words.
    place: String,
}

impl<'a> PlaceReport<'a> {
    /// The report of a search.
    #[must_use]
    pub fn new(
        reach: &'a Reach<'a, 'a>,
        siting: &'a Siting,
        settings: &'a SitingSettings,
        mut warnings: Vec<String>,
    ) -> Self {
        warnings.extend(siting.warnings.iter().cloned());
        for (rank, number) in siting.best.iter().enumerate() {
            let walk = siting.walks[*number].as_ref();
            let delays = walk.map_or(&[][..], |walk| &walk.delays.too_long);
            let delays = delays.iter().map(|over| too_long(&Words::default(), over));
            let run = siting.power[*number].as_ref().ok();
            let run = run.and_then(|run| run.warning(&settings.power, reach.site.plan.lengths()));
            let all = delays.chain(run);
            warnings.extend(all.map(|warning| format!("spot {}: {warning}", rank + 1)));
        }
        let now = siting.now.as_ref().map(|now| &now.spot);
        let spots: Vec<_> = siting.spots.allowed.iter().chain(now).map(place).collect();
        let names = Places::new(reach.site.plan);
        let places = names.all(&Words::default(), &spots);
        Self { reach, siting, settings, places, names, warnings }
    }

    /// Where the spots to choose from are, in their order, and then the panel now.
    #[must_use]
    pub fn place_words(&self, words: &Words) -> (Vec<String>, Option<String>) {
        let best = self.best().map(|spot| place(spot.spot)).collect::<Vec<_>>();
        let now = self.now().map(|now| self.names.all(words, &[place(now.spot)]).concat());
        (self.names.all(words, &best), now)
    }

    as_json!(PlaceRow, "model search");

    /// At how many spots every device is sound.
    fn keep_all(&self) -> usize {
        self.siting.objectives.iter().filter(|worth| worth.keeps_all()).count()
    }

    /// How many places were left out, by reason, the commonest first.
    fn left_out(&self) -> Vec<LeftOut> {
        let mut reasons: Vec<LeftOut> = Vec::new();
        for (_, reason) in &self.siting.spots.left_out {
            match reasons.iter_mut().find(|row| row.reason == reason.word()) {
                Some(row) => row.places += 1,
                None => reasons.push(LeftOut { reason: reason.word(), places: 1 }),
            }
        }
        reasons.sort_by(|a, b| b.places.cmp(&a.places).then(a.reason.cmp(b.reason)));
        reasons
    }

    /// All spots, best first.
    fn all(&self) -> impl Iterator<Item = SpotOf<'_>> {
        let ranks = self.siting.ranking.iter().zip(1..);
        ranks.map(|(index, rank)| SpotOf::new(self, *index, rank, false))
    }

    /// The panel where the plan has it.
    fn now(&self) -> Option<SpotOf<'_>> {
        let now = self.siting.now.as_ref()?;
        Some(SpotOf {
            report: self,
            rank: now.rank,
            number: None,
            in_full: true,
            spot: &now.spot,
            level: self.reach.site.plan.level(now.spot.level),
            keeps_all: now.worth.keeps_all(),
            is_unbeaten: now.rank == 1,
            radio: &now.radio,
            walk: now.walk.as_ref(),
            power: now.power.as_ref(),
            place: self.places.last().cloned().unwrap_or_default(),
        })
    }

    /// The spots to choose from, best first.
    fn best(&self) -> impl Iterator<Item = SpotOf<'_>> {
        let rank = |index: &usize| self.siting.ranking.iter().position(|other| other == index);
        let best = self.siting.best.iter();
        best.map(move |index| {
            SpotOf::new(self, *index, rank(index).map_or(0, |place| place + 1), true)
        })
    }
}

impl<'a> SpotOf<'a> {
    fn new(report: &'a PlaceReport<'a>, index: usize, rank: usize, in_full: bool) -> Self {
        let siting = report.siting;
        let spot = &siting.spots.allowed[index];
        let number = siting.best.iter().position(|best| *best == index);
        Self {
            report,
            rank,
            number: number.map(|place| place + 1),
            in_full,
            spot,
            level: report.reach.site.plan.level(spot.level),
            keeps_all: siting.objectives[index].keeps_all(),
            is_unbeaten: siting.unbeaten[index],
            radio: &siting.radio[index],
            walk: siting.walks[index].as_ref(),
            power: siting.power[index].as_ref(),
            place: report.places[index].clone(),
        }
    }

    fn level_name(&self) -> &'a str {
        self.level.map_or("", |level| &level.name)
    }

    /// Id of the wall that it is on.
    fn wall(&self) -> Option<&'a str> {
        self.spot.wall.map(|wall| self.report.reach.site.plan.walls[wall].id.as_str())
    }

    /// The device with the least margin.
    fn worst(&self) -> Option<HeardAt<'a>> {
        self.radio.worst.map(|place| HeardAt::new(self, place))
    }

    /// Every device, if it is told of in full.
    fn heard(&self) -> Vec<HeardAt<'a>> {
        let all = 0..self.radio.heard.len();
        all.filter(|_| self.in_full).map(|place| HeardAt::new(self, place)).collect()
    }

    /// Each roam area and its share that is served, estimated from some sixty points.
    fn roams(&self) -> impl Iterator<Item = (&'a Roam, &'a f64)> {
        self.report.reach.site.plan.roams.iter().zip(&self.radio.roam_shares)
    }
}

/// How a device would be heard.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HeardAt<'a> {
    device: &'a Device,
    heard: &'a Heard,
    finding: Finding,
    /// The repeater that it takes.
    via: Option<&'a str>,
}

impl<'a> HeardAt<'a> {
    fn new(spot: &SpotOf<'a>, place: usize) -> Self {
        let (reach, heard) = (spot.report.reach, &spot.radio.heard[place]);
        let repeater = heard.via.and_then(|via| reach.site.repeaters.get(via));
        Self {
            device: reach.transmitters[place].device,
            heard,
            finding: Finding::of(heard.fault_per_year, reach.site.model.findings),
            via: repeater.map(|repeater| repeater.device.id.as_str()),
        }
    }
}

fn place(spot: &Spot) -> Place {
    (spot.level, spot.position, spot.height_m)
}

fn position(spot: &Spot) -> [f64; 3] {
    [spot.position.x, spot.position.y, spot.height_m]
}

/// How many places were left out for one reason.
#[derive(Debug, Serialize)]
struct LeftOut {
    reason: &'static str,
    places: usize,
}

objects! {
    /// The whole report.
    PlaceRow(report: PlaceReport<'a>) {
        "plan": report.reach.site.plan.name,
        "model": Settings::new(report.reach.site),
        "search": SearchRow(report.settings),
        // Devices that must be heard.
        "devices": report.reach.transmitters.len(),
        // Spots that were compared.
        "spots": report.siting.objectives.len(),
        // At so many of them every device is sound.
        "keep_all": report.keep_all(),
        "left_out": report.left_out(),
        // The panel where the plan has it; its rank is that among all spots and itself.
        "now": report.now().as_ref().map(SpotRow),
        "best": rows(&report.best().collect::<Vec<_>>(), SpotRow),
        "warnings": report.warnings,
        "cautions": cautions(&Words::default()),
    }

    /// The settings of the search.
    SearchRow(search: SitingSettings) {
        "height_m": search.spots.height_m,
        "spacing_m": search.spots.spacing_m,
        "clear_of_metal_m": search.spots.clear_of_metal_m,
        // From a door or window of the outside wall.
        "clear_of_ways_in_m": search.spots.clear_of_ways_in_m,
        // Whether they are allowed.
        "outside_walls": search.spots.outside_walls,
        // On the flat.
        "walking_speed_m_per_s": search.walk.speed_m_per_s,
        "stairs_speed_m_per_s": search.walk.stairs_speed_m_per_s,
        // Time at the panel.
        "disarm_s": search.delay.disarm_s,
        "supply_v": search.power.supply.volts().0,
        "supply_current": search.power.supply.current().letters(),
        "load_a": search.power.load.0,
        "drop_limit_percent": search.power.drop_limit_percent,
        "conductor_c": search.power.conductor.0,
        // Of reliability, walk and wire among spots that no other beats.
        "weights": [search.weights.reliability, search.weights.walk, search.weights.wire],
        "delay_limits": DelayLimitsRow(&search.delay.limits),
    }

    /// The usual limits of entry and exit delay, the shortest and the longest.
    DelayLimitsRow(limits: DelayLimits) {
        "entry_s": [limits.entry_least_s, limits.entry_most_s],
        "exit_s": [limits.exit_least_s, limits.exit_most_s],
        "source": DelayLimits::SOURCE,
    }

    /// A spot.
    SpotRow(spot: SpotOf<'a>) {
        // Null for a spot that is not offered.
        "spot": spot.number,
        "rank": spot.rank,
        "level": spot.spot.level,
        "level_name": spot.level_name(),
        "wall": spot.wall(),
        "place": spot.place,
        "position_m": position(spot.spot),
        "height_above_floor_m":
            spot.spot.height_m - spot.level.map_or(0.0, |level| level.floor_m),
        "keeps_all": spot.keeps_all,
        "unbeaten": spot.is_unbeaten,
        // Of any supervised device.
        "any_fault_per_year": spot.radio.any_fault_per_year,
        "not_sound": spot.radio.not_sound,
        "failing": spot.radio.failing,
        "worst": spot.worst().as_ref().map(HeardRow),
        "roams": spot.roams().map(|(roam, share)| RoamShareRow(roam, share)).collect::<Vec<_>>(),
        "walk": spot.walk.map(|walk| WalkRow(walk, &spot.in_full)),
        "wire": spot.power.ok().map(|run| WireRow(run, &spot.in_full)),
        "no_wire": spot.power.err().map(ToString::to_string),
        if !spot.heard().is_empty() => "heard": rows(&spot.heard(), HeardRow),
    }

    /// How a device would be heard.
    HeardRow(one: HeardAt<'a>) {
        "id": one.device.id,
        "name": one.device.name,
        "number": one.device.number,
        // Over a repeater the lower of the two hops'.
        "margin_db": one.heard.margin,
        "fault_per_year": one.heard.fault_per_year,
        "finding": one.finding,
        "via": one.via,
    }

    /// Share of a roam area that is served.
    RoamShareRow(roam: Roam, share: f64) {
        "id": roam.id,
        "name": roam.name,
        "share": share,
    }

    /// A walk and the delays that it asks for.
    WalkRow(walk: SpotWalk, with_line: bool) {
        "entry": walk.longest.entry,
        "length_m": walk.longest.length_m,
        "stairs_m": walk.longest.stairs_m,
        "time_s": walk.longest.time_s,
        // Whether it leads through a place narrower than the person.
        "squeezed": walk.longest.squeezed,
        "entry_delay_needed_s": walk.delays.entry.needed_s,
        "entry_delay_s": walk.delays.entry.proposed_s,
        "exit_delay_s": walk.delays.exit.proposed_s,
        if *with_line && !walk.longest.line.is_empty() =>
            "line": rows(&walk.longest.line, |(level, p)| (level, [p.x, p.y])),
    }

    /// A power run.
    WireRow(run: PowerRun, with_route: bool) {
        "outlet": run.wire.outlet,
        // Along the walls.
        "length_m": run.wire.length_m,
        // To buy, with the allowance for ends and slack.
        "cable_m": run.wire.cable_m,
        "through_floors": run.wire.through_floors,
        // The thinnest that keeps the drop within the limit; null if none does.
        "gauge": run.gauge.map(|gauge| gauge.to_string()),
        // With it, or with the thickest.
        "volts_at_panel": run.volts_at_panel.0,
        "drop_percent": run.drop_percent,
        if *with_route && !run.wire.route.is_empty() =>
            "route": rows(&run.wire.route, |(level, p, z)| (level, [p.x, p.y, *z])),
    }
}
