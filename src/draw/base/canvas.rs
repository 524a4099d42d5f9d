//! The list of what is drawn, in pixels of the picture. It is drawn once and then turned into
//! either kind of file.

use crate::base::font::{Align, Type};
use crate::base::geometry::{Point, Rect, between, distance};
use crate::base::ink::{Ink, PAPER};

/// One thing that is drawn.
#[derive(Debug, Clone)]
pub(crate) enum Shape {
    /// A filled polygon.
    Fill(Vec<Point>, Ink),
    /// A filled disc: its middle and radius.
    Disc(Point, f64, Ink),
    /// A line through points, of a width.
    Line(Vec<Point>, f64, Ink),
    /// A text on a base line that begins, is centred or ends at a place.
    Text(String, Point, Type, Align, Ink),
}

/// What is drawn, from the back to the front.
#[derive(Debug, Clone, Default)]
pub(crate) struct Canvas {
    pub shapes: Vec<Shape>,
}

impl Canvas {
    /// Draws all that another canvas holds on top.
    pub fn append(&mut self, mut other: Self) {
        self.shapes.append(&mut other.shapes);
    }

    pub fn polygon(&mut self, corners: &[Point], ink: Ink) {
        self.shapes.push(Shape::Fill(corners.to_vec(), ink));
    }

    pub fn rectangle(&mut self, rect: Rect, ink: Ink) {
        self.polygon(&rect.corners(), ink);
    }

    pub fn disc(&mut self, centre: Point, radius: f64, ink: Ink) {
        self.shapes.push(Shape::Disc(centre, radius, ink));
    }

    pub fn line(&mut self, points: &[Point], width: f64, ink: Ink) {
        self.shapes.push(Shape::Line(points.to_vec(), width, ink));
    }

    /// Draws a line with a white rim: `widths` are those of rim and line.
    pub fn rimmed_line(&mut self, points: &[Point], widths: [f64; 2], ink: Ink) {
        self.line(points, widths[0], PAPER);
        self.line(points, widths[1], ink);
    }

    /// Fills a polygon with a white rim, of a width of which half lies outside.
    pub fn rimmed_polygon(&mut self, corners: &[Point], rim: f64, ink: Ink) {
        self.outline(corners, rim, PAPER);
        self.polygon(corners, ink);
    }

    pub fn outline(&mut self, corners: &[Point], width: f64, ink: Ink) {
        // Running past the start closes the joint there too.
        let closed: Vec<Point> = corners.iter().chain(corners.iter().take(2)).copied().collect();
        self.line(&closed, width, ink);
    }

    /// Draws a broken line through points by a pattern: pixels drawn, left out, drawn, and so on.
    pub fn dashed(&mut self, points: &[Point], runs: &[f64], width: f64, ink: Ink) {
        for dash in dashes(points, runs) {
            self.line(&dash, width, ink);
        }
    }

    /// Sets a text that begins at a place on its base line.
    pub fn write(&mut self, text: &str, place: Point, kind: Type, ink: Ink) {
        self.text(text, place, kind, Align::Left, ink);
    }

    /// Sets a text with its base line at `place`.
    pub fn text(&mut self, text: &str, place: Point, kind: Type, align: Align, ink: Ink) {
        if !text.is_empty() {
            self.shapes.push(Shape::Text(text.to_owned(), place, kind, align, ink));
        }
    }
}

/// The drawn pieces of a broken line.
fn dashes(points: &[Point], pattern: &[f64]) -> Vec<Vec<Point>> {
    let mut drawn = Vec::new();
    let mut dash: Vec<Point> = Vec::new();
    let mut steps = pattern.iter().copied().cycle();
    let (mut pen_down, mut left) = (true, steps.next().unwrap_or(f64::INFINITY));
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = distance(from, to);
            if pen_down && dash.is_empty() {
                dash.push(from);
            }
            if length <= left || length == 0.0 {
                left -= length;
                if pen_down {
                    dash.push(to);
                }
                break;
            }
            from = between(from, to, left / length);
            if pen_down {
                dash.push(from);
                drawn.push(std::mem::take(&mut dash));
            }
            pen_down = !pen_down;
            left = steps.next().unwrap_or(f64::INFINITY);
        }
    }
    if dash.len() > 1 {
        drawn.push(dash);
    }
    drawn
}
