//! Labels on the plan: what they say, how large they are, and drawing them.

use crate::base::{
    Canvas, FRAME, INK, Point, Rect, Type, View, between, clean, distance, hatch, length, middle,
};
use crate::parts::cover::Cover;
use crate::parts::decibels::level;
use crate::parts::field::{Contour, Shapes};
use crate::parts::mark::Mark;
use crate::parts::plate::{
    Block, Plate, forms, name, plain_forms, room_forms, spot_forms, verdict,
};
use crate::parts::search::{Ground, Wanted, search};
use crate::parts::{links, paths, siting, walls};
use crate::picture::{DeviceKind, Finding, LineKind, Picture};

/// What a label belongs to, by its index in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LabelOf {
    Device(usize),
    /// A ranked spot.
    Spot(usize),
    Path(usize),
    /// An area, a line, a crossing or a contour line.
    Other,
}

/// A label at its place.
#[derive(Debug, Clone)]
pub(crate) struct PlacedLabel {
    pub of: LabelOf,
    pub rect: Rect,
    /// The straight line from the mark's rim to the label, if it has one.
    pub leader: Option<[Point; 2]>,
    text: Block,
}

/// Labels that found room, and what has none.
#[derive(Debug, Clone)]
pub(crate) struct Labels {
    pub placed: Vec<PlacedLabel>,
    /// Devices (by index) whose words found no room.
    pub devices_left: Vec<usize>,
    /// Spots (by index) whose words found no room.
    pub spots_left: Vec<usize>,
}

/// What the label of a picture's one subject is worth: more than all of its paths together.
const SUBJECT_WEIGHT: f64 = 100.0;

/// The em of names in a plain picture, pixels at size 1.
pub(crate) const PLAIN_EM: f64 = 11.7;

/// Places all labels. Returns those that found room, and the devices and spots that did not.
pub(crate) fn place(
    picture: &Picture,
    view: &View,
    frame: &Rect,
    marks: &[Mark],
    shapes: Option<&Shapes>,
) -> Labels {
    let em = view.size
        * match picture.devices.len() {
            _ if picture.plain => PLAIN_EM,
            0..=30 => 14.5,
            31..=60 => 13.0,
            _ => 12.0,
        };
    let mut owners: Vec<(LabelOf, Vec<Block>)> = Vec::new();
    let mut wanted = Vec::new();
    let mut want_in = |of, blocks: Vec<Block>, anchor: Point, radius, weight, area| {
        if !blocks.is_empty() {
            let forms = blocks.iter().map(Block::extent).collect();
            wanted.push(Wanted { anchor, radius, area, within: Vec::new(), forms, weight });
            owners.push((of, blocks));
        }
    };
    let mut want = |of, blocks, anchor, radius, weight| {
        want_in(of, blocks, anchor, radius, weight, None);
    };
    for (index, (device, mark)) in picture.devices.iter().zip(marks).enumerate() {
        let means = matches!(device.kind, DeviceKind::Panel | DeviceKind::Repeater);
        let weight = match device.finding {
            _ if picture.plain && means => 14.0,
            // Of a picture of paths only the subject has a finding.
            Some(_) if !picture.paths.is_empty() => SUBJECT_WEIGHT,
            Some(Finding::Failing) => 12.0,
            Some(Finding::Thin) => 4.0,
            _ if device.kind != DeviceKind::Sensor => 3.0,
            _ => 1.0,
        };
        let forms = if picture.plain {
            plain_forms(device, em, view.size)
        } else {
            forms(device, picture.thresholds, em, view.size)
        };
        want(LabelOf::Device(index), forms, mark.centre, mark.radius, weight);
    }
    let spots = picture.spots.iter().enumerate();
    let spots = spots.filter_map(|(index, spot)| Some((index, spot, spot.pin()?)));
    let pins = marks.iter().filter(|mark| mark.rank.is_some());
    for ((index, spot, rank), mark) in spots.zip(pins) {
        let forms = spot_forms(&spot.label, rank == 1, em, view.size);
        let weight = if rank == 1 { 14.0 } else { 8.0 };
        want(LabelOf::Spot(index), forms, mark.centre, mark.radius, weight);
    }
    let cut = |label: &str, widths: &[f64]| {
        let (text, kind) = (clean(label), Type::regular(0.86 * em));
        let forms = widths.iter().filter(|_| !text.is_empty()).map(|width| {
            let line = (kind.fit(&text, width * em), kind, INK);
            Block::new(vec![line], Plate::Plain, view.size)
        });
        forms.collect::<Vec<Block>>()
    };
    for line in &picture.lines {
        if let Some(anchor) = middle(&view.places(&line.points)) {
            let forms = cut(&line.label, &[14.0, 7.0]);
            want(LabelOf::Other, forms, anchor, 5.0 * view.size, 2.0);
        }
    }
    let anchors = paths::anchors(picture, marks, view);
    for (index, (path, anchor)) in picture.paths.iter().zip(anchors).enumerate() {
        let Some(anchor) = anchor else { continue };
        for crossing in &path.crossings {
            let form = paths::loss(crossing, em, view.size);
            let place = view.place(crossing.position);
            want(LabelOf::Other, vec![form], place, 11.0 * view.size, 3.0);
        }
        let weight = if path.direct { 10.0 } else { 6.0 };
        want(LabelOf::Path(index), paths::forms(index, path, em, view.size), anchor, 0.0, weight);
    }
    let areas = picture.obstacles.iter().chain(&picture.roams);
    for area in areas.filter(|area| area.outline.len() > 2) {
        let bounds = Rect::round(view.places(&area.outline));
        let forms = cut(&area.label, &[22.0, 12.0, 7.0]);
        want_in(LabelOf::Other, forms, bounds.middle(), 0.0, 2.0, Some(bounds));
    }
    for room in picture.rooms.iter().filter(|room| room.outline.len() > 2) {
        let blocks = room_forms(room, em, view.size);
        let within = view.places(&room.outline);
        let anchor = Rect::round(within.iter().copied()).middle();
        let forms = blocks.iter().map(Block::extent).collect();
        wanted.push(Wanted { anchor, radius: 0.0, area: None, within, forms, weight: 3.5 });
        owners.push((LabelOf::Other, blocks));
    }
    let mut ground = ground(picture, view, frame, marks);
    let spots = search(&wanted, &ground);

    let mut placed = Vec::new();
    for (((of, mut forms), spot), label) in owners.into_iter().zip(spots).zip(&wanted) {
        let Some(spot) = spot else { continue };
        let leader = spot.leader.map(|[from, to]| [rim(from, to, label.radius), to]);
        let text = forms.swap_remove(spot.form);
        placed.push(PlacedLabel { of, rect: spot.rect, leader, text });
    }
    let left = |of: fn(usize) -> LabelOf, all: usize, says: &dyn Fn(usize) -> bool| {
        let lacks = |index: usize| placed.iter().all(|label: &PlacedLabel| label.of != of(index));
        (0..all).filter(|&index| says(index) && lacks(index)).collect::<Vec<usize>>()
    };
    let devices_left = left(LabelOf::Device, picture.devices.len(), &|index| {
        let device = &picture.devices[index];
        let has_verdict = || !picture.plain && !verdict(device, picture.thresholds).is_empty();
        !name(device).is_empty() || has_verdict()
    });
    let spots_left = left(LabelOf::Spot, picture.spots.len(), &|index| {
        let spot = &picture.spots[index];
        spot.pin().is_some() && !clean(&spot.label).is_empty()
    });
    ground.boxes.extend(placed.iter().map(|label| label.rect));
    let leaders: Vec<[Point; 2]> = placed.iter().filter_map(|label| label.leader).collect();
    let numbered = shapes.filter(|_| !picture.plain);
    for contour in numbered.iter().flat_map(|shapes| &shapes.contours) {
        placed.extend(label_contour(contour, view, &mut ground, &leaders));
    }
    Labels { placed, devices_left, spots_left }
}

/// The place on the rim of a mark that faces a point.
fn rim(centre: Point, to: Point, radius: f64) -> Point {
    let (dx, dy) = (to[0] - centre[0], to[1] - centre[1]);
    let share = radius / dx.hypot(dy).max(radius).max(1e-6);
    [centre[0] + dx * share, centre[1] + dy * share]
}

/// What labels keep off: marks, entries, and, if they can, walls and openings.
fn ground(picture: &Picture, view: &View, frame: &Rect, marks: &[Mark]) -> Ground {
    let mut cover = Cover::new(*frame, 4.0 * view.size);
    for wall in &picture.walls {
        let body = walls::body(picture, wall, view);
        let length = distance(body.b, body.a);
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
        for line in hatch(&[view.places(&area.outline)], 3.0 * view.size, true) {
            let length = length(&line);
            for step in 0..=(length / 3.0).clamp(0.0, 4000.0) as u32 {
                let share = (f64::from(step) * 3.0 / length.max(3.0)).min(1.0);
                cover.mark(between(line[0], line[1], share));
            }
        }
    }
    // Walks, wires, strips and lines of the drawing are to be seen, too.
    let mut trace = |points: &[Point]| {
        for pair in points.windows(2) {
            let length = length(pair);
            let steps = (length / (3.0 * view.size)).ceil().clamp(1.0, 4000.0);
            for step in 0..=steps as u32 {
                cover.mark(between(pair[0], pair[1], f64::from(step) / steps));
            }
        }
    };
    for line in &picture.lines {
        trace(&view.places(&line.points));
    }
    for line in &picture.original {
        trace(&view.places(&line.points));
    }
    for [a, b, c, d] in picture.forbidden.iter().flat_map(|one| siting::strips(one, view)) {
        trace(&[a, b]);
        trace(&[d, c]);
    }
    for path in &picture.paths {
        trace(&view.places(&path.points));
    }
    let lines = links::lines(picture, marks, view);
    for line in &lines {
        trace(&[line.from, line.to]);
    }
    cover.sum();
    let mut boxes: Vec<Rect> = walls::entries(picture, view).into_iter().map(Rect::round).collect();
    boxes.extend(marks.iter().filter_map(|mark| mark.badge_box(view.size)));
    let outlets = picture.outlets.iter();
    let outlets = outlets.map(|&place| (view.place(place), siting::OUTLET * view.size));
    let mut discs: Vec<(Point, f64)> =
        marks.iter().map(|mark| (mark.centre, mark.radius)).chain(outlets).collect();
    for mark in marks.iter().filter(|mark| mark.moved() || mark.rank.is_some()) {
        discs.push((mark.spot, 4.0 * view.size));
    }
    for mark in marks.iter().filter(|mark| mark.rank.is_some()) {
        discs.extend(beads(mark.spot, mark.centre, 6.0 * view.size));
    }
    let end = paths::end(picture, marks, view)
        .map(|mark| (mark.centre, mark.radius + paths::HALO * view.size));
    discs.extend(end);
    // A crossing under the subject's own mark is not seen, and must not hold off its label.
    let crossings = picture.paths.iter().flat_map(|path| &path.crossings);
    let crossings = crossings.map(|one| view.place(one.position));
    let is_seen = |place: &Point| end.is_none_or(|(centre, r)| distance(*place, centre) > r);
    discs.extend(crossings.filter(is_seen).map(|place| (place, 10.0 * view.size)));
    for stub in lines.iter().filter(|line| line.stub) {
        discs.extend(beads(stub.to, stub.from, 7.0 * view.size));
    }
    let walks = picture.lines.iter().filter(|line| line.kind == LineKind::Walk);
    let walks = walks.flat_map(|line| {
        let points = view.places(&line.points);
        points.windows(2).map(|pair| [pair[0], pair[1]]).collect::<Vec<_>>()
    });
    Ground { frame: *frame, discs, boxes, walls: cover, walks: walks.collect(), size: view.size }
}

/// Discs along the way from a point to another, which they do not reach.
fn beads(from: Point, to: Point, radius: f64) -> impl Iterator<Item = (Point, f64)> {
    let count = (length(&[from, to]) / radius).clamp(1.0, 200.0) as u32;
    (0..count).map(move |step| (between(from, to, f64::from(step) / f64::from(count)), radius))
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
        let whole = length(piece);
        if whole < 2.5 * width {
            continue;
        }
        let mut walked = 0.0;
        let mut next = width;
        for pair in piece.windows(2) {
            walked += length(pair);
            if walked < next {
                continue;
            }
            next = walked + 0.5 * width;
            let rect = Rect::around(pair[1], width, height);
            let room = rect.grown(4.0 * view.size);
            let free = ground.frame.contains(&room)
                && ground.boxes.iter().all(|one| !one.overlaps(&room))
                && leaders.iter().chain(&ground.walks).all(|&[from, to]| !room.meets(from, to))
                && ground.discs.iter().all(|&(centre, radius)| {
                    let near = room.nearest(centre);
                    distance(near, centre) > radius
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
        let free = ground.boxes.iter().all(|one| !one.grown(4.0 * view.size).overlaps(&rect));
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
        .map(|rect| PlacedLabel { of: LabelOf::Other, rect, leader: None, text: block.clone() })
        .collect()
}

/// Draws leaders under the marks' rims and labels over everything else of the plan.
pub(crate) fn draw(canvas: &mut Canvas, labels: &[PlacedLabel], size: f64) {
    for label in labels {
        if let Some(leader) = label.leader {
            canvas.rimmed_line(&leader, [3.2 * size, 1.4 * size], INK);
        }
    }
    for label in labels {
        label.text.draw(canvas, label.rect);
        if label.leader.is_some() && label.text.plate == Plate::Plain {
            canvas.outline(&label.rect.corners(), size, FRAME);
        }
    }
}
