//! Walks with readings: who walks, what is still to be written, and what is sent.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;
use serde_json::{Value, json};

use super::Hub;
use crate::copy::is_bare;
use crate::drawing::Drawn;
use crate::message::Refusal;
use crate::outbox::TabNumber;
use crate::outbox::{Frame, Slot};
use crate::state::State;
use crate::walking::{Row, Stamp, WalkWork, Walking, Write, stamp};
use plan::Calibration;
use plan::edit::{Change, edited_leniently};

/// The ending of files of readings that are written.
const ENDING: &str = ".csv";

/// Most rows that wait to be written: a page waits for each.
const MOST_WRITES: usize = 64;

impl State {
    /// Has walks sent again: of the pages and files that are as wished.
    pub(crate) fn walks_again(&mut self, wished: impl Fn(TabNumber, &str) -> bool) {
        let walks = self.tabs.iter_mut();
        let walks = walks.filter_map(|(number, tab)| Some((*number, tab.walk.as_mut()?)));
        for (number, walk) in walks {
            if wished(number, &walk.file) {
                self.orders += 1;
                (walk.order, walk.is_due) = (self.orders, true);
            }
        }
    }

    /// The file of readings that is asked for: a bare name beside the plan, or the usual one.
    fn readings_file(&self, asked: Option<String>) -> Result<String, Refusal> {
        let Some(plan) = self.copy.name() else {
            let what = "the plan has no file yet, and readings are kept beside it";
            return Err(Refusal::new(what, "save the plan first"));
        };
        let stem = Path::new(&plan).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let file = asked.unwrap_or_else(|| format!("{stem}-readings{ENDING}"));
        if is_bare(&file, ENDING) {
            return Ok(file);
        }
        let what = format!("that is not the bare name of a {ENDING} file beside the plan");
        Err(Refusal::new(what, "give a name such as house-readings.csv"))
    }

    fn plan_file(&self) -> PathBuf {
        self.copy.folder().join(self.copy.name().unwrap_or_default())
    }
}

impl Hub {
    /// Begins a page's walk, or ends it.
    pub(super) fn walk(
        &self,
        state: &mut State,
        number: TabNumber,
        file: Option<String>,
        from: Option<String>,
        ends: bool,
    ) {
        let file = match state.readings_file(file) {
            Ok(file) => Some(file).filter(|_| !ends),
            Err(_) if ends => None,
            Err(why) => return state.refuse(number, None, &why),
        };
        state.orders += 1;
        let order = state.orders;
        let walk = |file| Walking { file, from, order, is_due: true, accepts: false, seen: None };
        if let Some(tab) = state.tabs.get_mut(&number) {
            tab.walk = file.map(walk);
        }
    }

    /// Has something put into a file of readings.
    pub(super) fn write(
        &self,
        state: &mut State,
        number: TabNumber,
        seq: u32,
        (file, row): (Option<String>, Result<Row, Refusal>),
    ) {
        let room = || {
            let fix = "wait until those are written";
            let free = state.writes.len() < MOST_WRITES;
            free.then_some(()).ok_or_else(|| Refusal::new("too many entries at once", fix))
        };
        let write = room()
            .and_then(|()| Ok(Write { number, seq, file: state.readings_file(file)?, row: row? }));
        match write {
            Ok(write) => state.writes.push_back(write),
            Err(why) => state.refuse(number, Some(seq), &why),
        }
    }

    /// Has what the readings say put into the plan.
    pub(super) fn accept(&self, state: &mut State, number: TabNumber, file: Option<String>) {
        let file = match state.readings_file(file) {
            Ok(file) => file,
            Err(why) => return state.refuse(number, None, &why),
        };
        let walk = state.tabs.get_mut(&number).and_then(|tab| tab.walk.as_mut());
        match walk.filter(|walk| walk.file == file) {
            Some(walk) => {
                walk.accepts = true;
                state.walks_again(|tab, _| tab == number);
            }
            None => {
                let why =
                    Refusal::new("no walk with these readings is under way", "begin it first");
                state.refuse(number, None, &why);
            }
        }
    }

    /// The next thing to put into a file of readings, with the plan's file; nothing if the program
    /// ends.
    pub(crate) fn next_write(&self) -> Option<(Write, PathBuf, Arc<Drawn>)> {
        let mut state = self.state();
        loop {
            // What was asked for is written even at the end.
            if let Some(write) = state.writes.pop_front() {
                return Some((write, state.plan_file(), state.drawn.clone()));
            }
            if state.is_ending {
                return None;
            }
            state = self.wait(state);
        }
    }

    /// Says that something is in its file, or why not.
    pub(crate) fn wrote(&self, write: &Write, made: Result<(), Refusal>) {
        let mut state = self.state();
        match made {
            Ok(()) => {
                let members = json!({ "seq": write.seq, "file": write.file });
                state.to_one(write.number, Slot::Note, &state.note("written", members));
                state.walks_again(|_, file| file == write.file);
                self.news.notify_all();
            }
            Err(why) => state.refuse(write.number, Some(write.seq), &why),
        }
    }

    /// The next walk to send, of the page that waits longest; nothing if the program ends.
    pub(crate) fn next_walk(&self) -> Option<WalkWork> {
        let mut state = self.state();
        loop {
            if state.is_ending {
                return None;
            }
            let due = state.tabs.iter().filter_map(|(number, tab)| {
                let walk = tab.walk.as_ref().filter(|walk| walk.is_due)?;
                Some((walk.order, *number))
            });
            if let Some((order, number)) = due.min()
                && let Some(tab) = state.tabs.get_mut(&number)
                && let Some(walk) = &mut tab.walk
            {
                walk.is_due = false;
                let (walking, language) = (walk.clone(), tab.language);
                return Some(WalkWork {
                    number,
                    order,
                    version: state.session.version(),
                    text: state.session.text().to_owned(),
                    drawn: state.drawn.clone(),
                    path: state.copy.folder().join(&walking.file),
                    walking,
                    language,
                });
            }
            state = self.wait(state);
        }
    }

    /// Whether nobody asked for something newer.
    pub(crate) fn walk_goes_on(&self, work: &WalkWork) -> bool {
        let state = self.state();
        let tab = state.tabs.get(&work.number).and_then(|tab| tab.walk.as_ref());
        !state.is_ending && tab.is_some_and(|walk| walk.order == work.order)
    }

    /// Sends a page something of its walk, if that is still the newest.
    pub(crate) fn walk_says(&self, work: &WalkWork, kind: &'static str, members: Value) {
        if self.walk_goes_on(work) {
            let state = self.state();
            state.to_one(work.number, Slot::Answer(kind), &state.note(kind, members));
        }
    }

    /// Sends a page what its readings say, if that is still the newest.
    pub(crate) fn diagnosis_says(&self, work: &WalkWork, said: &impl Serialize) {
        if let Ok(text) = serde_json::to_string(said)
            && self.walk_goes_on(work)
        {
            let frame = Frame::Text(text.into());
            self.state().to_one(work.number, Slot::Answer("diagnosis"), &frame);
        }
    }

    /// Says why what the readings say is not put into the plan, if that was asked for.
    pub(crate) fn not_put_in(&self, work: &WalkWork, why: &Refusal) {
        let mut state = self.state();
        let walk = state.tabs.get_mut(&work.number).and_then(|tab| tab.walk.as_mut());
        let own = walk.filter(|walk| walk.order == work.order && walk.accepts);
        if let Some(walk) = own {
            walk.accepts = false;
            state.refuse(work.number, None, why);
        }
    }

    /// Notes how the file of a walk is that is read now.
    pub(crate) fn walk_has_seen(&self, work: &WalkWork, seen: Stamp) {
        let mut state = self.state();
        let walk = state.tabs.get_mut(&work.number).and_then(|tab| tab.walk.as_mut());
        if let Some(walk) = walk {
            walk.seen = seen;
        }
    }

    /// Has walks sent again whose file somebody changed.
    pub(super) fn look_at_readings(&self, state: &mut State) {
        let folder = state.copy.folder().to_owned();
        let walks = state.tabs.values().filter_map(|tab| tab.walk.as_ref());
        let changed =
            walks.filter(|walk| !walk.is_due && stamp(&folder.join(&walk.file)) != walk.seen);
        let changed: Vec<String> = changed.map(|walk| walk.file.clone()).collect();
        if !changed.is_empty() {
            state.walks_again(|_, file| changed.iter().any(|own| own == file));
            self.news.notify_all();
        }
    }

    /// Puts what the readings say into the plan: one step of undo.
    pub(crate) fn put_in(&self, work: &WalkWork, calibration: &Calibration) {
        let mut state = self.state();
        let state = &mut *state;
        let walk = state.tabs.get_mut(&work.number).and_then(|tab| tab.walk.as_mut());
        // Of another text by now: the walk is due again, and still accepts.
        let Some(walk) = walk.filter(|walk| walk.order == work.order) else { return };
        walk.accepts = false;
        match edited_leniently(state.session.text(), &[Change::Calibrate(calibration.clone())]) {
            Ok(text) => {
                let version = state.session.version();
                state.session.step_to(text);
                if state.session.version() != version {
                    self.text_changed(state, work.number, 0);
                }
                let members = json!({ "file": work.walking.file });
                state.to_one(work.number, Slot::Note, &state.note("accepted", members));
            }
            Err(why) => {
                let why = Refusal::new(why.to_string(), why.fix());
                state.refuse(work.number, None, &why);
            }
        }
    }
}
