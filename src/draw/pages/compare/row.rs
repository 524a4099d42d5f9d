//! One row of a comparison.

use super::{ComparedSensor, ROW, ReadLevel};
use crate::base::{
    Align, CAPITALS_PER_EM, Canvas, DIRECT, INK, Ink, PAPER, Point, QUIET, Rect, Type, clean,
};
use crate::pages::profile::Likely;
use crate::parts::axis::Axis;

/// More exact readings of a sensor than this are drawn as ticks, with the middle one as a diamond.
pub(crate) const MOST_DIAMONDS: usize = 6;

/// Length of an interval of which one end is open, pixels at size 1.
const OPEN: f64 = 60.0;

/// Where one row goes.
pub(crate) struct Line<'a> {
    pub middle: f64,
    pub row: f64,
    pub size: f64,
    pub plot: &'a Rect,
    pub across: &'a Axis,
    pub edge: f64,
    pub end: f64,
}

impl Line<'_> {
    /// Draws the row of a sensor.
    pub fn draw(&self, pen: &mut Canvas, sensor: &ComparedSensor) {
        let Self { middle, size, .. } = *self;
        let em = (14.0 * size).min(0.55 * self.row);
        let flag = clean(&sensor.flag);
        let number = sensor.number.map(|number| number.to_string());
        let at = [self.edge + 16.0 * size, middle];
        draw_number(pen, number.as_deref().unwrap_or(""), at, !flag.is_empty(), self);
        let kind = Type { em, bold: !flag.is_empty() };
        let x = self.edge + 38.0 * size;
        let name = kind.fit(&clean(&sensor.name), self.plot.x0 - x - 10.0 * size);
        let lift = em * CAPITALS_PER_EM / 2.0;
        pen.text(&name, [x, middle + lift], kind, Align::Left, INK);

        // Three lanes: before, after, readings.
        let lane = 0.29 * self.row;
        let place = |likely: &Likely| {
            [likely.low_dbm, likely.level_dbm, likely.high_dbm].map(|dbm| self.across.place(dbm))
        };
        if let Some(before) = &sensor.before {
            draw_before(pen, place(before), middle - lane, size);
        }
        if let Some(after) = &sensor.after {
            draw_after(pen, place(after), middle, size);
        }
        self.draw_readings(pen, sensor, middle + lane);

        let x = self.plot.x1 + 14.0 * size;
        let count = sensor.count();
        if flag.is_empty() {
            let kind = Type::regular(0.93 * em);
            return pen.text(&count, [x, middle + lift], kind, Align::Left, QUIET);
        }
        let (bold, small) = (Type::bold(0.93 * em), Type::regular(0.86 * em));
        let shift = 0.24 * self.row;
        draw_flag(pen, [x + 6.0 * size, middle - shift], size.min(self.row / ROW));
        let flag = bold.fit(&flag, self.end - x - 18.0 * size);
        let upper = [x + 18.0 * size, middle - shift + lift];
        pen.text(&flag, upper, bold, Align::Left, INK);
        let lower = [x + 18.0 * size, middle + shift + lift];
        let count = small.fit(&count, self.end - x - 18.0 * size);
        pen.text(&count, lower, small, Align::Left, QUIET);
    }

    fn draw_readings(&self, pen: &mut Canvas, sensor: &ComparedSensor, y: f64) {
        let size = self.size;
        let mut intervals: Vec<[Option<f64>; 2]> = Vec::new();
        for reading in &sensor.readings {
            if let ReadLevel::Between { low_dbm, high_dbm } = *reading {
                intervals.push([low_dbm, high_dbm]);
            }
        }
        intervals.sort_by(|one, other| one.partial_cmp(other).unwrap_or(std::cmp::Ordering::Equal));
        intervals.dedup();
        for [low, high] in intervals {
            // An open end is a short arrow: one to the edge would make the most of what says least.
            let [from, to] = [low, high].map(|end| end.map(|dbm| self.across.place(dbm)));
            let (least, most) = (self.plot.x0 + 3.0 * size, self.plot.x1 - 3.0 * size);
            let ends = [
                from.unwrap_or(to.map_or(least, |to| (to - OPEN * size).max(least))),
                to.unwrap_or(from.map_or(most, |from| (from + OPEN * size).min(most))),
            ];
            draw_interval(pen, ends, [low.is_none(), high.is_none()], y, size);
        }
        let exact = sensor.exact();
        if exact.len() > MOST_DIAMONDS {
            let mut last = f64::NEG_INFINITY;
            for (dbm, _) in &exact {
                let x = self.across.place(*dbm);
                // Nearer ones would only blacken the row.
                if x - last > 1.2 * size {
                    draw_tick(pen, [x, y], size);
                    last = x;
                }
            }
            if let Some((dbm, _)) = exact.get(exact.len() / 2) {
                draw_diamond(pen, [self.across.place(*dbm), y], size);
            }
        } else {
            for (dbm, spread) in exact.iter().filter(|(_, spread)| *spread > 0.0) {
                let ends = [dbm - spread, dbm + spread].map(|end| self.across.place(end));
                draw_bar(pen, ends, y, size);
            }
            for (dbm, _) in &exact {
                draw_diamond(pen, [self.across.place(*dbm), y], size);
            }
        }
        if sensor.readings.contains(&ReadLevel::Missed) {
            // Left of the level needed: all that it says is that the level was below.
            let x = sensor.needed_dbm.map(|dbm| self.across.place(dbm));
            let x = x.unwrap_or(self.plot.x0 + 24.0 * size) - 14.0 * size;
            let x = x.max(self.plot.x0 + 10.0 * size);
            draw_cross(pen, [x, y], size);
        }
    }
}

pub(crate) fn draw_number(pen: &mut Canvas, tag: &str, at: Point, flagged: bool, line: &Line) {
    let radius = (14.0 * line.size).min(0.46 * line.row);
    let (ground, ink): (Ink, Ink) = if flagged { (INK, PAPER) } else { (PAPER, INK) };
    pen.disc(at, radius, INK);
    pen.disc(at, radius - 1.6 * line.size, ground);
    let kind = Type::bold(0.86 * radius);
    let room = 1.7 * radius;
    let width = kind.width(tag).max(1.0);
    let kind = Type::bold(kind.em * (room / width).min(1.0));
    let base = at[1] + kind.lift();
    pen.text(tag, [at[0], base], kind, Align::Middle, ink);
}

pub(crate) fn draw_stroke(pen: &mut Canvas, x: f64, [from, to]: [f64; 2], size: f64) {
    pen.line(&[[x, from], [x, to]], 2.6 * size, INK);
}

/// The hollow bar of a forecast before the readings: pixels of its low end, level and high end.
pub(crate) fn draw_before(pen: &mut Canvas, [low, at, high]: [f64; 3], y: f64, size: f64) {
    let half = 3.6 * size;
    let bar = |by: f64| Rect {
        x0: low.min(high) - by,
        y0: y - half - by,
        x1: high.max(low) + by,
        y1: y + half + by,
    };
    pen.rectangle(bar(0.8 * size), QUIET);
    pen.rectangle(bar(-0.6 * size), PAPER);
    let level = [[at, y - half - size], [at, y + half + size]];
    pen.line(&level, 2.6 * size, QUIET);
}

/// The filled bar of a forecast after the readings.
pub(crate) fn draw_after(pen: &mut Canvas, [low, at, high]: [f64; 3], y: f64, size: f64) {
    let half = 4.2 * size;
    let bar = Rect { x0: low.min(high), y0: y - half, x1: high.max(low), y1: y + half };
    pen.rectangle(bar.grown(size), PAPER);
    pen.rectangle(bar, DIRECT);
    pen.line(&[[at, y - half], [at, y + half]], 2.6 * size, PAPER);
}

pub(crate) fn draw_diamond(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let shape = |reach: f64| {
        let run = reach * size;
        [[x - run, y], [x, y - run], [x + run, y], [x, y + run]]
    };
    pen.polygon(&shape(6.8), PAPER);
    pen.polygon(&shape(5.2), INK);
}

/// The bar of a reading's spread.
pub(crate) fn draw_bar(pen: &mut Canvas, [from, to]: [f64; 2], y: f64, size: f64) {
    pen.line(&[[from, y], [to, y]], 1.5 * size, INK);
}

pub(crate) fn draw_tick(pen: &mut Canvas, [x, y]: Point, size: f64) {
    pen.line(&[[x, y - 4.0 * size], [x, y + 4.0 * size]], 1.2 * size, INK);
}

/// The interval of a reading in bars; an open end has an arrow instead of a stop.
pub(crate) fn draw_interval(
    pen: &mut Canvas,
    [from, to]: [f64; 2],
    [open_below, open_above]: [bool; 2],
    y: f64,
    size: f64,
) {
    pen.line(&[[from, y], [to, y]], 1.8 * size, INK);
    for (x, open, into) in [(from, open_below, 1.0), (to, open_above, -1.0)] {
        let high = 4.4 * size;
        if open {
            let foot = x + into * 7.0 * size;
            pen.polygon(&[[x, y], [foot, y - high], [foot, y + high]], INK);
        } else {
            pen.line(&[[x, y - high], [x, y + high]], 1.8 * size, INK);
        }
    }
}

pub(crate) fn draw_cross(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let arm = 4.6 * size;
    for (width, ink) in [(5.0, PAPER), (2.4, INK)] {
        for slope in [1.0, -1.0] {
            let stroke = [[x - arm, y - arm * slope], [x + arm, y + arm * slope]];
            pen.line(&stroke, width * size, ink);
        }
    }
}

/// A flag on its pole.
pub(crate) fn draw_flag(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let at = |dx: f64, dy: f64| [x + dx * size, y + dy * size];
    pen.line(&[at(-5.0, -8.0), at(-5.0, 8.0)], 2.0 * size, INK);
    pen.polygon(&[at(-5.0, -8.0), at(7.0, -3.5), at(-5.0, 1.0)], INK);
}
