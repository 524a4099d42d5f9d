//! The header of a plan: title, link and spot, and the findings in one line.

use crate::base::{INK, PAPER, Rect, Type, clean, joined};
use crate::parts::mark;
use crate::parts::plate::figure;
use crate::parts::sketch::Sketch;
use crate::picture::{DeviceKind, Finding, Picture};

/// Sets the header's text and returns where the plan may begin.
pub(crate) fn header(sketch: &mut Sketch, picture: &Picture) -> f64 {
    let title = [&picture.title, &picture.level_name].map(|part| clean(part));
    let mut y = sketch.open(&joined(title, " · "), &picture.subtitle, &picture.headline);
    let (size, edge) = (sketch.size, sketch.edge);
    let count = |finding| picture.count(finding);
    let all = picture.devices.iter().filter(|device| device.finding.is_some()).count();
    if all > 0 && picture.paths.is_empty() {
        y += 12.0 * size;
        let failing = count(Finding::Failing);
        let kind = Type::bold(18.0 * size);
        let rest = format!("thin {} · sound {}", count(Finding::Thin), count(Finding::Sound));
        let rest_kind = Type::regular(16.0 * size);
        let rest_width = rest_kind.width(&rest);
        let pad = 10.0 * size;
        let line = if failing == 0 {
            format!("None of {all} failing")
        } else {
            let start = format!("{failing} of {all} FAILING: ");
            let most = (sketch.room() - rest_width - 4.0 * pad).max(60.0);
            kind.fit(&failing_names(picture, &start, kind, most), most)
        };
        let base = y + 21.5 * size;
        let (mut left, mut ink) = (edge, INK);
        if failing > 0 {
            let right = edge + kind.width(&line) + 2.0 * pad;
            sketch.pen.rectangle(Rect { x0: edge, y0: y, x1: right, y1: y + 30.0 * size }, INK);
            (left, ink) = (edge + pad, PAPER);
        }
        sketch.pen.write(&line, [left, base], kind, ink);
        let end = left + kind.width(&line);
        let left = (end + 2.0 * pad).min(sketch.width - edge - rest_width);
        sketch.pen.write(&rest, [left, base], rest_kind, INK);
        y += 30.0 * size;
    }
    y + 16.0 * size
}

/// The failing devices after `start`, as many as fit, and how many more there are.
fn failing_names(picture: &Picture, start: &str, kind: Type, width: f64) -> String {
    let names: Vec<String> = picture
        .devices
        .iter()
        .zip(mark::tags(picture))
        .filter(|(device, _)| device.finding == Some(Finding::Failing))
        .map(|(device, tag)| {
            let tag = if device.kind == DeviceKind::Sensor { tag } else { String::new() };
            let name = kind.fit(&clean(&device.name), 15.0 * kind.em);
            let figure = figure(device, picture.thresholds);
            let figure = if figure.is_empty() { figure } else { format!("({figure})") };
            joined([tag, name, figure], " ")
        })
        .collect();
    let line = |shown: usize| {
        let listed = names.iter().take(shown).cloned().collect::<Vec<_>>().join(", ");
        match names.len() - shown {
            0 => format!("{start}{listed}"),
            more => format!("{start}{listed} and {more} more"),
        }
    };
    (1..=names.len())
        .rev()
        .map(line)
        .find(|line| kind.width(line) <= width)
        .unwrap_or_else(|| line(1))
}
