//! What the page and the program say to each other, version 1.
//!
//! A page says [`Asked`]. The program answers with JSON objects that have a `type` and a
//! `version`, which counts up with every change of the text:
//! - to all pages, when the text changes and when a page comes in: `plan` (its `file` is null as
//!   long as it has none), `palette` (again when the link or the plan's own constructions change:
//!   `constructions`, `mounts`, `kinds`, `roles`), `table`, and maps in bytes ([`crate::MapHead`]);
//! - to a page that comes in while the plan has no file and was never edited: `startable` with its
//!   `examples`;
//! - to the page that asked: `explain`, `spots`, `repeaters`; `measured` (`seq`, `metres` and
//!   `faults`, one of the two for each text); `tidied` (`done`, `left`), after the `plan` that it
//!   made; `tape` (`number`, `text`, `faults`, `assumed` and the `plan` of a list), and `used`
//!   where it was made the plan; `taken` (`what`, `files` with `name`, `at`, `bytes`, and
//!   `words`); `saved`, perhaps with its `list` (`file`, `kept`); `invited` (`address` with its
//!   key, `code` as rows of `0` and `1`, `may`); `traced` (`features` that a picture shows, to be
//!   added or not); `laid` (`page` of how many `pages` of a file the ground is);
//! - to all pages where guests may come ([`crate::Share`]), when somebody comes or goes: `present`
//!   (`you`: `desk`, `reading` or `editing`; `desks`, `guests`; for the desk `shared` with `at`,
//!   `fingerprint`, null where nothing is encrypted, `may` and `used`, null where no key holds);
//! - to a page that walks: `walk` (`file`, `stops` in walking order, `entries`, `scales`, `faults`
//!   of the file's rows) and `diagnosis` (`report`, what `diagnose --format json` prints for the
//!   same file, or null) whenever the text or the file changes; `written` (`seq`) once a row is in
//!   the file; `accepted`;
//! - `refused` (`what`, `fix`, perhaps `seq`) where something is not done, `elsewhere` where the
//!   file was changed by somebody else.
//!
//! What the program says is in the language that the page names in its `hello`, or in `language`
//! later; then `palette`, `startable` and `table` come again. `table`, `palette`, `startable` and
//! the answers to questions name theirs in `language`. What is said of faults, refusals, and what
//! `tidy` and the commands say, is in English.
//!
//! A picture for the ground comes in pieces, as bytes (see `ground.rs`); `plan` has it in
//! `backdrop`, with `at` where it can be fetched, or `what` if it cannot be shown.
//!
//! Lengths in messages are in metres. A file at `at` can be fetched for ten minutes.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::{Map, Value};

use crate::map::MapKind;
use crate::share::May;
use crate::take::Taking;
use units::Lengths;
use words::Language;

/// The subprotocol that both sides must name.
pub const SUBPROTOCOL: &str = "drillonce.1";

/// Most bytes of one message from a page.
pub const MOST_BYTES: usize = 1 << 20;

/// Most changes of one message.
pub const MOST_CHANGES: usize = 200;

/// Most bytes of a tape-measure list: some thousand lines.
pub const MOST_LIST_BYTES: usize = 64 << 10;

/// Most lengths of one message.
const MOST_LENGTHS: usize = 20;

/// Longest text of a length, characters.
const LONGEST_LENGTH: usize = 40;

/// A message of a page.
#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "type", rename_all = "lowercase")]
pub enum Asked {
    /// The first message: who it is.
    Hello {
        /// The key of the address.
        key: String,
        /// A name that the page gives itself.
        tab: String,
        /// The language that it speaks.
        #[serde(default)]
        language: LanguageWord,
        /// Of a guest's page: what it made up for itself, by which it is known again.
        #[serde(default)]
        secret: String,
    },
    /// The page speaks another language from now on.
    Language {
        /// Which.
        to: LanguageWord,
    },
    /// One step of the list of undo.
    Edit {
        /// Counts up per tab.
        seq: u32,
        /// What to change.
        changes: Vec<Wish>,
    },
    /// The same while something is dragged: never in the text.
    Try {
        /// Counts up per tab.
        seq: u32,
        /// What to change.
        changes: Vec<Wish>,
    },
    /// Ends a try without an edit.
    Drop {},
    /// Takes the last edit back.
    Undo {},
    /// Makes it again.
    Redo {},
    /// Writes the plan to its own file, or to a new one in its folder.
    Save {
        /// The bare name of the new file.
        #[serde(default, rename = "as")]
        name: Option<String>,
    },
    /// Which map follows from now on.
    Map {
        /// What it shows.
        kind: MapWord,
        /// Number of the level.
        level: i32,
    },
    /// What would help a device.
    Explain {
        /// Its id.
        id: String,
    },
    /// The best spots for the panel.
    Spots {},
    /// The fewest repeaters.
    Repeaters {},
    /// What lengths that somebody typed are, in the plan's unit where they name none.
    Measure {
        /// Counts up per tab.
        seq: u32,
        /// As they were typed.
        texts: Vec<String>,
    },
    /// What a tape-measure list makes, as it is typed.
    Tape {
        /// Counts up per tab.
        seq: u32,
        /// Without it, that of the plan, or one to start from.
        #[serde(default)]
        text: Option<String>,
    },
    /// Makes such a list the plan: one step of undo.
    Use {
        /// The list.
        text: String,
    },
    /// Puts right what of the drawing is safe to fix.
    Tidy {},
    /// Adds a storey, or changes one; lengths in metres above the plan's zero.
    Level {
        /// Which of the two.
        #[serde(rename = "do")]
        what: LevelWord,
        /// Its number; a new one is above all others where none is given.
        #[serde(default)]
        number: Option<i32>,
        /// What people call it.
        #[serde(default)]
        name: Option<String>,
        /// Its floor.
        #[serde(default)]
        floor: Option<f64>,
        /// Its ceiling.
        #[serde(default)]
        ceiling: Option<f64>,
    },
    /// Documents and pictures of the present text.
    Take {
        /// Which.
        what: Taking,
        /// Options of the command that makes them.
        #[serde(default)]
        options: Map<String, Value>,
        /// What is changed of the text before, for this alone.
        #[serde(default)]
        changes: Vec<Wish>,
    },
    /// Makes a key for another device in the network; only on this machine.
    Share {
        /// What that device may do.
        may: May,
    },
    /// Withdraws that key; only on this machine.
    Withdraw {},
    /// Walks past all devices, with the readings of a file; in place of a walk before.
    Walk {
        /// The bare name of the file beside the plan; the usual one where none is given.
        #[serde(default)]
        file: Option<String>,
        /// The id of the entry at which it begins; in front of the panel where none is given.
        #[serde(default)]
        from: Option<String>,
        /// Whether the walk ends instead.
        #[serde(default)]
        ends: bool,
    },
    /// A row for the file of readings of a walk.
    Reading {
        /// Counts up per tab.
        seq: u32,
        /// As for the walk.
        #[serde(default)]
        file: Option<String>,
        /// What stands in each column, by the names of the file's heading; `sensor` is an id.
        entry: BTreeMap<String, String>,
    },
    /// What bars and per cent mean in the file of readings of a walk.
    Scales {
        /// Counts up per tab.
        seq: u32,
        /// As for the walk.
        #[serde(default)]
        file: Option<String>,
        /// Levels from which 1, 2, … bars show, as the command reads them.
        #[serde(default)]
        bars: Option<String>,
        /// Levels at 0 and 100 per cent, likewise.
        #[serde(default)]
        percent: Option<String>,
    },
    /// Puts what the readings say of the house into the plan: one step of undo.
    Accept {
        /// As for the walk.
        #[serde(default)]
        file: Option<String>,
    },
    /// Squares up the picture under the plan.
    Square {
        /// Four corners of something rectangular, column and row in the picture, clockwise from
        /// the upper left one.
        corners: [[f64; 2]; 4],
        /// How wide and high that is, metres, where it is known.
        #[serde(default)]
        size: Option<[f64; 2]>,
    },
    /// Looks for walls in that picture.
    Trace {},
    /// Begins a plan that has no file yet and was never edited.
    Start {
        /// With nothing, or an example.
        with: Beginning,
        /// The unit of one with nothing.
        #[serde(default)]
        units: UnitWord,
        /// The name of an example.
        #[serde(default)]
        name: String,
    },
}

/// What a plan begins with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Beginning {
    /// Nothing.
    Empty,
    /// A shipped plan.
    Example,
}

/// The word for what is done with a storey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LevelWord {
    /// It is added.
    Add,
    /// It is changed.
    Set,
}

/// The word for a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum UnitWord {
    /// Metres.
    #[default]
    M,
    /// Feet.
    Ft,
}

impl From<UnitWord> for Lengths {
    fn from(word: UnitWord) -> Self {
        match word {
            UnitWord::M => Self::Metric,
            UnitWord::Ft => Self::Feet,
        }
    }
}

/// The tag of a language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LanguageWord {
    /// English.
    #[default]
    En,
    /// Spanish.
    Es,
}

impl From<LanguageWord> for Language {
    fn from(word: LanguageWord) -> Self {
        match word {
            LanguageWord::En => Self::English,
            LanguageWord::Es => Self::Spanish,
        }
    }
}

/// The word for a map.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum MapWord {
    /// What a sensor has in reserve.
    Here,
    /// The worst of all, if the panel hung there.
    Anywhere,
}

impl From<MapWord> for MapKind {
    fn from(word: MapWord) -> Self {
        match word {
            MapWord::Here => Self::Here,
            MapWord::Anywhere => Self::Anywhere,
        }
    }
}

/// A change that a page wishes for; lengths in metres.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(tag = "do", rename_all = "lowercase")]
pub enum Wish {
    /// Moves a thing that is a point.
    Move {
        /// Its id.
        id: String,
        /// Where to.
        to: [f64; 2],
        /// To which level, if to another.
        #[serde(default)]
        level: Option<i32>,
        /// To which height above that level's floor, if to another.
        #[serde(default)]
        height: Option<f64>,
    },
    /// Gives a line, or the outer ring of an area, another shape.
    Shape {
        /// Its id.
        id: String,
        /// Its points.
        coordinates: Vec<[f64; 2]>,
    },
    /// Sets properties; one that is null is removed.
    Set {
        /// The feature's id.
        id: String,
        /// By name.
        properties: Map<String, Value>,
    },
    /// Adds a feature.
    Add {
        /// As `GeoJSON`.
        feature: Value,
    },
    /// Removes a feature.
    Remove {
        /// Its id.
        id: String,
    },
    /// Puts a picture under the plan, or takes it away.
    Ground {
        /// The picture; nothing takes it away.
        #[serde(default)]
        picture: Option<GroundWish>,
    },
}

/// A picture under the plan; see [`plan::Backdrop`].
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct GroundWish {
    /// The bare name of its file.
    pub file: String,
    /// Puts its pixels into the plan, metres.
    pub transform: [f64; 6],
    /// How strongly it is shown, 0 to 1.
    pub opacity: f64,
    /// Number of its level.
    pub level: i32,
}

/// Why something that was asked for is not done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub what: String,
    /// How to put it right.
    pub fix: String,
}

impl Refusal {
    /// A refusal in words.
    pub fn new(what: impl Into<String>, fix: impl Into<String>) -> Self {
        Self { what: what.into(), fix: fix.into() }
    }
}

impl Asked {
    /// Reads a message.
    ///
    /// # Errors
    /// It is none, or has too many changes or lengths.
    pub fn read(text: &str) -> Result<Self, Refusal> {
        let asked: Self = serde_json::from_str(text).map_err(|error| {
            Refusal::new(format!("this message is not understood: {error}"), "reload the page")
        })?;
        match &asked {
            Self::Edit { changes, .. } | Self::Try { changes, .. } | Self::Take { changes, .. }
                if changes.len() > MOST_CHANGES =>
            {
                let what = format!("{} changes at once; at most {MOST_CHANGES}", changes.len());
                Err(Refusal::new(what, "change less at a time"))
            }
            Self::Measure { texts, .. }
                if texts.len() > MOST_LENGTHS
                    || texts.iter().any(|text| text.chars().count() > LONGEST_LENGTH) =>
            {
                let what = format!(
                    "lengths are read {MOST_LENGTHS} at a time, of {LONGEST_LENGTH} characters each"
                );
                Err(Refusal::new(what, "write shorter lengths, such as 3.2 or 10' 6\""))
            }
            Self::Tape { text: Some(text), .. } | Self::Use { text }
                if text.len() > MOST_LIST_BYTES =>
            {
                let what = format!("the list is longer than {} kB", MOST_LIST_BYTES >> 10);
                Err(Refusal::new(what, "make a list for each part of the house"))
            }
            _ => Ok(asked),
        }
    }
}
