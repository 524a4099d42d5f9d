//! What changes the text or its file, and what all pages are sent then.

use std::sync::Arc;

use serde_json::json;

use super::Hub;
use crate::change::changed;
use crate::copy::SaveError;
use crate::drawing::Drawn;
use crate::list::KeptList;
use crate::message::{Beginning, LevelWord, Refusal, UnitWord, Wish};
use crate::outbox::Slot;
use crate::outbox::TabNumber;
use crate::palette::Palette;
use crate::start;
use crate::state::{Question, State};
use forecast::vocabulary;
use import::{CEILING_M, FLOOR_THICKNESS_M};
use plan::edit::{Change, edited_leniently};
use plan::tidy::{TidySettings, tidied_leniently};
use plan::{Diagnostic, Severity};

impl Hub {
    pub(super) fn edit(&self, state: &mut State, number: TabNumber, seq: u32, wishes: &[Wish]) {
        if let Some(tab) = state.tabs.get_mut(&number) {
            tab.tried = None;
        }
        match changed(state.session.text(), wishes) {
            Ok(text) if text == state.session.text() => {
                // Nothing changed, but the page waits for the forecast of this edit.
                state.last = (seq, state.tabs.get(&number).map(|tab| tab.name.clone()));
                self.all_again(state);
            }
            Ok(text) => {
                state.session.step_to(text);
                self.text_changed(state, number, seq);
            }
            Err(why) => {
                state.refuse(number, Some(seq), &why);
                self.show_again(state, number);
            }
        }
    }

    pub(super) fn text_changed(&self, state: &mut State, number: TabNumber, seq: u32) {
        let text = state.session.text();
        if let Err(why) = state.copy.keep(text) {
            let what = format!("the edit is made but not kept on the disk: {why}");
            let why = Refusal::new(what, "make room, then save the plan");
            state.refuse(number, None, &why);
        }
        self.read_again(state);
        if state.session.steps().0 == 0 || state.session.unsaved() == 0 {
            state.notice = None;
        }
        state.last = (seq, state.tabs.get(&number).map(|tab| tab.name.clone()));
        let order = state.order();
        let tries = state.tabs.values_mut().filter_map(|tab| tab.tried.as_mut());
        tries.for_each(|tried| tried.order = order);
        state.plan_to_all();
        state.walks_again(|_, _| true);
        self.all_again(state);
    }

    /// Reads the text, and sends the palette to all pages if it is another one by now.
    fn read_again(&self, state: &mut State) {
        let drawn = Drawn::read(&state.source, state.session.text());
        let same = match (&state.drawn.plan, &drawn.plan) {
            (Some(old), Some(new)) => {
                old.constructions == new.constructions
                    && old.link == new.link
                    && old.calibration == new.calibration
            }
            _ => false,
        };
        if let Some(plan) = drawn.plan.as_ref().filter(|_| !same) {
            let palette = Palette::of(plan, &self.model.calibrated(plan));
            if palette != state.palette {
                state.palette = palette;
                state.tabs.values().for_each(|tab| state.offer(tab));
            }
        }
        state.drawn = Arc::new(drawn);
        state.look_at_ground();
    }

    /// Puts right what is safe to fix: one step of undo.
    pub(super) fn tidy(&self, number: TabNumber) {
        loop {
            let (version, source, text) = {
                let state = self.state();
                (state.session.version(), state.source.clone(), state.session.text().to_owned())
            };
            // This may take a while, and nobody has to wait for it.
            let settings = TidySettings::default();
            let tidy = tidied_leniently(&source, &text, &vocabulary(), &settings);
            let mut state = self.state();
            if state.session.version() != version {
                continue;
            }
            match tidy {
                Ok(tidy) => {
                    state.session.step_to(tidy.text);
                    if state.session.version() != version {
                        self.text_changed(&mut state, number, 0);
                    }
                    let done = tidy.fixes.iter().map(|fix| named(&fix.feature, &fix.what));
                    let left = tidy.left.iter().map(|doubt| {
                        format!("{}; {}", named(&doubt.feature, &doubt.what), doubt.why)
                    });
                    let (done, left): (Vec<_>, Vec<_>) = (done.collect(), left.collect());
                    let frame = state.note("tidied", json!({ "done": done, "left": left }));
                    state.to_one(number, Slot::Note, &frame);
                }
                Err(faults) => state.refuse(number, None, &not_tidied(&faults)),
            }
            return;
        }
    }

    /// Adds a level or changes one: one step of undo.
    pub(super) fn level(
        &self,
        state: &mut State,
        number: TabNumber,
        (what, level, name): (LevelWord, Option<i32>, Option<String>),
        (floor_m, ceiling_m): (Option<f64>, Option<f64>),
    ) {
        let levels = &state.drawn.levels;
        let change = match (what, level) {
            (LevelWord::Set, None) => {
                let why = Refusal::new("no level is named", "give the number of a level");
                return state.refuse(number, None, &why);
            }
            (LevelWord::Set, Some(number)) => Change::SetLevel { number, name, floor_m, ceiling_m },
            (LevelWord::Add, number) => {
                let top = levels.iter().max_by(|a, b| a.ceiling_m.total_cmp(&b.ceiling_m));
                let (below_m, high_m) = top.map_or((-FLOOR_THICKNESS_M, CEILING_M), |level| {
                    (level.ceiling_m, level.ceiling_m - level.floor_m)
                });
                let last = levels.iter().map(|level| level.number).max();
                let next = last.map_or(0, |last| last.saturating_add(1));
                let floor_m = floor_m.unwrap_or(below_m + FLOOR_THICKNESS_M);
                let ceiling_m = ceiling_m.unwrap_or(floor_m + high_m);
                Change::AddLevel { number: number.unwrap_or(next), name, floor_m, ceiling_m }
            }
        };
        match edited_leniently(state.session.text(), &[change]) {
            Ok(text) => {
                state.session.step_to(text);
                self.text_changed(state, number, 0);
            }
            Err(why) => {
                state.refuse(number, None, &Refusal::new(why.to_string(), why.fix()));
            }
        }
    }

    /// Begins a plan with nothing or an example: one step of undo.
    pub(super) fn start(
        &self,
        state: &mut State,
        number: TabNumber,
        with: Beginning,
        (units, name): (UnitWord, &str),
    ) {
        if !state.is_startable() {
            let what = "this plan is begun already";
            return state.refuse(number, None, &Refusal::new(what, "undo what was drawn first"));
        }
        let text = match with {
            Beginning::Empty => Some(start::empty(units.into())),
            Beginning::Example => start::example(name).map(str::to_owned),
        };
        let Some(text) = text else {
            let what = "there is no example of that name";
            return state.refuse(number, None, &Refusal::new(what, "choose one of the list"));
        };
        state.session.step_to(text);
        self.text_changed(state, number, 0);
    }

    /// Makes what a list says the plan: one step of undo.
    pub fn use_list(&self, number: TabNumber, list: &str, plan: String) {
        let mut state = self.state();
        state.list.is_used(list);
        let version = state.session.version();
        state.session.step_to(plan);
        if state.session.version() != version {
            self.text_changed(&mut state, number, 0);
        }
    }

    pub(super) fn save(&self, state: &mut State, number: TabNumber, name: Option<&str>) {
        let text = state.session.text();
        let was_named = state.copy.name().is_some();
        let written = match name {
            None => state.copy.save(text),
            Some(name) => state.copy.save_as(name, text),
        };
        match written {
            Ok(file) => {
                state.session.is_saved();
                state.notice = None;
                if !was_named {
                    // What messages about the plan call it is its file now.
                    state.source.clone_from(&file);
                    state.session.is_renamed();
                    self.read_again(state);
                    self.all_again(state);
                }
                let mut saved = json!({ "file": file });
                match state.list.keep(&state.copy, &file) {
                    Ok(None) => {}
                    Ok(Some(KeptList { file, is_kept })) => {
                        saved["list"] = json!({ "file": file, "kept": is_kept });
                    }
                    Err(why) => {
                        let what = format!("the plan is saved, but not its list: {why}");
                        state.refuse(
                            number,
                            None,
                            &Refusal::new(what, "make room, and save again"),
                        );
                    }
                }
                let frame = state.note("saved", saved);
                state.to_one(number, Slot::Note, &frame);
                state.plan_to_all();
            }
            Err(error @ SaveError::Elsewhere(_)) => {
                let what = format!("{error}. Save it under another name.");
                let frame = state.note("elsewhere", json!({ "what": what }));
                state.to_one(number, Slot::Note, &frame);
            }
            Err(error) => {
                let fix = match error {
                    SaveError::Unnamed => "save it under a name",
                    _ => "give another name and try again",
                };
                let why = Refusal::new(error.to_string(), fix);
                state.refuse(number, None, &why);
            }
        }
    }
}

/// What is said of a feature; of the plan as a whole where none is named.
fn named(feature: &str, what: &str) -> String {
    if feature.is_empty() { what.to_owned() } else { format!("{feature}: {what}") }
}

/// Why a plan is not tidied: it has a fault as a whole.
fn not_tidied(faults: &[Diagnostic]) -> Refusal {
    let faults = faults.iter().filter(|fault| fault.severity == Severity::Error);
    let said =
        |fault: &Diagnostic| named(fault.feature.as_deref().unwrap_or_default(), &fault.what);
    let (count, mut said) = (faults.clone().count(), faults.clone().map(said));
    let first = said.next().unwrap_or_default();
    let more = match count {
        0 | 1 => String::new(),
        count => format!(" (and {} more)", count - 1),
    };
    let fix = faults.map(|fault| fault.fix.as_str()).next().unwrap_or_default();
    Refusal::new(format!("the plan as a whole has a fault; {first}{more}"), fix)
}

impl State {
    /// Keeps a tape-measure list as it is typed, and has it read.
    pub(super) fn typed(&mut self, number: TabNumber, seq: u32, list: String) {
        if let Err(why) = self.list.is_typed(&self.copy, &list) {
            let what = format!("the list is not kept on the disk: {why}");
            self.refuse(number, None, &Refusal::new(what, "make room, then use it as the plan"));
        }
        self.ask(number, Question::Tape(seq, list));
    }
}
