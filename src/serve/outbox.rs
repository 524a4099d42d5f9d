//! What is to be sent to one page: of each kind the newest only, so that a slow reader costs little
//! memory and is never far behind.

use std::collections::VecDeque;
use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use axum::extract::ws::Utf8Bytes;
use tokio::sync::Notify;
use words::Language;

/// The number of a page, while it is connected.
pub type TabNumber = u64;

/// Most messages of a kind that do not take each other's place.
const MOST_WAITING: usize = 32;

/// A message as it is sent; cheap to clone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Frame {
    /// JSON.
    Text(Utf8Bytes),
    /// A map.
    Binary(Bytes),
}

/// A message to pages that may speak different languages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// One without words.
    Wordless(Frame),
    /// One in some languages.
    Worded(Vec<(Language, Frame)>),
}

impl Said {
    /// The message for a page of a language; `None` where it is not worded in that.
    #[must_use]
    pub fn to(&self, language: Language) -> Option<&Frame> {
        match self {
            Self::Wordless(frame) => Some(frame),
            Self::Worded(frames) => {
                frames.iter().find(|(own, _)| *own == language).map(|(_, frame)| frame)
            }
        }
    }
}

/// The kinds of messages; a newer one takes the place of an older one of its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// The plan.
    Plan,
    /// The forecast.
    Table,
    /// The map.
    Map,
    /// An answer to a question.
    Answer(&'static str),
    /// How far an answer is.
    Busy,
    /// What must not be lost: refused, saved, elsewhere.
    Note,
}

/// The messages that wait for one page.
#[derive(Debug, Default)]
pub struct Outbox {
    waiting: Mutex<VecDeque<(Slot, Frame)>>,
    news: Notify,
}

impl Outbox {
    /// Puts a message in.
    pub fn put(&self, slot: Slot, frame: Frame) {
        let mut waiting = self.waiting();
        let older = waiting.iter().position(|(other, _)| *other == slot && slot != Slot::Note);
        match older {
            Some(place) => waiting[place].1 = frame,
            None if slot == Slot::Note && waiting.len() >= MOST_WAITING => {}
            None => waiting.push_back((slot, frame)),
        }
        drop(waiting);
        self.news.notify_one();
    }

    /// The next message, once there is one.
    pub async fn next(&self) -> Frame {
        loop {
            if let Some((_, frame)) = self.waiting().pop_front() {
                return frame;
            }
            self.news.notified().await;
        }
    }

    /// How many messages wait.
    #[must_use]
    pub fn len(&self) -> usize {
        self.waiting().len()
    }

    /// Whether none waits.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    fn waiting(&self) -> MutexGuard<'_, VecDeque<(Slot, Frame)>> {
        // A list of messages is sound whatever happened to who held it.
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
