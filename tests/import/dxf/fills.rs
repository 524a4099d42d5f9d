//! Walls that are drawn as filled areas, wide lines and curves.

use super::drawing::{Drawing, groups, line, polyline, rectangle, two_rooms};
use super::features::{close, read, total, walls};

/// Groups of numbers.
fn numbers(all: &[(i32, f64)]) -> String {
    all.iter().map(|(code, number)| format!("{code}\n{number}\n")).collect()
}

fn corners(code: i32, all: &[(f64, f64)]) -> String {
    all.iter().map(|(x, y)| numbers(&[(code, *x), (code + 10, *y)])).collect()
}

/// A hatch with a path of corners and bulges for each loop.
fn hatch(layer: &str, loops: &[&[(f64, f64, f64)]]) -> String {
    let mut text = format!("0\nHATCH\n8\n{layer}\n10\n0\n20\n0\n30\n0\n2\nSOLID\n70\n1\n71\n0\n");
    text += &format!("91\n{}\n", loops.len());
    for own in loops {
        text += &format!("92\n7\n72\n1\n73\n1\n93\n{}\n", own.len());
        for (x, y, bulge) in *own {
            text += &numbers(&[(10, *x), (20, *y), (42, *bulge)]);
        }
        text += "97\n0\n";
    }
    text + "75\n1\n76\n1\n98\n1\n10\n7\n20\n7\n"
}

fn boxed(low: (f64, f64), high: (f64, f64)) -> [(f64, f64, f64); 4] {
    [(low.0, low.1, 0.0), (high.0, low.1, 0.0), (high.0, high.1, 0.0), (low.0, high.1, 0.0)]
}

fn edged(layer: &str, edges: &str, count: usize) -> String {
    let head = format!("0\nHATCH\n8\n{layer}\n10\n0\n20\n0\n91\n1\n92\n1\n93\n{count}\n");
    head + edges + "97\n0\n75\n1\n76\n1\n98\n0\n"
}

fn solid(kind: &str, layer: &str, all: [(f64, f64); 4]) -> String {
    let text = format!("0\n{kind}\n8\n{layer}\n");
    let each = all.iter().enumerate();
    each.fold(text, |text, (number, at)| text + &corners(10 + number as i32, &[*at]))
}

#[test]
fn a_ring_that_is_filled_is_four_walls() {
    let mut drawing = Drawing::in_unit(6);
    let (outer, inner) = (boxed((0.0, 0.0), (8.0, 5.0)), boxed((0.3, 0.3), (7.7, 4.7)));
    drawing.add(&hatch("A-WALL", &[&outer, &inner]));
    let draft = read(&drawing);
    assert_eq!(walls(&draft).len(), 4);
    close(total(&draft), 2.0 * 7.7 + 2.0 * 4.7);
    assert!(walls(&draft).iter().all(|wall| wall.2.is_some_and(|mm| (mm - 300.0).abs() < 0.1)));
}

#[test]
fn a_fill_between_lines_that_are_drawn_adds_no_wall() {
    let plain = read(&two_rooms());
    let mut drawing = two_rooms();
    let (outer, inner) =
        (boxed((0.0, 0.0), (8000.0, 5000.0)), boxed((300.0, 300.0), (7700.0, 4700.0)));
    drawing.add(&hatch("A-WALL", &[&outer, &inner]));
    drawing.add(&hatch("WALL FILL", &[&outer, &inner]));
    drawing.add(&hatch("A-WALL", &[&boxed((4000.0, 2900.0), (4100.0, 4700.0))]));
    assert_eq!(walls(&read(&drawing)), walls(&plain));
}

#[test]
fn pieces_that_touch_are_one_wall_however_often_they_are_filled() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&hatch("WALL", &[&boxed((0.0, 0.0), (4.0, 0.3)), &boxed((4.0, 0.0), (9.0, 0.3))]));
    // Two leaves side by side, and a solid over the first piece.
    drawing.add(&hatch("WALL", &[&boxed((0.0, 3.0), (9.0, 3.1))]));
    drawing.add(&hatch("WALL", &[&boxed((0.0, 3.1), (9.0, 3.25))]));
    drawing.add(&solid("SOLID", "WALL", [(0.0, 0.0), (4.0, 0.0), (0.0, 0.3), (4.0, 0.3)]));
    let draft = read(&drawing);
    let mut thick: Vec<f64> = walls(&draft).iter().filter_map(|wall| wall.2).collect();
    thick.sort_by(f64::total_cmp);
    assert_eq!(thick.len(), 2, "{:#?}", walls(&draft));
    close(thick[0], 250.0);
    close(thick[1], 300.0);
    close(total(&draft), 18.0);
}

#[test]
fn solids_and_faces_are_walls_and_upright_faces_are_their_sides() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&solid("TRACE", "WALL", [(0.0, 0.0), (5.0, 0.0), (0.0, 0.2), (5.0, 0.2)]));
    drawing.add(&solid("3DFACE", "WALL", [(0.0, 2.0), (5.0, 2.0), (5.0, 2.2), (0.0, 2.2)]));
    for y in [4.0, 4.2] {
        drawing.add(&solid("3DFACE", "WALL", [(0.0, y), (5.0, y), (5.0, y), (0.0, y)]));
    }
    let draft = read(&drawing);
    assert_eq!(walls(&draft).len(), 3, "{:#?}", walls(&draft));
    assert!(walls(&draft).iter().all(|wall| wall.2.is_some_and(|mm| (mm - 200.0).abs() < 0.1)));
    close(total(&draft), 15.0);
}

#[test]
fn edges_of_lines_arcs_ellipses_and_splines_are_read() {
    let side = |from: (f64, f64), to: (f64, f64)| {
        numbers(&[(72, 1.0), (10, from.0), (20, from.1), (11, to.0), (21, to.1)])
    };
    // Half a ring, its inner arc clockwise with angles counted clockwise.
    let arc = |radius: f64, from: f64, to: f64, ccw: f64| {
        numbers(&[(72, 2.0), (10, 0.0), (20, 0.0), (40, radius), (50, from), (51, to), (73, ccw)])
    };
    let ring = arc(4.3, 0.0, 180.0, 1.0)
        + &side((-4.3, 0.0), (-4.0, 0.0))
        + &arc(4.0, 180.0, 360.0, 0.0)
        + &side((4.0, 0.0), (4.3, 0.0));
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&edged("WALL", &ring, 4));
    let middle = std::f64::consts::PI * 4.15;
    let draft = read(&drawing);
    assert!((total(&draft) - middle).abs() < 0.05, "{}", total(&draft));
    assert!(walls(&draft).iter().all(|wall| wall.0.start.y > -0.01 && wall.0.end.y > -0.01));

    // The same as ellipses that are circles.
    let bow = |long: f64, from: f64, to: f64, ccw: f64| {
        let middle = numbers(&[(72, 3.0), (10, 0.0), (20, 0.0), (11, long), (21, 0.0)]);
        middle + &numbers(&[(40, 1.0), (50, from), (51, to), (73, ccw)])
    };
    let ring = bow(4.3, 0.0, 180.0, 1.0)
        + &side((-4.3, 0.0), (-4.0, 0.0))
        + &bow(4.0, 180.0, 360.0, 0.0)
        + &side((4.0, 0.0), (4.3, 0.0));
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&edged("WALL", &ring, 4));
    let draft = read(&drawing);
    assert!((total(&draft) - middle).abs() < 0.05, "{}", total(&draft));

    // A strip with two sides that are splines of control points on a line.
    let spline = |y: f64, xs: [f64; 4]| {
        let head = numbers(&[(72, 4.0), (94, 3.0), (73, 0.0), (74, 0.0), (95, 8.0), (96, 4.0)]);
        let knots: String = [0, 0, 0, 0, 1, 1, 1, 1].map(|knot| format!("40\n{knot}\n")).concat();
        head + &knots + &corners(10, &xs.map(|x| (x, y)))
    };
    let strip = spline(0.0, [0.0, 2.0, 4.0, 6.0])
        + &side((6.0, 0.0), (6.0, 0.25))
        + &spline(0.25, [6.0, 4.0, 2.0, 0.0])
        + &side((0.0, 0.25), (0.0, 0.0));
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&edged("WALL", &strip, 4));
    let draft = read(&drawing);
    close(total(&draft), 6.0);
    close(walls(&draft)[0].2.unwrap(), 250.0);
}

#[test]
fn fills_of_floors_and_furniture_are_no_walls() {
    let mut drawing = two_rooms();
    let plain = read(&drawing);
    drawing.add(&hatch("FLOOR TILES", &[&boxed((300.0, 300.0), (4000.0, 4700.0))]));
    drawing.add(&hatch("A-WALL", &[&boxed((300.0, 300.0), (4000.0, 4700.0))]));
    drawing.add(&solid(
        "SOLID",
        "A-FURN",
        [(500.0, 600.0), (900.0, 600.0), (500.0, 800.0), (900.0, 800.0)],
    ));
    let draft = read(&drawing);
    assert_eq!(walls(&draft), walls(&plain));
    let about = "filled areas on layers of walls";
    let guess = draft.guesses.iter().find(|guess| guess.about == about);
    assert_eq!(guess.map(|guess| guess.pieces), Some(1));
}

#[test]
fn a_line_as_wide_as_a_wall_is_one() {
    let wide = |more: &str, all: &[(f64, f64)]| {
        let each: String = all.iter().map(|at| corners(10, &[*at]) + more).collect();
        format!("0\nLWPOLYLINE\n8\nWALL\n90\n{}\n70\n1\n", all.len()) + &each
    };
    let house = [(0.0, 0.0), (8.0, 0.0), (8.0, 5.0), (0.0, 5.0)];
    for text in [
        wide("", &house).replacen("70\n1\n", "70\n1\n43\n0.3\n", 1),
        wide("40\n0.3\n41\n0.3\n", &house),
    ] {
        let mut drawing = Drawing::in_unit(6);
        drawing.add(&text);
        let draft = read(&drawing);
        assert_eq!(walls(&draft).len(), 4, "{:#?}", walls(&draft));
        assert!(walls(&draft).iter().all(|wall| wall.2.is_some_and(|mm| (mm - 300.0).abs() < 0.1)));
        close(total(&draft), 26.0);
    }
    // Corners as entities, with the width at the head.
    let mut drawing = Drawing::in_unit(6);
    drawing.add("0\nPOLYLINE\n8\nWALL\n66\n1\n40\n0.2\n41\n0.2\n");
    for (x, y) in [(0.0, 0.0), (6.0, 0.0)] {
        drawing.add(&format!("0\nVERTEX\n8\nWALL\n10\n{x}\n20\n{y}\n"));
    }
    drawing.add("0\nSEQEND\n");
    close(walls(&read(&drawing))[0].2.unwrap(), 200.0);
}

#[test]
fn faces_drawn_with_a_broad_pen_stay_faces() {
    let mut drawing = Drawing::in_unit(6);
    for (low, high) in [((0.0, 0.0), (8.0, 5.0)), ((0.3, 0.3), (7.7, 4.7))] {
        let text = rectangle("WALL", low, high);
        drawing.add(&text.replacen("70\n1\n", "70\n1\n43\n0.06\n", 1));
    }
    let draft = read(&drawing);
    assert_eq!(walls(&draft).len(), 4);
    assert!(walls(&draft).iter().all(|wall| wall.2.is_some_and(|mm| (mm - 300.0).abs() < 0.1)));
}

#[test]
fn multilines_splines_and_ellipses_are_faces() {
    let mut drawing = Drawing::in_unit(6);
    let joint = |x: f64| {
        let at = numbers(&[(11, x), (21, 0.0), (12, 1.0), (22, 0.0), (13, 0.0), (23, 1.0)]);
        at + &numbers(&[(74, 2.0), (41, 0.0), (41, 0.0), (75, 0.0)])
            + &numbers(&[(74, 2.0), (41, -0.2), (41, 0.0), (75, 0.0)])
    };
    drawing.add(&format!(
        "0\nMLINE\n8\nWALL\n40\n1\n70\n0\n71\n1\n72\n2\n73\n2\n{}{}",
        joint(0.0),
        joint(6.0)
    ));
    let draft = read(&drawing);
    close(total(&draft), 6.0);
    close(walls(&draft)[0].2.unwrap(), 200.0);

    let mut drawing = Drawing::in_unit(6);
    for (long, short) in [(5.0, 3.0), (5.3, 3.3)] {
        drawing.add(&format!(
            "0\nELLIPSE\n8\nWALL\n10\n0\n20\n0\n11\n{long}\n21\n0\n40\n{}\n41\n0\n42\n{}\n",
            short / long,
            std::f64::consts::TAU
        ));
    }
    // Ramanujan's approximation of the middle line, half-axes 5.15 and 3.15.
    let (a, b) = (5.15_f64, 3.15_f64);
    let round = std::f64::consts::PI * (3.0 * (a + b) - ((3.0 * a + b) * (a + 3.0 * b)).sqrt());
    let draft = read(&drawing);
    assert!((total(&draft) - round).abs() < 0.3, "{} is not {round}", total(&draft));

    // Splines of fit points along two arcs of circles.
    let mut drawing = Drawing::in_unit(6);
    for radius in [6.0, 6.2] {
        let fit: Vec<(f64, f64)> = (0..=9)
            .map(|step| f64::from(step * 10).to_radians())
            .map(|angle| (radius * angle.cos(), radius * angle.sin()))
            .collect();
        drawing.add(&format!("0\nSPLINE\n8\nWALL\n70\n8\n71\n3\n74\n10\n{}", corners(11, &fit)));
    }
    let draft = read(&drawing);
    let round = 6.1 * std::f64::consts::FRAC_PI_2;
    assert!((total(&draft) - round).abs() < 0.3, "{} is not {round}", total(&draft));
}

#[test]
fn mirrored_and_stretched_blocks_keep_their_fills_and_widths() {
    let mut drawing = Drawing::in_unit(6);
    let (outer, inner) = (boxed((0.0, 0.0), (8.0, 5.0)), boxed((0.3, 0.3), (7.7, 4.7)));
    let partition = polyline("0", false, &[(4.0, 0.3, 0.0), (4.0, 4.7, 0.0)]);
    let partition = partition.replacen("70\n0\n", "70\n0\n43\n0.1\n", 1);
    drawing.block("HOUSE", (0.0, 0.0), &(hatch("0", &[&outer, &inner]) + &partition));
    drawing.add("0\nINSERT\n8\nWALL\n2\nHOUSE\n10\n20\n20\n0\n41\n-1\n");
    let draft = read(&drawing);
    assert_eq!(walls(&draft).len(), 5, "{:#?}", walls(&draft));
    let thick = |mm: f64| {
        walls(&draft).iter().filter(|it| it.2.is_some_and(|own| (own - mm).abs() < 0.1)).count()
    };
    assert_eq!((thick(300.0), thick(100.0)), (4, 1));
}

#[test]
fn a_hatch_of_a_million_points_is_left_out_in_time() {
    let mut drawing = two_rooms();
    let plain = read(&drawing);
    let point = |at: usize| ((at % 1000) as f64, (at / 1000) as f64, 0.0);
    let million: Vec<(f64, f64, f64)> = (0..1_000_000).map(point).collect();
    drawing.add(&hatch("A-WALL", &[&million]));
    let many: Vec<[(f64, f64, f64); 4]> = (0..5_000)
        .map(|at| boxed((f64::from(at), 9e3), (f64::from(at) + 0.5, 9e3 + 1.0)))
        .collect();
    let many: Vec<&[(f64, f64, f64)]> = many.iter().map(|own| own.as_slice()).collect();
    drawing.add(&hatch("A-FURN", &many));
    let start = std::time::Instant::now();
    let draft = read(&drawing);
    assert!(start.elapsed().as_secs() < 5, "{:?}", start.elapsed());
    assert_eq!(walls(&draft), walls(&plain));
    let guess = draft.guesses.iter().find(|guess| guess.about == "entities that are not read");
    assert!(guess.is_some_and(|guess| guess.taken.contains("very many corners")));
}

#[test]
fn hatches_without_sense_are_nothing() {
    let mut drawing = two_rooms();
    let plain = read(&drawing);
    for more in [
        "91\n1\n92\n2\n93\n3\n10\n1\n20\n1\n75\n1\n",
        "91\n2\n92\n1\n93\n1\n72\n4\n94\n9\n10\n1\n20\n1\n10\n2\n20\n2\n75\n1\n",
        "91\n1\n92\n1\n93\n2\n72\n3\n10\n0\n20\n0\n72\n2\n72\n9\n",
        "92\n1\n92\n1\n97\n5\n75\n0\n",
    ] {
        drawing.add(&format!("0\nHATCH\n8\nA-WALL\n{more}"));
        drawing.add(&format!("0\nSPLINE\n8\nA-WALL\n71\n3\n{more}"));
    }
    drawing.add(&groups(&[
        (0, "MLINE"),
        (8, "A-WALL"),
        (11, "3"),
        (74, "1"),
        (41, "2"),
        (11, "4"),
    ]));
    drawing.add(&line("A-WALL", (4_000.0, 2_000.0), (4_100.0, 2_000.0)));
    assert_eq!(walls(&read(&drawing)).len(), walls(&plain).len());
}
