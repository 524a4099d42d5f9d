//! A plan that is being drawn: what has a fault is left out, and all else can be used.

use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;

use super::fields::Fields;
use super::frame::Frame;
use super::read::{Parts, titled};
use super::sketch::{Sketch, positions, sketches};
use super::unit::METRE;
use super::{Backdrop, Diagnostic, Level, MAX_FEATURES, Plan, Vocabulary, source};
use input::Diagnostics;
use input::diagnostic::Placed;
use input::json::{Sort, Value};

/// How many features are left out, one after the other, for being farther out than a plan may
/// reach (our own choice: more are no slip).
const MOST_OUTLIERS: usize = 16;

/// What a text says as far as it can be understood.
#[derive(Debug, Clone, Default)]
pub struct LenientReading {
    /// The plan without the features that have a fault and without what depends on them: the
    /// openings of a wall. Nothing if the file as a whole has a fault.
    pub plan: Option<Plan>,
    /// The picture under the plan, if it has one without fault.
    pub backdrop: Option<Backdrop>,
    /// Metres in one unit of the file; 1 where it is not known.
    pub metres_per_unit: f64,
    /// The levels, as far as they are without fault, in ascending order of their number.
    pub levels: Vec<Level>,
    /// All features in file order; none if the text is not JSON or holds no list of them.
    pub features: Vec<Sketch>,
    /// What [`super::read_house`] would say, each with its feature.
    pub faults: Vec<PlacedFault>,
}

/// A fault or warning, and where in the drawing it is.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedFault {
    /// What is wrong, and how to fix it.
    pub diagnostic: Diagnostic,
    /// Its feature, by its number in [`LenientReading::features`].
    pub feature: Option<usize>,
    /// The position that it is about, metres, else the first of its feature.
    pub at: Option<Coord<f64>>,
}

/// Reads a plan as [`super::read_house`] does, but a fault within a feature costs that feature
/// only.
///
/// Of two features of one id, or two devices of one number, and of two openings that overlap, the
/// later one has the fault. Ids that features get from kind and number are those that they have in
/// the whole file. A feature so far out that the plan would be too large is left out, too.
///
/// The work is no more than that of reading twice, however many faults there are.
#[must_use]
pub fn read_leniently(source_name: &str, text: &[u8], vocabulary: &Vocabulary) -> LenientReading {
    let mut faults = Diagnostics::new(source_name);
    let text = match source::checked_bytes(text, &mut faults) {
        Ok(text) => text,
        Err(text) => {
            let faults = faults.finish_placed(&text).into_iter();
            let placed = |(_, diagnostic)| PlacedFault { diagnostic, feature: None, at: None };
            let metres_per_unit = METRE.metres;
            let faults = faults.map(placed).collect();
            return LenientReading { metres_per_unit, faults, ..LenientReading::default() };
        }
    };
    let mut frame = Frame::new(vocabulary, faults);
    frame.needs_sensors = false;
    let whole = Value::whole(&text);
    let mut parts = frame.read_parts(whole);
    let whole_plan = parts.as_ref().map(|parts| {
        let built = frame.built(parts, |_| true);
        frame.completed(parts, built)
    });
    let metres_per_unit = frame.unit.metres;
    let quiet = frame.faults.emptied();
    let faults = std::mem::replace(&mut frame.faults, quiet);
    let plan = if faults.any_fault() {
        parts.as_mut().and_then(|parts| frame.sound_part(parts, &faults))
    } else {
        whole_plan
    };
    let plan = plan.map(|plan| titled(plan, &text, source_name));

    // The picture lies there whatever is wrong with what is drawn over it.
    let top = Fields::quietly(whole);
    let backdrop = frame.read_backdrop(&top);
    let list = top.value("features").filter(|it| it.sort() == Sort::List);
    let mut items = list.map(|list| list.items()).unwrap_or_default();
    items.truncate(MAX_FEATURES);
    let mut features = sketches(&items, metres_per_unit);
    let levels: BTreeMap<&str, i32> = plan.iter().flat_map(Plan::features).collect();
    for (number, feature) in features.iter_mut().enumerate() {
        let level = levels.get(feature.id.as_str()).copied();
        feature.is_used = level.is_some();
        feature.is_faulty = faults.faulty_pieces().contains(&number);
        feature.level = feature.level.or(level);
    }
    let pieces = faults.emptied();
    // Faults come in order of place, so each feature's positions are looked for once.
    let mut last = (None, Vec::new());
    let placed = |(byte, diagnostic): Placed| {
        let feature = byte.and_then(|byte| pieces.piece_at(byte));
        if last.0 != feature {
            let item = feature.and_then(|number| items.get(number));
            last = (feature, item.map(|item| positions(*item)).unwrap_or_default());
        }
        let here = last
            .1
            .iter()
            .find(|it| byte.is_some_and(|byte| (it.whole.at..it.whole.end()).contains(&byte)));
        let at = here.or(last.1.first()).map(|position| position.said * metres_per_unit);
        PlacedFault { diagnostic, feature, at }
    };
    let faults = faults.finish_placed(&text).into_iter().map(placed).collect();
    LenientReading { plan, backdrop, metres_per_unit, levels: frame.levels, features, faults }
}

impl Frame<'_> {
    /// The plan without the features that have a fault; nothing if the file as a whole has one.
    fn sound_part(&mut self, parts: &mut Parts<'_>, faults: &Diagnostics) -> Option<Plan> {
        if faults.faults_elsewhere() > 0 || parts.extent.is_full {
            return None;
        }
        let left_out = self.left_out(parts, faults)?;
        self.numbers.clear();
        self.serials.clear();
        self.panels.clear();
        let built = self.built(parts, |number| !left_out.contains(&number));
        if !self.lengths_make_sense {
            return None;
        }
        // Openings whose walls are gone have a fault now, and were left out.
        self.faults = faults.emptied();
        Some(self.completed(parts, built))
    }

    /// The features that have a fault, and those that are too far out from all others.
    fn left_out(&mut self, parts: &mut Parts<'_>, faults: &Diagnostics) -> Option<BTreeSet<usize>> {
        let mut left_out = faults.faulty_pieces().clone();
        for _ in 0..MOST_OUTLIERS {
            parts.extent.positions.retain(|(_, at)| {
                faults.piece_at(*at).is_some_and(|number| !left_out.contains(&number))
            });
            self.faults = faults.emptied();
            self.check_extent(&parts.extent);
            if !self.lengths_make_sense {
                return None;
            }
            if !self.faults.any_fault() {
                return Some(left_out);
            }
            left_out.extend(self.faults.faulty_pieces());
        }
        None
    }
}
