//! What is said of a drawing as a whole: what was not read of it.

use geo::Coord;

use super::groups::Groups;
use super::strokes::Strokes;
use crate::guess::{Guesses, PlanPoint};

pub(super) fn report(
    groups: &Groups,
    drawn: &Strokes,
    lost_swings: Vec<Coord<f64>>,
    corners_closed: usize,
    guesses: &mut Guesses,
) {
    let fix = "add the doors to the plan, or draw the walls up to them";
    let lost = lost_swings.into_iter().map(PlanPoint::ground).collect();
    guesses.add_at("door swings that are in no wall", "left out", fix, lost);
    let about = "ends of walls";
    guesses.add(about, "extended to the middle of the wall that they meet", "", corners_closed);
    let circles = Some(("CIRCLE", &drawn.circles)).filter(|(_, count)| **count > 0);
    let large = Some(("HATCH or SPLINE of very many corners", &drawn.too_large));
    let large = large.filter(|(_, count)| **count > 0);
    let kinds = groups.not_read.iter().map(|(kind, count)| (kind.as_str(), count));
    let kinds = kinds.chain(circles).chain(large);
    let mut kinds: Vec<String> = kinds.map(|(kind, count)| format!("{kind} ({count})")).collect();
    let more = kinds.len().saturating_sub(12);
    kinds.truncate(12);
    if more > 0 {
        kinds.push(format!("and {more} more kinds"));
    }
    let taken = format!("left out: {}", kinds.join(", "));
    let fix = "explode them into lines before the export";
    let count = groups.not_read.values().sum::<usize>() + drawn.circles + drawn.too_large;
    guesses.add("entities that are not read", taken, fix, count);
    let fix = "bind references to other files before the export";
    guesses.add("blocks that are not in the file", "left out", fix, drawn.lost_inserts);
}
