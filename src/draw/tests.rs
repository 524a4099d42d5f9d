//! Promises of the pictures as a whole.

mod explain;
mod print;
mod sample;
mod siting;

use crate::base::distance;
use crate::parts::links;
use crate::parts::mark::Mark;
use crate::*;
use sample::{house, linked, office, paths, spots, tiny};

const SIZES: [u32; 3] = [640, 1600, 3000];

fn png(picture: &Picture, size: Size) -> Result<Vec<u8>, DrawError> {
    layout(picture, size)?.png(picture)
}

fn svg(picture: &Picture, size: Size) -> Result<String, DrawError> {
    layout(picture, size)?.svg(picture)
}

fn laid_out(picture: &Picture, width_px: u32) -> Layout {
    layout(picture, Size { width_px }).expect("a layout")
}

/// Checks that boxes lie within another and, but for some pixels, off one another.
pub(crate) fn check_apart<T: std::fmt::Debug>(within: &Rect, boxes: &[(T, Rect)], slack: f64) {
    for (index, (one, rect)) in boxes.iter().enumerate() {
        assert!(within.contains(rect), "{one:?} leaves the page: {rect:?}");
        for (other, place) in &boxes[index + 1..] {
            let overlap = rect.grown(-slack).overlaps(place);
            assert!(!overlap, "{one:?} {rect:?} and {other:?} {place:?}");
        }
    }
}

/// Checks that labels lie within a box, off one another and off the marks.
fn check_labels(fixed: &Layout, within: &Rect) {
    let labels: Vec<_> = fixed.labels.iter().map(|label| (label, label.rect)).collect();
    check_apart(within, &labels, 0.0);
    for (label, rect) in labels {
        for Mark { centre, radius, tag, .. } in &fixed.places {
            let apart = distance(rect.nearest(*centre), *centre);
            assert!(apart >= *radius, "{label:?} covers mark {tag}");
        }
    }
}

/// Checks that no two things on the page collide.
fn check_layout(picture: &Picture, width_px: u32) {
    let fixed = laid_out(picture, width_px);
    check_labels(&fixed, &fixed.plan);
    for mark in &fixed.marks {
        assert!(fixed.plan.contains(mark), "a mark leaves the plan");
    }
    let mut boxes = vec![fixed.plan, fixed.scale_bar];
    boxes.extend(fixed.margins);
    boxes.extend(fixed.legend.iter().copied());
    boxes.extend(fixed.key);
    let boxes: Vec<_> = boxes.into_iter().map(|rect| (width_px, rect)).collect();
    check_apart(&fixed.page, &boxes, 0.0);
    // Every ranked spot with words is either labelled or in the key.
    for (index, spot) in picture.spots.iter().enumerate() {
        let labels = fixed.labels.iter();
        let labels = labels.filter(|label| label.of == LabelOf::Spot(index)).count();
        let keys = fixed.spots_in_key.iter().filter(|&&one| one == index);
        let words = spot.pin().is_some() && !spot.label.is_empty();
        assert_eq!(labels + keys.count(), usize::from(words), "spot {index}");
    }
    // Every device is either labelled or in the key, never both and never neither.
    for (index, device) in picture.devices.iter().enumerate() {
        let labels = fixed.labels.iter().filter(|label| label.of == LabelOf::Device(index)).count();
        let keys = fixed.in_key.iter().filter(|&&one| one == index).count();
        let numbered = device.kind != DeviceKind::Sensor && device.number.is_some();
        let unheard = !links::words(device).is_empty();
        let nameless = device.name.is_empty() && device.finding.is_none() && !numbered && !unheard;
        assert_eq!(labels + keys, usize::from(!nameless), "device {index}");
    }
}

#[test]
fn nothing_collides_on_a_plan() {
    let paths = [paths(16, 6), paths(9, 10), paths(0, 1)];
    for picture in [house(), office(), spots(), linked()].iter().chain(&paths) {
        for width in SIZES {
            check_layout(picture, width);
        }
    }
}

#[test]
fn a_house_needs_no_key() {
    assert!(laid_out(&house(), 1600).in_key.is_empty());
}

#[test]
fn the_png_is_whole_and_of_the_size_asked_for() {
    let picture = house();
    let bytes = png(&picture, Size::default()).expect("a PNG");
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n") && bytes.ends_with(b"IEND\xaeB`\x82"));
    let number =
        |at: usize| u32::from_be_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]]);
    assert_eq!((number(16), number(20)), laid_out(&picture, 1600).size_px());
    assert_eq!(number(16), 1600);
}

#[test]
fn the_svg_is_small_escaped_and_names_every_sensor() {
    let picture = house();
    let text = svg(&picture, Size::default()).expect("an SVG");
    assert!(text.len() < 1_000_000, "{} bytes", text.len());
    assert!(!text.contains("<script"), "a name was not escaped");
    assert!(text.contains("smoke &amp; CO"));
    for device in picture.devices.iter().filter(|device| device.kind == DeviceKind::Sensor) {
        let number = device.number.expect("a number");
        assert!(text.contains(&format!(">\n{number}\n</text>")), "sensor {number}");
    }
    let failing =
        picture.devices.iter().filter(|device| device.finding == Some(Finding::Failing)).count();
    assert!(failing > 0);
    // Each failing device's label, the legend's line, and the headline.
    assert_eq!(text.matches("FAILING").count(), failing + 2);
}

#[test]
fn the_same_picture_gives_the_same_bytes() {
    let picture = house();
    assert_eq!(png(&picture, Size::default()).ok(), png(&picture, Size::default()).ok());
    assert_eq!(svg(&picture, Size::default()).ok(), svg(&picture, Size::default()).ok());
}

#[test]
fn a_small_plan_as_svg() {
    let text = svg(&tiny(), Size { width_px: 480 }).expect("an SVG");
    insta::assert_snapshot!(text);
}

#[test]
fn poor_input_is_drawn_or_refused_but_never_panics() {
    let size = Size { width_px: 480 };
    assert!(png(&Picture::default(), size).is_ok(), "an empty picture");
    let base = tiny();
    let field = |columns: usize, rows: usize, values: &[f64]| Picture {
        field: Some(Field {
            origin: [1.0, 1.0],
            cell_m: 0.5,
            columns,
            rows,
            margin_db: values.to_vec(),
        }),
        ..base.clone()
    };
    let (nan, inf) = (f64::NAN, f64::INFINITY);
    for picture in [
        field(1, 1, &[3.0]),
        field(1, 3, &[inf, -inf, nan]),
        field(2, 2, &[nan; 4]),
        field(3, 1, &[nan, 20.0, -1e300]),
        field(0, 0, &[]),
        field(4, 4, &[13.0; 16]),
    ] {
        assert!(png(&picture, size).is_ok() && svg(&picture, size).is_ok());
    }
    assert!(matches!(png(&field(2, 2, &[0.0; 3]), size), Err(DrawError::FieldShape { .. })));
    assert!(matches!(
        png(&field(usize::MAX, 2, &[0.0; 3]), size),
        Err(DrawError::FieldShape { .. })
    ));
    let mut bad = base.clone();
    bad.walls[0].a[0] = nan;
    assert!(matches!(png(&bad, size), Err(DrawError::Number { .. })));
    let mut bad = base.clone();
    bad.thresholds.sound_from_db = bad.thresholds.failing_below_db - 1.0;
    assert!(matches!(png(&bad, size), Err(DrawError::Number { .. })));
    let mut flat = base.clone();
    flat.walls[0].b = flat.walls[0].a;
    flat.walls[1].thickness_m = 0.0;
    flat.openings[0].b = flat.openings[0].a;
    flat.obstacles.push(AreaMark { outline: vec![[0.0; 2]; 5], label: "x".repeat(500) });
    assert!(png(&flat, size).is_ok() && svg(&flat, size).is_ok());
}

#[test]
fn the_page_stays_within_its_bounds() {
    for (wide, high) in [(1.0, 400.0), (400.0, 1.0), (0.0, 0.0), (1e5, 1e5)] {
        let mut picture = tiny();
        picture.field = None;
        picture.walls = vec![WallMark { b: [wide, high], ..WallMark::default() }];
        for width_px in [0, 480, 1600, 1_000_000] {
            let (width, height) = laid_out(&picture, width_px).size_px();
            assert!((480..=6000).contains(&width) && (200..=4000).contains(&height));
        }
    }
}

#[test]
fn cells_without_a_value_are_left_white() {
    let mut picture = tiny();
    let before = svg(&picture, Size::default()).expect("an SVG");
    if let Some(field) = &mut picture.field {
        field.margin_db[9] = f64::NAN;
    }
    let after = svg(&picture, Size::default()).expect("an SVG");
    assert!(!before.contains("no value") && after.contains("no value"));
}
