//! Walls, doors and windows where they are, in any unit and frame.

use approx::assert_abs_diff_eq;
use geo::Coord;
use import::{Kind, LEAVE_OUT, Settings, draft};
use plan::{Inside, Plan};

use super::made::{FOOT, METRE, MILLIMETRE, Model, notes, walls_m};
use crate::known::plain;

fn house(unit: &[&str], per_metre: f64) -> Model {
    let mut model = Model::new(unit, per_metre);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let wall = model.room(storey);
    model.opening(wall, (1.0, 2.0), (0.0, 2.1), Some("IFCDOOR"));
    model.opening(wall, (3.0, 4.5), (0.9, 2.1), Some("IFCWINDOW"));
    model.opening(wall, (5.0, 5.1), (1.0, 1.1), None);
    model
}

fn is_the_house(plan: &Plan) {
    assert_eq!((plan.walls.len(), plan.openings.len()), (4, 2));
    assert_abs_diff_eq!(walls_m(plan, 0), 20.0, epsilon = 0.01);
    let [door, window] = plan.openings.as_slice() else { panic!() };
    assert_abs_diff_eq!(door.to_m - door.from_m, 1.0, epsilon = 0.002);
    assert_abs_diff_eq!(door.top_m, 2.1, epsilon = 0.002);
    assert!(door.entry && !window.entry);
    assert_abs_diff_eq!(window.to_m - window.from_m, 1.5, epsilon = 0.002);
    assert_abs_diff_eq!(window.base_m, 0.9, epsilon = 0.002);
    assert!(plan.walls.iter().all(|wall| wall.thickness_mm == Some(300.0)));
    let inside = Inside::of_levels(plan, &|_| None);
    assert!(inside[0].holds(Coord { x: 3.0, y: 2.0 }));
}

#[test]
fn a_wall_with_a_door_and_a_window_is_where_it_is_in_any_unit() {
    for (unit, per_metre, in_feet) in
        [(METRE, 1.0, false), (MILLIMETRE, 1e3, false), (FOOT, 1.0 / 0.3048, true)]
    {
        let (draft, plan) = house(unit, per_metre).read();
        is_the_house(&plan);
        assert_eq!(draft.unit.symbol() == "ft", in_feet);
        // A hole for a pipe is no opening.
        assert!(notes(&draft, "openings", "too small"), "{:?}", draft.guesses);
    }
}

#[test]
fn placements_in_placements_are_turned_and_moved() {
    let mut model = Model::new(METRE, 1.0);
    let turned = model.placement(Some(model.site), [100.0, 50.0, 0.0], 30.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let here = model.placement(Some(turned), [5.0, 0.0, 0.0], 60.0);
    let wall = model.wall(here, [1.0, 2.0], 0.0, 6.0);
    model.opening(wall, (1.0, 2.0), (0.0, 2.1), Some("IFCDOOR"));
    let _ = storey;
    let (_, plan) = model.read();
    // Ninety degrees together: along the wall is north, and 5 m were gone at 30 degrees.
    let line = &plan.walls[0].line;
    let (sin, cos) = 30.0_f64.to_radians().sin_cos();
    let from = Coord { x: 100.0 + 5.0 * cos - 2.0, y: 50.0 + 5.0 * sin + 1.0 };
    assert_abs_diff_eq!(line.0[0].x, from.x, epsilon = 0.002);
    assert_abs_diff_eq!(line.0[0].y, from.y, epsilon = 0.002);
    assert_abs_diff_eq!(line.0[1].y, from.y + 6.0, epsilon = 0.002);
    assert_eq!(plan.openings.len(), 1);
}

#[test]
fn a_wall_without_axis_is_on_the_middle_of_its_footprint() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let rectangle = model.block([0.0, 1.0, 0.0], [5.0, 1.2, 2.5]);
    // Mitred at one end.
    let corners = [[0.0, 3.0], [5.0, 3.0], [4.8, 3.2], [0.0, 3.2]];
    let profile = model.outline(&corners);
    let mitred = model.upright(profile, 0.0, 2.5);
    for body in [rectangle, mitred] {
        let wall = model.element("IFCWALL", storey, &[body], "$");
        model.keep(wall);
    }
    let (draft, plan) = model.read();
    assert_eq!(plan.walls.len(), 2);
    for (wall, y) in plan.walls.iter().zip([1.1, 3.1]) {
        assert_eq!(wall.thickness_mm, Some(200.0));
        assert!(wall.line.0.iter().all(|at| (at.y - y).abs() < 0.002), "{:?}", wall.line);
    }
    assert_abs_diff_eq!(walls_m(&plan, 0), 10.0, epsilon = 0.002);
    assert!(notes(&draft, "walls", "no axis"), "{:?}", draft.guesses);
}

#[test]
fn a_wall_with_corners_or_a_bend_and_no_axis_is_on_the_middle_between_its_sides() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let corners = [
        [0.0, 0.0],
        [6.0, 0.0],
        [6.0, 4.0],
        [5.8, 4.0],
        [5.8, 0.2],
        [0.2, 0.2],
        [0.2, 3.0],
        [0.0, 3.0],
    ];
    let around = |radius: f64| {
        (0..=12).map(move |at| {
            let (sin, cos) = (f64::from(at) * 15.0_f64.to_radians() / 2.0).sin_cos();
            [20.0 + radius * cos, radius * sin]
        })
    };
    let bow: Vec<[f64; 2]> =
        around(5.0).chain(around(5.3).collect::<Vec<_>>().into_iter().rev()).collect();
    for corners in [corners.as_slice(), bow.as_slice()] {
        let profile = model.outline(corners);
        let body = model.upright(profile, 0.0, 2.5);
        let wall = model.element("IFCWALL", storey, &[body], "$");
        model.keep(wall);
    }
    let (draft, plan) = model.read();
    let long_m = 2.9 + 5.8 + 3.9 + 5.15 * std::f64::consts::FRAC_PI_2;
    assert_abs_diff_eq!(walls_m(&plan, 0), long_m, epsilon = 0.1);
    for wall in &plan.walls {
        let at = wall.line.0[0];
        let off = if at.x > 10.0 {
            (at.x - 20.0).hypot(at.y) - 5.15
        } else {
            [at.x - 0.1, at.x - 5.9, at.y - 0.1].into_iter().fold(9.0, |a: f64, b| a.min(b.abs()))
        };
        assert!(off.abs() < 0.05, "{at:?} {:?}", draft.guesses);
    }
}

#[test]
fn a_wall_that_is_a_shell_of_advanced_faces_is_on_the_middle_of_its_footprint() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let mut faces = Vec::new();
    for z in ["0.", "2.5"] {
        let corners = ["0.,1.", "5.,1.", "5.,1.2", "0.,1.2"];
        let corners = corners.map(|at| {
            let point = model.add(format!("IFCCARTESIANPOINT(({at},{z}))"));
            model.add(format!("IFCVERTEXPOINT(#{point})"))
        });
        let edges: Vec<String> = (0..4)
            .map(|at| {
                let (from, to) = (corners[at], corners[(at + 1) % 4]);
                // One of them is drawn the other way round.
                let (from, to, way) = if at == 2 { (to, from, "F") } else { (from, to, "T") };
                let edge = model.add(format!("IFCEDGECURVE(#{from},#{to},$,.T.)"));
                format!("#{}", model.add(format!("IFCORIENTEDEDGE(*,*,#{edge},.{way}.)")))
            })
            .collect();
        let ring = model.add(format!("IFCEDGELOOP(({}))", edges.join(",")));
        let bound = model.add(format!("IFCFACEOUTERBOUND(#{ring},.T.)"));
        faces.push(format!("#{}", model.add(format!("IFCADVANCEDFACE((#{bound}),$,.T.)"))));
    }
    let shell = model.add(format!("IFCCLOSEDSHELL(({}))", faces.join(",")));
    let solid = model.add(format!("IFCADVANCEDBREP(#{shell})"));
    // Cut by many planes, of which none is read.
    let cut = (0..30).fold(solid, |solid, _| {
        model.add(format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},$)"))
    });
    let body = model.add(format!("IFCSHAPEREPRESENTATION($,'Body','Clipping',(#{cut}))"));
    let wall = model.element("IFCWALL", storey, &[body], "$");
    model.keep(wall);
    let (draft, plan) = model.read();
    let [wall] = plan.walls.as_slice() else { panic!("{:?}", draft.guesses) };
    assert_eq!(wall.thickness_mm, Some(200.0));
    assert!(wall.line.0.iter().all(|at| (at.y - 1.1).abs() < 0.002), "{:?}", wall.line);
}

#[test]
fn line_ends_comments_and_the_year_of_the_schema_change_nothing() {
    let text = house(METRE, 1.0).text();
    let read = |text: &str| draft(Kind::Ifc, "small.ifc", text.as_bytes(), &plain()).unwrap();
    let lines: usize = text.lines().count();
    let commented = text.replace("=IFCWALL", "= /* a wall; of '#1= */ IFCWALL");
    let one_line = text.replace(";\n", "; ");
    assert!(lines > 100 && one_line.lines().count() < 3);
    for other in [
        text.replace('\n', "\r\n"),
        commented,
        one_line,
        text.replace("'IFC4'", "'IFC4X3_ADD2'"),
        text.replace("'IFC4'", "'IFC2X_FINAL'"),
    ] {
        assert_eq!(read(&other).pieces, read(&text).pieces);
    }
}

#[test]
fn a_curtain_wall_stands_where_its_panels_do_and_holds_a_door() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let wall = model.element("IFCCURTAINWALL", storey, &[], "$");
    model.keep(wall);
    let mut parts = Vec::new();
    // Two panels high, five along and four round the corner, with a post between each.
    for at in 0..5_u32 {
        for z in [0.0, 1.25] {
            let x = f64::from(at);
            let along = model.block([x, -0.02, z], [x + 0.95, 0.02, z + 1.2]);
            parts.push(model.element("IFCPLATE", storey, &[along], "$"));
            if at < 4 {
                let across = model.block([4.98, x, z], [5.02, x + 0.95, z + 1.2]);
                parts.push(model.element("IFCPLATE", storey, &[across], "$"));
            }
        }
        let post = model.block([f64::from(at) - 0.05, -0.05, 0.0], [f64::from(at), 0.05, 2.5]);
        parts.push(model.element("IFCMEMBER", storey, &[post], "$"));
    }
    let leaf = model.block([2.0, -0.03, 0.0], [2.95, 0.03, 2.1]);
    parts.push(model.element("IFCDOOR", storey, &[leaf], "$,$,$"));
    let parts: Vec<String> = parts.iter().map(|part| format!("#{part}")).collect();
    model.add(format!("IFCRELAGGREGATES('g',$,$,$,#{wall},({}))", parts.join(",")));
    let (draft, plan) = model.read();
    assert_abs_diff_eq!(walls_m(&plan, 0), 9.0, epsilon = 0.5);
    let [door] = plan.openings.as_slice() else { panic!("{:?}", draft.guesses) };
    assert_abs_diff_eq!(door.to_m - door.from_m, 0.95, epsilon = 0.01);
    assert_abs_diff_eq!(plan.walls[door.wall].line.0[0].y, 0.0, epsilon = 0.01);
}

#[test]
fn an_axis_on_the_face_of_a_wall_is_moved_to_its_middle_and_corners_meet() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    // The axes run along the outer face; the bodies are inside of it.
    for (at, turned_deg, long_m) in [
        ([0.0, 0.0], 0.0, 6.0),
        ([6.0, 0.0], 90.0, 4.0),
        ([6.0, 4.0], 180.0, 6.0),
        ([0.0, 4.0], 270.0, 4.0),
    ] {
        let placement = model.placement(Some(storey), [at[0], at[1], 0.0], turned_deg);
        let axis = model.axis([0.0, 0.0], [long_m, 0.0]);
        let body = model.block([0.0, 0.0, 0.0], [long_m, 0.4, 2.5]);
        let wall = model.element("IFCWALL", placement, &[axis, body], "$");
        model.keep(wall);
    }
    let (_, plan) = model.read();
    assert_abs_diff_eq!(walls_m(&plan, 0), 2.0 * (5.6 + 3.6), epsilon = 0.01);
    let corners = plan.walls.iter().flat_map(|wall| wall.line.0.clone());
    for at in corners {
        let x = (at.x - 0.2).abs().min((at.x - 5.8).abs());
        let y = (at.y - 0.2).abs().min((at.y - 3.8).abs());
        assert!(x < 0.002 && y < 0.002, "{at:?}");
    }
}

#[test]
fn an_opening_without_a_door_is_open_and_a_niche_is_none() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let wall = model.wall(storey, [0.0, 0.0], 0.0, 6.0);
    model.opening(wall, (1.0, 2.0), (0.0, 2.1), None);
    let niche = model.placement(Some(wall.1), [0.0; 3], 0.0);
    let body = model.block([3.0, 0.05, 0.5], [4.0, 0.2, 2.0]);
    let niche = model.element("IFCOPENINGELEMENT", niche, &[body], "$");
    model.add(format!("IFCRELVOIDSELEMENT('g',$,$,$,#{},#{niche})", wall.0));
    let (draft, plan) = model.read();
    assert_eq!(plan.openings.len(), 1);
    assert!(plan.openings[0].open && !plan.openings[0].entry);
    assert!(notes(&draft, "openings", "do not go through"), "{:?}", draft.guesses);
}

#[test]
fn a_wall_without_thickness_and_one_without_anything_are_noted_with_their_lines() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let axis = model.axis([0.0, 0.0], [4.0, 0.0]);
    let thin = model.element("IFCWALL", storey, &[axis], "$");
    let empty = model.element("IFCWALL", storey, &[], "$");
    model.keep(thin);
    model.keep(empty);
    let (draft, plan) = model.read();
    assert_eq!(plan.walls.len(), 1);
    assert_eq!(plan.walls[0].thickness_mm, None);
    // Seven lines stand before the first entity.
    let at = |number: usize| format!("#{number} on line {}", number + 7);
    assert!(notes(
        &draft,
        "walls",
        &format!("no thickness: neither layers nor a body say it: {}", at(thin))
    ));
    assert!(notes(
        &draft,
        "walls",
        &format!("neither an axis nor a body that is read: {}", at(empty))
    ));
}

#[test]
fn openings_of_walls_one_over_the_other_are_each_on_their_own() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let lower = model.wall(storey, [0.0, 0.0], 0.0, 6.0);
    let above = model.placement(Some(storey), [0.0, 0.0, 2.5], 0.0);
    let body = model.block([0.0, -0.15, 0.0], [6.0, 0.15, 1.2]);
    let wall = model.element("IFCWALL", above, &[body], "$");
    model.keep(wall);
    model.opening(lower, (1.0, 2.0), (0.0, 2.1), Some("IFCDOOR"));
    model.opening((wall, above), (1.2, 1.8), (0.2, 0.9), Some("IFCWINDOW"));
    let (_, plan) = model.read();
    let on: Vec<(f64, f64)> = plan
        .openings
        .iter()
        .map(|it| (plan.walls[it.wall].base_m, it.base_m))
        .map(|(wall_m, base_m)| ((wall_m * 1e3).round() / 1e3, (base_m * 1e3).round() / 1e3))
        .collect();
    assert_eq!(on, [(0.0, 0.0), (2.5, 2.7)]);
}

/// A window without a relation, 0.9 m above the floor, with a body.
fn loose(model: &mut Model, (_, placement): (usize, usize), from_m: f64, to_m: f64) {
    let body = model.block([from_m, -0.05, 0.9], [to_m, 0.05, 2.1]);
    let window = model.element("IFCWINDOWSTANDARDCASE", placement, &[body], "$,$,$");
    model.keep(window);
}

#[test]
fn windows_that_no_relation_puts_anywhere_are_in_the_hole_around_them_or_on_the_wall() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let wall = model.room(storey);
    model.opening(wall, (0.5, 1.5), (0.9, 2.1), None);
    model.opening(wall, (2.0, 4.0), (0.8, 2.2), None);
    for (from_m, to_m) in [(0.55, 1.45), (2.1, 2.9), (3.1, 3.9), (4.5, 5.5)] {
        loose(&mut model, wall, from_m, to_m);
    }
    let (draft, plan) = model.read();
    let mut found: Vec<(f64, f64)> = plan.openings.iter().map(|it| (it.from_m, it.to_m)).collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let expected = [(0.5, 1.5), (2.1, 2.9), (3.1, 3.9), (4.5, 5.5)];
    assert_eq!(found.len(), expected.len(), "{:?}", draft.guesses);
    for (found, expected) in found.iter().zip(expected) {
        assert_abs_diff_eq!(found.0, expected.0, epsilon = 0.002);
        assert_abs_diff_eq!(found.1, expected.1, epsilon = 0.002);
    }
    assert!(plan.openings.iter().all(|opening| !opening.open));
}

#[test]
fn windows_round_a_corner_are_each_on_their_wall_and_cut_where_their_frames_overlap() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let south = model.wall(storey, [0.0, 0.0], 0.0, 6.0);
    let west = model.wall(storey, [0.0, 4.0], 270.0, 4.0);
    // One hole round the corner, out of both walls.
    for wall in [south.0, west.0] {
        let body = model.block([-0.3, -0.3, 0.9], [2.0, 2.0, 2.1]);
        let hole = model.element("IFCOPENINGELEMENT", south.1, &[body], "$");
        model.add(format!("IFCRELVOIDSELEMENT('g',$,$,$,#{wall},#{hole})"));
    }
    loose(&mut model, south, 0.2, 1.1);
    loose(&mut model, south, 1.05, 1.95);
    loose(&mut model, west, 2.9, 3.8);
    let (draft, plan) = model.read();
    let windows = plan.openings.iter().filter(|it| !it.open);
    let mut found: Vec<(usize, f64)> = windows.map(|it| (it.wall, it.to_m - it.from_m)).collect();
    found.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let [(a, cut), (b, whole), (c, side)] = found.as_slice() else { panic!("{found:?}") };
    assert!(a == b && b != c, "{:?}", draft.guesses);
    // One alone fills its hole, two are where they are.
    for (found, expected) in [(cut, 0.85), (whole, 0.9), (side, 2.0)] {
        assert_abs_diff_eq!(*found, expected, epsilon = 0.002);
    }
}

#[test]
fn roof_lights_are_noted_and_on_no_wall() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    model.room(storey);
    let body = model.block([0.0, 0.0, 2.5], [6.0, 4.0, 2.7]);
    let roof = model.element("IFCSLAB", storey, &[body], "$,.ROOF.");
    model.keep(roof);
    model.opening((roof, storey), (0.2, 1.2), (2.4, 2.8), Some("IFCWINDOW"));
    let (draft, plan) = model.read();
    assert!(plan.openings.is_empty());
    assert!(notes(&draft, "roof lights", "left out"), "{:?}", draft.guesses);
}

#[test]
fn a_material_that_is_mapped_to_none_leaves_its_walls_and_their_doors_out() {
    let mut model = house(METRE, 1.0);
    model.layers(model_wall(), &[("Ziegel", 300.0)]);
    let settings =
        Settings { map: [("Ziegel".to_owned(), LEAVE_OUT.to_owned())].into(), ..plain() };
    let draft = draft(Kind::Ifc, "small.ifc", model.text().as_bytes(), &settings).unwrap();
    let words: Vec<&str> = draft.pieces.iter().map(|piece| piece.what.word()).collect();
    assert_eq!(words, ["wall", "wall", "wall"]);
}

/// The number of the first wall of [`house`]: the first entity of its kind.
fn model_wall() -> usize {
    let text = house(METRE, 1.0).text();
    let line = text.lines().find(|line| line.contains("IFCWALLSTANDARDCASE(")).unwrap();
    line[1..].split('=').next().unwrap().parse().unwrap()
}
