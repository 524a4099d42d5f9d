//! The report of a search for the panel's spot, and its spots.

use serde::Serialize;

use forecast::Finding;
use plan::{Device, Level, Roam};
use siting::reach::{Heard, Reach, SpotRadio};
use siting::siting::{Siting, SitingSettings, SpotWalk};
use siting::spots::Spot;
use siting::wire::{NoRun, PowerRun};

/// One run of `place`.
#[derive(Debug, Clone)]
pub struct PlaceReport<'a> {
    pub(super) reach: &'a Reach<'a, 'a>,
    pub(super) siting: &'a Siting,
    pub(super) settings: &'a SitingSettings,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

/// A spot of a report.
#[derive(Debug, Clone, Copy)]
pub(super) struct SpotOf<'a> {
    pub(super) report: &'a PlaceReport<'a>,
    /// Its index among all spots.
    pub(super) index: usize,
    /// Its place in the order of all spots, from 1.
    pub(super) rank: usize,
    /// Whether it is told of in full: its devices and lines, too.
    pub(super) in_full: bool,
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
            let delays = walk.map_or(&[][..], |walk| &walk.delays.warnings);
            let run = siting.power[*number].as_ref().ok();
            let run = run.and_then(|run| run.warning(&settings.power));
            let all = delays.iter().cloned().chain(run);
            warnings.extend(all.map(|warning| format!("spot {}: {warning}", rank + 1)));
        }
        Self { reach, siting, settings, warnings }
    }

    crate::json::as_json!(&["model", "search"]);

    /// At how many spots every device is sound.
    pub(super) fn keep_all(&self) -> usize {
        self.siting.objectives.iter().filter(|worth| worth.keeps_all()).count()
    }

    /// How many places were left out, by reason, the commonest first.
    pub(super) fn left_out(&self) -> Vec<LeftOut> {
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
    pub(super) fn all(&self) -> impl Iterator<Item = SpotOf<'_>> {
        let ranks = self.siting.ranking.iter().zip(1..);
        ranks.map(|(index, rank)| SpotOf { report: self, index: *index, rank, in_full: false })
    }

    /// The spots to choose from, best first.
    pub(super) fn best(&self) -> impl Iterator<Item = SpotOf<'_>> {
        let rank = |index: &usize| self.siting.ranking.iter().position(|other| other == index);
        self.siting.best.iter().map(move |index| SpotOf {
            report: self,
            index: *index,
            rank: rank(index).map_or(0, |place| place + 1),
            in_full: true,
        })
    }
}

impl<'a> SpotOf<'a> {
    /// Its number among the spots offered, from 1.
    pub(super) fn number(&self) -> Option<usize> {
        let mut best = self.report.siting.best.iter();
        best.position(|best| *best == self.index).map(|place| place + 1)
    }

    pub(super) fn spot(&self) -> &'a Spot {
        &self.report.siting.spots.allowed[self.index]
    }

    pub(super) fn level(&self) -> Option<&'a Level> {
        self.report.reach.site.plan.level(self.spot().level)
    }

    pub(super) fn level_name(&self) -> &'a str {
        self.level().map_or("", |level| &level.name)
    }

    /// Id of the wall that it is on.
    pub(super) fn wall(&self) -> Option<&'a str> {
        self.spot().wall.map(|wall| self.report.reach.site.plan.walls[wall].id.as_str())
    }

    /// x, y and height above the plan's zero, metres.
    pub(super) fn position_m(&self) -> [f64; 3] {
        position(self.spot())
    }

    pub(super) fn keeps_all(&self) -> bool {
        self.report.siting.objectives[self.index].keeps_all()
    }

    /// Whether no other spot beats it in reliability, walk and wire together.
    pub(super) fn is_unbeaten(&self) -> bool {
        self.report.siting.unbeaten[self.index]
    }

    pub(super) fn radio(&self) -> &'a SpotRadio {
        &self.report.siting.radio[self.index]
    }

    /// The device with the least margin.
    pub(super) fn worst(&self) -> Option<HeardAt<'a>> {
        self.radio().worst.map(|place| HeardAt::new(self, place))
    }

    /// Every device, if it is told of in full.
    pub(super) fn heard(&self) -> Vec<HeardAt<'a>> {
        let all = 0..self.radio().heard.len();
        all.filter(|_| self.in_full).map(|place| HeardAt::new(self, place)).collect()
    }

    /// Each roam area and its share that is served, estimated from some sixty points.
    pub(super) fn roams(&self) -> impl Iterator<Item = (&'a Roam, &'a f64)> {
        self.report.reach.site.plan.roams.iter().zip(&self.radio().roam_shares)
    }

    /// The walk from the farthest entry.
    pub(super) fn walk(&self) -> Option<&'a SpotWalk> {
        self.report.siting.walks[self.index].as_ref()
    }

    /// The power run, or why there is none.
    pub(super) fn power(&self) -> Result<&'a PowerRun, &'a NoRun> {
        self.report.siting.power[self.index].as_ref()
    }
}

/// How a device would be heard.
#[derive(Debug, Clone, Copy)]
pub(super) struct HeardAt<'a> {
    pub(super) device: &'a Device,
    pub(super) heard: &'a Heard,
    pub(super) finding: Finding,
    /// The repeater that it takes.
    pub(super) via: Option<&'a str>,
}

impl<'a> HeardAt<'a> {
    pub(super) fn new(spot: &SpotOf<'a>, place: usize) -> Self {
        let (reach, heard) = (spot.report.reach, &spot.radio().heard[place]);
        let repeater = heard.via.and_then(|via| reach.site.repeaters.get(via));
        Self {
            device: reach.transmitters[place].device,
            heard,
            finding: Finding::of(heard.fault_per_year, reach.site.model.findings),
            via: repeater.map(|repeater| repeater.device.id.as_str()),
        }
    }
}

pub(super) fn position(spot: &Spot) -> [f64; 3] {
    [spot.position.x, spot.position.y, spot.height_m]
}

/// How many places were left out for one reason.
#[derive(Debug, Serialize)]
pub(super) struct LeftOut {
    pub(super) reason: &'static str,
    pub(super) places: usize,
}
