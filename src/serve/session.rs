//! The text of a plan as it is edited: versions, undo and redo. Pure: no files, no forecasts.

use std::collections::VecDeque;

/// Most bytes that the lists of undo and redo hold together; the oldest steps go first.
const MOST_BYTES: usize = 16 << 20;

/// What a step costs beside its bytes: a place in the list.
const STEP_BYTES: usize = 64;

/// What turns one text into another: between what both begin and both end with, one piece of text
/// takes the place of another.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Step {
    at: usize,
    before: Box<str>,
    after: Box<str>,
}

impl Step {
    /// The step from one text to another.
    fn between(before: &str, after: &str) -> Self {
        let same = |(a, b): &(u8, u8)| a == b;
        let mut at = before.bytes().zip(after.bytes()).take_while(same).count();
        while !before.is_char_boundary(at) || !after.is_char_boundary(at) {
            at -= 1;
        }
        let (rest, other) = (&before[at..], &after[at..]);
        let mut end = rest.bytes().rev().zip(other.bytes().rev()).take_while(same).count();
        let is_boundary = |end: usize| {
            rest.is_char_boundary(rest.len() - end) && other.is_char_boundary(other.len() - end)
        };
        while !is_boundary(end) {
            end -= 1;
        }
        Self {
            at,
            before: rest[..rest.len() - end].into(),
            after: other[..other.len() - end].into(),
        }
    }

    fn bytes(&self) -> usize {
        self.before.len() + self.after.len() + STEP_BYTES
    }

    fn undone(&self, text: &mut String) {
        text.replace_range(self.at..self.at + self.after.len(), &self.before);
    }

    fn redone(&self, text: &mut String) {
        text.replace_range(self.at..self.at + self.before.len(), &self.after);
    }
}

/// The text of a plan, and how it came to be.
#[derive(Debug, Clone)]
pub struct Session {
    text: String,
    version: u32,
    undo: VecDeque<Step>,
    redo: Vec<Step>,
    bytes: usize,
    most_bytes: usize,
    saved: String,
    /// Steps since the text was saved; less than nothing after an undo.
    since_saved: i64,
}

impl Session {
    /// A session that begins with a text, which counts as saved.
    #[must_use]
    pub fn new(text: String) -> Self {
        Self::bounded(text, MOST_BYTES)
    }

    /// The same, with another bound for the bytes of undo and redo.
    #[must_use]
    pub fn bounded(text: String, most_bytes: usize) -> Self {
        Self {
            saved: text.clone(),
            text,
            version: 1,
            undo: VecDeque::new(),
            redo: Vec::new(),
            bytes: 0,
            most_bytes,
            since_saved: 0,
        }
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Counts up with every change of the text.
    #[must_use]
    pub const fn version(&self) -> u32 {
        self.version
    }

    /// How many steps can be undone, and redone.
    #[must_use]
    pub fn steps(&self) -> (usize, usize) {
        (self.undo.len(), self.redo.len())
    }

    /// How many steps the text is away from the one saved; at least one where they differ.
    #[must_use]
    pub fn unsaved(&self) -> u64 {
        if self.text == self.saved { 0 } else { self.since_saved.unsigned_abs().max(1) }
    }

    /// Makes one step to another text; nothing, if it is the same.
    pub fn step_to(&mut self, text: String) {
        if text == self.text {
            return;
        }
        for gone in self.redo.drain(..) {
            self.bytes -= gone.bytes();
        }
        let step = Step::between(&self.text, &text);
        self.bytes += step.bytes();
        self.undo.push_back(step);
        self.text = text;
        self.moved(1);
        while self.bytes > self.most_bytes {
            let Some(oldest) = self.undo.pop_front() else { break };
            self.bytes -= oldest.bytes();
        }
    }

    /// Takes the last step back; whether there was one.
    pub fn undo(&mut self) -> bool {
        let Some(step) = self.undo.pop_back() else { return false };
        step.undone(&mut self.text);
        self.redo.push(step);
        self.moved(-1);
        true
    }

    /// Makes the step again that was undone last; whether there was one.
    pub fn redo(&mut self) -> bool {
        let Some(step) = self.redo.pop() else { return false };
        step.redone(&mut self.text);
        self.undo.push_back(step);
        self.moved(1);
        true
    }

    /// The text is now in a file.
    pub fn is_saved(&mut self) {
        self.saved.clone_from(&self.text);
        self.since_saved = 0;
    }

    /// Counts the same text as a new version, since it is read in another way now.
    pub fn is_renamed(&mut self) {
        self.moved(0);
    }

    fn moved(&mut self, steps: i64) {
        self.version = self.version.wrapping_add(1);
        self.since_saved += steps;
    }
}
