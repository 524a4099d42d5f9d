//! The state that all pages share: who looks, what is due, and the messages that say it.

use std::collections::{BTreeMap, VecDeque};
use std::fs::File;
use std::process::Child;
use std::sync::Arc;

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::copy::Copy;
use crate::drawing::Drawn;
use crate::ground::{Ground, backdrop};
use crate::list::List;
use crate::map::MapKind;
use crate::message::{Refusal, Wish};
use crate::outbox::{Frame, Outbox, Said, Slot, TabNumber};
use crate::palette::Palette;
use crate::session::Session;
use crate::share::Given;
use crate::start::startable;
use crate::take::Taking;
use crate::walking::{Walking, Write};
use import::tape::length_m;
use words::{Language, Words};

/// The kind of the message about what can be drawn and hung.
pub(crate) const PALETTE: Slot = Slot::Answer("palette");

/// A map that a page shows.
pub type MapChoice = (MapKind, i32);

/// What a page tries.
#[derive(Debug, Clone)]
pub struct Try {
    /// Its number.
    pub seq: u32,
    /// What it changes.
    pub changes: Vec<Wish>,
    pub(crate) order: Order,
}

/// A forecast that was asked for. Whoever asks again, for another map, say, puts a new order in the
/// place of the old one, so that work for the old one does not count as done for the new.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Order {
    pub(crate) number: u64,
    pub(crate) due: Due,
}

/// What is still to be done for a forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Due {
    /// All of it.
    All,
    /// The slow part: roam areas and fine maps.
    Rest,
    Nothing,
}

#[derive(Debug)]
pub(crate) struct Tab {
    pub(crate) name: String,
    pub(crate) outbox: Arc<Outbox>,
    pub(crate) language: Language,
    /// By which key it came, if it is not on this machine.
    pub(crate) guest: Option<Arc<Given>>,
    pub(crate) map: MapChoice,
    pub(crate) tried: Option<Try>,
    pub(crate) walk: Option<Walking>,
    /// Counts up each time that something was worked out for it.
    pub(crate) served: u64,
}

/// For whom something is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whom {
    /// All pages that try nothing.
    All,
    /// One page that tries something.
    One(TabNumber, u32),
}

/// Something to work out.
#[derive(Debug, Clone)]
pub struct Work {
    /// For whom.
    pub whom: Whom,
    /// The order that it fulfils.
    pub order: u64,
    /// The edit or try that it answers, and the page that made it.
    pub seq: u32,
    /// That page's own name.
    pub tab: Option<String>,
    /// What is tried on top of the text.
    pub changes: Vec<Wish>,
    /// The maps that are shown.
    pub maps: Vec<MapChoice>,
    /// The languages in which it is worded.
    pub languages: Vec<Language>,
}

/// A question of a page that takes a while.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// What would help a device, by its id.
    Explain(String),
    /// The best spots for the panel.
    Spots,
    /// The fewest repeaters.
    Repeaters,
    /// What a list makes: its number, and its text.
    Tape(u32, String),
    /// That the plan is made of a list.
    UseTape(String),
}

impl Question {
    /// The type of its answer.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Explain(_) => "explain",
            Self::Spots => "spots",
            Self::Repeaters => "repeaters",
            Self::Tape(..) => "tape",
            Self::UseTape(_) => "used",
        }
    }
}

/// Something that is being made, to be taken away.
#[derive(Debug)]
pub(crate) struct Made {
    /// For whom.
    pub(crate) number: TabNumber,
    pub(crate) what: Taking,
    /// The plan's bare name.
    pub(crate) plan: String,
    /// The command that makes it.
    pub(crate) child: Child,
    /// Where it does, and where the text stands.
    pub(crate) place: TempDir,
    /// The lock of that place, held as long as it is in use.
    #[allow(dead_code, reason = "held, never read")]
    pub(crate) held: File,
}

impl Drop for Made {
    fn drop(&mut self) {
        // One that has ended already cannot be killed.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(crate) struct State {
    pub(crate) session: Session,
    pub(crate) copy: Copy,
    /// The plan's file as messages about it name it.
    pub(crate) source: String,
    pub(crate) drawn: Arc<Drawn>,
    pub(crate) tabs: BTreeMap<TabNumber, Tab>,
    pub(crate) next_tab: TabNumber,
    pub(crate) order: Order,
    pub(crate) orders: u64,
    /// Number and page of the last edit.
    pub(crate) last: (u32, Option<String>),
    /// The last messages about the text as it is.
    pub(crate) board: Vec<(Slot, Option<MapChoice>, Said)>,
    pub(crate) palette: Palette,
    pub(crate) list: List,
    /// The picture under the plan as it was read last.
    pub(crate) ground: Option<Ground>,
    pub(crate) questions: Vec<(TabNumber, Question)>,
    /// Rows that are still to be put into files of readings.
    pub(crate) writes: VecDeque<Write>,
    /// What is being made.
    pub(crate) made: Option<Made>,
    pub(crate) notice: Option<Frame>,
    pub(crate) is_ending: bool,
    pub(crate) served: u64,
}

impl State {
    /// An order for all of a forecast.
    pub(crate) fn order(&mut self) -> Order {
        self.orders += 1;
        Order { number: self.orders, due: Due::All }
    }

    pub(crate) fn waiting(&self, due: Due) -> Option<Whom> {
        let tries = self.tabs.iter().filter_map(|(number, tab)| {
            let tried = tab.tried.as_ref().filter(|tried| tried.order.due == due)?;
            Some((tab.served, Whom::One(*number, tried.seq)))
        });
        let tried = tries.min_by_key(|(served, _)| *served).map(|(_, whom)| whom);
        tried.or((self.order.due == due && !self.tabs.is_empty()).then_some(Whom::All))
    }

    /// The order that somebody has given last.
    pub(crate) fn order_of(&mut self, whom: Whom) -> Option<&mut Order> {
        match whom {
            Whom::All => Some(&mut self.order),
            Whom::One(number, seq) => {
                let tried = self.tabs.get_mut(&number)?.tried.as_mut();
                tried.filter(|tried| tried.seq == seq).map(|tried| &mut tried.order)
            }
        }
    }

    pub(crate) fn work_for(&self, whom: Whom) -> Work {
        let of = |tab: &Tab| (tab.name.clone(), tab.map, tab.tried.clone(), tab.language);
        match whom {
            Whom::All => {
                let quiet = self.tabs.values().filter(|tab| tab.tried.is_none());
                let mut maps: Vec<MapChoice> = quiet.map(|tab| tab.map).collect();
                maps.sort_unstable();
                maps.dedup();
                let ((seq, tab), order) = (self.last.clone(), self.order.number);
                // All of them: a page that comes in, or changes its language, is shown at once
                // what is known.
                let languages = Language::ALL.to_vec();
                Work { whom, order, seq, tab, changes: Vec::new(), maps, languages }
            }
            Whom::One(number, seq) => {
                let tab = self.tabs.get(&number).map(of);
                let (name, map, tried, language) = tab.unwrap_or_default();
                let tried = tried.map(|tried| (tried.order.number, tried.changes));
                let (order, changes) = tried.unwrap_or_default();
                let (maps, languages) = (vec![map], vec![language]);
                Work { whom, order, seq, tab: Some(name), changes, maps, languages }
            }
        }
    }

    pub(crate) fn ask(&mut self, number: TabNumber, question: Question) {
        // The newest question of a page is the one whose answer it waits for.
        let same = |(tab, other): &(TabNumber, Question)| {
            *tab == number && other.word() == question.word()
        };
        self.questions.retain(|one| !same(one));
        self.questions.push((number, question));
    }

    pub(crate) fn refuse(&self, number: TabNumber, seq: Option<u32>, why: &Refusal) {
        let mut members = json!({ "what": why.what, "fix": why.fix });
        if let Some(seq) = seq {
            members["seq"] = seq.into();
        }
        self.to_one(number, Slot::Note, &self.note("refused", members));
    }

    pub(crate) fn to_one(&self, number: TabNumber, slot: Slot, frame: &Frame) {
        if let Some(tab) = self.tabs.get(&number) {
            tab.outbox.put(slot, frame.clone());
        }
    }

    pub(crate) fn note(&self, kind: &str, mut members: Value) -> Frame {
        members["type"] = kind.into();
        members["version"] = self.session.version().into();
        Frame::Text(members.to_string().into())
    }

    pub(crate) fn to_all(&self, slot: Slot, frame: &Frame) {
        self.tabs.values().for_each(|tab| tab.outbox.put(slot, frame.clone()));
    }

    pub(crate) fn plan_to_all(&self) {
        self.to_all(Slot::Plan, &self.plan_frame());
    }

    /// What can be drawn and hung, and with what a plan can begin, in a page's language.
    pub(crate) fn offer(&self, tab: &Tab) {
        let words = Words { language: tab.language };
        let worded = |kind, mut members: Value| {
            members["language"] = tab.language.tag().into();
            self.note(kind, members)
        };
        tab.outbox.put(PALETTE, worded("palette", self.palette.members(&words)));
        if self.is_startable() {
            tab.outbox.put(Slot::Answer("startable"), worded("startable", startable(&words)));
        }
    }

    /// Whether the plan has no file yet and nothing was done to it.
    pub(crate) fn is_startable(&self) -> bool {
        self.copy.name().is_none() && self.session.steps().0 == 0
    }

    /// Says what lengths are that somebody typed.
    pub(crate) fn measure(&self, number: TabNumber, seq: u32, texts: &[String]) {
        let unit = self.drawn.lengths();
        let read = texts.iter().map(|text| length_m(text, unit));
        let (metres, faults): (Vec<_>, Vec<_>) = read.map(|it| (it.clone().ok(), it.err())).unzip();
        let members = json!({ "seq": seq, "metres": metres, "faults": faults });
        self.to_one(number, Slot::Note, &self.note("measured", members));
    }

    pub(crate) fn plan_frame(&self) -> Frame {
        let mut members = self.drawn.members();
        let (undo, redo) = self.session.steps();
        members.insert("file".to_owned(), self.copy.name().into());
        members.insert("undo".to_owned(), undo.into());
        members.insert("redo".to_owned(), redo.into());
        members.insert("unsaved".to_owned(), self.session.unsaved().into());
        members.insert("constructions".to_owned(), self.palette.in_plan());
        let picture = self.drawn.backdrop.as_ref();
        let picture = picture.map(|picture| backdrop(picture, self.ground.as_ref()));
        members.insert("backdrop".to_owned(), picture.into());
        self.note("plan", Value::Object(members))
    }
}
