//! Drawing in pixels of the picture, as real numbers, on a surface: an SVG or a raster.

use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, RGBColor, ShapeStyle, TextStyle};

use super::DrawError;
use super::font::{FAMILY, Type};
use super::ramp::Ink;
use super::rect::Rect;

/// A place on the picture, pixels from the upper left corner.
pub(super) type Point = [f64; 2];

/// Which end of a text its place names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// The place is the left end.
    Left,
    /// The place is the middle.
    Middle,
    /// The place is the right end.
    Right,
}

/// What can be drawn on. Places and lengths are in units of the surface.
pub(super) trait Surface {
    /// Fills a polygon.
    fn fill(&mut self, corners: &[Point], ink: Ink) -> Result<(), DrawError>;

    /// Fills a disc.
    fn disc(&mut self, centre: Point, radius: f64, ink: Ink) -> Result<(), DrawError>;

    /// Draws a line through points.
    fn path(&mut self, points: &[Point], width: f64, ink: Ink) -> Result<(), DrawError>;

    /// Sets a text on a base line, its em in units of the surface too.
    fn text(
        &mut self,
        text: &str,
        base: Point,
        kind: Type,
        align: Align,
        ink: Ink,
    ) -> Result<(), DrawError>;
}

/// Whole units, as plotters takes them; held to a range in which its sums cannot overflow.
pub(super) fn whole([x, y]: Point) -> (i32, i32) {
    let unit = |value: f64| value.round().clamp(-30_000.0, 30_000.0) as i32;
    (unit(x), unit(y))
}

fn style(ink: Ink, width: f64) -> ShapeStyle {
    let [red, green, blue] = ink.rgb;
    let color = RGBColor(red, green, blue).mix(ink.alpha);
    ShapeStyle { color, filled: true, stroke_width: width.round().max(1.0) as u32 }
}

impl Surface for SVGBackend<'_> {
    fn fill(&mut self, corners: &[Point], ink: Ink) -> Result<(), DrawError> {
        let mut corners: Vec<(i32, i32)> = corners.iter().map(|&corner| whole(corner)).collect();
        corners.dedup();
        if corners.len() < 3 {
            return Ok(());
        }
        self.fill_polygon(corners, &style(ink, 1.0)).map_err(failed)
    }

    fn disc(&mut self, centre: Point, radius: f64, ink: Ink) -> Result<(), DrawError> {
        let radius = radius.round().max(1.0) as u32;
        self.draw_circle(whole(centre), radius, &style(ink, 1.0), true).map_err(failed)
    }

    fn path(&mut self, points: &[Point], width: f64, ink: Ink) -> Result<(), DrawError> {
        let mut points: Vec<(i32, i32)> = points.iter().map(|&point| whole(point)).collect();
        points.dedup();
        match points.as_slice() {
            [] | [_] => Ok(()),
            [from, to] => self.draw_line(*from, *to, &style(ink, width)).map_err(failed),
            _ => self.draw_path(points, &style(ink, width)).map_err(failed),
        }
    }

    fn text(
        &mut self,
        text: &str,
        base: Point,
        kind: Type,
        align: Align,
        ink: Ink,
    ) -> Result<(), DrawError> {
        // plotters writes its size over 1.24 as the font size, and moves the base line of text that
        // is anchored at the top down by 0.76 em.
        let font = FontDesc::new(FontFamily::Name(FAMILY), 1.24 * kind.em, kind.style());
        let anchor = match align {
            Align::Left => HPos::Left,
            Align::Middle => HPos::Center,
            Align::Right => HPos::Right,
        };
        let [red, green, blue] = ink.rgb;
        let color = RGBColor(red, green, blue);
        let style = TextStyle::from(font).color(&color).pos(Pos::new(anchor, VPos::Top));
        let top = whole([base[0], base[1] - 0.76 * kind.em]);
        self.draw_text(text, &style, top).map_err(failed)
    }
}

/// A surface, drawn on in pixels of the picture.
pub(super) struct Canvas<S> {
    surface: S,
    scale: f64,
}

impl<S: Surface> Canvas<S> {
    /// A canvas on a surface with `scale` units for one pixel of the picture.
    pub fn new(surface: S, scale: f64) -> Self {
        Self { surface, scale }
    }

    /// The surface, with what was drawn on it.
    pub fn into_surface(self) -> S {
        self.surface
    }

    fn scaled(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|[x, y]| [x * self.scale, y * self.scale]).collect()
    }

    /// Fills a polygon.
    pub fn polygon(&mut self, corners: &[Point], ink: Ink) -> Result<(), DrawError> {
        let corners = self.scaled(corners);
        self.surface.fill(&corners, ink)
    }

    /// Fills a rectangle.
    pub fn rectangle(&mut self, rect: Rect, ink: Ink) -> Result<(), DrawError> {
        self.polygon(&rect.corners(), ink)
    }

    /// Fills a disc.
    pub fn disc(&mut self, [x, y]: Point, radius: f64, ink: Ink) -> Result<(), DrawError> {
        self.surface.disc([x * self.scale, y * self.scale], radius * self.scale, ink)
    }

    /// Draws a line through points.
    pub fn line(&mut self, points: &[Point], width: f64, ink: Ink) -> Result<(), DrawError> {
        let points = self.scaled(points);
        self.surface.path(&points, width * self.scale, ink)
    }

    /// Draws the outline of a polygon.
    pub fn outline(&mut self, corners: &[Point], width: f64, ink: Ink) -> Result<(), DrawError> {
        // Running past the start closes the joint there too.
        let closed: Vec<Point> = corners.iter().chain(corners.iter().take(2)).copied().collect();
        self.line(&closed, width, ink)
    }

    /// Draws a broken line through points: `on` pixels drawn, `off` left out.
    pub fn dashed(
        &mut self,
        points: &[Point],
        (on, off): (f64, f64),
        width: f64,
        ink: Ink,
    ) -> Result<(), DrawError> {
        self.patterned(points, &[on, off], width, ink)
    }

    /// Draws a broken line through points by a pattern: pixels drawn, left out, drawn, and so on.
    pub fn patterned(
        &mut self,
        points: &[Point],
        pattern: &[f64],
        width: f64,
        ink: Ink,
    ) -> Result<(), DrawError> {
        for dash in dashes(points, pattern) {
            self.line(&dash, width, ink)?;
        }
        Ok(())
    }

    /// Sets a text with its base line at `place`.
    pub fn text(
        &mut self,
        text: &str,
        place: Point,
        kind: Type,
        align: Align,
        ink: Ink,
    ) -> Result<(), DrawError> {
        if text.is_empty() {
            return Ok(());
        }
        let base = [place[0] * self.scale, place[1] * self.scale];
        self.surface.text(text, base, Type { em: kind.em * self.scale, ..kind }, align, ink)
    }
}

/// A back end's error, in words.
pub(super) fn failed(error: impl std::fmt::Display) -> DrawError {
    DrawError::Backend(error.to_string())
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
            let length = (to[0] - from[0]).hypot(to[1] - from[1]);
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
            let share = left / length;
            from = [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share];
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
