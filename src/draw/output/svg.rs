//! The list of what is drawn as the text of an SVG file, by plotters' back end.

use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, RGBColor, ShapeStyle, TextStyle};

use crate::base::font::FAMILY;
use crate::base::{Align, DrawError, Ink, Point, Shape};
use input::isolated;

/// Units of the SVG's own coordinates for one pixel of the picture: plotters draws on whole
/// numbers, so this is the precision of the SVG.
const SCALE: f64 = 4.0;

/// Whole units, as plotters takes them; held to a range in which its sums cannot overflow.
pub(super) fn whole([x, y]: Point) -> (i32, i32) {
    let unit = |value: f64| value.round().clamp(-30_000.0, 30_000.0) as i32;
    (unit(x), unit(y))
}

/// A back end's error, in words.
pub(super) fn failed(error: impl std::fmt::Display) -> DrawError {
    DrawError::Backend(error.to_string())
}

fn units(point: Point) -> (i32, i32) {
    whole(point.map(|value| value * SCALE))
}

pub(super) fn color(ink: Ink) -> RGBColor {
    let [red, green, blue] = ink.rgb;
    RGBColor(red, green, blue)
}

fn style(ink: Ink, width: f64) -> ShapeStyle {
    let stroke_width = width.round().max(1.0) as u32;
    ShapeStyle { color: color(ink).mix(ink.alpha), filled: true, stroke_width }
}

/// A page of a size in pixels as the text of an SVG file.
pub(super) fn svg(shapes: &[&Shape], (width, height): (u32, u32)) -> Result<String, DrawError> {
    let (wide, high) = (width * SCALE as u32, height * SCALE as u32);
    let mut text = String::new();
    let mut backend = SVGBackend::with_string(&mut text, (wide, high));
    for shape in shapes {
        draw(&mut backend, shape)?;
    }
    backend.present().map_err(failed)?;
    drop(backend);
    // The back end writes one size for the drawing's units and the page; give the page its own.
    Ok(text.replacen(
        &format!("width=\"{wide}\" height=\"{high}\""),
        &format!("width=\"{width}\" height=\"{height}\" stroke-linejoin=\"round\""),
        1,
    ))
}

fn draw(backend: &mut SVGBackend<'_>, shape: &Shape) -> Result<(), DrawError> {
    let all = |points: &[Point]| {
        let mut points: Vec<(i32, i32)> = points.iter().map(|&point| units(point)).collect();
        points.dedup();
        points
    };
    let drawn = match shape {
        Shape::Fill(corners, ink) => match all(corners) {
            corners if corners.len() < 3 => Ok(()),
            corners => backend.fill_polygon(corners, &style(*ink, 1.0)),
        },
        Shape::Disc(centre, radius, ink) => {
            let radius = (radius * SCALE).round().max(1.0) as u32;
            backend.draw_circle(units(*centre), radius, &style(*ink, 1.0), true)
        }
        Shape::Line(points, width, ink) => {
            let style = style(*ink, width * SCALE);
            match all(points).as_slice() {
                [] | [_] => Ok(()),
                [from, to] => backend.draw_line(*from, *to, &style),
                points => backend.draw_path(points.to_vec(), &style),
            }
        }
        Shape::Text(text, [x, y], kind, align, ink) => {
            // plotters writes its size over 1.24 as the font size, and moves the base line of text
            // that is anchored at the top down by 0.76 em.
            let em = kind.em * SCALE;
            let font = FontDesc::new(FontFamily::Name(FAMILY), 1.24 * em, kind.style());
            let anchor = match align {
                Align::Left => HPos::Left,
                Align::Middle => HPos::Center,
                Align::Right => HPos::Right,
            };
            let color = color(*ink);
            let style = TextStyle::from(font).color(&color).pos(Pos::new(anchor, VPos::Top));
            backend.draw_text(&isolated(text), &style, whole([x * SCALE, y * SCALE - 0.76 * em]))
        }
    };
    drawn.map_err(failed)
}
