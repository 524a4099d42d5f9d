//! What of a drawing is shown beside the plan.

use std::collections::BTreeSet;

use super::drawing::Drawing;
use crate::original::{self, Original};
use crate::{Piece, Settings};

/// The lines of all layers but those that are switched off (in small letters), where the plan has
/// them.
pub(super) fn originals(
    drawing: &Drawing<'_>,
    hidden: &BTreeSet<String>,
    pieces: &[Piece],
    settings: &Settings,
) -> Vec<Original> {
    let is_hidden = |name: &String| hidden.contains(&name.to_lowercase());
    let is_hidden: Vec<bool> = drawing.strokes.layers.iter().map(is_hidden).collect();
    let shown = drawing.strokes.strokes.iter().filter(|stroke| !is_hidden[stroke.layer]);
    let lines = shown.flat_map(|stroke| {
        let is_round = stroke.drawn.round.is_some();
        drawing.lines(stroke.drawn).into_iter().map(move |line| (line, is_round))
    });
    original::originals(0, lines, pieces, settings)
}
