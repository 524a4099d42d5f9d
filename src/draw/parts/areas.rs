//! Hatching, and the polygons that are hatched or outlined: obstacles and roam areas.

use crate::base::{Canvas, INK, Ink, PAPER, Point, View, hatch};
use crate::picture::Picture;

const OBSTACLE: Ink = Ink { rgb: [205, 205, 210], alpha: 1.0 };

/// How the region in which a sensor would be failing is hatched.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hatching {
    /// Between the lines, pixels at size 1.
    pub spacing: f64,
    /// Width of the lines, pixels at size 1.
    pub width: f64,
    pub ink: Ink,
}

impl Hatching {
    /// The hatching of a picture: lighter on a map of spots, most of which may be hatched.
    pub fn of(picture: &Picture) -> Self {
        if picture.sites() {
            Self { spacing: 18.0, width: 1.3, ink: PAPER.at(0.5) }
        } else {
            Self { spacing: 11.0, width: 1.5, ink: PAPER.at(0.75) }
        }
    }

    /// Hatches the inside of rings.
    pub fn draw(&self, canvas: &mut Canvas, rings: &[Vec<Point>], size: f64) {
        for line in hatch(rings, self.spacing * size, true) {
            canvas.line(&line, self.width * size, self.ink);
        }
    }
}

pub(crate) fn draw_obstacle(canvas: &mut Canvas, corners: &[Point], size: f64) {
    canvas.rimmed_polygon(corners, 4.0 * size, OBSTACLE);
    let rings = [corners.to_vec()];
    for falling in [true, false] {
        for line in hatch(&rings, 8.0 * size, falling) {
            canvas.line(&line, size, INK.at(0.45));
        }
    }
    canvas.outline(corners, 1.5 * size, INK);
}

pub(crate) fn draw_roam(canvas: &mut Canvas, corners: &[Point], size: f64) {
    let closed: Vec<Point> = corners.iter().chain(corners.first()).copied().collect();
    canvas.line(&closed, 4.5 * size, PAPER);
    canvas.dashed(&closed, &[3.0 * size, 5.0 * size], 2.5 * size, INK);
}

pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, view: &View) {
    type Draw = fn(&mut Canvas, &[Point], f64);
    let kinds: [(_, Draw); 2] = [(&picture.roams, draw_roam), (&picture.obstacles, draw_obstacle)];
    for (areas, draw) in kinds {
        for area in areas.iter().filter(|area| area.outline.len() > 2) {
            draw(canvas, &view.places(&area.outline), view.size);
        }
    }
}
