//! PDFs with vectors: what their pages draw becomes the plan that the same lines in DXF become.

use geo::{Geometry, Line};
use import::pdf::Scale;
use import::{Draft, Kind, Settings, What};

use super::dxf::drawing::{Drawing, arc, line as dxf_line};
use super::known::{imported, plain, refused};
use made::{Made, PT, line, page, place, quarter};

mod made;
mod odd;
mod painted;

/// The lines of a house of 8 × 5 m with two rooms, a door between them and a window; thick, thin.
pub type Lines = Vec<((f64, f64), (f64, f64))>;

fn house() -> (Lines, Lines) {
    let ring = |(x0, y0): (f64, f64), (x1, y1): (f64, f64)| {
        [((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x1, y1), (x0, y1)), ((x0, y1), (x0, y0))]
    };
    let mut thick: Lines = Vec::new();
    // The outside, with a window in the lower wall.
    for (y, x) in [(0.0, (0.0, 8.0)), (0.3, (0.3, 3.5))] {
        thick.push(((x.0, y), (1.5, y)));
        thick.push(((2.7, y), (x.1, y)));
    }
    thick.push(((3.6, 0.3), (7.7, 0.3)));
    thick.extend([((1.5, 0.0), (1.5, 0.3)), ((2.7, 0.0), (2.7, 0.3))]);
    thick.extend(ring((0.0, 0.0), (8.0, 5.0)).into_iter().skip(1));
    // The inside of both rooms, with a door from 2.0 to 2.9 m in the wall between them.
    for (x, far) in [(3.5, 0.3), (3.6, 7.7)] {
        thick.extend([((far, 0.3), (far, 4.7)), ((far, 4.7), (x, 4.7))]);
        thick.extend([((x, 0.3), (x, 2.0)), ((x, 2.9), (x, 4.7))]);
    }
    thick.extend([((3.5, 2.0), (3.6, 2.0)), ((3.5, 2.9), (3.6, 2.9))]);
    let panes = [0.1, 0.2].map(|y| ((1.5, y), (2.7, y)));
    let leaf = ((3.5, 2.0), (2.6, 2.0));
    (thick, [&panes[..], &[leaf]].concat())
}

/// The swing of its door: hinge, radius, and where it begins.
const SWING: ((f64, f64), f64, f64) = ((3.5, 2.0), 0.9, 90.0);

/// What the page draws of the house with its pens.
pub fn content() -> String {
    let (thick, thin) = house();
    let lines = |lines: &Lines| lines.iter().map(|(a, b)| line(*a, *b)).collect::<String>();
    let swing = quarter(SWING.0, SWING.1, SWING.2);
    format!("1.417 w\n{}0.51 w\n{}{swing}", lines(&thick), lines(&thin))
}

fn as_drawing() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    let (thick, thin) = house();
    thick.iter().for_each(|(a, b)| drawing.add(&dxf_line("0.50 mm", *a, *b)));
    thin.iter().for_each(|(a, b)| drawing.add(&dxf_line("0.18 mm", *a, *b)));
    drawing.add(&arc("0.18 mm", SWING.0, SWING.1, SWING.2, SWING.2 + 90.0));
    drawing
}

pub fn at_50() -> Settings {
    Settings { scale: Some(Scale::Ratio(50.0)), ..plain() }
}

fn read(file: &[u8], settings: &Settings) -> Draft {
    imported(Kind::Pdf, "test.pdf", file, settings).0
}

/// Every wall and opening in words, to a centimetre, from the least corner of all on.
pub fn told(draft: &Draft) -> Vec<String> {
    let line = |shape: &Geometry<f64>| match shape {
        Geometry::Line(line) => Some(*line),
        _ => None,
    };
    let lines: Vec<(Line<f64>, &What)> =
        draft.pieces.iter().filter_map(|piece| Some((line(&piece.shape)?, &piece.what))).collect();
    let ends = || lines.iter().flat_map(|(line, _)| [line.start, line.end]);
    let x0 = ends().map(|at| at.x).fold(f64::INFINITY, f64::min);
    let y0 = ends().map(|at| at.y).fold(f64::INFINITY, f64::min);
    let mut told: Vec<String> = lines
        .iter()
        .map(|(line, what)| {
            let mut ends = [line.start, line.end].map(|at| {
                let cm = |metres: f64| (metres * 100.0).round() as i64;
                (cm(at.x - x0), cm(at.y - y0))
            });
            ends.sort_unstable();
            match what {
                What::Wall { construction, thickness_mm, .. } => {
                    let cm = thickness_mm.map(|mm| (mm / 10.0).round());
                    format!("wall {construction} {cm:?} {ends:?}")
                }
                What::Opening { construction, entry, open, .. } => {
                    format!("opening {construction} {entry} {open} {ends:?}")
                }
                other => format!("{other:?}"),
            }
        })
        .collect();
    told.sort();
    told
}

#[test]
fn a_page_gives_the_plan_that_the_same_lines_in_a_drawing_give() {
    let (draft, plan) = imported(Kind::Pdf, "test.pdf", &page(&content()), &at_50());
    let drawn = as_drawing();
    let (wanted, _) = imported(Kind::Dxf, "test.dxf", drawn.text().as_bytes(), &plain());
    assert_eq!(told(&draft), told(&wanted));
    assert_eq!((plan.walls.len(), plan.openings.len()), (5, 2), "{:#?}", told(&draft));
    let openings = told(&draft);
    assert!(openings.iter().any(|one| one.starts_with("opening door-solid false false")));
    assert!(openings.iter().any(|one| one.starts_with("opening glass-double")));
    assert!(draft.original.iter().all(|one| one.is_taken), "{:#?}", draft.original);
}

#[test]
fn rotation_unit_and_forms_give_the_same_plan() {
    let wanted = told(&read(&page(&content()), &at_50()));
    // Turned back by the page, the plan stands as it was.
    for (degrees, [a, b, c, d]) in
        [(90, [0, 1, -1, 0]), (180, [-1, 0, 0, -1]), (270, [0, -1, 1, 0]), (-90, [0, -1, 1, 0])]
    {
        let turned = format!("q {a} {b} {c} {d} 300 300 cm {} Q", content());
        let rotated = format!("/Rotate {degrees}");
        let file = Made::default().with_pages(&[(&turned, &rotated)], "");
        assert_eq!(told(&read(&file, &at_50())), wanted, "{degrees}");
    }
    let half = format!("0.5 0 0 0.5 0 0 cm {}", content());
    let file = Made::default().with_pages(&[(&half, "/UserUnit 2")], "");
    assert_eq!(told(&read(&file, &at_50())), wanted);
    // A form in a form, each with a matrix, and the resources of the page.
    let mut made = Made::default();
    let inner = "/Type /XObject /Subtype /Form /BBox [0 0 900 900] /Matrix [2 0 0 2 0 0]";
    let inner = made.stream(inner, content().as_bytes());
    let outer = format!(
        "/Type /XObject /Subtype /Form /BBox [0 0 900 900] /Matrix [0.5 0 0 0.5 0 0] \
         /Resources << /XObject << /In {inner} 0 R >> >>"
    );
    let outer = made.stream(&outer, b"/In Do");
    let resources = format!("/Resources << /XObject << /Out {outer} 0 R >> >>");
    let file = made.with_pages(&[("q 1 0 0 1 40 10 cm /Out Do Q", &resources)], "");
    assert_eq!(told(&read(&file, &at_50())), wanted);
}

#[test]
fn layers_of_optional_content_have_their_names_and_hidden_ones_are_left_out() {
    let mut made = Made::default();
    let walls = made.object("<< /Type /OCG /Name (A-WALL) >>");
    let doors = made.object("<< /Type /OCG /Name <FEFF0044006F006F0072> >>");
    let hidden = made.object("<< /Type /OCG /Name (A-WALL-OLD) >>");
    let (thick, thin) = house();
    let lines = |lines: &Lines| lines.iter().map(|(a, b)| line(*a, *b)).collect::<String>();
    let swing = quarter(SWING.0, SWING.1, SWING.2);
    let (panes, leaf) = thin.split_at(2);
    let content = format!(
        "/OC /W BDC {} EMC {} /OC /D BDC {}{swing} EMC /OC /H BDC {}{} EMC",
        lines(&thick),
        lines(&panes.to_vec()),
        lines(&leaf.to_vec()),
        line((1.0, 1.0), (7.0, 1.0)),
        line((1.0, 1.2), (7.0, 1.2)),
    );
    let resources =
        format!("/Resources << /Properties << /W {walls} 0 R /D {doors} 0 R /H {hidden} 0 R >> >>");
    let all = format!("{walls} 0 R {doors} 0 R {hidden} 0 R");
    let catalogue = format!("/OCProperties << /OCGs [{all}] /D << /OFF [{hidden} 0 R] >> >>");
    let file = made.with_pages(&[(&content, &resources)], &catalogue);
    let draft = read(&file, &at_50());
    assert_eq!(told(&draft), told(&read(&page(&self::content()), &at_50())));
    let about: Vec<&str> = draft.guesses.iter().map(|guess| guess.about.as_str()).collect();
    assert!(about.contains(&"layer \"A-WALL\"") && about.contains(&"layer \"Door\""), "{about:?}");
    assert!(about.contains(&"layers that are switched off or frozen"), "{about:?}");
    // What the user maps is wanted, shown or not.
    let map = [("A-WALL-OLD".to_owned(), "brick-half".to_owned())].into();
    let more = read(&file, &Settings { map, ..at_50() });
    assert!(told(&more).len() > told(&draft).len());
}

#[test]
fn filled_shapes_are_walls_and_white_ones_are_nothing() {
    let bar = |(x0, y0): (f64, f64), (x1, y1): (f64, f64)| {
        let (x, y, wide, high) = (60.0 + x0 * PT, 50.0 + y0 * PT, (x1 - x0) * PT, (y1 - y0) * PT);
        format!("{x:.4} {y:.4} {wide:.4} {high:.4} re f\n")
    };
    let walls = [
        bar((0.0, 0.0), (8.0, 0.3)),
        bar((0.0, 4.7), (8.0, 5.0)),
        bar((0.0, 0.0), (0.3, 5.0)),
        bar((7.7, 0.0), (8.0, 5.0)),
        bar((4.0, 0.3), (4.1, 4.7)),
    ]
    .concat();
    let white = format!("1 g {}", bar((-0.3, -0.3), (9.0, 6.0)));
    let (draft, plan) =
        imported(Kind::Pdf, "t.pdf", &page(&format!("{white}0 g {walls}")), &at_50());
    assert_eq!(plan.walls.len(), 5, "{:#?}", told(&draft));
    let thick = told(&draft).iter().filter(|one| one.contains("Some(30.0)")).count();
    assert_eq!(thick, 4, "{:#?}", told(&draft));
}

#[test]
fn the_scale_is_the_users_or_the_pages() {
    let wanted = told(&read(&page(&content()), &at_50()));
    let metres = 8.0 / (8.0 * PT);
    let by_length = Settings { scale: Some(Scale::MetresPerPoint(metres)), ..plain() };
    assert_eq!(told(&read(&page(&content()), &by_length)), wanted);
    let says = |text: &str| page(&format!("{} BT /F 12 Tf 20 20 Td ({text}) Tj ET", content()));
    let draft = read(&says("Ground floor, M 1:50"), &plain());
    assert_eq!(told(&draft), wanted);
    assert_eq!(draft.guesses[0].taken, "taken as 1:50, as the page says");
    let pieces = format!("{} BT 20 20 Td [(1) -20 (:5)] TJ 30 0 Td (0) Tj ET", content());
    assert_eq!(told(&read(&page(&pieces), &plain())), wanted);
    // The user's word goes before the page's.
    assert_eq!(told(&read(&says("1:100"), &at_50())), wanted);
    // Two doors as wide as doors are suggest one.
    let swing = |at: (f64, f64)| quarter(at, 0.9, 0.0);
    let two = format!("{}{}{}", content(), swing((1.0, 1.0)), swing((5.0, 1.0)));
    let suggested = &refused(Kind::Pdf, "t.pdf", &page(&two))[0].what;
    assert!(suggested.ends_with("by the swings of its doors it is about 1:50"), "{suggested}");
    for (file, what) in [
        (page(&content()), "the page names no scale"),
        (says("1:12 ramp"), "the page names no scale"),
        (says("1:50, details 1:20"), "several scales: 1:20, 1:50"),
    ] {
        let faults = refused(Kind::Pdf, "t.pdf", &file);
        assert!(faults[0].what.contains(what), "{faults:?}");
        assert!(faults[0].fix.contains("--scale 1:50") && faults[0].fix.contains("--length"));
    }
}

#[test]
fn the_page_with_most_lines_is_read_or_the_one_that_is_asked_for() {
    let small = line((0.0, 0.0), (3.0, 0.0));
    let all = content();
    let file = Made::default().with_pages(&[(&small, ""), (&all, ""), ("", "")], "");
    let draft = read(&file, &at_50());
    assert_eq!(draft.guesses[0].taken, "page 2 of 3, the one with most lines");
    let second = read(&file, &Settings { page: Some(2), ..at_50() });
    assert_eq!(told(&second), told(&draft));
    let faults = |page: usize| {
        let settings = Settings { page: Some(page), ..at_50() };
        import::draft(Kind::Pdf, "t.pdf", &file, &settings).expect_err("no plan")
    };
    assert!(faults(3)[0].what.contains("page 3 has no lines"), "{:?}", faults(3));
    assert!(faults(9)[0].what.contains("there is no page 9; the PDF has 3"), "{:?}", faults(9));
}

#[test]
fn a_text_in_a_room_is_its_name_also_in_pieces_and_on_a_moved_plane() {
    let [kitchen, hall] = [(1.0, 2.5), (5.0, 2.5)].map(place);
    // One word in two pieces; the other on a plane of its own, as large, with its area below.
    let texts = format!(
        "BT /F1 9 Tf {kitchen} Td (Kit) Tj 13.5 0 Td (chen) Tj ET \
         q 3 0 0 3 {hall} cm BT /F1 3 Tf 4 TL (Hall) Tj T* (19.4 m2) Tj ET Q "
    );
    let draft = read(&page(&(content() + &texts)), &at_50());
    let rooms = draft.pieces.iter().filter(|piece| piece.what == What::Room);
    let mut names: Vec<_> = rooms.filter_map(|room| room.name.as_deref()).collect();
    names.sort_unstable();
    assert_eq!(names, ["Hall", "Kitchen"]);
}
