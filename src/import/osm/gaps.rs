//! Corners that are open because rooms were drawn to the faces of their walls.

use geo::{Coord, Euclidean, Geometry, Length, Line, LineString};

use super::cover::{Index, length_m, seen};
use super::site::{Run, Site, millimetre};
use super::walls::SAME_FACE_M;

/// Ends that are nearer to a wall than this meet it, metres.
const MEETS_M: f64 = 0.05;

impl Site<'_> {
    /// Draws out ends of walls that meet nothing, as far as the next wall ahead, if that is no farther
    /// than a wall is thick. The first `drawn` walls keep their ends: somebody drew them so.
    pub(super) fn close_gaps(&mut self, drawn: usize) {
        let index = Index::of(&self.runs);
        let mut longer: Vec<(usize, Line<f64>)> = Vec::new();
        for (number, run) in self.runs.iter().enumerate().skip(drawn) {
            let from = ahead(run.line.end, run.line.start, number, run.level, &self.runs, &index);
            let to = ahead(run.line.start, run.line.end, number, run.level, &self.runs, &index);
            if from.is_some() || to.is_some() {
                let start = from.unwrap_or(run.line.start);
                longer.push((number, Line::new(start, to.unwrap_or(run.line.end))));
            }
        }
        for (number, line) in longer {
            let Some(run) = self.runs.get_mut(number) else {
                continue;
            };
            run.line = line;
            if let Some(piece) = self.pieces.get_mut(run.piece) {
                piece.shape = Geometry::LineString(LineString::new(vec![line.start, line.end]));
            }
        }
    }
}

/// Where the next wall is that a wall running from `back` to `end` would meet; nothing if it meets one.
fn ahead(
    back: Coord<f64>,
    end: Coord<f64>,
    own: usize,
    level: i32,
    runs: &[Run],
    index: &Index,
) -> Option<Coord<f64>> {
    let wall = Line::new(back, end);
    let length = length_m(wall);
    let reach_m = SAME_FACE_M + MEETS_M;
    let near: Vec<&Run> = index
        .around(Line::new(end, end), reach_m)
        .into_iter()
        .filter(|number| *number != own)
        .filter_map(|number| runs.get(number))
        .filter(|run| run.level == level)
        .collect();
    let distance = |run: &Run| {
        let (along_m, off_m) = seen(run.line, end);
        let beyond = (-along_m).max(along_m - length_m(run.line)).max(0.0);
        off_m.abs().hypot(beyond)
    };
    if near.iter().any(|run| distance(run) <= MEETS_M) {
        return None;
    }
    let mut best_m: Option<f64> = None;
    for run in near {
        let (from, to) = (seen(wall, run.line.start), seen(wall, run.line.end));
        // Where the other wall crosses the line of this one, or comes as near as corners do.
        let ends = [from, to].into_iter().filter(|at| at.1.abs() <= MEETS_M);
        let crossing =
            (from.1 * to.1 < 0.0).then(|| from.0 + (to.0 - from.0) * from.1 / (from.1 - to.1));
        for at_m in ends.map(|at| at.0).chain(crossing) {
            let gap_m = at_m - length;
            if gap_m > 0.0 && gap_m <= reach_m && best_m.is_none_or(|best_m| gap_m < best_m) {
                best_m = Some(gap_m);
            }
        }
    }
    let at = end + wall.delta() * (best_m? / length);
    let at = Coord { x: millimetre(at.x), y: millimetre(at.y) };
    (Euclidean.length(&Line::new(back, at)) > length).then_some(at)
}
