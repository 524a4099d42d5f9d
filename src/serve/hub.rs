//! What all pages share: the text, who looks at it, and what is still to be worked out.

mod edits;
mod ground;
mod guests;
mod papers;
mod walks;

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use serde_json::{Map, Value, json};

use crate::copy::Found;
use crate::drawing::Drawn;
use crate::ground::Pieces;
use crate::list::List;
use crate::map::{MapKind, is_last};
use crate::message::{Asked, Refusal};
use crate::outbox::TabNumber;
use crate::outbox::{Frame, Outbox, Said, Slot};
use crate::palette::Palette;
use crate::session::Session;
use crate::share::{Given, Share};
use crate::state::{Due, MapChoice, Order, Question, State, Tab, Try, Whom, Work};
use crate::take::{Making, Shelf};
use crate::walking::{Row, entry_of, scales_of};
use forecast::Model;
use plan::Plan;
use words::Language;

/// Most pages at once.
pub const MOST_TABS: usize = 64;

/// Most pages of guests among them: the desk always finds room.
const MOST_GUESTS: usize = 8;

/// Longest name that a page may give itself, bytes.
const LONGEST_NAME: usize = 64;

/// What all pages share.
pub struct Hub {
    state: Mutex<State>,
    news: Condvar,
    model: Model,
    making: Making,
    shelf: Shelf,
    share: Option<Arc<Share>>,
    pieces: Pieces,
}

impl std::fmt::Debug for Hub {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Hub").finish_non_exhaustive()
    }
}

impl Hub {
    /// Begins with a plan as it was found. `source` is its file as messages about it name it. Edits
    /// that were not saved become the first step, which undo takes back.
    #[must_use]
    pub fn new((found, source): (Found, String), model: Model, making: Making) -> Self {
        let mut session = Session::new(found.text);
        let mut notice = None;
        if let Some(unsaved) = found.unsaved {
            session.step_to(unsaved);
            let what = if found.is_older {
                "Edits that were not saved were found, and the plan's file was changed since. \
                 They are on the page; save them under another name, or undo them."
            } else {
                "Edits that were not saved were found. They are on the page; undo takes them back."
            };
            notice = Some(what);
        }
        let drawn = Drawn::read(&source, session.text());
        let palette = match &drawn.plan {
            Some(plan) => Palette::of(plan, &model.calibrated(plan)),
            None => Palette::of(&Plan::default(), &model),
        };
        let hub = Self {
            state: Mutex::new(State {
                drawn: Arc::new(drawn),
                session,
                copy: found.copy,
                source,
                tabs: BTreeMap::new(),
                next_tab: 1,
                order: Order { number: 0, due: Due::All },
                orders: 0,
                last: (0, None),
                board: Vec::new(),
                palette,
                list: List::default(),
                ground: None,
                questions: Vec::new(),
                writes: VecDeque::new(),
                made: None,
                notice: None,
                is_ending: false,
                served: 0,
            }),
            news: Condvar::new(),
            model,
            making,
            shelf: Shelf::default(),
            share: None,
            pieces: Pieces::default(),
        };
        {
            let mut state = hub.state();
            state.look_at_ground();
            state.notice = notice.map(|what| state.note("elsewhere", json!({ "what": what })));
        }
        hub
    }

    /// The settings of the forecast.
    #[must_use]
    pub const fn model(&self) -> &Model {
        &self.model
    }

    /// The plan's file as messages about it name it.
    #[must_use]
    pub fn source(&self) -> String {
        self.state().source.clone()
    }

    /// What was taken away.
    #[must_use]
    pub const fn shelf(&self) -> &Shelf {
        &self.shelf
    }

    /// A page comes in; nothing if there are too many.
    #[must_use]
    pub fn enter(
        &self,
        name: &str,
        language: Language,
        guest: Option<Arc<Given>>,
    ) -> Option<(TabNumber, Arc<Outbox>)> {
        let mut state = self.state();
        if state.tabs.len() >= MOST_TABS || name.len() > LONGEST_NAME || name.is_empty() {
            return None;
        }
        let guests = state.tabs.values().filter(|tab| tab.guest.is_some()).count();
        if guest.is_some() && guests >= MOST_GUESTS {
            return None;
        }
        let number = state.next_tab;
        state.next_tab += 1;
        let outbox = Arc::new(Outbox::default());
        let panel = state.drawn.plan.as_ref().and_then(Plan::panel);
        let lowest = state.drawn.plan.as_ref().and_then(|plan| plan.levels.first());
        let level = panel.map(|panel| panel.level).or(lowest.map(|level| level.number));
        let map = (MapKind::Here, level.unwrap_or(0));
        let (name, tried, walk) = (name.to_owned(), None, None);
        let kept = outbox.clone();
        let tab = Tab { name, outbox: kept, language, guest, map, tried, walk, served: 0 };
        outbox.put(Slot::Plan, state.plan_frame());
        state.offer(&tab);
        state.tabs.insert(number, tab);
        self.say_who_is_here(&state);
        if let Some(notice) = state.notice.clone() {
            outbox.put(Slot::Note, notice);
        }
        self.show_again(&mut state, number);
        Some((number, outbox))
    }

    /// A page goes.
    pub fn leave(&self, number: TabNumber) {
        let mut state = self.state();
        state.tabs.remove(&number);
        self.pieces.forget(number);
        state.questions.retain(|(tab, _)| *tab != number);
        self.say_who_is_here(&state);
        self.news.notify_all();
    }

    /// Does what a page asks for.
    pub fn take(&self, number: TabNumber, asked: Asked) {
        if !self.may(number, &asked) {
            return;
        }
        match asked {
            Asked::Tidy {} => return self.tidy(number),
            Asked::Square { corners, size } => return self.square(number, corners, size),
            Asked::Trace {} => return self.trace(number),
            _ => {}
        }
        let mut state = self.state();
        let state = &mut *state;
        match asked {
            Asked::Hello { .. } | Asked::Tidy {} | Asked::Square { .. } | Asked::Trace {} => {}
            Asked::Edit { seq, changes } => self.edit(state, number, seq, &changes),
            Asked::Try { seq, changes } => {
                let order = state.order();
                if let Some(tab) = state.tabs.get_mut(&number) {
                    tab.tried = Some(Try { seq, changes, order });
                }
            }
            Asked::Drop {} => {
                let tab = state.tabs.get_mut(&number);
                if tab.is_some_and(|tab| tab.tried.take().is_some()) {
                    self.show_again(state, number);
                }
            }
            Asked::Undo {} => {
                if state.session.undo() {
                    self.text_changed(state, number, 0);
                }
            }
            Asked::Redo {} => {
                if state.session.redo() {
                    self.text_changed(state, number, 0);
                }
            }
            Asked::Save { name } => self.save(state, number, name.as_deref()),
            Asked::Map { kind, level } => {
                if let Some(tab) = state.tabs.get_mut(&number) {
                    tab.map = (kind.into(), level);
                }
                self.look_again(state, number);
            }
            Asked::Language { to } => {
                if let Some(tab) = state.tabs.get_mut(&number) {
                    tab.language = to.into();
                }
                if let Some(tab) = state.tabs.get(&number) {
                    state.offer(tab);
                }
                self.look_again(state, number);
                state.walks_again(|tab, _| tab == number);
            }
            Asked::Explain { id } => state.ask(number, Question::Explain(id)),
            Asked::Spots {} => state.ask(number, Question::Spots),
            Asked::Repeaters {} => state.ask(number, Question::Repeaters),
            Asked::Tape { seq, text: Some(text) } => state.typed(number, seq, text),
            Asked::Tape { seq, text: None } => {
                let unit = state.drawn.lengths();
                let text = state.list.text(&state.copy, unit);
                state.ask(number, Question::Tape(seq, text));
            }
            Asked::Use { text } => state.ask(number, Question::UseTape(text)),
            Asked::Measure { seq, texts } => state.measure(number, seq, &texts),
            Asked::Take { what, options, changes } => {
                self.order(state, number, what, (options, &changes));
            }
            Asked::Level { what, number: level, name, floor, ceiling } => {
                self.level(state, number, (what, level, name), (floor, ceiling));
            }
            Asked::Share { may } => self.invite(state, number, may),
            Asked::Withdraw {} => self.withdraw(state),
            Asked::Walk { file, from, ends } => self.walk(state, number, file, from, ends),
            Asked::Reading { seq, file, entry } => {
                let row = entry_of(&entry).map(Row::Entry);
                self.write(state, number, seq, (file, row));
            }
            Asked::Scales { seq, file, bars, percent } => {
                self.write(state, number, seq, (file, scales_of(bars, percent).map(Row::Scales)));
            }
            Asked::Accept { file } => self.accept(state, number, file),
            Asked::Start { with, units, name } => self.start(state, number, with, (units, &name)),
        }
        self.news.notify_all();
    }

    /// Says to a page why something was not done.
    pub fn refuse(&self, number: TabNumber, why: &Refusal) {
        self.state().refuse(number, None, why);
    }

    /// Sends a page what it sees in another way from now on: of what it tries, or of the text.
    fn look_again(&self, state: &mut State, number: TabNumber) {
        let order = state.order();
        match state.tabs.get_mut(&number).map(|tab| &mut tab.tried) {
            Some(Some(tried)) => tried.order = order,
            Some(None) => self.show_again(state, number),
            None => {}
        }
    }

    /// Sends a page again what is known of the text, and asks for the rest.
    fn show_again(&self, state: &mut State, number: TabNumber) {
        let Some(tab) = state.tabs.get(&number) else { return };
        let mut has_map = false;
        for (slot, map, said) in &state.board {
            if map.is_none_or(|map| map == tab.map)
                && let Some(frame) = said.to(tab.language)
            {
                tab.outbox.put(*slot, frame.clone());
                // What is still coarse becomes finer only if somebody asks for it.
                has_map |= matches!(frame, Frame::Binary(map) if is_last(map));
            }
        }
        if !has_map {
            self.all_again(state);
        }
    }

    fn all_again(&self, state: &mut State) {
        state.order = state.order();
        state.board.clear();
        self.news.notify_all();
    }

    /// Waits until there is something to work out for a version of the text; nothing if the text is
    /// another by now, or the program ends. What is quick goes first, for who waits longest.
    #[must_use]
    pub fn work(&self, version: u32) -> Option<Work> {
        let mut state = self.state();
        loop {
            if state.is_ending || state.session.version() != version {
                return None;
            }
            let next = [Due::All, Due::Rest].into_iter().find_map(|due| state.waiting(due));
            if let Some(whom) = next {
                return Some(state.work_for(whom));
            }
            state = self.wait(state);
        }
    }

    /// Whether slow work must give way to what is more urgent, or is not asked for any more.
    #[must_use]
    pub fn gives_way(&self, version: u32, work: &Work) -> bool {
        let mut state = self.state();
        let is_asked = |order: &mut Order| order.number == work.order && order.due != Due::Nothing;
        state.is_ending
            || state.session.version() != version
            || !state.order_of(work.whom).is_some_and(is_asked)
            || state.waiting(Due::All).is_some()
    }

    /// Notes that the quick part is done, or all of it.
    pub fn done(&self, version: u32, work: &Work, is_all: bool) {
        let mut state = self.state();
        if state.session.version() != version {
            return;
        }
        state.served += 1;
        let served = state.served;
        if let Whom::One(number, _) = work.whom
            && let Some(tab) = state.tabs.get_mut(&number)
        {
            tab.served = served;
        }
        let order = state.order_of(work.whom).filter(|order| order.number == work.order);
        if let Some(order) = order {
            order.due = if is_all { Due::Nothing } else { Due::Rest };
        }
    }

    /// Sends what was worked out; a map to those that show it.
    pub fn send(
        &self,
        version: u32,
        whom: Whom,
        (slot, map): (Slot, Option<MapChoice>),
        said: &Said,
    ) {
        let mut state = self.state();
        if state.session.version() != version {
            return;
        }
        let shows = |tab: &Tab| map.is_none_or(|map| map == tab.map);
        match whom {
            Whom::All => {
                state.board.retain(|(other, of, _)| (*other, *of) != (slot, map));
                state.board.push((slot, map, said.clone()));
                let quiet = state.tabs.values().filter(|tab| tab.tried.is_none() && shows(tab));
                quiet.for_each(|tab| {
                    if let Some(frame) = said.to(tab.language) {
                        tab.outbox.put(slot, frame.clone());
                    }
                });
            }
            Whom::One(number, _) => {
                // Where the try is over by now its forecast would be shown as the text's.
                let tab = state.tabs.get(&number);
                if let Some(tab) = tab.filter(|tab| tab.tried.is_some() && shows(tab))
                    && let Some(frame) = said.to(tab.language)
                {
                    tab.outbox.put(slot, frame.clone());
                }
            }
        }
    }

    /// Says to a page why what it tries cannot be.
    pub fn refuse_try(&self, whom: Whom, why: &Refusal) {
        if let Whom::One(number, seq) = whom {
            self.state().refuse(number, Some(seq), why);
        }
    }

    /// The text as it is, its version, and what it was read as; waits for another version than
    /// `known`. Nothing if the program ends.
    #[must_use]
    pub fn text(&self, known: Option<u32>) -> Option<(u32, Arc<Drawn>, String)> {
        let mut state = self.state();
        while !state.is_ending && known == Some(state.session.version()) {
            state = self.wait(state);
        }
        let text = || state.session.text().to_owned();
        (!state.is_ending).then(|| (state.session.version(), state.drawn.clone(), text()))
    }

    /// The next question, and the language of its page; nothing if the program ends.
    #[must_use]
    pub fn question(&self) -> Option<(TabNumber, Language, Question)> {
        let mut state = self.state();
        while !state.is_ending && state.questions.is_empty() {
            state = self.wait(state);
        }
        if state.is_ending {
            return None;
        }
        let (number, question) = state.questions.remove(0);
        let language = state.tabs.get(&number).map(|tab| tab.language).unwrap_or_default();
        Some((number, language, question))
    }

    /// Sends the answer to a question.
    pub fn answer(
        &self,
        number: TabNumber,
        question: &Question,
        version: u32,
        answer: Result<Map<String, Value>, Refusal>,
    ) {
        let state = self.state();
        match answer {
            Ok(mut members) => {
                members.insert("type".to_owned(), question.word().into());
                members.insert("version".to_owned(), version.into());
                members.insert("seq".to_owned(), state.last.0.into());
                if let Question::Explain(id) = question {
                    members.insert("id".to_owned(), id.clone().into());
                }
                let frame = Frame::Text(Value::Object(members).to_string().into());
                state.to_one(number, Slot::Answer(question.word()), &frame);
            }
            Err(why) => state.refuse(number, None, &why),
        }
    }

    /// Says how far an answer is, in thousandths.
    pub fn busy(&self, number: TabNumber, what: &str, thousandths: u64) {
        let state = self.state();
        let frame = state.note("busy", json!({ "what": what, "thousandths": thousandths }));
        state.to_one(number, Slot::Busy, &frame);
    }

    /// Looks whether the plan's file was changed by somebody else, and says so once to all pages.
    pub fn look(&self) {
        let mut state = self.state();
        if state.notice.is_none() && state.copy.is_elsewhere() {
            let what = format!(
                "{} was changed by another program since it was read. It is not overwritten: save \
                 what is here under another name.",
                state.copy.name().unwrap_or_default()
            );
            let frame = state.note("elsewhere", json!({ "what": what }));
            state.tabs.values().for_each(|tab| tab.outbox.put(Slot::Note, frame.clone()));
            state.notice = Some(frame);
        }
        self.look_at_readings(&mut state);
    }

    /// Ends all work.
    pub fn end(&self) {
        let mut state = self.state();
        state.is_ending = true;
        // Ends it, and nothing is left of it.
        state.made = None;
        state.copy.end();
        self.news.notify_all();
    }

    fn wait<'s>(&self, state: MutexGuard<'s, State>) -> MutexGuard<'s, State> {
        self.news.wait(state).unwrap_or_else(PoisonError::into_inner)
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // An edit is made as a whole or not at all, so a state is sound whatever happened.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
