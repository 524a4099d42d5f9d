//! Checks how a plan is drawn and changes what is safe, and reports each change.
//!
//! What changes is the *text*, as in [`super::edit`]: what a fix does not touch stays byte for
//! byte. A fix moves nothing by more than the tolerance (an opening across its wall by no more
//! than the wall is thick), and changes no construction, name or device. What looks wrong but is
//! not safe to fix is reported.

mod crossings;
mod doubles;
mod doubts;
mod drawing;
mod ends;
mod joins;
mod log;
mod net;
mod openings;
mod repeats;
mod touch;
mod write;

use std::collections::BTreeSet;

use drawing::Drawing;
use log::Log;
pub use log::{Doubt, Fix, FixKind};
use net::Net;

use super::{Diagnostic, Inside, MAX_LISTED, Reading, Severity, Vocabulary, read_house, source};
use input::Diagnostics;

/// Smallest and largest tolerance, metres: below, rounding to a thousandth of the unit would count
/// as a move; above, walls that are apart in many houses would be drawn together. (Our own choice,
/// no source.)
const SNAP_M: (f64, f64) = (0.005, 0.25);

/// Most rounds of fixing, as one fix may make another possible: it bounds the time.
const MOST_ROUNDS: usize = 50;

/// How often all begins anew with positions left where they were drawn.
const MOST_ATTEMPTS: usize = 4;

/// How often all begins anew with walls left where they were drawn, since openings lost them.
const MOST_HELD: usize = 10;

/// How often a result is tidied in its turn.
const MOST_DEPTH: usize = 2;

/// How a plan is tidied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TidySettings {
    /// How far an end of a wall may be moved to meet another wall, metres. Taken as 0.005 below
    /// that, as 0.25 above, and as the default where it is no number.
    pub snap_m: f64,
}

impl Default for TidySettings {
    /// 0.05 m, the tolerance that the plan format has for openings.
    fn default() -> Self {
        Self { snap_m: super::ON_WALL_TOLERANCE_M }
    }
}

/// A plan after tidying.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tidied {
    /// The text without a byte-order mark; byte for byte that which was given if there is no fix.
    pub text: String,
    /// Every change, by place in the text that was given.
    pub fixes: Vec<Fix>,
    /// What was left, by place; at most [`MAX_LISTED`] and one that counts the others.
    pub left: Vec<Doubt>,
}

/// Tidies the text of a plan, which need not have sensors yet.
///
/// `name` is the file's name, for faults. Ends and corners of walls of one level that lie within
/// the tolerance meet in one point; ends near another wall are put on it; walls of one make that
/// lie on one another, or go on in one line, become one; walls that cross get a point there;
/// openings are put on the middle of their wall and cut to its end. Positions that are worked out
/// anew are rounded to a thousandth of the plan's unit; one that is moved to another gets just that
/// one's numbers. The result has been read again, and tidying it again changes nothing. It also
/// takes plans that the reader refuses for just what is changed here.
///
/// # Errors
/// The reader's faults and warnings of the text as given, but for the faults that a fix would take
/// away, if any fault is left.
pub fn tidied(
    name: &str,
    text: &str,
    vocabulary: &Vocabulary,
    settings: &TidySettings,
) -> Result<Tidied, Vec<Diagnostic>> {
    done((name, text), vocabulary, settings, false)
}

/// Tidies the text of a plan that is still being drawn: faults that no fix takes away stay, and no
/// fix brings one.
///
/// # Errors
/// The reader's faults, if the plan as a whole has one.
pub fn tidied_leniently(
    name: &str,
    text: &str,
    vocabulary: &Vocabulary,
    settings: &TidySettings,
) -> Result<Tidied, Vec<Diagnostic>> {
    done((name, text), vocabulary, settings, true)
}

fn done(
    (name, text): (&str, &str),
    vocabulary: &Vocabulary,
    settings: &TidySettings,
    may_stay: bool,
) -> Result<Tidied, Vec<Diagnostic>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = read_house(name, text.as_bytes(), vocabulary).err();
    let faults = first.unwrap_or_default();
    let mut ignored = Diagnostics::new("");
    let sound_text = source::is_sound(text, &mut ignored);
    // What is wrong with the plan as a whole is not for lines to fix.
    let beyond = |fault: &Diagnostic| {
        let counts_others = faults.len() > MAX_LISTED && fault.what.starts_with("and ");
        fault.severity == Severity::Error && fault.feature.is_none() && !counts_others
    };
    if !sound_text || faults.iter().any(beyond) {
        return Err(faults);
    }
    let snap_m = if settings.snap_m.is_nan() {
        TidySettings::default().snap_m
    } else {
        settings.snap_m.clamp(SNAP_M.0, SNAP_M.1)
    };
    let stay = if may_stay { faults.as_slice() } else { &[] };
    let (now, log) = match made((name, text), vocabulary, snap_m, MOST_DEPTH, stay) {
        Ok((_, log)) if log.fixes.is_empty() && !faults.is_empty() && !may_stay => {
            return Err(faults);
        }
        Ok(made) => made,
        Err(_) if faults.is_empty() || may_stay => {
            (text.to_owned(), given_up(text, vocabulary, snap_m))
        }
        Err(still) => return Err(left_of(faults, still)),
    };
    let (fixes, left) = log.finish(text);
    Ok(Tidied { text: now, fixes, left })
}

/// A step of fixing: gives whether it changed anything.
type Step = fn(&mut Drawing<'_>, &Net, &mut Log) -> bool;

/// All steps of a round, each of which sees what the one before it did.
const ALL: &[Step] = &[
    repeats::drop_repeats,
    ends::meet,
    touch::touch,
    doubles::cut_doubles,
    joins::join,
    openings::settle,
    crossings::cross,
];

/// The steps that touch no wall with a length: for a plan on which the others chase one another.
const FEW: &[Step] = &[repeats::drop_repeats, openings::settle];

/// Fixes a text in rounds until nothing is left to fix; nothing for one that is no drawing, or if
/// the rounds do not come to rest.
///
/// Where a position would have to be moved twice, and so too far, all begins anew with that
/// position where it was drawn. What is `held` stays where it was drawn from the first.
fn fixed(
    text: &str,
    vocabulary: &Vocabulary,
    snap_m: f64,
    steps: &[Step],
    held: &BTreeSet<usize>,
) -> Option<(String, Log)> {
    let mut pinned = held.clone();
    for attempt in 1..=MOST_ATTEMPTS {
        let mut drawing = Drawing::of(text, vocabulary, snap_m)?;
        drawing.pinned.clone_from(&pinned);
        let mut log = Log::default();
        let settled = (0..MOST_ROUNDS).any(|_| {
            // Another round looks again at what was left.
            log.doubts.clear();
            drawing.strained.borrow_mut().clear();
            !round(&mut drawing, &mut log, steps)
        });
        let strained = drawing.strained.take();
        if !strained.is_empty() && attempt < MOST_ATTEMPTS {
            pinned.extend(strained);
            continue;
        }
        if !settled {
            return None;
        }
        doubts::look(&drawing, &mut log);
        log.step += 1;
        let new = write::put_into(text, &drawing, &mut log);
        if let Ok(Reading { plan, .. }) = read_house("", new.as_bytes(), vocabulary) {
            let known = |construction: &str| vocabulary.thickness_m.get(construction).copied();
            let inside = Inside::of_levels(&plan, &known);
            doubts::enclosure(&drawing, &plan, &inside, &mut log);
        }
        return Some((new, log));
    }
    None
}

/// One round of steps. Gives whether anything was changed.
fn round(drawing: &mut Drawing<'_>, log: &mut Log, steps: &[Step]) -> bool {
    let mut net = Net::of(drawing);
    let mut changed = false;
    for step in steps {
        log.step += 1;
        if step(drawing, &net, log) {
            changed = true;
            net = Net::of(drawing);
        }
    }
    changed
}

/// A text that can be read and that tidying leaves as it is, with its fixes: fewer of them where
/// all together do not come to rest. `depth` bounds how often the result of fixing is tidied in
/// its turn to see that it stays as it is. What is in `stay` may still be wrong with it.
///
/// # Errors
/// The faults that there are after the fixes; none for fixes that would undo one another.
fn made(
    (name, text): (&str, &str),
    vocabulary: &Vocabulary,
    snap_m: f64,
    depth: usize,
    stay: &[Diagnostic],
) -> Result<(String, Log), Vec<Diagnostic>> {
    let mut faults = Vec::new();
    let is_new = |fault: &&Diagnostic| {
        fault.severity == Severity::Error && !stay.iter().any(|known| is_same(fault, known))
    };
    for (steps, all) in [(ALL, true), (FEW, false)] {
        let mut held = BTreeSet::new();
        for _ in 0..MOST_HELD {
            let Some((new, log)) = fixed(text, vocabulary, snap_m, steps, &held) else {
                break;
            };
            if log.fixes.is_empty() {
                return if all { Ok((new, log)) } else { Err(faults) };
            }
            let still = read_house(name, new.as_bytes(), vocabulary).err().unwrap_or_default();
            if still.iter().any(|fault| is_new(&fault)) {
                // Where an opening would lose its wall, the wall stays, and not all the rest.
                let lost = still.iter().filter(is_new).filter_map(|fault| fault.feature.as_deref());
                let lost = lost.collect();
                let drawing = Drawing::of(text, vocabulary, snap_m);
                let under = drawing.map(|drawing| drawing.under(&lost)).unwrap_or_default();
                let is_known = under.is_subset(&held);
                held.extend(under);
                faults = still;
                if is_known {
                    break;
                }
                continue;
            }
            let again = |depth| made((name, &new), vocabulary, snap_m, depth, stay);
            let again = depth.checked_sub(1).map(again);
            if !matches!(again, Some(Ok((_, log))) if !log.fixes.is_empty()) {
                return Ok((new, log));
            }
            break;
        }
    }
    Err(faults)
}

/// What is doubtful in a plan that stays as it was, for no fixes were found that fit together.
fn given_up(text: &str, vocabulary: &Vocabulary, snap_m: f64) -> Log {
    let mut log = Log::default();
    if let Some(drawing) = Drawing::of(text, vocabulary, snap_m) {
        doubts::look(&drawing, &mut log);
    }
    let what = "the fixes would undo one another";
    log.doubt(0, "", what, "fix what is listed below by hand, or give another --snap");
    log
}

/// Whether two texts have the same fault, wherever in them it stands.
fn is_same(one: &Diagnostic, other: &Diagnostic) -> bool {
    let words = |what: &str| what.split(" (see ").next().map(str::to_owned);
    one.feature == other.feature && words(&one.what) == words(&other.what)
}

/// The faults of the text as given that fixing leaves; all where none of them is the same.
fn left_of(faults: Vec<Diagnostic>, still: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let stays = |fault: &Diagnostic| {
        fault.severity == Severity::Warning || still.iter().any(|other| is_same(fault, other))
    };
    let left: Vec<Diagnostic> = faults.iter().filter(|fault| stays(fault)).cloned().collect();
    let any = left.iter().any(|fault| fault.severity == Severity::Error);
    if any { left } else { faults }
}
