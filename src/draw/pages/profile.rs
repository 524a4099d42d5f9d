//! The level along the direct path from the listener to a sensor, as a chart.

use crate::base::{
    Canvas, DIRECT, DrawError, FRAME, INK, PAPER, Point, Rect, Type, clean, level_line,
};
use crate::output::Drawing;
use crate::parts::axis::{Axis, dbm, draw_grid, figure};
use crate::parts::decibels::level;
use crate::parts::sketch::{Entries, Sketch};
use crate::picture::{Size, check};
use units::Lengths;

/// A level with the interval in which it lies in nine cases of ten.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Likely {
    /// The level to be expected, dBm.
    pub level_dbm: f64,
    /// Lower end of the interval, dBm.
    pub low_dbm: f64,
    /// Upper end of the interval, dBm.
    pub high_dbm: f64,
}

impl Likely {
    /// Checks that all three are numbers that a level may have.
    pub(crate) fn check(&self, what: &'static str) -> Result<(), DrawError> {
        [self.level_dbm, self.low_dbm, self.high_dbm]
            .into_iter()
            .try_for_each(|level| check_level(what, level))
    }
}

/// Checks that a level lies within 1000 dBm of 0, which keeps sums in range.
pub(crate) fn check_level(what: &'static str, level_dbm: f64) -> Result<(), DrawError> {
    check(what, level_dbm, -1000.0..=1000.0)
}

/// Level against distance, before it is laid out. Whatever is left empty is left out.
///
/// The two curves run over the same places, from a little way off the listener up to the sensor; a
/// few hundred places show the nulls. `sensor` is what the ledger of the link says, not the end of
/// a curve: the two may differ by what the mount and the antenna lose.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Profile {
    /// Title: the sensor's number and name.
    pub title: String,
    /// Second line: the link, and from where to where.
    pub subtitle: String,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// The caution at the foot of the chart.
    pub caution: String,
    /// Distance in metres, 0 or more, and level of all paths together in dBm, in the order of
    /// distance. NaN for a level leaves a gap; infinities, as in a perfect null, lie at the edge of
    /// the chart.
    pub together: Vec<[f64; 2]>,
    /// The same for the direct path alone.
    pub direct: Vec<[f64; 2]>,
    /// Walls that the direct path goes through, from the listener to the sensor.
    pub walls: Vec<ProfileWall>,
    /// The level that the listener needs, dBm.
    pub needed_dbm: Option<f64>,
    /// The sensor, where the curves end.
    pub sensor: Option<ProfileSensor>,
    /// Unit of the distance.
    pub length_unit: Lengths,
}

/// A wall on a profile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ProfileWall {
    /// Distance of the middle of the crossing from the listener, metres.
    pub distance_m: f64,
    /// Length of the way through it, metres; drawn at least a few pixels wide.
    pub thickness_m: f64,
    /// What is lost in it, dB: written with a minus.
    pub loss_db: f64,
    /// Its construction.
    pub label: String,
}

/// The sensor at the end of a profile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ProfileSensor {
    /// Distance from the listener, metres.
    pub distance_m: f64,
    /// Forecast of the level received from it.
    pub level: Likely,
    /// Its number or name.
    pub label: String,
}

/// Height of a lane of labels, pixels at size 1.
const LANE: f64 = 21.0;

/// How far below all that matters the chart goes at the most, dB: nulls deeper than this are cut.
const DEPTH_DB: f64 = 20.0;

/// A chart of walls' labels in more lanes than this has numbers instead, and a list.
const MOST_LANES: usize = 6;

/// Title of the scale of levels.
const LEVELS: &str = "Level, dBm";

impl Profile {
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

        // The title of the scale of levels stands beside the plot, where no wall's label begins.
        let x0 = sketch.edge + 102.0 * size;
        let x1 = sketch.width - sketch.edge - 240.0 * size;
        let kind = format!("Distance from the listener, {}", self.length_unit.sign());
        let inside = [x0, x1 - 12.0 * size];
        let across = Axis::between([0.0, self.farthest()], inside, kind, 90.0 * size);
        let lanes = self.lanes(&across, sketch.width - sketch.edge, size);
        let names = lanes.iter().all(|(lane, _)| *lane < MOST_LANES);
        let lanes = if names { lanes } else { self.numbers(&across, size) };
        let high = lanes.iter().map(|(lane, _)| lane + 1).max().unwrap_or(0);
        let top = y + (44.0 + LANE * high as f64) * size;
        let end = (top + 0.46 * (x1 - x0).max(420.0 * size)).round();
        let plot = Rect { x0, y0: top.round(), x1, y1: end };
        let title = LEVELS.to_owned();
        let pixels = [plot.y1 - 6.0 * size, plot.y0 + 6.0 * size];
        let up = Axis::between(self.levels(), pixels, title, 55.0 * size);

        let pen = &mut sketch.pen;
        self.draw_walls(pen, &plot, &across, size);
        draw_grid(pen, &plot, [&across, &up], size);
        self.draw_labels(pen, &lanes, &plot, &across, size);
        if let Some(needed) = self.needed_dbm {
            let y = up.place(needed);
            draw_needed(pen, &[[plot.x0, y], [plot.x1, y]], size);
        }
        for (curve, direct) in [(&self.direct, true), (&self.together, false)] {
            for piece in pieces(curve) {
                let unit = |metres: f64| across.place(metres / self.length_unit.metres());
                let place = |&[metres, dbm]: &[f64; 2]| [unit(metres), up.place(dbm)];
                let points: Vec<Point> = piece.iter().map(place).collect();
                draw_curve(pen, &points, direct, size);
            }
        }
        pen.outline(&plot.corners(), 1.3 * size, INK);
        if let Some(sensor) = &self.sensor {
            let x = across.place(sensor.distance_m / self.length_unit.metres());
            let Likely { level_dbm, low_dbm, high_dbm } = sensor.level;
            let [at, low, high] = [level_dbm, low_dbm, high_dbm].map(|dbm| up.place(dbm));
            draw_sensor(pen, x, [at, low, high], size);
        }
        self.draw_beside(pen, &plot, &up, size);
        let mut y = plot.y1 + 62.0 * size;
        if !names {
            y = self.draw_list(&mut sketch, y);
        }
        Ok(sketch.close(&self.caution, y))
    }

    fn check(&self) -> Result<(), DrawError> {
        let distance = |what: &'static str, metres: f64| check(what, metres, 0.0..=1e6);
        for &[metres, dbm] in self.together.iter().chain(&self.direct) {
            distance("a distance on a profile", metres)?;
            if dbm.is_finite() {
                check_level("a level on a profile", dbm)?;
            }
        }
        for wall in &self.walls {
            distance("a wall's distance", wall.distance_m)?;
            check("a wall's thickness", wall.thickness_m, 0.0..=1e4)?;
            check("a wall's loss", wall.loss_db, -1e4..=1e4)?;
        }
        self.needed_dbm.map_or(Ok(()), |needed| check_level("the level needed", needed))?;
        if let Some(sensor) = &self.sensor {
            distance("a sensor's distance", sensor.distance_m)?;
            sensor.level.check("a sensor's level")?;
        }
        Ok(())
    }

    /// The end of the lower scale, in its unit.
    fn farthest(&self) -> f64 {
        let curves = self.together.iter().chain(&self.direct);
        let curves = curves.map(|[metres, _]| *metres);
        let walls = self.walls.iter();
        let walls = walls.map(|wall| wall.distance_m + wall.thickness_m / 2.0);
        let sensor = self.sensor.iter().map(|sensor| sensor.distance_m);
        let most = curves.chain(walls).chain(sensor).fold(0.0, f64::max);
        (most / self.length_unit.metres()).max(1e-3)
    }

    /// The ends of the scale of levels, dBm.
    fn levels(&self) -> [f64; 2] {
        let mut firm: Vec<f64> = self.needed_dbm.into_iter().collect();
        if let Some(ProfileSensor { level, .. }) = &self.sensor {
            firm.extend([level.low_dbm, level.high_dbm, level.level_dbm]);
        }
        let finite = |curve: &[[f64; 2]]| -> Vec<f64> {
            let levels = curve.iter().map(|[_, dbm]| *dbm);
            levels.filter(|dbm| dbm.is_finite()).collect()
        };
        let (together, direct) = (finite(&self.together), finite(&self.direct));
        firm.extend(&direct);
        if firm.is_empty() {
            firm.extend(&together);
        }
        let least = |values: &[f64]| values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = |values: &[f64]| values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let low = least(&together).min(least(&firm)).max(least(&firm) - DEPTH_DB);
        let high = most(&together).max(most(&firm));
        if low.is_finite() && high.is_finite() { [low - 3.0, high + 3.0] } else { [-100.0, -40.0] }
    }

    fn entries(&self) -> Entries {
        let mut entries = Entries::default();
        entries.add(!self.together.is_empty(), "all paths together", |pen, at, size| {
            draw_curve(pen, &level_line(at, 24.0 * size), false, size);
        });
        entries.add(!self.direct.is_empty(), "direct path alone", |pen, at, size| {
            draw_curve(pen, &level_line(at, 24.0 * size), true, size);
        });
        let text = "wall on the direct path, with its loss";
        entries.add(!self.walls.is_empty(), text, |pen, at, size| {
            draw_wall(pen, Rect::around(at, 9.0 * size, 20.0 * size), size);
        });
        entries.add(self.needed_dbm.is_some(), "level needed", |pen, at, size| {
            draw_needed(pen, &level_line(at, 24.0 * size), size);
        });
        let text = "the sensor's forecast, nine cases in ten";
        entries.add(self.sensor.is_some(), text, |pen, [x, y], size| {
            draw_sensor(pen, x, [y, y + 11.0 * size, y - 11.0 * size], size);
        });
        entries
    }

    fn wall_at(&self, wall: &ProfileWall, across: &Axis) -> f64 {
        across.place(wall.distance_m / self.length_unit.metres())
    }

    /// For each wall the lane of its label, counted from the plot upwards, and the label, which
    /// begins at the wall and ends before `end`. A label stands above all those of walls that it
    /// passes over.
    fn lanes(&self, across: &Axis, end: f64, size: f64) -> Vec<(usize, String)> {
        let kind = label_kind(size);
        let words = self.walls.iter().map(|wall| {
            let text = format!("{} {}", level(-wall.loss_db), clean(&wall.label));
            let room = (end - self.wall_at(wall, across)).min(380.0 * size);
            kind.fit(text.trim_end(), room - 10.0 * size)
        });
        self.stacked(words.collect(), across, size)
    }

    /// The same with the walls' numbers alone.
    fn numbers(&self, across: &Axis, size: f64) -> Vec<(usize, String)> {
        let words = (1..=self.walls.len()).map(|number| number.to_string());
        self.stacked(words.collect(), across, size)
    }

    fn stacked(&self, words: Vec<String>, across: &Axis, size: f64) -> Vec<(usize, String)> {
        let kind = label_kind(size);
        let title_end = (24.0 + 10.0) * size + Type::bold(15.0 * size).width(LEVELS);
        let spans: Vec<[f64; 2]> = self
            .walls
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

    fn draw_walls(&self, pen: &mut Canvas, plot: &Rect, across: &Axis, size: f64) {
        let [from, to] = across.range;
        let scale = (across.pixels[1] - across.pixels[0]) / (to - from);
        for wall in &self.walls {
            let thick = (wall.thickness_m / self.length_unit.metres() * scale).max(4.0 * size);
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

    fn draw_labels(
        &self,
        pen: &mut Canvas,
        lanes: &[(usize, String)],
        plot: &Rect,
        across: &Axis,
        size: f64,
    ) {
        for (wall, (lane, text)) in self.walls.iter().zip(lanes) {
            let x = self.wall_at(wall, across);
            let top = plot.y0 - (LANE * (*lane as f64 + 1.0) + 4.0) * size;
            pen.line(&[[x, top + 3.0 * size], [x, plot.y0]], 1.2 * size, INK);
            pen.write(text, [x + 5.0 * size, top + 15.0 * size], label_kind(size), INK);
        }
    }

    /// The words at the right of the plot, moved up and down so that they do not meet.
    fn draw_beside(&self, pen: &mut Canvas, plot: &Rect, up: &Axis, size: f64) {
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
                pen.write(text, [plot.x1 + 14.0 * size, middle + kind.lift()], *kind, INK);
            }
        }
    }

    /// The walls by their numbers, under the plot; returns where the list ends.
    fn draw_list(&self, sketch: &mut Sketch, y: f64) -> f64 {
        let (size, edge) = (sketch.size, sketch.edge);
        let room = sketch.width - 2.0 * edge;
        let columns = ((room / (340.0 * size)) as usize).max(1);
        let rows = self.walls.len().div_ceil(columns).max(1);
        let across = room / columns as f64;
        let (bold, kind) = (Type::bold(15.0 * size), Type::regular(14.0 * size));
        sketch.pen.write("Walls on the direct path", [edge, y + 18.0 * size], bold, INK);
        for (place, wall) in self.walls.iter().enumerate() {
            let text = format!("{}: {} {}", place + 1, level(-wall.loss_db), clean(&wall.label));
            let text = kind.fit(text.trim_end(), across - 16.0 * size);
            let at = [
                edge + across * (place / rows) as f64,
                y + (42.0 + LANE * (place % rows) as f64) * size,
            ];
            sketch.pen.write(&text, at, kind, INK);
        }
        y + (36.0 + LANE * rows as f64) * size
    }
}

fn label_kind(size: f64) -> Type {
    Type::regular(13.5 * size)
}

/// The pieces of a curve between its gaps.
fn pieces(curve: &[[f64; 2]]) -> impl Iterator<Item = &[[f64; 2]]> {
    curve.split(|[_, dbm]| dbm.is_nan())
}

fn draw_curve(pen: &mut Canvas, points: &[Point], direct: bool, size: f64) {
    pen.line(points, 4.5 * size, PAPER.at(0.8));
    if direct {
        pen.dashed(points, &[10.0 * size, 5.0 * size], 2.6 * size, DIRECT);
    } else {
        pen.line(points, 2.4 * size, INK);
    }
}

fn draw_wall(pen: &mut Canvas, bar: Rect, size: f64) {
    pen.rectangle(bar, FRAME.at(0.55));
    for x in [bar.x0, bar.x1] {
        pen.line(&[[x, bar.y0], [x, bar.y1]], size, INK);
    }
}

/// The line at the level needed: heavy, with dots over it.
fn draw_needed(pen: &mut Canvas, line: &[Point], size: f64) {
    pen.line(line, 6.0 * size, PAPER.at(0.85));
    pen.dashed(line, &[2.5, 3.5].map(|run| run * size), 3.2 * size, INK);
}

/// The sensor's mark with its bar; `levels` are the pixels of its level and of the ends of the bar.
fn draw_sensor(pen: &mut Canvas, x: f64, [at, low, high]: [f64; 3], size: f64) {
    pen.line(&[[x, low], [x, high]], 6.0 * size, PAPER);
    pen.line(&[[x, low], [x, high]], 2.6 * size, INK);
    for end in [low, high] {
        let cap = [[x - 6.0 * size, end], [x + 6.0 * size, end]];
        pen.line(&cap, 2.6 * size, INK);
    }
    pen.disc([x, at], 7.5 * size, INK);
    pen.disc([x, at], 5.0 * size, PAPER);
}
