//! The parts of a search for the panel's spot in JSON.

use serde::{Serialize, Serializer};

use super::report::{HeardAt, PlaceReport, SpotOf};
use crate::CAUTIONS;
use crate::json::{members, object, rows};
use crate::settings::Settings;
use plan::Roam;
use siting::delay::DelayLimits;
use siting::siting::{SitingSettings, SpotWalk};
use siting::wire::PowerRun;

impl Serialize for PlaceReport<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        members!(to;
            "plan": self.reach.site.plan.name,
            "model": Settings::new(self.reach.site),
            "search": SearchRow(self.settings),
            // Devices that must be heard.
            "devices": self.reach.transmitters.len(),
            // Spots that were compared.
            "spots": self.siting.objectives.len(),
            // At so many of them every device is sound.
            "keep_all": self.keep_all(),
            "left_out": self.left_out(),
            "best": self.best().collect::<Vec<_>>(),
            "warnings": self.warnings,
            "cautions": CAUTIONS,
        )
    }
}

object! {
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
}

object! {
    /// The usual limits of entry and exit delay, the shortest and the longest.
    DelayLimitsRow(limits: DelayLimits) {
        "entry_s": [limits.entry_least_s, limits.entry_most_s],
        "exit_s": [limits.exit_least_s, limits.exit_most_s],
        "source": DelayLimits::SOURCE,
    }
}

impl Serialize for SpotOf<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let (spot, radio, heard) = (self.spot(), self.radio(), self.heard());
        let floor_m = self.level().map_or(0.0, |level| level.floor_m);
        let roams = self.roams().map(|(roam, share)| RoamShareRow(roam, share));
        members!(to;
            // Null for a spot that is not offered.
            "spot": self.number(),
            "rank": self.rank,
            "level": spot.level,
            "level_name": self.level_name(),
            "wall": self.wall(),
            "position_m": self.position_m(),
            "height_above_floor_m": spot.height_m - floor_m,
            "keeps_all": self.keeps_all(),
            "unbeaten": self.is_unbeaten(),
            // Of any supervised device.
            "any_fault_per_year": radio.any_fault_per_year,
            "not_sound": radio.not_sound,
            "failing": radio.failing,
            "worst": self.worst(),
            "roams": roams.collect::<Vec<_>>(),
            "walk": self.walk().map(|walk| WalkRow(walk, &self.in_full)),
            "wire": self.power().ok().map(|run| WireRow(run, &self.in_full)),
            "no_wire": self.power().err().map(ToString::to_string),
            if !heard.is_empty() => "heard": heard,
        )
    }
}

impl Serialize for HeardAt<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        members!(to;
            "id": self.device.id,
            "name": self.device.name,
            "number": self.device.number,
            // Over a repeater the lower of the two hops'.
            "margin_db": self.heard.margin,
            "fault_per_year": self.heard.fault_per_year,
            "finding": self.finding,
            "via": self.via,
        )
    }
}

object! {
    /// Share of a roam area that is served.
    RoamShareRow(roam: Roam, share: f64) {
        "id": roam.id,
        "name": roam.name,
        "share": share,
    }
}

object! {
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
}

object! {
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
