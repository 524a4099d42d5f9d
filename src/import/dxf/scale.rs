//! How long a drawing's unit is.

use geo::Line;

use super::groups::Groups;
use super::strokes::Stroke;
use crate::Settings;
use crate::guess::Guesses;
use crate::line::{around, index, length};

/// Least and most width of a drawing in a believable unit, metres (our own choice: shed, works).
const BELIEVABLE_M: (f64, f64) = (2.0, 600.0);
/// The same for a unit that is guessed (our own choice: a flat, a large building).
const LIKELY_M: (f64, f64) = (4.0, 120.0);

/// With less than this share of all lines, and of the walls that another unit gives, the header is
/// not believed (our own choice).
const DOUBTFUL: f64 = 0.2;

/// Units by their code in `$INSUNITS`, with the metres that each has (the format's reference, from
/// memory, not confirmed; the tests hold it against an independent reader).
const UNITS: [(i64, &str, f64); 9] = [
    (1, "inches", 0.0254),
    (2, "feet", 0.3048),
    (4, "millimetres", 0.001),
    (5, "centimetres", 0.01),
    (6, "metres", 1.0),
    (7, "kilometres", 1000.0),
    (9, "mils", 0.000_025_4),
    (10, "yards", 0.9144),
    (14, "decimetres", 0.1),
];

/// What is no building's size in the header's unit must look so much more like walls in it than in
/// another one: a share (our own choice).
const UNLIKELY: f64 = 0.3;

/// A unit of the other system than the header's must look so much more like walls: a share (our
/// own choice).
const OTHER_SYSTEM: f64 = 0.6;
/// Half of all leaves are so wide, metres, whatever the house (common practice, no source).
const LEAF_M: std::ops::RangeInclusive<f64> = 0.5..=1.3;
/// Fewer doors than this say nothing of the unit; more than the second are not looked at.
const LEAVES: (usize, usize) = (3, 400);
/// The header's unit is believed with leaves so wide.
const SAID_LEAF_M: std::ops::RangeInclusive<f64> = 0.4..=1.6;
/// The swing of a leaf, degrees.
const SWING_DEG: std::ops::RangeInclusive<f64> = 15.0..=110.0;
/// A leaf ends within this share of its width of where its swing does (our own choice).
const AT: f64 = 0.12;
/// The longest wall of a house is at least so long, metres (our own choice).
const LONGEST_M: f64 = 3.0;

/// How large the walls are drawn, in the drawing's unit.
pub(super) struct Size {
    /// How far they reach.
    pub(super) across: f64,
    /// How long their lines are together.
    pub(super) lines: f64,
    /// How long the longest is.
    pub(super) longest: f64,
    /// How wide a leaf is, if doors are drawn with their swings.
    pub(super) leaf: Option<f64>,
}

/// How wide half of the leaves are at least that are drawn with their swings, in the drawing's
/// unit.
pub(super) fn leaf(strokes: &[Stroke]) -> Option<f64> {
    let swings: Vec<_> = { strokes.iter() }
        .filter_map(|stroke| Some((stroke.drawn, stroke.drawn.round?)))
        .filter(|(_, round)| SWING_DEG.contains(&round.sweep_deg.abs()))
        .take(LEAVES.1)
        .collect();
    if swings.len() < LEAVES.0 {
        return None;
    }
    let straight = strokes.iter().filter(|stroke| stroke.drawn.round.is_none());
    let lines: Vec<Line<f64>> =
        straight.map(|one| Line::new(one.drawn.start, one.drawn.end)).collect();
    let by_place = index(lines.iter().copied());
    let mut leaves: Vec<f64> = Vec::new();
    for (drawn, round) in swings {
        let wide = length(Line::new(round.middle, drawn.start));
        let meets = |a, b| length(Line::new(a, b)) <= AT * wide;
        let from_hinge = |line: Line<f64>| {
            [(line.start, line.end), (line.end, line.start)].into_iter().any(|(hinge, tip)| {
                meets(hinge, round.middle) && (meets(tip, drawn.start) || meets(tip, drawn.end))
            })
        };
        let hinge = around(Line::new(round.middle, round.middle), AT * wide);
        let mut near = by_place.locate_in_envelope_intersecting(&hinge).take(LEAVES.1);
        if near.any(|found| from_hinge(lines[found.data])) {
            leaves.push(wide);
        }
    }
    leaves.sort_by(f64::total_cmp);
    (leaves.len() >= LEAVES.0).then(|| leaves[leaves.len() / 2])
}

/// Metres in the drawing's unit: the user's word, else the header's if it makes a building of the
/// walls, else what makes one: of the units in which the walls have the size of a building, the one
/// in which most of them look like walls.
pub(super) fn metres_per_unit(
    groups: &Groups,
    settings: &Settings,
    size: &Size,
    looks_like_walls: &dyn Fn(f64) -> f64,
    guesses: &mut Guesses,
) -> f64 {
    if let Some(metres) = settings.metres_per_unit {
        return metres;
    }
    let across = size.across;
    let within =
        |metres: f64, (least, most): (f64, f64)| (least..=most).contains(&(across * metres));
    let said = UNITS.iter().find(|(code, ..)| Some(*code) == groups.unit_code);
    let all = UNITS.iter().map(|(.., metres)| *metres);
    // Doors are as wide as people everywhere.
    let leaves = |metres: f64, wide: &std::ops::RangeInclusive<f64>| {
        size.leaf.is_none_or(|leaf| wide.contains(&(leaf * metres)))
    };
    let is_door = |metres: f64| leaves(metres, &LEAF_M);
    let any_is = all.into_iter().any(|metres| is_door(metres) && within(metres, LIKELY_M));
    let has_doors = |metres: f64| !any_is || is_door(metres);
    // Inches first where the drawing says that it is not metric.
    let order: [usize; 5] =
        if groups.measurement == Some(0) { [0, 1, 2, 4, 3] } else { [2, 4, 3, 0, 1] };
    let believable = |&&(.., metres): &&(i64, &str, f64)| {
        within(metres, BELIEVABLE_M) && (!any_is || leaves(metres, &SAID_LEAF_M))
    };
    if let Some((_, _, metres)) = said.filter(believable) {
        // Not where its walls are thicker or thinner than walls are, and another unit's are not.
        let others = order.iter().map(|&unit| UNITS[unit].2);
        let is_other = |other: &f64| within(*other, LIKELY_M) && other != metres;
        let others = others.filter(|other| is_other(other) && has_doors(*other));
        let looks = looks_like_walls(*metres);
        let best = || others.map(looks_like_walls).fold(0.0, f64::max);
        if 2.0 * looks >= DOUBTFUL * size.lines || looks >= DOUBTFUL * best() {
            return *metres;
        }
    }
    // The header's unit first, however unlikely: it gives way only to one in which more looks like
    // walls.
    let from_header = said.iter().map(|unit| **unit).filter(|(.., metres)| has_doors(*metres));
    let others = order.iter().map(|&unit| UNITS[unit]);
    let others = others.filter(|(.., metres)| within(*metres, LIKELY_M) && has_doors(*metres));
    let is_imperial = |code: i64| matches!(code, 1 | 2 | 9 | 10);
    let mut best: Option<(f64, &str, f64)> = None;
    for (code, name, metres) in from_header.chain(others) {
        let unlikely = !within(metres, BELIEVABLE_M) || size.longest * metres < LONGEST_M;
        let other_system = said.is_some_and(|said| is_imperial(said.0) != is_imperial(code));
        let share = looks_like_walls(metres)
            * if unlikely { UNLIKELY } else { 1.0 }
            * if other_system { OTHER_SYSTEM } else { 1.0 };
        if best.is_none_or(|(most, ..)| share > most * 1.05) {
            best = Some((share, name, metres));
        }
    }
    let (_, name, metres) = best.unwrap_or((0.0, UNITS[2].1, UNITS[2].2));
    let why = match said {
        Some((_, name, _)) => {
            format!("the header says {name}, which fits no building, no walls or no doors")
        }
        None => "the header names no unit".to_owned(),
    };
    let taken = format!(
        "taken as {name}, which makes the walls {:.1} m across; \
                         {why}",
        across * metres
    );
    guesses.add("unit", taken, "--unit mm, cm, m, in or ft", 1);
    metres
}
