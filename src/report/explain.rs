//! One device's link in full: `explain`.

mod remedies;
mod table;
mod way;

pub use table::explain_table;

use crate::check::{DeviceRow, PanelRow};
use crate::json::{as_json, objects, rows};
use crate::settings::Settings;
use crate::table::cautions;
use crate::whereabouts::Places;
use explain::{
    ExplainSettings, Explanation, HopBudget, Line, NoiseNeed, null_distance, standing_wave_distance,
};
use forecast::{CarryingWay, Crossing, Finding, Site};
use remedies::{advice, remedy_words, shown};
use units::{Lengths, Metres};
use way::cost_words;
use words::Words;

/// One run of `explain`.
#[derive(Debug)]
pub struct ExplainReport<'a> {
    site: &'a Site<'a>,
    told: &'a Explanation,
    /// How far the device was moved and raised in the search for what helps.
    search: ExplainSettings,
    warnings: Vec<String>,
    places: Places<'a>,
}

/// How far a null reaches at a link.
#[derive(Debug, Clone, Copy, serde::Serialize)]
struct NullReach {
    wavelength_m: Metres,
    /// A move of so much leaves a null behind.
    leave_null_m: Metres,
    /// Before a wall that reflects the best spot lies so far from the worst.
    standing_wave_m: Metres,
}

impl<'a> ExplainReport<'a> {
    /// The report of an explanation.
    #[must_use]
    pub fn new(
        site: &'a Site<'a>,
        told: &'a Explanation,
        settings: &ExplainSettings,
        warnings: Vec<String>,
    ) -> Self {
        Self { site, told, search: *settings, warnings, places: Places::new(site.plan) }
    }

    as_json!(ExplainedRow, "model");

    /// What each remedy is, in words, in the order of the JSON.
    #[must_use]
    pub fn remedy_words(&self, words: &Words) -> Vec<String> {
        let list = self.told.remedies.list.iter();
        list.map(|remedy| remedy_words(self, words, &remedy.action)).collect()
    }

    /// In a few sentences: by which way most power comes, and the least work that helps.
    #[must_use]
    pub fn summary(&self, words: &Words) -> Vec<String> {
        let is_sound = self.told.result.finding == Finding::Sound;
        let advice = (!is_sound).then(|| advice(self, words, &shown(self).0));
        [cost_words(words, &self.told.budget)].into_iter().chain(advice).collect()
    }

    fn lengths(&self) -> Lengths {
        self.site.plan.lengths()
    }

    fn null(&self) -> NullReach {
        let wavelength = self.told.budget.link.frequency.wavelength();
        NullReach {
            wavelength_m: wavelength,
            leave_null_m: null_distance(wavelength),
            standing_wave_m: standing_wave_distance(wavelength),
        }
    }
}

objects! {
    /// The whole report.
    ExplainedRow(report: ExplainReport<'a>) {
        "plan": report.site.plan.name,
        "model": Settings::new(report.site),
        "search": report.search,
        "panel": PanelRow(&report.site.panel.device),
        "sensor": DeviceRow(&report.told.result),
        // The sort of device, as the plan says it: contact, motion, smoke…
        "device": report.told.result.device.device,
        // From the repeater on; null if it goes straight to the panel.
        "onward_fault_per_year": report.told.onward_fault_per_year,
        "hop": HopRow(&report.told.budget, &false),
        // Null if that is the hop that it takes.
        "to_panel": report.told.to_panel.as_ref().map(|budget| HopRow(budget, &true)),
        "null": report.null(),
        // The lowest chance of a fault first.
        "remedies": report.told.remedies.list,
        // At every outlet, whether it helps or not.
        "repeaters": report.told.remedies.repeaters,
        "vain": report.told.remedies.vain,
        "profile": report.told.profile,
        "warnings": report.warnings,
        "cautions": cautions(&Words::default()),
    }

    /// One hop; of the one straight to the panel, of a device that goes over a repeater, more.
    HopRow(budget: HopBudget, to_panel: bool) {
        if *to_panel => "distance_m": budget.hop.distance,
        if *to_panel => "path_loss_db": budget.hop.path_loss,
        if *to_panel => "direction": budget.hop.ledger.direction,
        if *to_panel => "received_dbm": budget.hop.ledger.received_dbm,
        if *to_panel => "level_needed_dbm": budget.hop.ledger.level_needed_dbm,
        if *to_panel => "margin_db": budget.hop.ledger.margin_db,
        if *to_panel => "margin_p10_db": budget.hop.margin_p10,
        if *to_panel => "fault_per_year": budget.hop.fault_per_year,
        "listener": budget.listener,
        "ledger": rows(&budget.lines, LineRow),
        "needed_by": NeedRow(&budget.needed_by),
        "sigma": budget.sigma,
        // The direct one first, then by their share.
        "paths": budget.paths,
        "other_paths": budget.rest.count,
        "other_share": budget.rest.share,
        "scattered_share": budget.rest.scattered_share,
        // The way that carries most power; null for a link that is not in use.
        "carried_by": budget.way.as_ref().map(WayRow),
    }

    /// The way that carries most power.
    WayRow(way: CarryingWay) {
        "way": way.carrier.word(),
        "share": way.share,
        // Beyond free space over its own length.
        "loss_db": way.loss,
        // What costs most on it, never more than the way itself; null if it crosses nothing.
        "heaviest": way.heaviest().map(|(crossing, _)| &crossing.feature),
        "heaviest_db": way.heaviest().map(|(_, loss)| loss),
    }

    /// A line of the ledger.
    LineRow(line: Line) {
        "line": line.item,
        // A loss is negative. EIRP and level needed count from 0 dBm.
        "adds_db": line.adds,
        if line.crossing.is_some() => "feature": of(line, |crossing| &crossing.feature),
        if line.crossing.is_some() => "construction": of(line, |crossing| &crossing.construction),
        if line.crossing.is_some() => "incidence_deg": of(line, |crossing| &crossing.incidence_deg),
        if line.crossing.is_some() => "slab_db": of(line, |crossing| &crossing.slab),
        if line.crossing.is_some() => "excess_db": of(line, |crossing| &crossing.excess),
    }

    /// What sets the level needed; floor and ratio are null for the sensitivity.
    NeedRow(noise: Option<NoiseNeed>) {
        "by": if noise.is_some() { "noise" } else { "sensitivity" },
        "noise_floor_dbm": noise.map(|noise| noise.floor),
        "snr_needed_db": noise.map(|noise| noise.snr),
    }
}

/// A part of the crossing that a line of the ledger stands for.
fn of<'l, T>(line: &'l Line, part: impl Fn(&'l Crossing) -> &'l T) -> Option<&'l T> {
    line.crossing.as_ref().map(part)
}
