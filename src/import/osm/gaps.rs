//! Corners that are open because rooms were drawn to the faces of their walls.

use geo::{Coord, Line, LineString};

use super::cover::Index;
use super::faces::SAME_FACE_M;
use super::map::{IndoorMap, Run, index};
use crate::line::{distance, length, seen_from, to_millimetre};

/// Ends that are nearer to a wall than this meet it, metres.
const MEETS_M: f64 = 0.05;

impl IndoorMap<'_> {
    /// Draws out ends of walls that meet nothing, as far as the next wall ahead, if that is no
    /// farther than a wall is thick. The first `drawn` walls keep their ends: somebody drew them
    /// so.
    pub(super) fn close_gaps(&mut self, drawn: usize) {
        let index = index(&self.runs);
        let mut longer: Vec<(usize, Line<f64>)> = Vec::new();
        for (number, run) in self.runs.iter().enumerate().skip(drawn) {
            let Line { start, end } = run.line;
            let ahead = |wall| ahead(wall, number, &self.runs, &index);
            let (from, to) = (ahead(Line::new(end, start)), ahead(run.line));
            if from.is_some() || to.is_some() {
                longer.push((number, Line::new(from.unwrap_or(start), to.unwrap_or(end))));
            }
        }
        for (number, line) in longer {
            self.runs[number].line = line;
            self.pieces[self.runs[number].piece].shape = LineString::from(line).into();
        }
    }
}

/// Where the next wall is that a wall would meet beyond its end; nothing if it meets one.
fn ahead(wall: Line<f64>, own: usize, runs: &[Run], index: &Index) -> Option<Coord<f64>> {
    let (length_m, end) = (length(wall), wall.end);
    let reach_m = SAME_FACE_M + MEETS_M;
    let around = index.around(Line::new(end, end), reach_m).into_iter();
    let others = around.filter(|number| *number != own).map(|number| &runs[number]);
    let others = others.filter(|run| run.level == runs[own].level);
    let near: Vec<Line<f64>> = others.map(|run| run.line).collect();
    if near.iter().any(|line| distance(*line, seen_from(*line, end)) <= MEETS_M) {
        return None;
    }
    let mut best_m: Option<f64> = None;
    for line in near {
        let (from, to) = (seen_from(wall, line.start), seen_from(wall, line.end));
        // Where the other wall crosses the line of this one, or comes as near as corners do.
        let ends = [from, to].into_iter().filter(|at| at.1.abs() <= MEETS_M);
        let crossing =
            (from.1 * to.1 < 0.0).then(|| from.0 + (to.0 - from.0) * from.1 / (from.1 - to.1));
        for at_m in ends.map(|at| at.0).chain(crossing) {
            let gap_m = at_m - length_m;
            if gap_m > 0.0 && gap_m <= reach_m && best_m.is_none_or(|best_m| gap_m < best_m) {
                best_m = Some(gap_m);
            }
        }
    }
    let at = to_millimetre(end + wall.delta() * (best_m? / length_m));
    (length(Line::new(wall.start, at)) > length_m).then_some(at)
}
