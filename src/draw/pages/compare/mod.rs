//! What was forecast beside what was read, one row for each sensor.

mod paint;

use crate::base::{
    Align, CAPITALS_PER_EM, Canvas, DrawError, FRAME, INK, Ink, PAPER, Point, QUIET, Rect, Type,
    clean,
};
use crate::output::Drawing;
use crate::pages::profile::{Likely, check_level};
use crate::parts::axis::{Axis, dbm, draw_grid};
use crate::parts::sketch::{Entries, Sketch};
use crate::picture::{Size, check};
use paint::{
    draw_after, draw_bar, draw_before, draw_cross, draw_diamond, draw_flag, draw_interval,
    draw_stroke, draw_tick,
};

/// Forecasts against readings, before they are laid out. The rows are set from the weakest forecast
/// to the strongest, sensors without one last.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Comparison {
    /// Title: the plan's name.
    pub title: String,
    /// Second line: the link, how many readings of how many sensors.
    pub subtitle: String,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// The caution at the foot of the chart.
    pub caution: String,
    /// The sensors.
    pub sensors: Vec<ComparedSensor>,
}

/// One sensor of a comparison.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ComparedSensor {
    /// Its number at the panel.
    pub number: Option<u32>,
    /// Its name; shortened where there is little room.
    pub name: String,
    /// Forecast of the level as the plan has it.
    pub before: Option<Likely>,
    /// Forecast of the level with the readings taken in.
    pub after: Option<Likely>,
    /// The level that its listener needs, dBm.
    pub needed_dbm: Option<f64>,
    /// What was read of it.
    pub readings: Vec<ReadLevel>,
    /// A word or two on what may be wrong with it, such as "weak transmitter?"; empty for nothing.
    pub flag: String,
}

/// What one reading says of a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReadLevel {
    /// A level.
    At {
        /// The level, dBm.
        level_dbm: f64,
        /// What to go up and down from it for its uncertainty, dB, 0 or more; 0 for no bar.
        spread_db: f64,
    },
    /// Only known to lie between two levels; an end that is not known is left out.
    Between {
        /// The lower end, dBm.
        low_dbm: Option<f64>,
        /// The upper end, dBm.
        high_dbm: Option<f64>,
    },
    /// A check-in that was due and was not heard.
    Missed,
}

impl ReadLevel {
    /// The levels that it names, dBm.
    fn levels(&self) -> impl Iterator<Item = f64> + use<> {
        let named = match *self {
            Self::At { level_dbm, .. } => [Some(level_dbm), None],
            Self::Between { low_dbm, high_dbm } => [low_dbm, high_dbm],
            Self::Missed => [None, None],
        };
        named.into_iter().flatten()
    }
}

/// Height of a row, pixels at size 1.
const ROW: f64 = 38.0;

/// The rows together are no higher than this, pixels.
const MOST_HIGH_PX: f64 = 5200.0;

/// More sensors than this are not drawn.
const MOST_ROWS: usize = 260;

/// More exact readings of a sensor than this are drawn as ticks, with the middle one as a diamond.
const MOST_DIAMONDS: usize = 6;

/// Length of an interval of which one end is open, pixels at size 1.
const OPEN: f64 = 60.0;

impl Comparison {
    /// Lays the chart out.
    ///
    /// # Errors
    /// As [`layout`](crate::layout).
    pub fn layout(&self, size: Size) -> Result<Drawing, DrawError> {
        self.check()?;
        let mut sketch = Sketch::new(size)?;
        let size = sketch.size;
        let y = sketch.open(&self.title, &self.subtitle, &self.headline);
        let y = sketch.legend(&self.entries(), y + 12.0 * size);
        let needed = self.one_needed();

        let mut rows: Vec<&ComparedSensor> = self.sensors.iter().collect();
        rows.sort_by(|one, other| one.standing().total_cmp(&other.standing()));
        rows.truncate(MOST_ROWS);
        let row = (ROW * size).min(MOST_HIGH_PX / rows.len().max(1) as f64);
        let top = y + if needed.is_some() { 66.0 } else { 46.0 } * size;
        let (left, right) = (250.0_f64.min(0.2 * sketch.width / size), 265.0);
        let plot = Rect {
            x0: (sketch.edge + left * size + 40.0 * size).round(),
            y0: top.round(),
            x1: (sketch.width - sketch.edge - right * size).round(),
            y1: (top + row * rows.len().max(1) as f64).round(),
        };
        let inside = [plot.x0 + 18.0 * size, plot.x1 - 10.0 * size];
        let title = "Level at the listener, dBm".to_owned();
        let across = Axis::between(self.levels(), inside, title, 80.0 * size);
        let pen = &mut sketch.pen;
        for place in (1..rows.len()).step_by(2) {
            let [y0, y1] = [place, place + 1].map(|place| plot.y0 + row * place as f64);
            let (x0, x1) = (0.5 * sketch.edge, sketch.width - 0.5 * sketch.edge);
            pen.rectangle(Rect { x0, y0, x1, y1 }, FRAME.at(0.16));
        }
        draw_grid(pen, &plot, [&across, &Axis::default()], size);
        let small = Type::regular(14.0 * size);
        for (x, caption) in &across.ticks {
            pen.text(caption, [*x, plot.y0 - 10.0 * size], small, Align::Middle, INK);
        }
        if let Some(needed) = needed {
            let bold = Type::bold(14.0 * size);
            let text = format!("needed {}", dbm(needed));
            let half = bold.width(&text) / 2.0;
            let x = across.place(needed).min(plot.x1 - half).max(plot.x0 + half);
            pen.text(&text, [x, plot.y0 - 32.0 * size], bold, Align::Middle, INK);
        }
        for (place, sensor) in rows.iter().enumerate() {
            let y0 = plot.y0 + row * place as f64;
            let lines = [y0, y0 + row];
            if let Some(needed) = sensor.needed_dbm {
                draw_stroke(pen, across.place(needed), lines, size);
            }
        }
        for (place, sensor) in rows.iter().enumerate() {
            let middle = plot.y0 + row * (place as f64 + 0.5);
            let line = Line {
                middle,
                row,
                size,
                plot: &plot,
                across: &across,
                edge: sketch.edge,
                end: sketch.width - sketch.edge,
            };
            line.draw(&mut sketch.pen, sensor);
        }
        sketch.pen.outline(&plot.corners(), 1.3 * size, INK);
        let mut y = plot.y1 + 62.0 * size;
        let left_out = self.sensors.len() - rows.len();
        let note = match (self.sensors.len(), left_out) {
            (0, _) => "There is no sensor to show.".to_owned(),
            (_, 0) => String::new(),
            (_, more) => format!("{more} more sensors are left out: they are in the table."),
        };
        y = sketch.note(&note, QUIET, y);
        Ok(sketch.close(&self.caution, y))
    }

    fn check(&self) -> Result<(), DrawError> {
        for sensor in &self.sensors {
            for likely in sensor.before.iter().chain(&sensor.after) {
                likely.check("a sensor's forecast")?;
            }
            sensor.needed_dbm.map_or(Ok(()), |needed| check_level("the level needed", needed))?;
            for reading in &sensor.readings {
                reading.levels().try_for_each(|level| check_level("a level read", level))?;
                if let ReadLevel::At { spread_db, .. } = *reading {
                    check("the spread of a reading", spread_db, 0.0..=1000.0)?;
                }
            }
        }
        Ok(())
    }

    /// The level needed, if it is the same for all sensors that have one.
    fn one_needed(&self) -> Option<f64> {
        let mut all = self.sensors.iter().filter_map(|sensor| sensor.needed_dbm);
        let first = all.next()?;
        all.all(|next| next == first).then_some(first)
    }

    /// The ends of the scale, dBm.
    fn levels(&self) -> [f64; 2] {
        let mut ends: Option<[f64; 2]> = None;
        let mut hold = |dbm: f64| {
            let [low, high] = ends.unwrap_or([dbm; 2]);
            ends = Some([low.min(dbm), high.max(dbm)]);
        };
        for sensor in &self.sensors {
            for likely in sensor.before.iter().chain(&sensor.after) {
                // A very wide bar runs out of the chart rather than making it useless.
                hold(likely.level_dbm);
                hold(likely.low_dbm.max(likely.level_dbm - 40.0));
                hold(likely.high_dbm.min(likely.level_dbm + 40.0));
            }
            sensor.needed_dbm.iter().for_each(|&dbm| hold(dbm));
            sensor.readings.iter().flat_map(ReadLevel::levels).for_each(&mut hold);
        }
        let [low, high] = ends.unwrap_or([-110.0, -40.0]);
        [low - 4.0, high + 4.0]
    }

    fn entries(&self) -> Entries {
        let any = |holds: fn(&ComparedSensor) -> bool| self.sensors.iter().any(holds);
        let read = |holds: fn(&ReadLevel) -> bool| {
            self.sensors.iter().any(|sensor| sensor.readings.iter().any(holds))
        };
        let mut entries = Entries::default();
        let text = "forecast before the readings, nine in ten";
        entries.add(any(|sensor| sensor.before.is_some()), text, |pen, [x, y], size| {
            draw_before(pen, [x - 24.0 * size, x, x + 24.0 * size], y, size);
        });
        let text = "forecast after them, nine in ten";
        entries.add(any(|sensor| sensor.after.is_some()), text, |pen, [x, y], size| {
            draw_after(pen, [x - 16.0 * size, x, x + 16.0 * size], y, size);
        });
        let exact = read(|reading| matches!(reading, ReadLevel::At { .. }));
        entries.add(exact, "reading", |pen, [x, y], size| {
            draw_bar(pen, [x - 15.0 * size, x + 15.0 * size], y, size);
            draw_diamond(pen, [x, y], size);
        });
        let many = any(|sensor| sensor.exact().len() > MOST_DIAMONDS);
        entries.add(many, "many readings, and the middle one", |pen, [x, y], size| {
            for off in [-20.0, -13.0, -5.0, 3.0, 9.0, 17.0] {
                draw_tick(pen, [x + off * size, y], size);
            }
            draw_diamond(pen, [x, y], size);
        });
        let between = read(|reading| matches!(reading, ReadLevel::Between { .. }));
        let text = "reading in bars or per cent: somewhere between";
        entries.add(between, text, |pen, [x, y], size| {
            draw_interval(pen, [x - 20.0 * size, x + 20.0 * size], [false; 2], y, size);
        });
        let missed = read(|reading| matches!(reading, ReadLevel::Missed));
        entries.add(missed, "missed check-ins", draw_cross);
        let needed = any(|sensor| sensor.needed_dbm.is_some());
        entries.add(needed, "level needed", |pen, [x, y], size| {
            draw_stroke(pen, x, [y - 11.0 * size, y + 11.0 * size], size);
        });
        let flagged = any(|sensor| !clean(&sensor.flag).is_empty());
        entries.add(flagged, "likeliest cause", draw_flag);
        entries
    }
}

impl ComparedSensor {
    /// What the rows are sorted by: the level over that needed.
    fn standing(&self) -> f64 {
        let forecast = self.after.or(self.before).map(|likely| likely.level_dbm);
        forecast.map_or(f64::INFINITY, |dbm| dbm - self.needed_dbm.unwrap_or(0.0))
    }

    /// The exact levels among the readings, each with its spread, in their order.
    fn exact(&self) -> Vec<(f64, f64)> {
        let exact = self.readings.iter().filter_map(|reading| match reading {
            ReadLevel::At { level_dbm, spread_db } => Some((*level_dbm, *spread_db)),
            _ => None,
        });
        let mut exact: Vec<(f64, f64)> = exact.collect();
        exact.sort_by(|one, other| one.0.total_cmp(&other.0));
        exact
    }

    /// How many readings there are, in words.
    fn count(&self) -> String {
        let missed = |reading: &&ReadLevel| matches!(reading, ReadLevel::Missed);
        let missed = self.readings.iter().filter(missed).count();
        let heard = self.readings.len() - missed;
        let mut words = match (heard, missed) {
            (0, 0) => "not read".to_owned(),
            (0, _) => "never heard".to_owned(),
            (1, _) => "1 reading".to_owned(),
            (heard, _) => format!("{heard} readings"),
        };
        if missed > 0 {
            words += &format!(", {missed} missed");
        }
        if self.after.or(self.before).is_none() {
            words += ", no forecast";
        }
        words
    }
}

/// Where one row goes.
struct Line<'a> {
    middle: f64,
    row: f64,
    size: f64,
    plot: &'a Rect,
    across: &'a Axis,
    edge: f64,
    end: f64,
}

impl Line<'_> {
    fn draw(&self, pen: &mut Canvas, sensor: &ComparedSensor) {
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
        pen.write(&name, [x, middle + lift], kind, INK);

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
            return pen.write(&count, [x, middle + lift], kind, QUIET);
        }
        let (bold, small) = (Type::bold(0.93 * em), Type::regular(0.86 * em));
        let shift = 0.24 * self.row;
        draw_flag(pen, [x + 6.0 * size, middle - shift], size.min(self.row / ROW));
        let flag = bold.fit(&flag, self.end - x - 18.0 * size);
        pen.write(&flag, [x + 18.0 * size, middle - shift + lift], bold, INK);
        let lower = [x + 18.0 * size, middle + shift + lift];
        pen.write(&small.fit(&count, self.end - x - 18.0 * size), lower, small, QUIET);
    }

    fn draw_readings(&self, pen: &mut Canvas, sensor: &ComparedSensor, y: f64) {
        let size = self.size;
        let intervals = sensor.readings.iter().filter_map(|reading| match *reading {
            ReadLevel::Between { low_dbm, high_dbm } => Some([low_dbm, high_dbm]),
            _ => None,
        });
        let mut intervals: Vec<[Option<f64>; 2]> = intervals.collect();
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

fn draw_number(pen: &mut Canvas, tag: &str, at: Point, flagged: bool, line: &Line) {
    let radius = (14.0 * line.size).min(0.46 * line.row);
    let (ground, ink): (Ink, Ink) = if flagged { (INK, PAPER) } else { (PAPER, INK) };
    pen.disc(at, radius, INK);
    pen.disc(at, radius - 1.6 * line.size, ground);
    let kind = Type::bold(0.86 * radius).within(tag, 1.7 * radius);
    pen.text(tag, [at[0], at[1] + kind.lift()], kind, Align::Middle, ink);
}
