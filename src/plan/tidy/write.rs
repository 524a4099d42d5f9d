//! The tidied drawing put back into the text: only what was changed is written anew.

use std::collections::BTreeSet;

use super::super::feature::{id_written, renamed};
use super::super::spelling::{Now, changed};
use super::super::splice::{cuts, spliced};
use super::drawing::Drawing;
use super::log::{FixKind, Log};

/// The text with all changes of the drawing. Walls that would get another id, since one before them
/// is taken out, get theirs written down.
pub(super) fn put_into(text: &str, drawing: &Drawing<'_>, log: &mut Log) -> String {
    let mut splices = Vec::new();
    for line in drawing.walls.iter().chain(&drawing.openings).filter(|line| !line.gone) {
        let now: Vec<Now<'_>> =
            line.points.iter().map(|point| (point.place, point.spelt)).collect();
        splices.extend(changed(text, line.list, &line.before, &now, &line.boxes));
    }
    let gone: BTreeSet<usize> =
        drawing.walls.iter().filter(|wall| wall.gone).map(|wall| wall.feature).collect();
    let is_gone = |number| gone.contains(&number);
    for feature in renamed(&drawing.features, is_gone) {
        if let Some(splice) = id_written(text, feature) {
            splices.push(splice);
            let what = "wrote down the id that it went by: a wall before it is gone".to_owned();
            log.fix(feature.fields.at, &feature.id, FixKind::Named, what);
        }
    }
    let features = drawing.features.iter().map(|feature| feature.fields.whole);
    splices.extend(cuts(features.map(|value| value.at..value.end()), is_gone));
    spliced(text, splices)
}
