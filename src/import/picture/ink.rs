//! What of a page is ink: even light, one threshold, upright.

use super::raster::{Page, Trouble};

/// Half the side of the square in which the paper's light is taken, metres (our own choice: wider
/// than walls are thick).
const LIGHT_M: f64 = 0.75;
/// Least difference between ink and paper, of 255, once the light is even (our own choice).
const LEAST_CONTRAST: f64 = 45.0;
/// The share of what is not paper that is as dark as ink (our own choice).
const DARKEST: f64 = 0.05;
/// Most of a page that is ink (our own choice).
const MOST_INK: f64 = 0.6;
/// Less than this much askew a page is left as it is, degrees.
const LEAST_TURN_DEG: f64 = 0.1;

/// Dark pixels of a page, row by row.
#[derive(Clone)]
pub(super) struct Mask {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) dark: Vec<bool>,
}

/// A page in even light, and what of it is ink.
pub(super) struct Ink {
    grey: Page,
    /// The greys of ink and of paper.
    means: (f64, f64),
}

/// Sums of all values above and left of a place.
struct Sums {
    wide: usize,
    sums: Vec<u32>,
}

impl Sums {
    fn of(columns: usize, rows: usize, value: impl Fn(usize) -> u32) -> Self {
        let wide = columns + 1;
        let mut sums = vec![0_u32; wide * (rows + 1)];
        for row in 0..rows {
            let mut along = 0;
            for column in 0..columns {
                along += value(row * columns + column);
                sums[(row + 1) * wide + column + 1] = sums[row * wide + column + 1] + along;
            }
        }
        Self { wide, sums }
    }

    /// The sum over columns `x0..x1` and rows `y0..y1`.
    fn over(&self, (x0, x1): (usize, usize), (y0, y1): (usize, usize)) -> u32 {
        let at = |x: usize, y: usize| self.sums[y * self.wide + x];
        // Never below zero, though parts of it may be above what fits.
        at(x1, y1).wrapping_sub(at(x0, y1)).wrapping_sub(at(x1, y0)).wrapping_add(at(x0, y0))
    }
}

/// A stretch round a place, within a length.
fn round(at: usize, reach: usize, length: usize) -> (usize, usize) {
    (at.saturating_sub(reach), (at + reach + 1).min(length))
}

impl Mask {
    /// Whether a pixel is dark; none is outside.
    pub(super) fn is(&self, column: usize, row: usize) -> bool {
        column < self.columns && row < self.rows && self.dark[row * self.columns + column]
    }

    /// Makes all of a box dark, or light: left, top, right, bottom.
    pub(super) fn fill(&mut self, [left, top, right, bottom]: [f64; 4], dark: bool) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let within = |at: f64, most: usize| at.round().clamp(0.0, most as f64) as usize;
        let across = within(left, self.columns)..within(right, self.columns);
        for row in within(top, self.rows)..within(bottom, self.rows) {
            self.dark[row * self.columns..][across.clone()].fill(dark);
        }
    }

    /// Pixels whose square of so many has at least one dark pixel, or of which all are.
    fn squared(&self, before: usize, behind: usize, all: bool) -> Self {
        let sums = Sums::of(self.columns, self.rows, |at| u32::from(self.dark[at]));
        let mut dark = Vec::with_capacity(self.dark.len());
        let stretch =
            |at: usize, most: usize| (at.saturating_sub(before), (at + behind + 1).min(most));
        for row in 0..self.rows {
            let down = stretch(row, self.rows);
            for column in 0..self.columns {
                let across = stretch(column, self.columns);
                let area = (across.1 - across.0) * (down.1 - down.0);
                let found = sums.over(across, down);
                dark.push(if all { found as usize == area } else { found > 0 });
            }
        }
        Self { dark, ..*self }
    }

    /// Only what holds a dark square with a side of so many pixels.
    pub(super) fn opened(&self, side: usize) -> Self {
        let (before, behind) = ((side - 1) / 2, side / 2);
        self.squared(before, behind, true).squared(behind, before, false)
    }

    /// Without what holds a dark square with a side of so many pixels.
    pub(super) fn without_wide(mut self, side: usize) -> Self {
        let wide = self.opened(side);
        self.dark.iter_mut().zip(&wide.dark).for_each(|(dark, wide)| *dark &= !wide);
        self
    }

    /// With all pixels that are so near a dark one.
    pub(super) fn widened(&self, by: usize) -> Self {
        self.squared(by, by, false)
    }
}

impl Ink {
    /// Tells ink from paper; `to_a_metre`: pixels to a metre.
    pub(super) fn of(page: &Page, to_a_metre: f64) -> Result<Self, Trouble> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
        let reach = (LIGHT_M * to_a_metre).clamp(8.0, 400.0) as usize;
        let grey = evened(page, reach);
        let mut counts = [0_u32; 256];
        grey.iter().for_each(|grey| counts[usize::from(*grey)] += 1);
        let (means, share) = parted(&counts);
        if means.1 - means.0 < LEAST_CONTRAST || share > MOST_INK {
            let what = "in the picture ink cannot be told from paper".to_owned();
            return Err((what, "take it again in even light, with dark lines on light paper"));
        }
        // Most pixels of thin lines are ink in part only: ink itself is the darkest of them.
        let all: f64 = counts.iter().map(|count| f64::from(*count)).sum();
        let mut left = all * share * DARKEST;
        let is_ink = |count: &u32| {
            left -= f64::from(*count);
            left < 0.0
        };
        let ink = counts.iter().position(is_ink).unwrap_or(0) as f64;
        Ok(Self { grey: Page { grey, ..*page }, means: (ink.min(means.0), means.1) })
    }

    pub(super) fn rows(&self) -> usize {
        self.grey.rows
    }

    /// What is dark: at most that share of the way from ink to paper.
    pub(super) fn mask(&self, share: f64) -> Mask {
        let Page { columns, rows, ref grey } = self.grey;
        let most = self.means.0 + (self.means.1 - self.means.0) * share;
        Mask { columns, rows, dark: grey.iter().map(|grey| f64::from(*grey) <= most).collect() }
    }

    /// What may be level lines, and what upright ones: what is dark, without what has something
    /// darker on both sides across, so near, which is the paper between two lines hardly apart.
    pub(super) fn ridges(&self, share: f64, near: usize) -> [Mask; 2] {
        /// So much of the way from ink to paper darker (our own choice: more than noise).
        const DARKER: f64 = 0.12;
        let mask = self.mask(share);
        let Page { columns, rows, ref grey } = self.grey;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
        let by = ((self.means.1 - self.means.0) * DARKER).clamp(1.0, 255.0) as u8;
        // The step from a pixel to the next, and how many there are before it and behind.
        let without = |across: &dyn Fn(usize, usize) -> (usize, usize, usize)| {
            let mut ridges = mask.clone();
            for row in 0..rows {
                for column in 0..columns {
                    let at = row * columns + column;
                    if !mask.dark[at] {
                        continue;
                    }
                    let most = grey[at].saturating_sub(by);
                    let (step, before, behind) = across(column, row);
                    ridges.dark[at] = !((1..=near.min(before))
                        .any(|off| grey[at - off * step] < most)
                        && (1..=near.min(behind)).any(|off| grey[at + off * step] < most));
                }
            }
            ridges
        };
        [
            without(&|_, row| (columns, row, rows - 1 - row)),
            without(&|column, _| (1, column, columns - 1 - column)),
        ]
    }

    /// The page turned so that most lines run level and upright, and what puts its pixels there.
    pub(super) fn upright(self) -> (Self, [f64; 6]) {
        let angle = askew(&self.grey);
        if angle.abs() < LEAST_TURN_DEG.to_radians() {
            return (self, [1.0, 0.0, 0.0, 0.0, 1.0, 0.0]);
        }
        let (sin, cos) = angle.sin_cos();
        let (wide, high) = (self.grey.columns as f64, self.grey.rows as f64);
        // Its corners lie so far left and above.
        let left = (wide * cos).min(0.0) + (high * sin).min(0.0);
        let above = (-wide * sin).min(0.0) + (high * cos).min(0.0);
        let size = |a: f64, b: f64| (a.abs() + b.abs()).ceil().clamp(1.0, 60_000.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 60000")]
        let whole = |length: f64| length as usize;
        let columns = whole(size(wide * cos, high * sin));
        let rows = whole(size(wide * sin, high * cos));
        let mut grey = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let (x, y) = (column as f64 + 0.5 + left, row as f64 + 0.5 + above);
                grey.push(self.grey.between(x * cos - y * sin, x * sin + y * cos));
            }
        }
        let page = Page { columns, rows, grey };
        let turned = [cos, sin, -left, -sin, cos, -above];
        (Self { grey: page, means: self.means }, turned)
    }
}

impl Page {
    /// The grey at a place between pixels; white outside.
    fn between(&self, x: f64, y: f64) -> u8 {
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let pixel = |x: f64, y: f64| {
            let inside = x >= 0.0 && y >= 0.0 && x < self.columns as f64 && y < self.rows as f64;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside")]
            let known = inside.then(|| self.grey[y as usize * self.columns + x as usize]);
            f64::from(known.unwrap_or(u8::MAX))
        };
        let (u, v) = (x - left, y - top);
        let above = pixel(left, top) * (1.0 - u) + pixel(left + 1.0, top) * u;
        let below = pixel(left, top + 1.0) * (1.0 - u) + pixel(left + 1.0, top + 1.0) * u;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
        let mixed = (above * (1.0 - v) + below * v).round() as u8;
        mixed
    }
}

/// The greys as shares of the paper's own light round each pixel: the mean of what is lighter there
/// than the mean.
fn evened(page: &Page, reach: usize) -> Vec<u8> {
    let Page { columns, rows, ref grey } = *page;
    let means = |value: &dyn Fn(usize) -> u32, weight: &dyn Fn(usize) -> u32| {
        let (sums, weights) = (Sums::of(columns, rows, value), Sums::of(columns, rows, weight));
        let mut means = Vec::with_capacity(grey.len());
        for row in 0..rows {
            let down = round(row, reach, rows);
            for column in 0..columns {
                let across = round(column, reach, columns);
                let weight = weights.over(across, down).max(1);
                means.push(u8::try_from(sums.over(across, down) / weight).unwrap_or(u8::MAX));
            }
        }
        means
    };
    let all = means(&|at| u32::from(grey[at]), &|_| 1);
    let is_paper = |at: usize| grey[at] >= all[at];
    let value = |at: usize| if is_paper(at) { u32::from(grey[at]) } else { 0 };
    let paper = means(&value, &|at| u32::from(is_paper(at)));
    let share = |(grey, paper): (&u8, &u8)| {
        let share = u32::from(*grey) * 255 / u32::from(*paper).max(1);
        u8::try_from(share).unwrap_or(u8::MAX)
    };
    grey.iter().zip(&paper).map(share).collect()
}

/// The means of the two classes of greys that differ most, ink and paper, by the method of Otsu
/// (1979); and what share is ink.
fn parted(counts: &[u32; 256]) -> ((f64, f64), f64) {
    let all: f64 = counts.iter().map(|count| f64::from(*count)).sum();
    let weighted = |(grey, count): (usize, &u32)| grey as f64 * f64::from(*count);
    let sum: f64 = counts.iter().enumerate().map(weighted).sum();
    let (mut ink, mut ink_sum) = (0.0, 0.0);
    let mut best = (0.0, ((0.0, 0.0), 1.0));
    for (grey, count) in (0_u8..=254).zip(counts) {
        ink += f64::from(*count);
        ink_sum += f64::from(grey) * f64::from(*count);
        let paper = all - ink;
        if ink == 0.0 || paper == 0.0 {
            continue;
        }
        let means = (ink_sum / ink, (sum - ink_sum) / paper);
        let between = ink * paper * (means.1 - means.0).powi(2);
        if between > best.0 {
            best = (between, (means, ink / all));
        }
    }
    best.1
}

/// By what angle most edges of a page are off from level and upright, within an eighth of a turn:
/// that at which they fall into the fewest rows and columns.
fn askew(page: &Page) -> f64 {
    const STRONG: i32 = 60;
    /// Most edges that are looked at.
    const MOST: usize = 30_000;
    /// Steps of the first look and of the second, degrees.
    const STEPS_DEG: (f64, f64) = (0.25, 0.025);
    let mut edges: Vec<(f64, f64)> = Vec::new();
    for row in 1..page.rows.saturating_sub(1) {
        for column in 1..page.columns.saturating_sub(1) {
            let at = |x: usize, y: usize| i32::from(page.grey[y * page.columns + x]);
            let across = at(column + 1, row) - at(column - 1, row);
            let down = at(column, row + 1) - at(column, row - 1);
            if across.abs().max(down.abs()) >= STRONG {
                edges.push((column as f64, row as f64));
            }
        }
    }
    let every = edges.len().div_ceil(MOST).max(1);
    let edges: Vec<(f64, f64)> = edges.into_iter().step_by(every).collect();
    let far = (page.columns as f64).hypot(page.rows as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the page")]
    let gathered = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let mut counts = vec![0_u32; (4.0 * far) as usize + 4];
        let across = (2.0 * far) as usize + 2;
        for (x, y) in &edges {
            counts[((y * cos - x * sin + far) as usize).min(across - 1)] += 1;
            counts[across + ((x * cos + y * sin + far) as usize).min(across - 1)] += 1;
        }
        counts.iter().map(|count| u64::from(*count).pow(2)).sum::<u64>()
    };
    let best = |from: f64, to: f64, step: f64| {
        let steps = ((to - from) / step).round().max(0.0);
        #[expect(clippy::cast_possible_truncation, reason = "some hundreds")]
        let angles = (0..=steps as i32).map(|number| from + f64::from(number) * step);
        // Of angles that are as good, the least.
        let scored = angles.map(|angle| (gathered(angle), angle));
        let better =
            |a: &(u64, f64), b: &(u64, f64)| a.0.cmp(&b.0).then(b.1.abs().total_cmp(&a.1.abs()));
        scored.max_by(better).map_or(0.0, |(_, angle)| angle)
    };
    let about = best(-45.0, 45.0, STEPS_DEG.0);
    best(about - STEPS_DEG.0, about + STEPS_DEG.0, STEPS_DEG.1).to_radians()
}
