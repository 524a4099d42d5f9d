//! The lines of the drawing that a plan was made of.

use crate::base::{Canvas, FRAME, Point, View, length};
use crate::picture::Picture;

/// Most dashes of a picture: of a crowded drawing they grow longer (our own choice).
const MOST_DASHES: f64 = 20_000.0;

/// Draws a line: whole if the plan has what it stands for, else in dashes.
pub(crate) fn draw_original(canvas: &mut Canvas, points: &[Point], left_out: bool, size: f64) {
    draw_line(canvas, points, left_out.then_some(6.0), size);
}

fn draw_line(canvas: &mut Canvas, points: &[Point], dash: Option<f64>, size: f64) {
    match dash {
        Some(dash) => {
            let runs = [dash * size, 0.6 * dash * size];
            canvas.dashed(points, &runs, 0.9 * size, FRAME);
        }
        None => canvas.line(points, 1.2 * size, FRAME),
    }
}

pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, view: &View) {
    let lines = || picture.original.iter().map(|line| (line.left_out, view.places(&line.points)));
    let dashed = lines().filter(|(left_out, _)| *left_out);
    let whole = dashed.fold(0.0, |sum: f64, (_, points)| sum + length(&points));
    let dash = (whole / (1.6 * view.size * MOST_DASHES)).max(6.0);
    for (left_out, points) in lines() {
        // What is no larger than a point of the picture says nothing.
        if length(&points) >= 0.7 {
            draw_line(canvas, &points, left_out.then_some(dash), view.size);
        }
    }
}
