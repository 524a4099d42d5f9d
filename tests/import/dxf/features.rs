//! One small drawing for each thing that is read.

use geo::{Euclidean, Geometry, Length, Line};
use import::{Draft, Kind, Settings, What, draft};

use super::super::known::{imported, plain, refused};
use super::drawing::{Drawing, arc, binary, insert, line, polyline, rectangle, two_rooms};

pub fn read(drawing: &Drawing) -> Draft {
    read_with(drawing, &plain())
}

pub fn read_with(drawing: &Drawing, settings: &Settings) -> Draft {
    imported(Kind::Dxf, "test.dxf", drawing.text().as_bytes(), settings).0
}

/// Walls with their lengths, constructions and thicknesses.
pub fn walls(draft: &Draft) -> Vec<(Line<f64>, String, Option<f64>)> {
    let walls = draft.pieces.iter().filter_map(|piece| match (&piece.shape, &piece.what) {
        (Geometry::Line(line), What::Wall { construction, thickness_mm, .. }) => {
            Some((*line, construction.clone(), *thickness_mm))
        }
        _ => None,
    });
    walls.collect()
}

/// Openings with their constructions and whether they are ways in.
fn openings(draft: &Draft) -> Vec<(Line<f64>, String, bool)> {
    let openings = draft.pieces.iter().filter_map(|piece| match (&piece.shape, &piece.what) {
        (Geometry::Line(line), What::Opening { construction, entry, .. }) => {
            Some((*line, construction.clone(), *entry))
        }
        _ => None,
    });
    openings.collect()
}

pub fn total(draft: &Draft) -> f64 {
    walls(draft).iter().map(|(line, ..)| Euclidean.length(line)).sum()
}

pub fn mapped(layer: &str, to: &str) -> Settings {
    let mut settings = plain();
    settings.map.insert(layer.to_owned(), to.to_owned());
    settings
}

pub fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 0.002, "{a} is not {b}");
}

fn fault_says(drawing: &Drawing, words: &[&str]) {
    let faults = refused(Kind::Dxf, "test.dxf", drawing.text().as_bytes());
    let text = faults[0].to_string();
    for word in words {
        assert!(text.contains(word), "{text}");
    }
}

#[test]
fn two_lines_are_the_faces_of_one_wall_and_corners_are_closed() {
    let draft = read(&two_rooms());
    let walls = walls(&draft);
    assert_eq!(walls.len(), 5, "{walls:#?}");
    // Centre lines by hand: 7.7 along the front and back, 4.7 at the sides and between.
    close(total(&draft), 2.0 * 7.7 + 3.0 * 4.7);
    let thick = |mm: f64| {
        let own = walls.iter().filter(|wall| wall.2.is_some_and(|own| (own - mm).abs() < 0.1));
        own.count()
    };
    assert_eq!((thick(300.0), thick(100.0)), (4, 1));
    let inside: Vec<_> = walls.iter().filter(|wall| wall.1 == "brick-half").collect();
    assert_eq!(inside.len(), 1);
    close(inside[0].0.start.x, 4.05);
    close(inside[0].0.end.x, 4.05);
    assert_eq!(walls.iter().filter(|wall| wall.1 == "brick-cavity").count(), 4);
}

#[test]
fn an_arc_is_a_door_and_lines_in_a_wall_are_a_window() {
    let draft = read(&two_rooms());
    let openings = openings(&draft);
    assert_eq!(openings.len(), 2, "{openings:#?}");
    let (door, ..) = openings.iter().find(|o| o.1 == "door-solid").unwrap();
    close(door.start.x, 4.05);
    close(door.start.y.min(door.end.y), 2.0);
    close(door.start.y.max(door.end.y), 2.9);
    let (window, ..) = openings.iter().find(|o| o.1 == "glass-double").unwrap();
    close(window.start.y, 0.15);
    close(window.start.x.min(window.end.x), 1.5);
    close(window.start.x.max(window.end.x), 2.7);
    assert!(openings.iter().all(|opening| !opening.2));
}

#[test]
fn a_door_in_an_outside_wall_is_a_way_in() {
    let mut drawing = two_rooms();
    drawing.add(&arc("A-DOOR", (5_000.0, 0.0), 1_000.0, 0.0, 90.0));
    let draft = read(&drawing);
    let entries: Vec<_> = openings(&draft).into_iter().filter(|o| o.2).collect();
    assert_eq!(entries.len(), 1);
    close(Euclidean.length(&entries[0].0), 1.0);
}

#[test]
fn what_is_not_read_is_told() {
    let mut drawing = two_rooms();
    drawing.add("0\nLEADER\n8\nA-ANNO\n0\nLEADER\n8\nA-ANNO\n");
    let draft = read(&drawing);
    for (about, taken) in
        [("entities that are not read", "LEADER (2)"), ("layers left out", "\"A-FURN\" (4)")]
    {
        let guess = draft.guesses.iter().find(|guess| guess.about == about).unwrap();
        assert!(guess.taken.contains(taken), "{}", guess.taken);
    }
}

#[test]
fn the_unit_is_the_headers_the_users_or_guessed() {
    let metres = |header: &str, size: f64, user: Option<f64>| {
        let mut drawing = Drawing { header: header.to_owned(), ..Drawing::default() };
        drawing.add(&line("wall", (0.0, 0.0), (size, 0.0)));
        let settings = Settings { metres_per_unit: user, ..plain() };
        total(&read_with(&drawing, &settings))
    };
    close(metres("9\n$INSUNITS\n70\n1\n", 400.0, None), 10.16);
    close(metres("9\n$INSUNITS\n70\n6\n", 12.5, None), 12.5);
    close(metres("9\n$INSUNITS\n70\n6\n", 12.5, Some(0.3048)), 3.81);
    close(metres("9\n$MEASUREMENT\n70\n1\n", 9_000.0, None), 9.0);
    close(metres("9\n$MEASUREMENT\n70\n0\n", 400.0, None), 10.16);
    close(metres("", 12.0, None), 12.0);
    close(metres("", 1_200.0, None), 12.0);
    close(metres("", 12_000.0, None), 12.0);
}

#[test]
fn layers_are_mapped_whatever_their_case_or_left_out() {
    let mut drawing = two_rooms();
    drawing.add(&line("Plan9", (1_000.0, 8_000.0), (5_000.0, 8_000.0)));
    let draft = read_with(&drawing, &mapped("plan9", "concrete-200"));
    let concrete: Vec<_> = walls(&draft).into_iter().filter(|w| w.1 == "concrete-200").collect();
    assert_eq!(concrete.len(), 1);
    close(Euclidean.length(&concrete[0].0), 4.0);
    assert_eq!(concrete[0].2, None);
    let draft = read_with(&drawing, &mapped("a-glaz", "none"));
    assert_eq!(openings(&draft).len(), 1);
}

#[test]
fn a_layer_that_is_not_there_is_a_fault_with_the_nearest_name() {
    let text = two_rooms().text();
    let faults = draft(Kind::Dxf, "t.dxf", text.as_bytes(), &mapped("A-WAL", "brick-half"));
    let text = faults.unwrap_err()[0].to_string();
    assert!(text.contains("A-WAL") && text.contains("did you mean \"A-WALL\"?"), "{text}");
}

#[test]
fn without_a_layer_of_walls_the_layers_are_listed() {
    let mut drawing = Drawing::in_unit(4);
    drawing.add(&rectangle("Plan", (0.0, 0.0), (8_000.0, 5_000.0)));
    drawing.add(&line("Red", (0.0, 0.0), (8_000.0, 5_000.0)));
    fault_says(&drawing, &["\"Plan\" (4 lines)", "\"Red\" (1 lines)", "--map \"Plan\"="]);
}

/// Blocks in blocks, mirrored, turned, in rows and columns.
fn nested() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    let angle = line("0", (1.0, 1.0), (4.0, 1.0)) + &line("0", (1.0, 1.0), (1.0, 3.0));
    drawing.block("Angle", (1.0, 1.0), &angle);
    let twice = [(41, "-2"), (42, "1.5"), (50, "30")];
    let outer = insert("0", "ANGLE", (2.0, 5.0), &twice) + &line("Wall", (0.0, -5.0), (0.0, -2.5));
    drawing.block("Outer", (0.0, 0.0), &outer);
    let rows = [(50, "90"), (70, "3"), (71, "2"), (44, "20"), (45, "15")];
    drawing.add(&insert("Wall", "Outer", (100.0, 50.0), &rows));
    drawing.add(&insert("Wall", "Angle", (10.0, 10.0), &[(210, "0"), (220, "0"), (230, "-1")]));
    drawing
}

#[test]
fn blocks_are_inserted_as_another_reader_does() {
    let draft = read(&nested());
    let (mut low, mut high) = ((f64::INFINITY, f64::INFINITY), (0.0_f64, 0.0_f64));
    for (line, ..) in walls(&draft) {
        for at in [line.start, line.end] {
            low = (low.0.min(at.x), low.1.min(at.y));
            high = (high.0.max(at.x), high.1.max(at.y));
        }
    }
    assert_eq!(walls(&draft).len(), NESTED.0);
    close(total(&draft), NESTED.1);
    close(low.0, 0.0);
    close(low.1, 0.0);
    close(high.0, NESTED.2);
    close(high.1, NESTED.3);
}

/// Count, total length, width and depth of the strokes of `nested`, by ezdxf 1.4.5 (`multi_insert`,
/// `virtual_entities`), in metres; the width by hand, as one line stands 5 m farther out than then.
const NESTED: (usize, f64, f64, f64) = (20, 74.0, 118.0, 82.0);

#[test]
fn curves_are_flattened_to_five_millimetres() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&polyline("wall", false, &[(0.0, 0.0, 1.0), (8.0, 0.0, 0.0)]));
    drawing.add(&arc("wall", (20.0, 0.0), 4.0, 0.0, 90.0));
    let old = "0\nPOLYLINE\n8\nwall\n66\n1\n70\n0\n0\nVERTEX\n8\nwall\n10\n40\n20\n0\n42\n-0.5\n0\nVERTEX\n8\nwall\n10\n43\n20\n4\n0\nSEQEND\n";
    drawing.add(old);
    let draft = read(&drawing);
    // By hand: a half and a quarter of a circle of 4 m, and one of a bulge of 0.5 over a chord of 5
    // m.
    let sweep = 4.0 * 0.5_f64.atan();
    let exact = 6.0 * std::f64::consts::PI + sweep * 2.5 / (sweep / 2.0).sin();
    let flat = total(&draft);
    assert!(flat <= exact && flat > exact * 0.998, "{flat} {exact}");
    for (line, ..) in walls(&draft).iter().filter(|(line, ..)| line.start.x < 10.0) {
        let middle = (line.start + line.end) / 2.0;
        // The lowest point of the half circle is zero: its centre lies at (4, 4).
        let radius = (middle.x - 4.0).hypot(middle.y - 4.0);
        assert!((3.995 - 1e-6..=4.0 + 1e-6).contains(&radius), "{radius}");
    }
}

#[test]
fn a_symbol_of_a_door_is_a_door() {
    let mut drawing = two_rooms();
    let leaf = arc("0", (0.0, 0.0), 1.0, 0.0, 90.0) + &line("0", (0.0, 0.0), (0.0, 1.0));
    drawing.block("Door single", (0.0, 0.0), &leaf);
    let scale = [(41, "-800"), (42, "800")];
    drawing.add(&insert("Symbols", "Door single", (7_000.0, 5_000.0), &scale));
    let draft = read(&drawing);
    let entries: Vec<_> = openings(&draft).into_iter().filter(|o| o.2).collect();
    assert_eq!(entries.len(), 1);
    close(entries[0].0.start.x.max(entries[0].0.end.x), 7.0);
    close(entries[0].0.start.x.min(entries[0].0.end.x), 6.2);
}

#[test]
fn blocks_in_a_circle_are_named() {
    let mut drawing = two_rooms();
    drawing.block("North", (0.0, 0.0), &insert("0", "South", (0.0, 0.0), &[]));
    drawing.block("South", (0.0, 0.0), &insert("0", "NORTH", (0.0, 0.0), &[]));
    drawing.add(&insert("0", "North", (0.0, 0.0), &[]));
    fault_says(&drawing, &["circle", "\"North\" in \"South\" in \"North\""]);
}

#[test]
fn hostile_drawings_are_refused() {
    let mut array = two_rooms();
    array.block("Dot", (0.0, 0.0), &line("0", (0.0, 0.0), (1.0, 0.0)));
    array.add(&insert("0", "Dot", (0.0, 0.0), &[(70, "30000"), (71, "30000")]));
    fault_says(&array, &["\"Dot\"", "1000 copies"]);
    let mut not_a_number = two_rooms();
    not_a_number.add("0\nLINE\n8\nA-WALL\n10\nNaN\n");
    fault_says(&not_a_number, &["test.dxf:", "is expected, not", "\"NaN\""]);
    let mut wide = two_rooms();
    wide.add(&line("A-WALL", (0.0, 0.0), (3e6, 0.0)));
    fault_says(&wide, &["3000 m"]);
    let text = two_rooms().text();
    for cut in [10, text.len() / 2, text.len() - 5] {
        let faults = refused(Kind::Dxf, "test.dxf", &text.as_bytes()[..cut]);
        assert_eq!(faults.len(), 1, "{faults:?}");
    }
    refused(Kind::Dxf, "test.dxf", b"");
}

#[test]
fn a_binary_drawing_is_the_same_as_its_text() {
    let text = two_rooms().text();
    let of_text = read(&two_rooms());
    for wide in [false, true] {
        let bytes = binary(&text, wide);
        let (draft, _) = imported(Kind::Dxf, "test.dxf", &bytes, &plain());
        assert_eq!(draft, of_text);
        refused(Kind::Dxf, "test.dxf", &bytes[..bytes.len() - 6]);
    }
}

#[test]
fn the_shipped_drawing_has_its_rooms_doors_and_windows() {
    let bytes = include_bytes!("../../../floorplans/drawing/hazel-cottage.dxf");
    let (draft, plan) = imported(Kind::Dxf, "hazel-cottage.dxf", bytes, &plain());
    let walls = walls(&draft);
    // Centre lines, by hand: the outside ones 10.1 and 8.1 m, then across, along and between.
    assert_eq!(walls.len(), 9);
    close(total(&draft), 2.0 * (10.1 + 8.1) + 8.1 + 5.7 + 2.0 * 4.4 + 2.0);
    let openings = openings(&draft);
    let mut doors: Vec<f64> = openings
        .iter()
        .filter(|opening| opening.1 == "door-solid")
        .map(|opening| Euclidean.length(&opening.0))
        .collect();
    doors.sort_by(f64::total_cmp);
    assert_eq!(doors.len(), 7);
    for (door, width) in doors.iter().zip([0.7, 0.8, 0.8, 0.8, 0.8, 0.9, 0.9]) {
        close(*door, width);
    }
    assert_eq!(openings.iter().filter(|opening| opening.2).count(), 2);
    let glass = openings.iter().filter(|opening| opening.1 == "glass-double");
    close(glass.map(|window| Euclidean.length(&window.0)).sum(), 1.8 + 1.2 + 1.2 + 0.6 + 1.5 + 1.8);
    assert_eq!(plan.name, "hazel-cottage");
}

#[test]
fn single_lines_of_a_layer_without_pairs_are_walls_of_unknown_thickness() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("Mur", (0.0, 0.0), (6.0, 4.0)));
    let walls = walls(&read(&drawing));
    assert_eq!(walls.len(), 4);
    assert!(walls.iter().all(|wall| wall.2.is_none() && wall.1 == "brick-cavity"));
}

#[test]
fn a_gap_without_a_door_is_counted() {
    let mut drawing = Drawing::in_unit(6);
    for y in [0.0, 0.2] {
        drawing.add(&line("wall", (0.0, y), (3.0, y)));
        drawing.add(&line("wall", (5.0, y), (9.0, y)));
    }
    let draft = read(&drawing);
    assert_eq!(walls(&draft).len(), 1);
    let told = draft.guesses.iter().find(|g| g.about == "gaps in walls").unwrap();
    assert_eq!(told.pieces, 1);
}

#[test]
fn a_round_wall_keeps_its_thickness() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&arc("wall", (0.0, 0.0), 4.0, 0.0, 90.0));
    drawing.add(&arc("wall", (0.0, 0.0), 4.2, 0.0, 90.0));
    let draft = read(&drawing);
    let walls = walls(&draft);
    // Chords of both arcs at one angle lie nearer than the arcs, by less than the sagitta.
    assert!(
        walls.iter().all(|wall| wall.2.is_some_and(|mm| (mm - 200.0).abs() < 1.5)),
        "{walls:?}"
    );
    let middle = 4.1 * std::f64::consts::FRAC_PI_2;
    assert!((total(&draft) - middle).abs() < 0.06, "{} {middle}", total(&draft));
}

#[test]
fn hatching_on_a_layer_of_walls_is_read_in_bounded_time() {
    let mut drawing = Drawing::in_unit(6);
    for number in 0..20_000 {
        let y = f64::from(number) * 0.0005;
        drawing.add(&line("wall", (0.0, y), (20.0, y + 1.0)));
    }
    // Half a millimetre apart they pair with those forty millimetres away, as far as the looks go.
    let text = drawing.text();
    match draft(Kind::Dxf, "test.dxf", text.as_bytes(), &plain()) {
        Ok(draft) => assert!(draft.pieces.len() < 20_000),
        Err(faults) => assert!(!faults.is_empty()),
    }
}

#[test]
fn names_hold_letters_as_utf_8_or_by_their_codes() {
    let usual = read(&two_rooms());
    for name in ["Wände", "W\\U+00E4nde"] {
        let entities = two_rooms().entities.replace("A-WALL", name);
        let draft = read(&Drawing { entities, ..two_rooms() });
        assert!(draft.guesses[0].about.contains("Wände"), "{:?}", draft.guesses);
        assert_eq!(walls(&draft), walls(&usual));
    }
}

#[test]
fn a_polyline_says_where_its_corners_are() {
    let mut drawing = two_rooms();
    drawing.add("0\nLWPOLYLINE\n8\nA-WALL\n90\n1\n20\n5\n10\n3\n");
    fault_says(&drawing, &["a corner's x", "\"5\""]);
}

fn table(rows: &[(&str, &str, &str)]) -> String {
    let row = |(name, flags, colour): &(&str, &str, &str)| {
        format!("0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{colour}\n")
    };
    let rows: String = rows.iter().map(row).collect();
    format!("0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n{rows}0\nENDTAB\n0\nENDSEC\n")
}

#[test]
fn layers_switched_off_or_frozen_are_left_out_unless_mapped() {
    let mut drawing = two_rooms();
    drawing.add(&line("Old wall", (1_000.0, 8_000.0), (6_000.0, 8_000.0)));
    drawing.add(&line("Old wall", (1_000.0, 8_100.0), (6_000.0, 8_100.0)));
    drawing.block("Wing", (0.0, 0.0), &line("A-WALL", (0.0, 9_000.0), (9_000.0, 9_000.0)));
    drawing.add(&insert("Frozen", "Wing", (0.0, 0.0), &[]));
    let rows = table(&[("OLD WALL", "0", "-7"), ("FROZEN", "1", "7"), ("A-WALL", "0", "7")]);
    let bytes = (rows + &drawing.text()).into_bytes();
    let (draft, _) = imported(Kind::Dxf, "test.dxf", &bytes, &plain());
    close(total(&draft), total(&read(&two_rooms())));
    let told = draft.guesses.iter().find(|guess| guess.about.contains("switched off")).unwrap();
    assert!(told.taken.contains("\"Old wall\""), "{}", told.taken);
    let (draft, _) = imported(Kind::Dxf, "t.dxf", &bytes, &mapped("old wall", "concrete-200"));
    assert_eq!(walls(&draft).iter().filter(|wall| wall.1 == "concrete-200").count(), 1);
}

#[test]
fn blocks_are_mapped_by_name() {
    let mut drawing = two_rooms();
    drawing.block("K7", (0.0, 0.0), &rectangle("0", (0.0, 0.0), (1_000.0, 300.0)));
    drawing.add(&insert("0", "K7", (5_000.0, 0.0), &[]));
    assert_eq!(openings(&read(&drawing)).len(), 2);
    let glazed = openings(&read_with(&drawing, &mapped("k7", "glass-triple-coated")));
    assert_eq!(glazed.iter().filter(|opening| opening.1 == "glass-triple-coated").count(), 1);
}

#[test]
fn the_header_s_unit_is_not_believed_where_it_makes_no_walls() {
    // Drawn in millimetres under a header that says centimetres: 80 m, walls 3 m thick.
    let drawing = Drawing { header: "9\n$INSUNITS\n70\n5\n".to_owned(), ..two_rooms() };
    let draft = read(&drawing);
    close(total(&draft), 2.0 * 7.7 + 3.0 * 4.7);
    let told = draft.guesses.iter().find(|guess| guess.about == "unit").unwrap();
    assert!(told.taken.contains("millimetres") && told.taken.contains("centimetres"));
}

#[test]
fn a_dwg_or_picture_is_named_whatever_its_ending() {
    for (bytes, word) in [(&b"AC1032\0\0\0\0"[..], "DWG"), (b"GIF89a", "picture")] {
        let faults = refused(Kind::Dxf, "test.dxf", bytes);
        assert!(faults[0].what.contains(word), "{}", faults[0]);
        assert!(!faults[0].fix.is_empty());
    }
}
