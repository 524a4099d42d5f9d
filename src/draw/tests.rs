//! Promises of the pictures as a whole.

mod explain;
mod print;
mod sample;
mod siting;
mod tradeoff;

use crate::base::{Rect, distance};
use crate::parts::labels::LabelOf;
use crate::parts::links;
use crate::parts::mark::Mark;
use crate::*;
use sample::{comparison, house, linked, office, pair, paths, profile, spots, tiny};
use units::Lengths;

const SIZES: [u32; 4] = [480, 640, 1600, 3000];

fn laid_out(picture: &Picture, width_px: u32) -> Layout {
    layout(picture, Size { width_px }).expect("a layout")
}

/// The picture of plans at the usual size.
fn drawn(picture: &Picture) -> Drawing {
    laid_out(picture, 1600).drawing(picture)
}

/// All words of a page, a line for each piece of text.
fn words(drawing: &Drawing) -> String {
    drawing.texts().iter().map(|(text, _)| format!("\n{text}\n")).collect()
}

/// Checks that a page says all of the words that bars divide; gives all that it says.
fn check_says(drawing: &Drawing, wanted: &str) -> String {
    let said = words(drawing);
    for one in wanted.split(" | ") {
        assert!(said.contains(one), "{one} is missing in\n{said}");
    }
    said
}

/// Checks that boxes lie within another and, but for some pixels, off one another.
fn check_apart<T: std::fmt::Debug>(within: &Rect, boxes: &[(T, Rect)], slack: f64) {
    for (index, (one, rect)) in boxes.iter().enumerate() {
        assert!(within.contains(rect), "{one:?} leaves the page: {rect:?}");
        for (other, place) in &boxes[index + 1..] {
            let overlap = rect.grown(-slack).overlaps(place);
            assert!(!overlap, "{one:?} {rect:?} and {other:?} {place:?}");
        }
    }
}

/// Checks that every word is on the page and that none lies on another.
fn check_texts(drawing: &Drawing) {
    check_apart(&drawing.page, &drawing.texts(), 1.0);
}

/// Checks that a page becomes both kinds of file.
fn check_drawn(drawing: Result<Drawing, DrawError>) {
    let drawing = drawing.expect("a layout");
    assert!(drawing.png().is_ok() && drawing.svg().is_ok());
}

/// Checks that a number is refused.
fn check_refused<T>(result: Result<T, DrawError>) {
    assert!(matches!(result, Err(DrawError::Number { .. })));
}

/// Checks that labels lie within a box, off one another and off the marks.
fn check_labels(fixed: &Layout, within: &Rect) {
    let labels: Vec<_> = fixed.labels.placed.iter().map(|label| (label, label.rect)).collect();
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
    for Mark { centre, radius, .. } in &fixed.places {
        let mark = Rect::around(*centre, 2.0 * radius, 2.0 * radius);
        assert!(fixed.plan.contains(&mark), "a mark leaves the plan");
    }
    // Header, legend, key, scale bar and footer keep off the plan and off one another.
    let front = Drawing { page: fixed.page, canvas: fixed.front.clone(), dense: false };
    let mut boxes = front.texts();
    boxes.push(("the plan", fixed.plan));
    check_apart(&fixed.page, &boxes, 1.0);
    let labels = &fixed.labels;
    let times = |of: LabelOf, left: &[usize], index: usize| {
        let placed = labels.placed.iter().filter(|label| label.of == of);
        placed.count() + left.iter().filter(|&&one| one == index).count()
    };
    // Every ranked spot with words is either labelled or in the key.
    for (index, spot) in picture.spots.iter().enumerate() {
        let words = spot.pin().is_some() && !spot.label.is_empty();
        let times = times(LabelOf::Spot(index), &labels.spots_left, index);
        assert_eq!(times, usize::from(words), "spot {index}");
    }
    // Every device is either labelled or in the key, never both and never neither.
    for (index, device) in picture.devices.iter().enumerate() {
        let numbered = device.kind != DeviceKind::Sensor && device.number.is_some();
        let unheard = !links::words(device).is_empty();
        let nameless = device.name.is_empty() && device.finding.is_none() && !numbered && !unheard;
        let times = times(LabelOf::Device(index), &labels.devices_left, index);
        assert_eq!(times, usize::from(!nameless), "device {index}");
    }
}

#[test]
fn nothing_collides_on_a_plan() {
    let paths = [paths(16, 6), paths(9, 10), paths(0, 1)];
    for picture in [house(), office(), spots(), linked()].iter().chain(&paths) {
        for width in &SIZES[1..] {
            check_layout(picture, *width);
        }
    }
}

#[test]
fn numbers_of_notes_keep_off_one_another_and_stand_in_the_legend() {
    let note = |number: u32, places: &[[f64; 2]]| NoteMark {
        number,
        text: format!("gaps in walls, number {number}: taken as doorways"),
        places: places.to_vec(),
    };
    let mut picture = Picture { roams: Vec::new(), field: None, ..house() };
    picture.rooms.iter_mut().for_each(|room| room.size = "12 m²".to_owned());
    picture.notes = vec![note(3, &[[3.0, 4.0], [3.05, 4.0], [9.0, 8.0]]), note(14, &[[3.1, 4.1]])];
    let line = |left_out| OriginalMark { points: [[1.0, 1.0], [5.0, 7.5]], left_out };
    picture.original = vec![line(false), line(true)];
    for width in &SIZES[1..] {
        check_layout(&picture, *width);
    }
    let laid_out = laid_out(&picture, 1600);
    let mut notes: Vec<&str> = Vec::new();
    notes.extend(laid_out.places.iter().filter(|one| one.is_note).map(|one| one.tag.as_str()));
    assert_eq!(notes, ["3", "3", "14"], "one number stands for places side by side");
    let drawing = laid_out.drawing(&picture);
    check_says(&drawing, "number 14: | its lines of which nothing was");
    for one in &mut picture.notes {
        one.text = "a gap".to_owned();
    }
    check_says(&drawn(&picture), "a gap (also 14)");
    picture.notes = (1..=40).map(|number| note(number, &[[4.0, 4.0]])).collect();
    check_layout(&picture, 1600);
    check_says(&drawn(&picture), "and 28 more");
}

#[test]
fn a_house_needs_no_key() {
    assert!(laid_out(&house(), 1600).labels.devices_left.is_empty());
}

#[test]
fn the_svg_is_small_escaped_and_names_every_sensor() {
    let picture = house();
    let text = drawn(&picture).svg().expect("an SVG");
    assert!(text.len() < 1_000_000, "{} bytes", text.len());
    assert!(!text.contains("<script"), "a name was not escaped");
    assert!(text.contains("smoke &amp; CO"));
    for device in picture.devices.iter().filter(|device| device.kind == DeviceKind::Sensor) {
        let number = device.number.expect("a number");
        assert!(text.contains(&format!(">\n{number}\n</text>")), "sensor {number}");
    }
    let failing = picture.count(Finding::Failing);
    assert!(failing > 0);
    // Each failing device's label, the legend's line, and the headline.
    assert_eq!(text.matches("FAILING").count(), failing + 2);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let size = Size { width_px: 800 };
    let makers: [&dyn Fn() -> Result<Drawing, DrawError>; 6] = [
        &|| Ok(drawn(&house())),
        &|| Ok(drawn(&paths(16, 6))),
        &|| profile(4, 8.4, Lengths::Metric).layout(size),
        &|| comparison(9).layout(size),
        &|| pair(false).layout(size),
        &|| crate::tradeoff::layout(&tradeoff::house(300), size),
    ];
    for make in makers {
        let [one, other] = [make(), make()].map(|drawing| drawing.expect("a layout"));
        assert_eq!(one.png().expect("a PNG"), other.png().expect("a PNG"));
        assert_eq!(one.svg().expect("an SVG"), other.svg().expect("an SVG"));
    }
}

#[test]
fn a_small_plan_as_svg() {
    let picture = tiny();
    insta::assert_snapshot!(laid_out(&picture, 480).svg(&picture).expect("an SVG"));
}

#[test]
fn poor_input_is_drawn_or_refused_but_never_panics() {
    let drawing = |picture: &Picture| {
        let fixed = layout(picture, Size { width_px: 480 })?;
        Ok(fixed.drawing(picture))
    };
    check_drawn(drawing(&Picture::default()));
    let base = tiny();
    let field = |columns: usize, rows: usize, margin_db: &[f64]| {
        let (origin, cell_m, margin_db) = ([1.0, 1.0], 0.5, margin_db.to_vec());
        let field = Some(Field { origin, cell_m, columns, rows, margin_db });
        drawing(&Picture { field, ..base.clone() })
    };
    let (nan, inf) = (f64::NAN, f64::INFINITY);
    check_drawn(field(1, 1, &[3.0]));
    check_drawn(field(1, 3, &[inf, -inf, 7.0]));
    check_drawn(field(3, 1, &[4.0, 20.0, -1e300]));
    check_drawn(field(0, 0, &[]));
    check_drawn(field(4, 4, &[13.0; 16]));
    check_refused(field(2, 2, &[0.0; 3]));
    check_refused(field(usize::MAX, 2, &[0.0; 3]));
    check_refused(field(2, 1, &[0.0, nan]));
    let mut bad = base.clone();
    bad.walls[0].a[0] = nan;
    check_refused(drawing(&bad));
    let mut bad = base.clone();
    bad.thresholds.sound_from_db = bad.thresholds.failing_below_db - 1.0;
    check_refused(drawing(&bad));
    let mut flat = base.clone();
    flat.walls[0].b = flat.walls[0].a;
    flat.walls[1].thickness_m = 0.0;
    flat.openings[0].b = flat.openings[0].a;
    flat.obstacles.push(AreaMark {
        outline: vec![[0.0; 2]; 5],
        label: "x".repeat(500),
        size: String::new(),
    });
    check_drawn(drawing(&flat));
}

#[test]
fn the_page_stays_within_its_bounds() {
    for (wide, high) in [(1.0, 400.0), (400.0, 1.0), (0.0, 0.0), (1e5, 1e5)] {
        let walls = vec![WallMark { b: [wide, high], ..WallMark::default() }];
        let picture = Picture { field: None, walls, ..tiny() };
        for width_px in [0, 480, 1600, 1_000_000] {
            let (width, height) = laid_out(&picture, width_px).size_px();
            assert!((480..=6000).contains(&width) && (200..=4000).contains(&height));
        }
    }
}
