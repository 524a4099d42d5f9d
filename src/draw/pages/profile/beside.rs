//! Walls on a profile with their labels, and the words at its right.

use super::{LEVELS, Profile, ProfileWall};
use crate::base::{Align, Canvas, INK, Rect, Type, clean};
use crate::pages::profile::paint::draw_wall;
use crate::parts::axis::{Axis, dbm, figure, in_unit};
use crate::parts::decibels::level;
use crate::parts::sketch::Sketch;

/// More walls than this are not drawn.
pub(crate) const MOST_WALLS: usize = 40;

/// Height of a lane of labels, pixels at size 1.
pub(crate) const LANE: f64 = 21.0;

impl Profile {
    /// The walls that are drawn.
    pub(crate) fn shown(&self) -> &[ProfileWall] {
        self.walls.get(..MOST_WALLS).unwrap_or(&self.walls)
    }

    /// Pixel of the middle of a wall.
    pub(crate) fn wall_at(&self, wall: &ProfileWall, across: &Axis) -> f64 {
        across.place(in_unit(wall.distance_m, self.length_unit))
    }

    /// For each wall the lane of its label, counted from the plot upwards, and the label, which
    /// begins at the wall and ends before `end`. A label stands above all those of walls that it
    /// passes over.
    pub(crate) fn lanes(&self, across: &Axis, end: f64, size: f64) -> Vec<(usize, String)> {
        let kind = label_kind(size);
        let words = self.shown().iter().map(|wall| {
            let text = format!("{} {}", level(-wall.loss_db), clean(&wall.label));
            let room = (end - self.wall_at(wall, across)).min(380.0 * size);
            kind.fit(text.trim_end(), room - 10.0 * size)
        });
        self.stacked(words.collect(), across, size)
    }

    /// The same with the walls' numbers alone.
    pub(crate) fn numbers(&self, across: &Axis, size: f64) -> Vec<(usize, String)> {
        let words = (1..=self.shown().len()).map(|number| number.to_string());
        self.stacked(words.collect(), across, size)
    }

    pub(crate) fn stacked(
        &self,
        words: Vec<String>,
        across: &Axis,
        size: f64,
    ) -> Vec<(usize, String)> {
        let kind = label_kind(size);
        let title_end = (24.0 + 10.0) * size + Type::bold(15.0 * size).width(LEVELS);
        let spans: Vec<[f64; 2]> = self
            .shown()
            .iter()
            .zip(&words)
            .map(|(wall, text)| {
                let from = self.wall_at(wall, across);
                [from, from + kind.width(text) + 14.0 * size]
            })
            .collect();
        let mut order: Vec<usize> = (0..spans.len()).collect();
        order.sort_by(|&one, &other| spans[other][0].total_cmp(&spans[one][0]));
        let mut lanes = vec![0; spans.len()];
        for (place, &own) in order.iter().enumerate() {
            let passed = order.iter().take(place);
            let passed = passed.filter(|&&other| spans[other][0] < spans[own][1]);
            // The lowest lane of all begins with the title of the scale of levels.
            let least = usize::from(spans[own][0] < title_end);
            let above = passed.map(|&other| lanes[other] + 1).max().unwrap_or(0);
            lanes[own] = above.max(least);
        }
        lanes.into_iter().zip(words).collect()
    }

    pub(crate) fn draw_walls(&self, pen: &mut Canvas, plot: &Rect, across: &Axis, size: f64) {
        let [from, to] = across.range;
        let scale = (across.pixels[1] - across.pixels[0]) / (to - from);
        for wall in self.shown() {
            let thick = (in_unit(wall.thickness_m, self.length_unit) * scale).max(4.0 * size);
            let x = self.wall_at(wall, across);
            let bar = Rect {
                x0: (x - thick / 2.0).max(plot.x0),
                y0: plot.y0,
                x1: (x + thick / 2.0).min(plot.x1),
                y1: plot.y1,
            };
            draw_wall(pen, bar, size);
        }
    }

    pub(crate) fn draw_labels(
        &self,
        pen: &mut Canvas,
        lanes: &[(usize, String)],
        plot: &Rect,
        across: &Axis,
        size: f64,
    ) {
        for (wall, (lane, text)) in self.shown().iter().zip(lanes) {
            let x = self.wall_at(wall, across);
            let top = plot.y0 - (LANE * (*lane as f64 + 1.0) + 4.0) * size;
            pen.line(&[[x, top + 3.0 * size], [x, plot.y0]], 1.2 * size, INK);
            let at = [x + 5.0 * size, top + 15.0 * size];
            pen.text(text, at, label_kind(size), Align::Left, INK);
        }
    }

    /// The words at the right of the plot, for the sensor and for the level needed, moved up and
    /// down so that they do not meet.
    pub(crate) fn draw_beside(&self, pen: &mut Canvas, plot: &Rect, up: &Axis, size: f64) {
        const LINE: f64 = 19.0;
        let (bold, plain) = (Type::bold(14.0 * size), Type::regular(14.0 * size));
        let room = 222.0 * size;
        let mut blocks: Vec<(f64, Vec<(String, Type)>)> = Vec::new();
        if let Some(sensor) = &self.sensor {
            let name = bold.wrap(&clean(&sensor.label), room, 2);
            let mut lines: Vec<(String, Type)> =
                name.into_iter().map(|line| (line, bold)).collect();
            lines.push((dbm(sensor.level.level_dbm), bold));
            let ends = [sensor.level.low_dbm, sensor.level.high_dbm].map(|end| figure(end, 0));
            lines.push(("nine in ten between".to_owned(), plain));
            lines.push((format!("{} and {} dBm", ends[0], ends[1]), plain));
            blocks.push((up.place(sensor.level.level_dbm), lines));
        }
        if let Some(needed) = self.needed_dbm {
            let line = (format!("needed {}", dbm(needed)), bold);
            blocks.push((up.place(needed), vec![line]));
        }
        blocks.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut top = plot.y0;
        let mut tops = Vec::new();
        for (middle, lines) in &blocks {
            let high = LINE * size * lines.len() as f64;
            top = (middle - high / 2.0).max(top);
            tops.push((top, high));
            top += high + 8.0 * size;
        }
        let mut bottom = plot.y1;
        for (top, high) in tops.iter_mut().rev() {
            *top = top.min(bottom - *high);
            bottom = *top - 8.0 * size;
        }
        for ((_, lines), (top, _)) in blocks.iter().zip(tops) {
            for (count, (text, kind)) in lines.iter().enumerate() {
                let middle = top + LINE * size * (count as f64 + 0.5);
                let base = middle + kind.lift();
                let at = [plot.x1 + 14.0 * size, base];
                pen.text(text, at, *kind, Align::Left, INK);
            }
        }
    }

    /// The walls by their numbers, under the plot; returns where the list ends.
    pub(crate) fn draw_list(&self, sketch: &mut Sketch, y: f64) -> f64 {
        let (size, edge) = (sketch.size, sketch.edge);
        let room = sketch.width - 2.0 * edge;
        let columns = ((room / (340.0 * size)) as usize).max(1);
        let rows = self.shown().len().div_ceil(columns).max(1);
        let across = room / columns as f64;
        let (bold, kind) = (Type::bold(15.0 * size), Type::regular(14.0 * size));
        let heading = match self.walls.len() {
            all if all > MOST_WALLS => {
                format!("Walls on the direct path, the first {MOST_WALLS} of {all}")
            }
            _ => "Walls on the direct path".to_owned(),
        };
        let at = [edge, y + 18.0 * size];
        sketch.pen.text(&heading, at, bold, Align::Left, INK);
        for (place, wall) in self.shown().iter().enumerate() {
            let text = format!("{}: {} {}", place + 1, level(-wall.loss_db), clean(&wall.label));
            let text = kind.fit(text.trim_end(), across - 16.0 * size);
            let at = [
                edge + across * (place / rows) as f64,
                y + (42.0 + LANE * (place % rows) as f64) * size,
            ];
            sketch.pen.text(&text, at, kind, Align::Left, INK);
        }
        y + (36.0 + LANE * rows as f64) * size
    }
}

fn label_kind(size: f64) -> Type {
    Type::regular(13.5 * size)
}
