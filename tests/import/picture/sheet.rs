//! A floor plan drawn by the test: walls as they are, pixels as a camera would see them, and how
//! much of what is found is there.

use geo::{Coord, Distance as _, Euclidean, Geometry, Line};
use image::{Rgb, RgbImage};
use import::picture::Homography;
use import::{Draft, What};

/// What is left round the house, metres.
const EDGE_M: f64 = 1.0;
/// Outside and inside walls, thick, metres.
const THICK_M: (f64, f64) = (0.3, 0.12);

/// How walls are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Style {
    Solid,
    /// Grey with an outline.
    Grey,
    Hatched,
    /// With two lines.
    Outlined,
    /// Dark, in rooms that have colours.
    Coloured,
}

/// A house of 10 by 8 m on paper.
pub struct Sheet {
    pub to_a_metre: f64,
    /// By how much it is turned against the paper, degrees.
    pub tilt_deg: f64,
    /// Spread of the greys.
    pub noise: f64,
    pub style: Style,
    /// Whether one side is in the shade.
    pub shadow: bool,
}

impl Default for Sheet {
    fn default() -> Self {
        let (to_a_metre, tilt_deg, noise) = (40.0, 0.0, 0.0);
        Self { to_a_metre, tilt_deg, noise, style: Style::Solid, shadow: false }
    }
}

/// A rectangle: left, bottom, right, top, metres.
type Bar = [f64; 4];

/// The openings: doors and windows, by the bars that they take out of a wall.
const DOORS: [Bar; 2] = [[3.94, 2.0, 4.06, 2.9], [5.5, 4.94, 6.4, 5.06]];
const WINDOWS: [Bar; 2] = [[1.2, 0.0, 2.6, 0.3], [6.0, 7.7, 7.5, 8.0]];

fn bars() -> Vec<Bar> {
    let (out, half) = (THICK_M.0, THICK_M.1 / 2.0);
    vec![
        [0.0, 0.0, 10.0, out],
        [0.0, 8.0 - out, 10.0, 8.0],
        [0.0, 0.0, out, 8.0],
        [10.0 - out, 0.0, 10.0, 8.0],
        [4.0 - half, out, 4.0 + half, 8.0 - out],
        [4.0 + half, 5.0 - half, 10.0 - out, 5.0 + half],
    ]
}

fn holds([left, bottom, right, top]: &Bar, [x, y]: [f64; 2], by: f64) -> bool {
    x >= left - by && x <= right + by && y >= bottom - by && y <= top + by
}

impl Sheet {
    /// The middles of its walls, openings included.
    pub fn walls(&self) -> Vec<Line<f64>> {
        let line = |a: [f64; 2], b: [f64; 2]| Line::new(a, b);
        let half = THICK_M.0 / 2.0;
        let (low, high, far) = (half, 8.0 - half, 10.0 - half);
        vec![
            line([low, low], [far, low]),
            line([far, low], [far, high]),
            line([far, high], [low, high]),
            line([low, high], [low, low]),
            line([4.0, low], [4.0, high]),
            line([4.0, 5.0], [far, 5.0]),
        ]
    }

    fn size(&self) -> [f64; 2] {
        [(10.0 + 2.0 * EDGE_M) * self.to_a_metre, (8.0 + 2.0 * EDGE_M) * self.to_a_metre]
    }

    /// Where a place of the house is on the paper.
    pub fn pixel(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = self.tilt_deg.to_radians().sin_cos();
        let (x, y) = (x - 5.0, 4.0 - y);
        let [wide, high] = self.size();
        let size = self.to_a_metre;
        [wide / 2.0 + (x * cos - y * sin) * size, high / 2.0 + (x * sin + y * cos) * size]
    }

    fn place(&self, [column, row]: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = self.tilt_deg.to_radians().sin_cos();
        let [wide, high] = self.size();
        let (x, y) =
            ((column - wide / 2.0) / self.to_a_metre, (row - high / 2.0) / self.to_a_metre);
        [x * cos + y * sin + 5.0, 4.0 - (y * cos - x * sin)]
    }

    /// How dark it is at a place, from paper to ink.
    fn shade(&self, at: [f64; 2]) -> f64 {
        // As wide as a pen's line, and never less than a pixel.
        let thin = (0.5 / self.to_a_metre).max(0.01);
        let near = |value: f64| (at[0] - value).abs() <= thin;
        let level = |value: f64| (at[1] - value).abs() <= thin;
        // Leaves that stand open, from a jamb, and the way of the first one's tip.
        let (x, y) = (at[0] - 3.94, at[1] - 2.0);
        let swing = (x.hypot(y) - 0.84).abs() <= thin && x <= 0.0 && y >= 0.0;
        let leaf = level(2.0) && (3.1..=3.94).contains(&at[0])
            || near(5.5) && (4.1..=4.94).contains(&at[1])
            || swing;
        let pane = WINDOWS.iter().any(|bar| {
            let long = (bar[0]..=bar[2]).contains(&at[0]);
            long && [0.0, 0.1, 0.2, 0.3].iter().any(|off| level(bar[1] + off))
        });
        // A table, a bed, a wardrobe of two halves at a wall, and rows of letters.
        let outline = |bar: Bar| holds(&bar, at, thin) && !holds(&bar, at, -thin);
        let furniture = [[1.0, 4.0, 2.2, 4.8], [7.0, 1.0, 8.6, 3.0], [0.3, 5.4, 0.6, 7.0]];
        let furniture = furniture.into_iter().chain([[0.6, 5.4, 0.9, 7.0]]).any(outline);
        let letters = at[1] > 6.0
            && at[1] < 6.25
            && (6.5..8.5).contains(&at[0])
            && ((at[0] * 20.0) as i64 % 3 == 0);
        // The house is measured below, in two rows.
        let measured = (0.0..=10.0).contains(&at[0]) && (level(-0.4) || level(-0.8));
        let ends = (-0.9..=-0.3).contains(&at[1]) && (near(0.0) || near(4.0) || near(10.0));
        if leaf || pane || letters || furniture || measured || ends {
            return 1.0;
        }
        let open = DOORS.iter().chain(&WINDOWS).any(|bar| holds(bar, at, 1e-6));
        if open || !bars().iter().any(|bar| holds(bar, at, 0.0)) {
            let inside = holds(&[0.0, 0.0, 10.0, 8.0], at, 0.0);
            return if self.style == Style::Coloured && inside { 0.15 } else { 0.0 };
        }
        let inner = bars().iter().any(|bar| holds(bar, at, -2.0 * thin));
        let jamb = DOORS.iter().chain(&WINDOWS).any(|bar| holds(bar, at, 2.0 * thin));
        match self.style {
            Style::Solid => 1.0,
            Style::Coloured => 0.85,
            _ if !inner || jamb => 1.0,
            Style::Grey => 0.4,
            Style::Hatched => f64::from(u8::from((at[0] + at[1]).rem_euclid(0.1) < 1.5 * thin)),
            Style::Outlined => 0.0,
        }
    }

    fn grey(&self, at: [f64; 2], dice: &mut u64) -> u8 {
        // Four looks at each pixel, as a lens would take them.
        let step = 0.25 / self.to_a_metre;
        let looks = [(-step, -step), (step, -step), (-step, step), (step, step)];
        let dark: f64 = looks.iter().map(|(x, y)| self.shade([at[0] + x, at[1] + y])).sum();
        let light = if self.shadow { 235.0 - 9.0 * (at[0] + at[1]).max(0.0) } else { 245.0 };
        let ink = if self.shadow { light * 0.25 } else { 30.0 };
        let share = dark / 4.0;
        // A sum of uniform numbers is nearly normal.
        let mut uniform = || {
            *dice ^= *dice << 13;
            *dice ^= *dice >> 7;
            *dice ^= *dice << 17;
            (*dice % 1_000) as f64 / 1_000.0 - 0.5
        };
        let noise: f64 = (0..12).map(|_| uniform()).sum::<f64>() * self.noise;
        (light * (1.0 - share) + ink * share + noise).clamp(0.0, 255.0) as u8
    }

    pub fn pixels(&self) -> RgbImage {
        let [wide, high] = self.size();
        let mut dice = 0x2545_f491_4f6c_dd1d;
        RgbImage::from_fn(wide as u32, high as u32, |column, row| {
            let place = self.place([f64::from(column) + 0.5, f64::from(row) + 0.5]);
            Rgb([self.grey(place, &mut dice); 3])
        })
    }

    /// The same as a camera sees it that does not look straight at it.
    pub fn askew(&self) -> Askew {
        let [wide, high] = self.size();
        let flat = [[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]];
        let seen = [
            [0.10 * wide, 0.04 * high],
            [0.93 * wide, 0.08 * high],
            [0.99 * wide, 0.97 * high],
            [0.02 * wide, 0.92 * high],
        ];
        let onto = Homography::of(flat, seen).unwrap();
        let back = onto.back().unwrap();
        let mut dice = 0x2545_f491_4f6c_dd1d;
        let pixels = RgbImage::from_fn(wide as u32, high as u32, |column, row| {
            let at = back.put([f64::from(column) + 0.5, f64::from(row) + 0.5]);
            Rgb([at.map_or(255, |at| self.grey(self.place(at), &mut dice)); 3])
        });
        let corners = [[0.0, 0.0], [10.0, 0.0], [10.0, 8.0], [0.0, 8.0]];
        let there = corners.map(|at| onto.put(self.pixel(at)).unwrap());
        Askew { pixels, onto: Homography::of(corners, there).unwrap() }
    }
}

/// A sheet that was taken askew.
pub struct Askew {
    pub pixels: RgbImage,
    onto: Homography,
}

impl Askew {
    /// Where a place of the house is in the picture.
    pub fn pixel(&self, at: [f64; 2]) -> [f64; 2] {
        self.onto.put(at).unwrap()
    }
}

/// How much of the length of walls that were found is there, and how much of what is there was
/// found.
#[derive(Debug)]
pub struct Score {
    pub precision: f64,
    pub recall: f64,
}

impl Score {
    pub fn of(draft: &Draft, walls: &[Line<f64>]) -> Self {
        let found = draft.pieces.iter().filter(|piece| matches!(piece.what, What::Wall { .. }));
        let found: Vec<Line<f64>> = found
            .filter_map(|piece| match piece.shape {
                Geometry::Line(line) => Some(line),
                _ => None,
            })
            .collect();
        Self { precision: share(&found, walls), recall: share(walls, &found) }
    }
}

/// The share of some lines that runs along others, no more than a tenth of a metre beside them.
fn share(lines: &[Line<f64>], others: &[Line<f64>]) -> f64 {
    const STEP_M: f64 = 0.05;
    let (mut all, mut near) = (0.0, 0.0);
    for line in lines {
        let run = line.delta();
        let long = run.x.hypot(run.y);
        let steps = (long / STEP_M).ceil().max(1.0);
        for step in 0..steps as usize {
            let at: Coord<f64> = line.start + run * ((step as f64 + 0.5) / steps);
            let beside = |other: &&Line<f64>| {
                let way = other.delta();
                let turn = (run.x * way.y - run.y * way.x).abs() / (long * way.x.hypot(way.y));
                turn < 0.17 && Euclidean.distance(&geo::Point::from(at), *other) < 0.1
            };
            all += long / steps;
            near += if others.iter().find(beside).is_some() { long / steps } else { 0.0 };
        }
    }
    if all > 0.0 { near / all } else { 0.0 }
}
