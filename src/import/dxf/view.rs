//! A drawing in metres, for what is looked for in it beside walls and openings.

use std::collections::BTreeSet;

use geo::{Coord, Line};

use super::layers::Roles;
use super::names::Label;
use super::strokes::{Drawn, Strokes, Written};
use super::trade::is_of_stairs;

pub(super) struct View<'d> {
    pub(super) strokes: &'d Strokes,
    pub(super) roles: &'d Roles,
    /// In the drawing's unit.
    pub(super) metres: f64,
    /// What was drawn as straight lines in metres.
    pub(super) lines: &'d dyn Fn(Drawn) -> Vec<Line<f64>>,
    /// A place in metres.
    pub(super) local: &'d dyn Fn(Coord<f64>) -> Coord<f64>,
}

impl View<'_> {
    /// The lines on layers and in blocks of stairs.
    pub(super) fn stairs(&self) -> Vec<Line<f64>> {
        let of_stairs =
            |names: &[String]| names.iter().map(|name| is_of_stairs(name)).collect::<Vec<bool>>();
        let (layers, blocks) = (of_stairs(&self.strokes.layers), of_stairs(&self.strokes.blocks));
        let strokes = self.strokes.strokes.iter().filter(|stroke| {
            layers[stroke.layer] || stroke.block.is_some_and(|block| blocks[block])
        });
        strokes.flat_map(|stroke| (self.lines)(stroke.drawn)).collect()
    }

    /// What is written on layers that are shown and hold no doors and windows.
    pub(super) fn labels(&self, hidden: &BTreeSet<String>) -> Vec<Label> {
        let texts = self.strokes.texts.iter().filter(|text| {
            let name = self.strokes.layers[text.layer].to_lowercase();
            !hidden.contains(&name) && !self.roles.is_of_openings(text.layer)
        });
        let label = |text: &Written| Label {
            at: text.at.map(self.local),
            height_m: text.height * self.metres,
            in_block: text.in_block,
            lines: text.lines.clone(),
        };
        texts.map(label).collect()
    }
}
