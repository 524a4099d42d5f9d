//! Labels on the plan: what they say, how large they are, and drawing them.

use super::areas::hatch;
use super::canvas::{Align, Canvas, Point, Surface};
use super::cover::Cover;
use super::field::{self, Contour, Shapes};
use super::font::{CAPITALS_PER_EM, Type, clean, level, margin};
use super::marks::Mark;
use super::page::{Layout, View};
use super::picture::{DeviceKind, DeviceMark, Finding, Picture, Thresholds};
use super::ramp::{FRAME, INK, Ink, PAPER, QUIET};
use super::rect::Rect;
use super::search::{Ground, Wanted, search};
use super::{DrawError, walls};

/// What a label belongs to, by its index in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabelOf {
    /// A device.
    Device(usize),
    /// An obstacle.
    Obstacle(usize),
    /// A roam area.
    Roam(usize),
    /// A contour line.
    Contour,
}

/// A label at its place.
#[derive(Debug, Clone)]
pub struct PlacedLabel {
    /// What it belongs to.
    pub of: LabelOf,
    /// Its box.
    pub rect: Rect,
    /// The straight line from the mark to the label, if it has one.
    pub leader: Option<[[f64; 2]; 2]>,
    pub(super) text: Block,
}

/// Lines of text on a plate.
#[derive(Debug, Clone)]
pub(super) struct Block {
    lines: Vec<(String, Type, Ink)>,
    plate: Plate,
    size: f64,
}

/// The ground of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Plate {
    /// White on black.
    Dark,
    /// Black on white with a frame.
    Framed,
    /// Black on a little of the ground.
    Plain,
}

impl Block {
    fn new(lines: Vec<(String, Type, Ink)>, plate: Plate, size: f64) -> Self {
        Self { lines, plate, size }
    }

    fn pad(&self) -> [f64; 2] {
        match self.plate {
            Plate::Dark => [7.0 * self.size, 4.5 * self.size],
            Plate::Framed => [5.5 * self.size, 3.5 * self.size],
            Plate::Plain => [4.0 * self.size, 2.0 * self.size],
        }
    }

    fn extent(&self) -> [f64; 2] {
        let [across, down] = self.pad();
        let width = self
            .lines
            .iter()
            .map(|(text, kind, _)| kind.width(text))
            .fold(0.0, f64::max);
        let height: f64 = self
            .lines
            .iter()
            .map(|(_, kind, _)| line_height(*kind))
            .sum();
        [(width + 2.0 * across).ceil(), (height + 2.0 * down).ceil()]
    }

    /// Draws the block in its box.
    fn draw<S: Surface>(&self, canvas: &mut Canvas<S>, rect: Rect) -> Result<(), DrawError> {
        match self.plate {
            Plate::Dark => {
                canvas.rectangle(rect.grown(1.5 * self.size), PAPER)?;
                canvas.rectangle(rect, INK)?;
            }
            Plate::Framed => {
                canvas.rectangle(rect, INK)?;
                canvas.rectangle(rect.grown(-1.3 * self.size), PAPER)?;
            }
            Plate::Plain => canvas.rectangle(rect, PAPER.at(0.9))?,
        }
        let [across, down] = self.pad();
        let mut y = rect.y0 + down;
        for (text, kind, ink) in &self.lines {
            let height = line_height(*kind);
            let base = y + (height + kind.em * CAPITALS_PER_EM) / 2.0;
            canvas.text(text, [rect.x0 + across, base], *kind, Align::Left, *ink)?;
            y += height;
        }
        Ok(())
    }
}

/// Height that a line of text takes: accents and descenders stay within it.
fn line_height(kind: Type) -> f64 {
    1.22 * kind.em
}

/// A device's name, with the number in front where the mark shows a letter instead.
fn name(device: &DeviceMark) -> String {
    let name = clean(&device.name);
    match (device.kind, device.number) {
        (DeviceKind::Sensor, _) | (_, None) => name,
        (_, Some(number)) => format!("{number} {name}").trim_end().to_owned(),
    }
}

/// Finding and margin in words; empty if there is neither.
pub(super) fn verdict(device: &DeviceMark, thresholds: Thresholds) -> String {
    let word = device.finding.map(|finding| match finding {
        Finding::Failing => "FAILING",
        other => other.word(),
    });
    let margin = device.margin_db.map(|value| margin(value, thresholds));
    [word.map(str::to_owned), margin]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

/// The forms that a device's label may take, the fullest first.
fn forms(device: &DeviceMark, thresholds: Thresholds, em: f64, size: f64) -> Vec<Block> {
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
            let (plate, quiet) = if thin {
                (Plate::Framed, INK)
            } else {
                (Plate::Plain, QUIET)
            };
            let bold = thin || device.kind == DeviceKind::Panel;
            let kind = Type { em, bold };
            let small = Type {
                em: if thin { em } else { 0.86 * em },
                bold: false,
            };
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

/// Places all labels. Returns those that found room, and the devices that did not.
pub(super) fn place(
    picture: &Picture,
    view: &View,
    frame: &Rect,
    marks: &[Mark],
    shapes: Option<&Shapes>,
) -> (Vec<PlacedLabel>, Vec<usize>) {
    let em = view.size
        * match picture.devices.len() {
            0..=30 => 14.5,
            31..=60 => 13.0,
            _ => 12.0,
        };
    let mut owners = Vec::new();
    let mut blocks: Vec<Vec<Block>> = Vec::new();
    let mut wanted = Vec::new();
    let mut want = |of: LabelOf, forms: Vec<Block>, mut label: Wanted| {
        label.forms = forms.iter().map(Block::extent).collect();
        owners.push(of);
        blocks.push(forms);
        wanted.push(label);
    };
    for (index, (device, mark)) in picture.devices.iter().zip(marks).enumerate() {
        let weight = match device.finding {
            Some(Finding::Failing) => 12.0,
            Some(Finding::Thin) => 4.0,
            _ if device.kind != DeviceKind::Sensor => 3.0,
            _ => 1.0,
        };
        let forms = forms(device, picture.thresholds, em, view.size);
        if forms.is_empty() {
            continue;
        }
        let (anchor, radius) = (mark.centre, mark.radius);
        let label = Wanted {
            anchor,
            radius,
            area: None,
            forms: Vec::new(),
            weight,
        };
        want(LabelOf::Device(index), forms, label);
    }
    let obstacles = picture.obstacles.iter().enumerate();
    let roams = picture.roams.iter().enumerate();
    let areas = obstacles
        .map(|(index, area)| (LabelOf::Obstacle(index), area))
        .chain(roams.map(|(index, area)| (LabelOf::Roam(index), area)));
    for (of, area) in areas {
        let text = clean(&area.label);
        if text.is_empty() || area.outline.len() < 3 {
            continue;
        }
        let kind = Type::regular(0.86 * em);
        let forms = [22.0, 12.0, 7.0]
            .map(|width| (kind.fit(&text, width * em), kind, INK))
            .map(|line| Block::new(vec![line], Plate::Plain, view.size));
        let bounds = bounds(area.outline.iter().map(|&corner| view.place(corner)));
        let anchor = [(bounds.x0 + bounds.x1) / 2.0, (bounds.y0 + bounds.y1) / 2.0];
        let label = Wanted {
            anchor,
            radius: 0.0,
            area: Some(bounds),
            forms: Vec::new(),
            weight: 2.0,
        };
        want(of, forms.into(), label);
    }
    let mut ground = ground(picture, view, frame, marks);
    let spots = search(&wanted, &ground);

    let mut placed = Vec::new();
    for ((of, forms), spot) in owners.into_iter().zip(blocks).zip(spots) {
        let Some(spot) = spot else { continue };
        if let Some(text) = forms.into_iter().nth(spot.form) {
            placed.push(PlacedLabel {
                of,
                rect: spot.rect,
                leader: spot.leader,
                text,
            });
        }
    }
    let has_label = |index| {
        placed
            .iter()
            .any(|label| label.of == LabelOf::Device(index))
    };
    let in_key = picture
        .devices
        .iter()
        .enumerate()
        .filter(|(index, device)| {
            let words = !name(device).is_empty() || !verdict(device, picture.thresholds).is_empty();
            words && !has_label(*index)
        })
        .map(|(index, _)| index)
        .collect();
    ground.boxes.extend(placed.iter().map(|label| label.rect));
    let leaders: Vec<[Point; 2]> = placed.iter().filter_map(|label| label.leader).collect();
    for contour in shapes.iter().flat_map(|shapes| &shapes.contours) {
        placed.extend(label_contour(contour, view, &mut ground, &leaders));
    }
    (placed, in_key)
}

/// What labels keep off: marks, entries, and, if they can, walls and openings.
fn ground(picture: &Picture, view: &View, frame: &Rect, marks: &[Mark]) -> Ground {
    let mut cover = Cover::new(*frame, 4.0 * view.size);
    for wall in &picture.walls {
        let body = walls::body(picture, wall, view);
        let length = (body.b[0] - body.a[0]).hypot(body.b[1] - body.a[1]);
        let step = 3.0 * view.size;
        let (along, across) = ((length / step).ceil(), (body.thick / step).ceil());
        for one in 0..=along.clamp(0.0, 4000.0) as u32 {
            for other in 0..=across.clamp(0.0, 400.0) as u32 {
                let side = (f64::from(other) / across.max(1.0) - 0.5) * body.thick;
                cover.mark(body.at(f64::from(one) / along.max(1.0) * length, side));
            }
        }
    }
    for area in &picture.obstacles {
        let corners: Vec<Point> = area
            .outline
            .iter()
            .map(|&corner| view.place(corner))
            .collect();
        for line in hatch(&[corners], 3.0 * view.size, true) {
            let length = field::length(&line);
            for step in 0..=(length / 3.0).clamp(0.0, 4000.0) as u32 {
                let share = (f64::from(step) * 3.0 / length.max(3.0)).min(1.0);
                let along = |axis: usize| line[0][axis] + (line[1][axis] - line[0][axis]) * share;
                cover.mark([along(0), along(1)]);
            }
        }
    }
    cover.sum();
    let boxes = walls::entries(picture, view)
        .into_iter()
        .map(|arrow| bounds(arrow.into_iter()))
        .collect();
    let moved = marks
        .iter()
        .filter(|mark| mark.moved())
        .map(|mark| (mark.spot, 4.0 * view.size));
    let discs = marks
        .iter()
        .map(|mark| (mark.centre, mark.radius))
        .chain(moved)
        .collect();
    Ground {
        frame: *frame,
        discs,
        boxes,
        walls: cover,
        size: view.size,
    }
}

/// The box round points.
fn bounds(mut points: impl Iterator<Item = Point>) -> Rect {
    let [x, y] = points.next().unwrap_or_default();
    points.fold(
        Rect {
            x0: x,
            y0: y,
            x1: x,
            y1: y,
        },
        |rect, point| rect.with(point),
    )
}

/// Labels of a contour line: at most three, far apart, only where they cover nothing.
fn label_contour(
    contour: &Contour,
    view: &View,
    ground: &mut Ground,
    leaders: &[[Point; 2]],
) -> Vec<PlacedLabel> {
    let kind = Type::bold(12.5 * view.size);
    let text = (level(contour.margin_db), kind, INK);
    let block = Block::new(vec![text], Plate::Plain, view.size);
    let [width, height] = block.extent();
    let mut offers: Vec<(f64, Rect)> = Vec::new();
    for piece in &contour.pieces {
        let whole = field::length(piece);
        if whole < 2.5 * width {
            continue;
        }
        let mut walked = 0.0;
        let mut next = width;
        for pair in piece.windows(2) {
            walked += field::length(pair);
            if walked < next {
                continue;
            }
            next = walked + 0.5 * width;
            let rect = Rect::around(pair[1], width, height);
            let room = rect.grown(4.0 * view.size);
            let free = ground.frame.contains(&room)
                && ground.boxes.iter().all(|one| !one.overlaps(&room))
                && leaders.iter().all(|&[from, to]| !room.meets(from, to))
                && ground.discs.iter().all(|&(centre, radius)| {
                    let near = room.nearest(centre);
                    (near[0] - centre[0]).hypot(near[1] - centre[1]) > radius
                });
            if free {
                // Off walls first; then on long pieces, and not at their ends.
                let middle = (walked / whole - 0.5).abs();
                let cost =
                    400.0 * ground.walls.share(&rect) - whole.min(900.0) / 10.0 + 20.0 * middle;
                offers.push((cost, rect));
            }
        }
    }
    offers.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut chosen: Vec<Rect> = Vec::new();
    for (_, rect) in offers {
        let apart = |other: &Rect| (rect.x0 - other.x0).hypot(rect.y0 - other.y0);
        let free = ground
            .boxes
            .iter()
            .all(|one| !one.grown(4.0 * view.size).overlaps(&rect));
        if free && chosen.iter().all(|other| apart(other) > 330.0 * view.size) {
            ground.boxes.push(rect);
            chosen.push(rect);
        }
        if chosen.len() == 3 {
            break;
        }
    }
    chosen
        .into_iter()
        .map(|rect| PlacedLabel {
            of: LabelOf::Contour,
            rect,
            leader: None,
            text: block.clone(),
        })
        .collect()
}

/// Draws leaders under the marks' rims and labels over everything else of the plan.
pub(super) fn draw<S: Surface>(canvas: &mut Canvas<S>, layout: &Layout) -> Result<(), DrawError> {
    let size = layout.view.size;
    for label in &layout.labels {
        if let (Some([_, to]), LabelOf::Device(index)) = (label.leader, label.of)
            && let Some(mark) = layout.places.get(index)
        {
            let (dx, dy) = (to[0] - mark.centre[0], to[1] - mark.centre[1]);
            let share = mark.radius / dx.hypot(dy).max(mark.radius);
            let from = [mark.centre[0] + dx * share, mark.centre[1] + dy * share];
            canvas.line(&[from, to], 3.2 * size, PAPER)?;
            canvas.line(&[from, to], 1.4 * size, INK)?;
        }
    }
    for label in &layout.labels {
        label.text.draw(canvas, label.rect)?;
        if label.leader.is_some() && label.text.plate == Plate::Plain {
            canvas.outline(&label.rect.corners(), size, FRAME)?;
        }
    }
    Ok(())
}
