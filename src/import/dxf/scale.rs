//! How long a drawing's unit is.

use super::groups::Groups;
use crate::Settings;
use crate::guess::Guesses;

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

/// How large the walls are drawn, in the drawing's unit.
pub(super) struct Size {
    /// How far they reach.
    pub(super) across: f64,
    /// How long their lines are together.
    pub(super) lines: f64,
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
    // Inches first where the drawing says that it is not metric.
    let order: [usize; 5] =
        if groups.measurement == Some(0) { [0, 1, 2, 4, 3] } else { [2, 4, 3, 0, 1] };
    if let Some((_, _, metres)) = said.filter(|(.., metres)| within(*metres, BELIEVABLE_M)) {
        // Not where its walls are thicker or thinner than walls are, and another unit's are not.
        let others = order.iter().map(|&unit| UNITS[unit].2);
        let others = others.filter(|other| within(*other, LIKELY_M) && other != metres);
        let looks = looks_like_walls(*metres);
        let best = || others.map(looks_like_walls).fold(0.0, f64::max);
        if 2.0 * looks >= DOUBTFUL * size.lines || looks >= DOUBTFUL * best() {
            return *metres;
        }
    }
    // The header's unit first, however unlikely: it gives way only to one in which more looks like
    // walls.
    let from_header = said.iter().map(|unit| **unit);
    let others = order.iter().map(|&unit| UNITS[unit]);
    let others = others.filter(|(.., metres)| within(*metres, LIKELY_M));
    let mut best: Option<(f64, &str, f64)> = None;
    for (_, name, metres) in from_header.chain(others) {
        let unlikely = !within(metres, BELIEVABLE_M);
        let share = looks_like_walls(metres) * if unlikely { UNLIKELY } else { 1.0 };
        if best.is_none_or(|(most, ..)| share > most * 1.05) {
            best = Some((share, name, metres));
        }
    }
    let (_, name, metres) = best.unwrap_or((0.0, UNITS[2].1, UNITS[2].2));
    let why = match said {
        Some((_, name, _)) => {
            format!("the header says {name}, which no building or no thickness of walls fits")
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
