//! Checks how a plan is drawn and mends what is safe, telling each change.
//!
//! Mended is the *text*, as in [`super::edit`]: what a mend does not touch stays byte for byte. A mend
//! moves nothing by more than the tolerance (an opening across its wall by no more than the wall is
//! thick), and changes no construction, name or device. What looks wrong but is not safe to mend is told.

mod crossings;
mod doubles;
mod doubts;
mod drawing;
mod ends;
mod joins;
mod log;
mod measure;
mod net;
mod openings;
mod repeats;
mod touch;
mod write;

use drawing::Drawing;
use log::Log;

use super::fault::Faults;
use super::{Fault, MAX_LISTED, Severity, Vocabulary, read_house, source};

/// Smallest and largest tolerance, metres: below, rounding to a thousandth of the unit would count as a
/// move; above, walls that are apart in many houses would be drawn together. (Our own choice, no source.)
const SNAP_M: (f64, f64) = (0.005, 0.25);

/// Most rounds of mending: each mend may make another possible. Far beyond what a drawing needs, it
/// bounds the time.
const MOST_ROUNDS: usize = 50;

/// How a plan is tidied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TidySettings {
    /// How far an end of a wall may be moved to meet another wall, metres. Taken as 0.005 below that, as
    /// 0.25 above, and as the default where it is no number.
    pub snap_m: f64,
}

impl Default for TidySettings {
    /// 0.05 m, the tolerance that the plan format has for openings.
    fn default() -> Self {
        Self {
            snap_m: super::ON_WALL_TOLERANCE_M,
        }
    }
}

/// What sort of change a [`Mend`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MendKind {
    /// An end or corner of a wall was moved to another, or onto another wall.
    Moved,
    /// A repeated point was taken out.
    Repeat,
    /// A wall without length, or one that lies on others, was taken out.
    Removed,
    /// A wall was cut to what does not lie on others.
    Cut,
    /// A wall was joined to the one that it goes on from, whose id stays.
    Joined,
    /// A point was put in where two walls cross.
    Crossing,
    /// An opening was put on the middle of its wall.
    OpeningMoved,
    /// An opening was cut to its wall's end, or to where another begins.
    OpeningCut,
    /// An id was written down that would have changed.
    Named,
}

/// One change to a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mend {
    /// Id of the feature (shortened, without control characters).
    pub feature: String,
    /// Line of the text as it was given, from 1.
    pub line: usize,
    /// What sort of change it is.
    pub kind: MendKind,
    /// What was done, in words, with lengths and positions in the plan's unit.
    pub what: String,
}

/// Something that was seen and left as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Id of the feature (shortened, without control characters); empty for what belongs to none.
    pub feature: String,
    /// Line of the text as it was given, from 1.
    pub line: usize,
    /// What was seen.
    pub what: String,
    /// Why it was left, and what may be done.
    pub why: String,
}

/// A plan after tidying.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tidied {
    /// The text; byte for byte that which was given if there is no mend.
    pub text: String,
    /// Every change, by place in the text that was given.
    pub mends: Vec<Mend>,
    /// What was left, by place; at most [`MAX_LISTED`] and one that counts the others.
    pub left: Vec<Doubt>,
}

/// Tidies the text of a plan, which need not have sensors yet.
///
/// `name` is the file's name, for faults. Ends and corners of walls of one level that lie within the
/// tolerance meet in one point; ends near another wall are put on it; walls of one make that lie on one
/// another, or go on in one line, become one; walls that cross get a point there; openings are put on
/// the middle of their wall and cut to its end. Positions that are worked out anew are rounded to a
/// thousandth of the plan's unit; one that is moved to another gets just that one's numbers. The result
/// has been read again, and tidying it again changes nothing. It also takes plans that the reader refuses
/// for just what is mended here.
///
/// # Errors
/// The reader's faults and warnings of the text as given, but for the faults that would be mended, if
/// any fault is left.
pub fn tidied(
    name: &str,
    text: &str,
    vocabulary: &Vocabulary,
    settings: &TidySettings,
) -> Result<Tidied, Vec<Fault>> {
    let first = read_house(name, text.as_bytes(), vocabulary).err();
    let faults = first.unwrap_or_default();
    let mut ignored = Faults::new("");
    let sound_text = source::checked_text(text.as_bytes(), &mut ignored).is_some();
    // What is wrong with the plan as a whole is not for lines to mend.
    let beyond = |fault: &Fault| {
        let counts_others = faults.len() > MAX_LISTED && fault.what.starts_with("and ");
        fault.severity == Severity::Fault && fault.feature.is_none() && !counts_others
    };
    if !sound_text || faults.iter().any(beyond) {
        return Err(faults);
    }
    let snap_m = if settings.snap_m.is_nan() {
        TidySettings::default().snap_m
    } else {
        settings.snap_m.clamp(SNAP_M.0, SNAP_M.1)
    };
    let Some(outcome) = mended(text, vocabulary, snap_m) else {
        return if faults.is_empty() {
            Ok(as_it_was(text, Log::default()))
        } else {
            Err(faults)
        };
    };
    let Some((new, log)) = outcome.settled else {
        return if faults.is_empty() {
            Ok(given_up(text, vocabulary, snap_m))
        } else {
            Err(faults)
        };
    };
    if log.count() == 0 {
        return if faults.is_empty() {
            Ok(as_it_was(text, log))
        } else {
            Err(faults)
        };
    }
    match read_house(name, new.as_bytes(), vocabulary) {
        Err(still) => {
            if faults.is_empty() {
                return Ok(given_up(text, vocabulary, snap_m));
            }
            Err(left_of(faults, still))
        }
        Ok(_) => {
            // A plan on which mends chase one another is left alone.
            let again = mended(&new, vocabulary, snap_m).and_then(|again| again.settled);
            if again.is_none_or(|(_, log)| log.count() > 0) && faults.is_empty() {
                return Ok(given_up(text, vocabulary, snap_m));
            }
            let (mends, left) = log.finish(text);
            Ok(Tidied {
                text: new,
                mends,
                left,
            })
        }
    }
}

/// What became of a text.
struct Outcome {
    /// The new text and what was done; nothing if the rounds did not come to rest.
    settled: Option<(String, Log)>,
}

/// Mends a text in rounds until nothing is left to mend; nothing for one that is no drawing.
fn mended(text: &str, vocabulary: &Vocabulary, snap_m: f64) -> Option<Outcome> {
    let mut drawing = Drawing::of(text, vocabulary, snap_m)?;
    let mut log = Log::default();
    for _ in 0..MOST_ROUNDS {
        log.another_round();
        if !round(&mut drawing, &mut log) {
            doubts::look(&drawing, &mut log);
            log.next_step();
            let new = write::put_into(text, &drawing, &mut log);
            return Some(Outcome {
                settled: Some((new, log)),
            });
        }
    }
    Some(Outcome { settled: None })
}

/// One round of all mends. Gives whether anything was changed.
fn round(drawing: &mut Drawing<'_>, log: &mut Log) -> bool {
    let steps = [
        repeats::drop_repeats,
        ends::meet,
        touch::touch,
        doubles::cut_doubles,
        joins::join,
        openings::settle,
        crossings::cross,
    ];
    // Each step sees what the one before it did.
    steps.iter().fold(false, |changed, step| {
        log.next_step();
        step(drawing, log) || changed
    })
}

/// Nothing was mended.
fn as_it_was(text: &str, log: Log) -> Tidied {
    let (mends, left) = log.finish(text);
    Tidied {
        text: text.to_owned(),
        mends,
        left,
    }
}

/// The plan as it was, and a word that no mends were found that fit together.
fn given_up(text: &str, vocabulary: &Vocabulary, snap_m: f64) -> Tidied {
    let mut log = Log::default();
    if let Some(drawing) = Drawing::of(text, vocabulary, snap_m) {
        doubts::look(&drawing, &mut log);
    }
    log.doubt(
        0,
        "",
        "no mends were found that fit together: one would undo another".to_owned(),
        "see to what is told below, or tidy with another tolerance",
    );
    as_it_was(text, log)
}

/// The faults that are still there after mending, as they were told of the text as given. Where none of
/// them is the same, all.
fn left_of(faults: Vec<Fault>, still: Vec<Fault>) -> Vec<Fault> {
    let same = |one: &Fault, other: &Fault| {
        let words = |fault: &Fault| {
            let what = fault.what.split(" (see ").next().unwrap_or_default();
            what.to_owned()
        };
        one.feature == other.feature && words(one) == words(other)
    };
    let stays = |fault: &Fault| {
        fault.severity == Severity::Warning || still.iter().any(|other| same(fault, other))
    };
    let left: Vec<Fault> = faults
        .iter()
        .filter(|fault| stays(fault))
        .cloned()
        .collect();
    let any = left.iter().any(|fault| fault.severity == Severity::Fault);
    if any { left } else { faults }
}
