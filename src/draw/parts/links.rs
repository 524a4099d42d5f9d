//! How devices are heard: lines to the panel or to a repeater, and stubs to other levels.

use crate::base::{
    Canvas, INK, PAPER, Point, Rect, View, arrow, between, clean, distance, heading, length,
};
use crate::parts::mark::Mark;
use crate::picture::{DeviceMark, Link, LinkEnd, Picture};

/// What a link looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Style {
    Direct,
    OverRepeater,
    RepeaterToPanel,
}

/// Length of a stub beyond the mark's rim, pixels at size 1.
const STUB: f64 = 30.0;

/// The style and the end of a device's link, if a line belongs to it.
pub(crate) fn link(device: &DeviceMark) -> Option<(Style, LinkEnd)> {
    match &device.link {
        Link::Direct(end) => Some((Style::Direct, end.clone())),
        Link::OverRepeater(end) => Some((Style::OverRepeater, end.clone())),
        Link::RepeaterToPanel(end) => Some((Style::RepeaterToPanel, end.clone())),
        Link::NotShown => device.via.map(|place| (Style::OverRepeater, LinkEnd::Here(place))),
        Link::NotHeard => None,
    }
}

/// What a device's label says of its link; empty if nothing.
pub(crate) fn words(device: &DeviceMark) -> String {
    match device.link.end() {
        Some(LinkEnd::Elsewhere { text, .. }) => clean(text),
        _ if device.link == Link::NotHeard => "no sound way".to_owned(),
        _ => String::new(),
    }
}

/// A device's line on the picture: its style, from where to where, and whether it is a stub.
pub(crate) struct Line {
    pub style: Style,
    pub from: Point,
    pub to: Point,
    pub stub: bool,
}

pub(crate) fn lines(picture: &Picture, marks: &[Mark], view: &View) -> Vec<Line> {
    let devices = picture.devices.iter().zip(marks);
    devices
        .filter_map(|(device, mark)| {
            let (style, end) = link(device)?;
            let from = mark.centre;
            Some(match end {
                LinkEnd::Here(place) => {
                    Line { style, from, to: end_at(view.place(place), mark, marks), stub: false }
                }
                LinkEnd::Elsewhere { towards, .. } => {
                    let [x, y] = heading(towards).unwrap_or([0.0, -1.0]);
                    let run = mark.radius + STUB * view.size;
                    Line { style, from, to: [from[0] + x * run, from[1] + y * run], stub: true }
                }
            })
        })
        .collect()
}

/// Where a line to a place ends: at the mark of the device that hangs there, wherever it was moved.
fn end_at(place: Point, own: &Mark, marks: &[Mark]) -> Point {
    let there = marks.iter().find(|mark| {
        mark.rank.is_none() && distance(mark.spot, place) < 1.0 && mark.spot != own.spot
    });
    there.map_or(place, |mark| mark.centre)
}

pub(crate) fn draw_link(canvas: &mut Canvas, line: [Point; 2], style: Style, size: f64) {
    match style {
        Style::Direct => {
            canvas.line(&line, 3.4 * size, PAPER.at(0.7));
            canvas.line(&line, 1.3 * size, INK);
        }
        Style::OverRepeater => {
            canvas.line(&line, 3.5 * size, PAPER.at(0.8));
            canvas.dashed(&line, &[2.0 * size, 4.0 * size], 1.8 * size, INK);
        }
        Style::RepeaterToPanel => {
            canvas.rimmed_line(&line, [9.0 * size, 6.5 * size], INK);
            canvas.line(&line, 2.4 * size, PAPER);
        }
    }
}

/// Draws the open arrow at the end of a stub.
pub(crate) fn draw_arrow(canvas: &mut Canvas, [from, tip]: [Point; 2], size: f64) {
    let (dx, dy) = (tip[0] - from[0], tip[1] - from[1]);
    let length = dx.hypot(dy).max(1e-6);
    let (x, y) = (dx / length, dy / length);
    let [tip, left, right] = arrow(tip, [x, y], 11.0 * size, 7.0 * size);
    let wings = [left, tip, right];
    canvas.rimmed_line(&wings, [5.0 * size, 2.4 * size], INK);
}

/// Draws the links under the marks, the heavy ones last.
pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, marks: &[Mark], view: &View) {
    let size = view.size;
    let lines = lines(picture, marks, view);
    for style in [Style::Direct, Style::OverRepeater, Style::RepeaterToPanel] {
        for line in lines.iter().filter(|line| line.style == style) {
            let ends = [line.from, line.to];
            if line.stub {
                // The line stops in the arrow's hollow, so that its point stays sharp.
                let share = 1.0 - 4.0 * size / length(&ends).max(1.0);
                let stop = between(line.from, line.to, share);
                draw_link(canvas, [line.from, stop], style, size);
                draw_arrow(canvas, ends, size);
            } else {
                draw_link(canvas, ends, style, size);
            }
        }
    }
}

/// Draws the cross of a mark that nothing hears, in its box.
pub(crate) fn draw_cross(canvas: &mut Canvas, rect: Rect, size: f64) {
    let [x, y] = rect.middle();
    canvas.disc([x, y], 11.5 * size, INK);
    canvas.disc([x, y], 9.8 * size, PAPER);
    let arm = 5.0 * size;
    for slope in [1.0, -1.0] {
        let stroke = [[x - arm, y - arm * slope], [x + arm, y + arm * slope]];
        canvas.line(&stroke, 2.6 * size, INK);
    }
}
