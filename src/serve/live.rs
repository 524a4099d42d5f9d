//! The worker that follows the text: devices at once, then a coarse map, then roam areas and finer
//! maps as far as nobody waits for something newer.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use serde::Serialize;
use serde_json::Value;
use serde_json::value::RawValue;

use crate::change::{changed, moved_panel};
use crate::drawing::Drawn;
use crate::hub::Hub;
use crate::map::{LAST_STAGE, MapHead, MapKind, Stages, bytes};
use crate::message::Refusal;
use crate::outbox::{Frame, Said, Slot};
use crate::state::{MapChoice, Whom, Work};
use crate::tries::stand_in;
use forecast::{
    Assessment, Finding, Listener, MAP_MISSES, RoamResult, Site, SiteError, covering, level_box,
    margins_over, sensor_height,
};
use plan::{DEFAULT_DEVICE_HEIGHT_M, DeviceKind, Plan};
use report::{CheckReport, live_words};
use siting::map::worst_over;
use siting::reach::Reach;
use trace::{Grid, ImageTree};

/// Distance of the cells of the finest map, metres; a power of two, so that the cells of all stages
/// lie at exactly the same places.
const FINEST_M: f64 = 0.125;

/// The first map has every so many cells of the finest, each way: 0.5 m apart.
const FIRST_STRIDE: usize = 4;

/// Most cells of the finest map of a level: where a level is larger, they are farther apart.
const MOST_CELLS: f64 = 200_000.0;

/// No stage of a map is begun that would take longer than this.
const LONGEST_STAGE: Duration = Duration::from_millis(1500);

/// The same while something is dragged: a coarser map now is worth more than a finer one late.
const LONGEST_WHILE_DRAGGED: Duration = Duration::from_millis(120);

/// Follows the text until the program ends.
pub fn follow(hub: &Hub) {
    let mut known = None;
    while let Some((version, drawn, text)) = hub.text(known) {
        known = Some(version);
        let Some(plan) = &drawn.plan else { continue };
        let base = Follow { hub, version, drawn: &drawn, text: &text };
        let work = || match base.site(plan) {
            Ok(mut site) => base.work(&mut site),
            Err(error) => base.without(&error.to_string()),
        };
        // A fault of the program costs the forecast of this text, not the page and its edits.
        if catch_unwind(AssertUnwindSafe(work)).is_err() {
            base.without("the forecast of this plan failed");
        }
    }
}

/// One version of the text.
struct Follow<'a> {
    hub: &'a Hub,
    version: u32,
    drawn: &'a Drawn,
    text: &'a str,
}

/// What is worked out for one piece of work.
struct Run<'a, 's, 'p> {
    follow: &'a Follow<'a>,
    work: &'a Work,
    site: &'s Site<'p>,
    doubts: &'a [String],
    /// Where the panel may hang does not depend on where it does.
    anywhere: &'a Anywhere,
}

/// What the worst of all devices has in reserve, over each grid for which that is known.
#[derive(Default)]
struct Anywhere(RefCell<BTreeMap<[u64; 5], Vec<f64>>>);

impl Anywhere {
    /// Most grids that are kept: all parts of the maps of a house with several levels.
    const MOST: usize = 64;

    /// The values over a grid, worked out if they are not known.
    fn over(
        &self,
        grid: &Grid,
        work_out: impl FnOnce() -> Result<Vec<f64>, SiteError>,
    ) -> Result<Vec<f64>, SiteError> {
        let [x, y, cell, height] =
            [grid.origin.x, grid.origin.y, grid.cell, grid.height].map(f64::to_bits);
        let key = [x, y, cell, height, grid.columns as u64];
        if let Some(values) = self.0.borrow().get(&key) {
            return Ok(values.clone());
        }
        let values = work_out()?;
        let mut known = self.0.borrow_mut();
        if known.len() >= Self::MOST {
            known.clear();
        }
        known.insert(key, values.clone());
        Ok(values)
    }
}

impl Follow<'_> {
    /// The plan made ready, with a panel to stand in where it has none: then nothing is forecast
    /// but where one may hang.
    fn site<'p>(&self, plan: &'p Plan) -> Result<Site<'p>, SiteError> {
        let panel = plan.panel().is_none().then(|| stand_in(plan));
        Site::new(plan, self.hub.model().calibrated(plan), Default::default(), panel)
    }

    fn work(&self, site: &mut Site<'_>) {
        let home = site.panel.clone();
        let mut roams = Vec::new();
        let anywhere = &Anywhere::default();
        while let Some(work) = self.hub.work(self.version) {
            let doubts = &self.drawn.doubts;
            if work.changes.is_empty() {
                site.panel = home.clone();
                let run = Run { follow: self, work: &work, site, doubts, anywhere };
                run.all(&mut roams);
            } else if let Some(device) = moved_panel(site.plan, &work.changes) {
                match ImageTree::new(&site.scene, device.position, site.model.reflections) {
                    Ok(tree) => {
                        site.panel = Listener { device, tree };
                        let run = Run { follow: self, work: &work, site, doubts, anywhere };
                        run.all(&mut roams);
                    }
                    Err(error) => self.give_up(&work, &error.to_string()),
                }
            } else {
                self.try_text(&work, &mut roams);
            }
        }
    }

    /// Works out a try that changes more than the panel's place.
    fn try_text(&self, work: &Work, roams: &mut Vec<RoamResult>) {
        let text = match changed(self.text, &work.changes) {
            Ok(text) => text,
            Err(why) => {
                self.hub.refuse_try(work.whom, &why);
                return self.hub.done(self.version, work, true);
            }
        };
        let drawn = Drawn::read(&self.hub.source(), &text);
        let site = drawn.plan.as_ref().map(|plan| self.site(plan));
        match site {
            Some(Ok(site)) => {
                let anywhere = &Anywhere::default();
                let run = Run { follow: self, work, site: &site, doubts: &drawn.doubts, anywhere };
                run.all(roams);
            }
            Some(Err(error)) => self.give_up(work, &error.to_string()),
            None => self.give_up(work, "with this change the plan has faults"),
        }
    }

    fn give_up(&self, work: &Work, what: &str) {
        self.hub.refuse_try(work.whom, &Refusal::new(what, "move it elsewhere"));
        self.hub.done(self.version, work, true);
    }

    /// Says of everything that is tried why there is no forecast.
    fn without(&self, what: &str) {
        let why = Refusal::new(what, "put right what it says");
        while let Some(work) = self.hub.work(self.version) {
            self.hub.refuse_try(work.whom, &why);
            self.hub.done(self.version, &work, true);
        }
    }
}

/// A forecast as it is sent.
#[derive(Serialize)]
struct Table<'a> {
    r#type: &'static str,
    version: u32,
    seq: u32,
    tab: Option<&'a str>,
    /// Whether the roam areas are still those from before.
    partial: bool,
    check: &'a RawValue,
    language: &'static str,
    words: Value,
}

impl Run<'_, '_, '_> {
    /// Works it out, and notes how far that went.
    fn all(&self, roams: &mut Vec<RoamResult>) {
        let is_all = self.steps(roams).unwrap_or_else(|error| {
            let why = Refusal::new(error.to_string(), "take the last change back");
            self.hub().refuse_try(self.work.whom, &why);
            true
        });
        if is_all {
            self.hub().done(self.version(), self.work, true);
        }
    }

    /// Whether all of it is done, and nothing newer came.
    fn steps(&self, roams: &mut Vec<RoamResult>) -> Result<bool, SiteError> {
        if self.site.plan.panel().is_none() {
            return self.maps_alone();
        }
        let mut assessment = Assessment::of_devices(self.site, &BTreeMap::new())?;
        if self.site.plan.roams.is_empty() {
            self.table(&assessment, false);
        } else {
            let mut known = assessment.clone();
            known.roams.clone_from(roams);
            self.table(&known, true);
        }
        let repeaters = assessment.repeater_findings();
        let reach = OnceCell::new();
        let chosen = self.work.maps.iter();
        let maps = chosen.filter_map(|choice| self.map(*choice, &repeaters, &reach));
        let mut maps: Vec<RunningMap<'_>> = maps.collect();
        for map in &mut maps {
            map.stage(self)?;
        }
        self.hub().done(self.version(), self.work, false);
        let go_on = || self.goes_on();
        if !self.site.plan.roams.is_empty() {
            if !assessment.add_roams(self.site, &go_on)? {
                return Ok(false);
            }
            self.table(&assessment, false);
            *roams = assessment.roams;
        }
        self.finer(&mut maps)
    }

    /// Where the panel may hang, of a plan without one.
    fn maps_alone(&self) -> Result<bool, SiteError> {
        let mut devices = self.site.plan.devices.iter();
        let reach = OnceCell::new();
        let mut maps = Vec::new();
        if devices.any(|device| device.kind != DeviceKind::Panel) {
            let chosen = self.work.maps.iter().filter(|choice| choice.0 == MapKind::Anywhere);
            maps.extend(chosen.filter_map(|choice| self.map(*choice, &[], &reach)));
        }
        for map in &mut maps {
            map.stage(self)?;
        }
        self.hub().done(self.version(), self.work, false);
        self.finer(&mut maps)
    }

    /// Works maps out as finely as nobody waits for something newer; whether all of them are done.
    fn finer(&self, maps: &mut [RunningMap<'_>]) -> Result<bool, SiteError> {
        while maps.iter().any(|map| !map.is_done) {
            for map in &mut *maps {
                if !self.goes_on() {
                    return Ok(false);
                }
                map.part(self)?;
            }
        }
        Ok(true)
    }

    fn goes_on(&self) -> bool {
        !self.hub().gives_way(self.version(), self.work)
    }

    fn hub(&self) -> &Hub {
        self.follow.hub
    }

    fn version(&self) -> u32 {
        self.follow.version
    }

    fn table(&self, assessment: &Assessment, partial: bool) {
        let doubts = self.doubts.iter().cloned().chain(self.site.warnings()).collect();
        let report = CheckReport::new(self.site, assessment, doubts);
        let json = report.json();
        let Ok(check) = serde_json::from_str::<&RawValue>(&json) else { return };
        let languages = &self.work.languages;
        let worded = live_words(&report, self.site, languages);
        let frames = languages.iter().zip(worded).filter_map(|(language, words)| {
            let table = Table {
                r#type: "table",
                version: self.version(),
                seq: self.work.seq,
                tab: self.work.tab.as_deref(),
                partial,
                check,
                language: language.tag(),
                words,
            };
            let text = serde_json::to_string(&table).ok()?;
            Some((*language, Frame::Text(text.into())))
        });
        self.send((Slot::Table, None), &Said::Worded(frames.collect()));
    }

    fn send(&self, what: (Slot, Option<MapChoice>), said: &Said) {
        self.hub().send(self.version(), self.work.whom, what, said);
    }

    fn map<'m>(
        &'m self,
        choice: MapChoice,
        repeaters: &'m [Finding],
        reach: &'m OnceCell<Reach<'m, 'm>>,
    ) -> Option<RunningMap<'m>> {
        let plan = self.site.plan;
        let level = plan.level(choice.1)?;
        let (low, high) = level_box(plan, level)?;
        let height = match choice.0 {
            MapKind::Here => sensor_height(plan, level),
            MapKind::Anywhere => {
                let panel = &self.site.panel.device;
                let floor = plan.level(panel.level).map(|level| level.floor_m);
                let above = floor.map_or(DEFAULT_DEVICE_HEIGHT_M, |floor| panel.height_m - floor);
                level.floor_m + above
            }
        };
        let mut cell = FINEST_M;
        while (high.x - low.x) * (high.y - low.y) / (cell * cell) > MOST_CELLS {
            cell *= 2.0;
        }
        let stages = Stages::new(covering(low, high, cell, height), FIRST_STRIDE);
        let site = self.site;
        Some(RunningMap {
            choice,
            site,
            stages,
            stage: 0,
            repeaters,
            reach,
            took: None,
            is_done: false,
        })
    }
}

/// A map that becomes finer stage by stage.
struct RunningMap<'m> {
    choice: MapChoice,
    site: &'m Site<'m>,
    stages: Stages,
    stage: u8,
    repeaters: &'m [Finding],
    /// All devices, once they are asked.
    reach: &'m OnceCell<Reach<'m, 'm>>,
    /// Seconds that one cell takes.
    took: Option<f64>,
    is_done: bool,
}

impl RunningMap<'_> {
    /// Works out the whole next stage.
    fn stage(&mut self, run: &Run<'_, '_, '_>) -> Result<(), SiteError> {
        let before = self.stage;
        while self.stage == before && !self.is_done {
            self.part(run)?;
        }
        Ok(())
    }

    /// Works out the next part, and sends the map if a stage is complete with it.
    fn part(&mut self, run: &Run<'_, '_, '_>) -> Result<(), SiteError> {
        if self.is_done {
            return Ok(());
        }
        let grid = self.stages.next();
        let started = Instant::now();
        let values = self.values(run, &grid)?;
        let seconds = started.elapsed().as_secs_f64();
        self.took = Some(seconds / (grid.columns * grid.rows).max(1) as f64);
        if let Some((grid, values)) = self.stages.put(&values) {
            let longest = match run.work.whom {
                Whom::All => LONGEST_STAGE,
                Whom::One(..) => LONGEST_WHILE_DRAGGED,
            };
            let next = self.stages.cells_of_next() as f64 * self.took.unwrap_or_default();
            self.is_done = self.stages.is_done() || next > longest.as_secs_f64();
            let head = MapHead {
                version: run.version(),
                seq: run.work.seq,
                level: self.choice.1,
                kind: self.choice.0,
                stage: if self.is_done { LAST_STAGE } else { self.stage },
            };
            self.stage += 1;
            let frame = Frame::Binary(bytes(&head, &grid, &values).into());
            run.send((Slot::Map, Some(self.choice)), &Said::Wordless(frame));
        }
        Ok(())
    }

    fn values(&self, run: &Run<'_, '_, '_>, grid: &Grid) -> Result<Vec<f64>, SiteError> {
        if grid.columns * grid.rows == 0 {
            return Ok(Vec::new());
        }
        match self.choice.0 {
            MapKind::Here => margins_over(self.site, grid, self.repeaters, &|_| {}),
            MapKind::Anywhere => run.anywhere.over(grid, || {
                let reach = match self.reach.get() {
                    Some(reach) => reach,
                    None => {
                        let reach = Reach::new(self.site)?;
                        self.reach.get_or_init(|| reach)
                    }
                };
                Ok(worst_over(reach, grid, &[], MAP_MISSES, &|_| {}))
            }),
        }
    }
}
