//! Scales of charts: numbers to pixels, ticks, the ground lines, and how numbers are written.

use crate::base::{Align, Canvas, FRAME, INK, Rect, Type};

/// Least chance that the chart tells from 0.
const LEAST_CHANCE: f64 = 1e-4;

/// A scale along one side of the plot; by default nothing is written and ruled along it.
#[derive(Debug, Default)]
pub(crate) struct Axis {
    /// Value at the start and at the end, as laid off (a chance: its decimal logarithm).
    pub range: [f64; 2],
    /// Pixels of the start and of the end.
    pub pixels: [f64; 2],
    /// Pixel and caption of each tick.
    pub ticks: Vec<(f64, String)>,
    /// Pixels of further lines without a caption.
    pub between: Vec<f64>,
    pub title: String,
}

impl Axis {
    /// Pixel of a value as laid off; values beyond the ends are put at the end.
    pub fn place(&self, value: f64) -> f64 {
        let [from, to] = self.range;
        let share = ((value - from) / (to - from)).clamp(0.0, 1.0);
        self.pixels[0] + (self.pixels[1] - self.pixels[0]) * share
    }

    /// The scale from 0 to a little more than `most`, with round ticks about `room` pixels apart.
    pub fn linear(most: f64, pixels: [f64; 2], title: String, room: f64) -> Self {
        let most = if most > 0.0 { 1.04 * most } else { 1.0 };
        Self::between([0.0, most], pixels, title, room)
    }

    /// The scale between two values, widened if equal, with round ticks about `room` pixels apart.
    pub fn between(range: [f64; 2], pixels: [f64; 2], title: String, room: f64) -> Self {
        let [least, most] = range;
        let most = if most - least > 1e-9 { most } else { least + 1.0 };
        let count = ((pixels[1] - pixels[0]).abs() / room).clamp(2.0, 12.0);
        let step = round_step((most - least) / count);
        let mut axis = Self { range: [least, most], pixels, title, ..Self::default() };
        let digits = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        let first = (least / step - 1e-9).ceil();
        let count = (most / step - first + 1e-9).floor().clamp(0.0, 60.0) as u32;
        axis.ticks = (0..=count)
            .map(|tick| (first + f64::from(tick)) * step)
            .map(|value| (axis.place(value), figure(value, digits)))
            .collect();
        axis
    }

    /// The scale of chances: whole decades up to 1, from the least given or [`LEAST_CHANCE`] on.
    pub fn chances(least: f64, pixels: [f64; 2], title: String) -> Self {
        let low = least.max(LEAST_CHANCE).log10().floor().min(-1.0);
        let mut axis = Self { range: [low, 0.0], pixels, title, ..Self::default() };
        let decades = (-low).round() as i32;
        axis.ticks = (0..=decades)
            .map(|decade| {
                let chance = 10_f64.powi(-decade);
                let caption = if decade == decades && least < chance {
                    format!("≤ {}", percent(chance))
                } else {
                    percent(chance)
                };
                (axis.place(-f64::from(decade)), caption)
            })
            .collect();
        axis.between = (1..=decades)
            .flat_map(|decade| (2..10).map(move |digit| f64::from(digit) * 10_f64.powi(-decade)))
            .map(|chance| axis.place(chance.log10()))
            .collect();
        axis
    }

    pub fn chance(&self, chance: f64) -> f64 {
        self.place(chance.max(LEAST_CHANCE / 10.0).log10())
    }
}

/// A number with so many digits after the point, a true minus, and no negative zero.
pub(crate) fn figure(value: f64, digits: usize) -> String {
    let text = format!("{:.digits$}", value.abs());
    let zero = text.chars().all(|letter| matches!(letter, '0' | '.'));
    if value < 0.0 && !zero { format!("−{text}") } else { text }
}

/// A level as it is written on charts.
pub(crate) fn dbm(level_dbm: f64) -> String {
    format!("{} dBm", figure(level_dbm, 1))
}

/// The least of 1, 2 and 5 times a power of ten that is not below `step`.
fn round_step(step: f64) -> f64 {
    let decade = 10_f64.powf(step.log10().floor());
    [1.0, 2.0, 5.0]
        .into_iter()
        .map(|digit| digit * decade)
        .find(|round| *round >= step * (1.0 - 1e-9))
        .unwrap_or(10.0 * decade)
}

/// A chance as a percentage, with two figures.
pub(crate) fn percent(chance: f64) -> String {
    let value = 100.0 * chance;
    if value <= 0.0 {
        return "0 %".to_owned();
    }
    if value < 0.01 * (1.0 - 1e-9) {
        return "< 0.01 %".to_owned();
    }
    let digits = (1.0 - value.log10().floor()).clamp(0.0, 3.0) as usize;
    let text = format!("{value:.digits$}");
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    // Never written as certain when it is not.
    if text == "100" && chance < 1.0 {
        return "> 99 %".to_owned();
    }
    format!("{text} %")
}

/// Ground lines, ticks and the axes' words.
pub(crate) fn draw_grid(canvas: &mut Canvas, plot: &Rect, [across, up]: [&Axis; 2], size: f64) {
    let small = Type::regular(14.0 * size);
    let lift = small.lift();
    for &y in &up.between {
        canvas.line(&[[plot.x0, y], [plot.x1, y]], size, FRAME.at(0.25));
    }
    for (y, caption) in &up.ticks {
        canvas.line(&[[plot.x0, *y], [plot.x1, *y]], size, FRAME.at(0.8));
        canvas.line(&[[plot.x0 - 6.0 * size, *y], [plot.x0, *y]], 1.3 * size, INK);
        canvas.text(caption, [plot.x0 - 11.0 * size, y + lift], small, Align::Right, INK);
    }
    for (x, caption) in &across.ticks {
        canvas.line(&[[*x, plot.y0], [*x, plot.y1]], size, FRAME.at(0.5));
        canvas.line(&[[*x, plot.y1], [*x, plot.y1 + 6.0 * size]], 1.3 * size, INK);
        canvas.text(caption, [*x, plot.y1 + 23.0 * size], small, Align::Middle, INK);
    }
    let bold = Type::bold(15.0 * size);
    let at = [(plot.x0 + plot.x1) / 2.0, plot.y1 + 48.0 * size];
    canvas.text(&bold.fit(&across.title, plot.width()), at, bold, Align::Middle, INK);
    // Above the axis and level, so that it is read without turning the head.
    canvas.write(&up.title, [24.0 * size, plot.y0 - 13.0 * size], bold, INK);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_are_written_as_percentages() {
        let written = [1.0, 0.9999, 0.123, 0.05, 0.01, 0.001_23, 1e-4, 1e-5, 0.0].map(percent);
        let expected =
            ["100 %", "> 99 %", "12 %", "5 %", "1 %", "0.12 %", "0.01 %", "< 0.01 %", "0 %"];
        assert_eq!(written, expected.map(str::to_owned));
    }

    #[test]
    fn ticks_are_round_and_within_the_scale() {
        for most in [0.0, 1e-3, 0.7, 14.2, 60.0, 1e5] {
            let axis = Axis::linear(most, [100.0, 900.0], String::new(), 90.0);
            assert!((3..=13).contains(&axis.ticks.len()), "{most}: {axis:?}");
            assert!(axis.ticks.iter().all(|(x, _)| (100.0..=900.0).contains(x)));
            let texts: Vec<&String> = axis.ticks.iter().map(|(_, text)| text).collect();
            assert!(texts.windows(2).all(|pair| pair[0] != pair[1]), "{texts:?}");
        }
        let axis = Axis::chances(0.003, [600.0, 0.0], String::new());
        let texts: Vec<&str> = axis.ticks.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(texts, ["100 %", "10 %", "1 %", "0.1 %"]);
        assert_eq!(axis.chance(1.0), 0.0);
        assert!((axis.chance(0.01) - 400.0).abs() < 1e-9);
        let low = Axis::chances(0.0, [600.0, 0.0], String::new());
        assert_eq!(low.ticks.last().map(|tick| tick.1.as_str()), Some("≤ 0.01 %"));
    }
}
