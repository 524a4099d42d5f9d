//! What labels say, and the plates that they are set on.

use crate::base::{CAPITALS_PER_EM, Canvas, INK, Ink, PAPER, QUIET, Rect, Type, clean, joined};
use crate::parts::decibels::reserve;
use crate::parts::links;
use crate::picture::{AreaMark, DeviceKind, DeviceMark, Finding, Thresholds};
use units::Chance;

/// Lines of text on a plate.
#[derive(Debug, Clone)]
pub(crate) struct Block {
    lines: Vec<(String, Type, Ink)>,
    pub plate: Plate,
    size: f64,
}

/// The ground of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Plate {
    /// White on black.
    Dark,
    /// Black on white with a frame.
    Framed,
    /// Black on a little of the ground.
    Plain,
}

impl Block {
    pub fn new(lines: Vec<(String, Type, Ink)>, plate: Plate, size: f64) -> Self {
        Self { lines, plate, size }
    }

    fn pad(&self) -> [f64; 2] {
        match self.plate {
            Plate::Dark => [7.0 * self.size, 4.5 * self.size],
            Plate::Framed => [5.5 * self.size, 3.5 * self.size],
            Plate::Plain => [4.0 * self.size, 2.0 * self.size],
        }
    }

    pub fn extent(&self) -> [f64; 2] {
        let [across, down] = self.pad();
        let width = self.lines.iter().map(|(text, kind, _)| kind.width(text)).fold(0.0, f64::max);
        let height: f64 = self.lines.iter().map(|(_, kind, _)| line_height(*kind)).sum();
        [(width + 2.0 * across).ceil(), (height + 2.0 * down).ceil()]
    }

    pub fn draw(&self, canvas: &mut Canvas, rect: Rect) {
        match self.plate {
            Plate::Dark => {
                canvas.rectangle(rect.grown(1.5 * self.size), PAPER);
                canvas.rectangle(rect, INK);
            }
            Plate::Framed => {
                canvas.rectangle(rect, INK);
                canvas.rectangle(rect.grown(-1.3 * self.size), PAPER);
            }
            Plate::Plain => canvas.rectangle(rect, PAPER.at(0.9)),
        }
        let [across, down] = self.pad();
        let mut y = rect.y0 + down;
        for (text, kind, ink) in &self.lines {
            let height = line_height(*kind);
            let base = y + (height + kind.em * CAPITALS_PER_EM) / 2.0;
            canvas.write(text, [rect.x0 + across, base], *kind, *ink);
            y += height;
        }
    }
}

/// Height that a line of text takes: accents and descenders stay within it.
fn line_height(kind: Type) -> f64 {
    1.22 * kind.em
}

/// A device's name, with the number in front where the mark shows a letter instead.
pub(crate) fn name(device: &DeviceMark) -> String {
    let name = clean(&device.name);
    match (device.kind, device.number) {
        (DeviceKind::Sensor, _) | (_, None) => name,
        (_, Some(number)) => format!("{number} {name}").trim_end().to_owned(),
    }
}

/// Finding, chance or reserve, and link in words; empty if there is none.
pub(crate) fn verdict(device: &DeviceMark, thresholds: Thresholds) -> String {
    let word = match device.finding {
        Some(Finding::Failing) => "FAILING",
        finding => finding.map_or("", Finding::word),
    };
    let figure = figure(device, thresholds);
    joined([joined([word.to_owned(), figure], ", "), links::words(device)], " · ")
}

/// What a device that is failing or thin risks in a year, and what any other has in reserve.
pub(crate) fn figure(device: &DeviceMark, thresholds: Thresholds) -> String {
    let reserve = device.margin_db.map(|value| reserve(value, thresholds)).unwrap_or_default();
    let chance = device.fault_per_year.map(|chance| format!("{} a year", Chance(chance)));
    match device.finding {
        Some(Finding::Failing | Finding::Thin) => chance.unwrap_or(reserve),
        _ => reserve,
    }
}

/// The forms of a ranked spot's label: its parts in one line, in two, each in its own, and cut.
pub(crate) fn spot_forms(label: &str, first: bool, em: f64, size: f64) -> Vec<Block> {
    let text = clean(label);
    if text.is_empty() {
        return Vec::new();
    }
    let kind = Type { em, bold: first };
    let block = |lines: Vec<String>| {
        let set = |line: String| (kind.fit(&line, 26.0 * em), kind, INK);
        Block::new(lines.into_iter().map(set).collect(), Plate::Framed, size)
    };
    let parts: Vec<&str> = text.split(" · ").take(6).collect();
    let mut forms = vec![block(vec![text.clone()])];
    if parts.len() > 2 {
        let (upper, lower) = parts.split_at(1);
        forms.push(block(vec![upper.join(" · "), lower.join(" · ")]));
    }
    if parts.len() > 1 {
        forms.push(block(parts.iter().map(|&part| part.to_owned()).collect()));
    }
    forms.push(block(vec![kind.fit(&text, 8.0 * em)]));
    forms
}

/// A longer name is not set in one line, in widths of the em (our own choice).
const LONGEST_EM: f64 = 16.0;

/// The forms of a device's label in a plain picture: its name in a line, in two, in three.
pub(crate) fn plain_forms(device: &DeviceMark, em: f64, size: f64) -> Vec<Block> {
    let name = clean(&device.name);
    if name.is_empty() {
        return Vec::new();
    }
    let loud = matches!(device.kind, DeviceKind::Panel | DeviceKind::Repeater);
    let (plate, ink) = match device.finding {
        Some(Finding::Failing) => (Plate::Dark, PAPER),
        Some(Finding::Thin) => (Plate::Framed, INK),
        _ if loud => (Plate::Framed, INK),
        _ => (Plate::Plain, INK),
    };
    let kind = Type { em, bold: loud };
    let block = |lines: Vec<String>| {
        let lines = lines.into_iter().map(|line| (line, kind, ink));
        // Close-fitting: there is little room.
        Block::new(lines.collect(), plate, 0.6 * size)
    };
    // Whole or not at all, for its number stands in a list: in one line if that is not too long,
    // then in two and in three, each as narrow as it can be.
    let whole = kind.width(&name);
    let one = (whole <= LONGEST_EM * em).then(|| vec![name.clone()]);
    let broken = [2, 3].into_iter().filter_map(|count| {
        let shares = (0..10).map(|step| (1.0 + 0.08 * f64::from(step)) / count as f64);
        let mut lines = shares.map(|share| kind.wrap(&name, share * whole, count));
        let uncut = |lines: &Vec<String>| {
            lines.len() == count && lines.iter().all(|line| !line.ends_with('…'))
        };
        lines.find(uncut)
    });
    one.into_iter().chain(broken).map(block).collect()
}

/// The forms of a room's name, in quiet capitals so that no device is taken for it: in one line, in
/// two, and smaller. It is never cut.
pub(crate) fn room_forms(room: &AreaMark, em: f64, size: f64) -> Vec<Block> {
    let name = clean(&room.label).to_uppercase();
    let mut forms = Vec::new();
    for share in [0.9, 0.75] {
        let kind = Type::regular(share * em);
        let whole = kind.width(&name);
        let block = |mut lines: Vec<String>| {
            lines.extend(Some(clean(&room.size)).filter(|size| !size.is_empty()));
            let lines = lines.into_iter().map(|line| (line, kind, QUIET));
            Block::new(lines.collect(), Plate::Plain, 0.4 * size)
        };
        if name.is_empty() {
            if !room.size.is_empty() {
                forms.push(block(Vec::new()));
            }
            continue;
        }
        forms.push(block(vec![name.clone()]));
        let broken = [0.5, 0.6, 0.7, 0.8].map(|part| kind.wrap(&name, part * whole, 2));
        let uncut = |lines: &Vec<String>| lines.len() == 2 && !lines.concat().contains('…');
        forms.extend(broken.into_iter().find(uncut).map(block));
    }
    forms
}

/// The forms that a device's label may take, the fullest first.
pub(crate) fn forms(device: &DeviceMark, thresholds: Thresholds, em: f64, size: f64) -> Vec<Block> {
    let name = name(device);
    let verdict = verdict(device, thresholds);
    let (long, short) = (13.5 * em, 7.5 * em);
    match device.finding {
        Some(Finding::Failing) => {
            let (loud, kind) = (Type::bold(1.15 * em), Type::regular(em));
            let head = (verdict, loud, PAPER);
            let mut forms = Vec::new();
            for width in [1.4 * long, long, short] {
                if !name.is_empty() {
                    let line = (kind.fit(&name, width), kind, PAPER);
                    forms.push(Block::new(vec![head.clone(), line], Plate::Dark, size));
                }
            }
            forms.push(Block::new(vec![head], Plate::Dark, size));
            forms
        }
        finding => {
            let thin = finding == Some(Finding::Thin);
            let (plate, quiet) = if thin { (Plate::Framed, INK) } else { (Plate::Plain, QUIET) };
            let bold = thin || device.kind == DeviceKind::Panel;
            let kind = Type { em, bold };
            let small = Type { em: if thin { em } else { 0.86 * em }, bold: false };
            let mut forms = Vec::new();
            for (width, with_verdict) in [(long, true), (short, true), (short, false)] {
                let mut lines = Vec::new();
                if !name.is_empty() {
                    lines.push((kind.fit(&name, width), kind, INK));
                }
                if !verdict.is_empty() && (with_verdict || lines.is_empty()) {
                    lines.push((verdict.clone(), small, quiet));
                }
                if !lines.is_empty() {
                    forms.push(Block::new(lines, plate, size));
                }
            }
            forms
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_in_a_plain_picture_is_whole_or_not_there() {
        for name in [
            "Hall",
            "Main bedroom side window",
            "Stockroom emergency exit door to the yard behind the house, upper contact",
            &"Donaudampfschifffahrt".repeat(4),
        ] {
            let words: Vec<&str> = name.split_whitespace().collect();
            let device = DeviceMark { name: name.to_owned(), ..DeviceMark::default() };
            for form in plain_forms(&device, 10.0, 1.0) {
                let lines: Vec<&str> = form.lines.iter().map(|(line, ..)| line.as_str()).collect();
                let shown: Vec<&str> = lines.iter().flat_map(|l| l.split_whitespace()).collect();
                assert_eq!(shown, words);
            }
        }
    }
}
