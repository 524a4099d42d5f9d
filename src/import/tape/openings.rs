//! Where on their wall doors, windows and gaps come to lie.

use geo::Line;

use super::list::{List, Notes, OpeningLine};
use super::place::Placed;
use super::walls::{Run, Walls};

pub(super) struct PlacedOpening {
    pub(super) listed: usize,
    pub(super) run: usize,
    /// From end to end on the run's middle line.
    pub(super) line: Line<f64>,
}

/// Puts every opening on its wall; those that do not fit are faults.
pub(super) fn place_openings(walls: &Walls<'_>, notes: &mut Notes) -> Vec<PlacedOpening> {
    let (list, runs) = (walls.list, &walls.runs);
    let mut found: Vec<PlacedOpening> = Vec::new();
    for (listed, opening) in list.openings.iter().enumerate() {
        let Some((room, candidates)) = walls.which(&opening.of, opening.line, notes) else {
            continue;
        };
        let (run, from, to) = match fitting(list, opening, &walls.placed[room], &candidates, runs) {
            Ok(fitting) => fitting,
            Err((what, fix)) => {
                notes.say(opening.line, what, fix);
                continue;
            }
        };
        let other = found.iter().filter(|other| other.run == run).find(|other| {
            let (start, end) = runs[run].span_of(other.line);
            from.max(start) < to.min(end) - 0.001
        });
        if let Some(other) = other {
            let other = &list.openings[other.listed];
            let (word, first) = (opening.fill.word(), other.line);
            let what = format!("this {word} overlaps the {} of line {first}", other.fill.word());
            let fix = "say with at where each begins; list a door between two rooms once";
            notes.say(opening.line, what, fix);
            continue;
        }
        found.push(PlacedOpening { listed, run, line: runs[run].piece(from, to) });
    }
    found
}

/// The run on which an opening fits, with its ends along it.
fn fitting(
    list: &List,
    opening: &OpeningLine,
    room: &Placed,
    candidates: &[usize],
    runs: &[Run],
) -> Result<(usize, f64, f64), (String, String)> {
    /// Two sums of rounding must not decide whether a door fits.
    const HAIR_M: f64 = 1e-6;
    let width_m = opening.width_m;
    let word = opening.fill.word();
    if let Some(at_m) = opening.at_m {
        let corner = candidates.first().map_or(0.0, |&run| room.inner_corner(runs[run].is_level()));
        let (from, to) = (corner + at_m, corner + at_m + width_m);
        let fits = candidates.iter().copied().find(|&run| {
            let (start, end) = runs[run].clear;
            from >= start - HAIR_M && to <= end + HAIR_M
        });
        return fits.map(|run| (run, from, to)).ok_or_else(|| {
            let piece = |run: &usize| {
                let (start, end) = runs[*run].clear;
                format!("{} to {}", list.shown(start - corner), list.shown(end - corner))
            };
            let pieces = candidates.iter().map(piece).collect::<Vec<_>>().join(", and from ");
            let (start, end) = (list.shown(at_m), list.shown(at_m + width_m));
            (
                format!("from {start} to {end}, the {word} is not on one wall"),
                format!("measured from the room's corner, walls run from {pieces}"),
            )
        });
    }
    // In the middle of the longest wall.
    let length = |run: usize| runs[run].clear.1 - runs[run].clear.0;
    let longer = |best, run| if length(run) > length(best) + HAIR_M { run } else { best };
    let longest = candidates.iter().copied().reduce(longer);
    let Some(run) = longest.filter(|&run| length(run) >= width_m - HAIR_M) else {
        let (wide, long) = (list.shown(width_m), list.shown(longest.map_or(0.0, length)));
        let what = format!("the {word} is {wide} wide, but its wall is only {long} long");
        return Err((what, "check the width and the sizes of the rooms".to_owned()));
    };
    let (start, end) = runs[run].clear;
    let from = (start + end - width_m) / 2.0;
    Ok((run, from, from + width_m))
}
