//! Storeys, slabs with holes, stairs, rooms, columns.

use approx::assert_abs_diff_eq;
use geo::Area;

use super::made::{METRE, Model, notes, walls_m};

/// Two storeys, the upper 2.8 m above the lower, with a slab 0.2 m thick and a hole for the stairs.
fn two_storeys(elevations: [Option<f64>; 2]) -> Model {
    let mut model = Model::new(METRE, 1.0);
    let lower = model.storey("Ground", 0.0, elevations[0]);
    let first = model.room(lower);
    model.opening(first, (1.0, 2.0), (0.0, 2.1), Some("IFCDOOR"));
    model.opening(first, (3.0, 4.0), (0.9, 2.1), Some("IFCWINDOW"));
    model.layers(first.0, &[("Klinker", 100.0), ("Mineralwolle", 200.0)]);
    let body = model.block([-0.15, -0.15, -0.2], [6.15, 4.15, 0.0]);
    let base = model.element("IFCSLAB", lower, &[body], "$,.BASESLAB.");
    model.keep(base);
    let body = model.block([2.0, 1.0, 0.0], [2.3, 1.3, 2.6]);
    let column = model.element("IFCCOLUMN", lower, &[body], "$");
    model.keep(column);
    let body = model.block([0.2, 0.2, 0.0], [5.8, 3.8, 2.5]);
    let space =
        model.element("IFCSPACE", lower, &[body], "'Wohnen \\X2\\00FC\\X0\\ber',.ELEMENT.,$,$");
    model.keep(space);
    // Steps from (1, 2) up to (4, 2).
    let steps: Vec<usize> = (0..10)
        .map(|step| {
            let (x, z) = (1.0 + 0.3 * f64::from(step), 0.28 * f64::from(step));
            model.block([x, 1.5, z], [x + 0.3, 2.5, z + 0.28])
        })
        .collect();
    let stair = model.element("IFCSTAIR", lower, &steps, "$");
    model.keep(stair);
    let upper = model.storey("Upper", 2.8, elevations[1]);
    let first = model.room(upper);
    model.opening(first, (3.0, 4.0), (0.0, 2.1), None);
    let body = model.block([-0.15, -0.15, -0.2], [6.15, 4.15, 0.0]);
    let slab = model.element("IFCSLAB", upper, &[body], "$,.FLOOR.");
    model.keep(slab);
    let hole = model.block([1.0, 1.5, -0.3], [4.0, 2.5, 0.1]);
    let hole = model.element("IFCOPENINGELEMENT", upper, &[hole], "$");
    model.add(format!("IFCRELVOIDSELEMENT('g',$,$,$,#{slab},#{hole})"));
    model
}

#[test]
fn two_storeys_have_their_floors_slab_stairs_room_and_column() {
    let (draft, plan) = two_storeys([Some(0.0), Some(2.8)]).read();
    let [lower, upper] = plan.levels.as_slice() else { panic!() };
    assert_eq!((lower.number, upper.number), (0, 1));
    assert_eq!((lower.name.as_str(), upper.name.as_str()), ("Ground", "Upper"));
    assert_abs_diff_eq!(lower.ceiling_m, 2.6, epsilon = 0.002);
    assert_abs_diff_eq!(upper.floor_m, 2.8, epsilon = 0.002);
    assert_abs_diff_eq!(upper.ceiling_m, 5.3, epsilon = 0.002);
    for level in [0, 1] {
        assert_abs_diff_eq!(walls_m(&plan, level), 20.0, epsilon = 0.01);
    }
    let [slab] = plan.slabs.as_slice() else { panic!("{:?}", plan.slabs) };
    assert_eq!(slab.level, 1);
    assert_abs_diff_eq!(slab.outline.unsigned_area(), 6.3 * 4.3 - 3.0, epsilon = 0.01);
    assert_eq!(slab.outline.interiors().len(), 1);
    let [stairs] = plan.stairs.as_slice() else { panic!("{:?}", plan.stairs) };
    assert_eq!((stairs.level, stairs.to_level), (0, 1));
    let (foot, head) = (stairs.line.0[0], stairs.line.0[1]);
    assert!(foot.x < 2.0 && head.x > 3.0, "{:?}", stairs.line);
    assert_eq!(plan.obstacles.len(), 1);
    let rooms: Vec<_> = draft.pieces.iter().filter_map(|piece| piece.name.as_deref()).collect();
    assert_eq!(rooms, ["Wohnen über"]);
}

#[test]
fn a_storey_without_elevation_is_where_it_is_placed() {
    let (draft, plan) = two_storeys([Some(0.0), None]).read();
    assert_abs_diff_eq!(plan.levels[1].floor_m, 2.8, epsilon = 0.002);
    assert!(notes(&draft, "storeys", "no elevation"), "{:?}", draft.guesses);
    let (_, plan) = two_storeys([None, None]).read();
    let floors: Vec<f64> = plan.levels.iter().map(|level| level.floor_m).collect();
    assert_abs_diff_eq!(floors.as_slice(), [0.0, 2.8].as_slice(), epsilon = 0.002);
}

#[test]
fn a_site_high_above_the_sea_has_its_zero_on_the_ground_floor() {
    let mut model = Model::new(METRE, 1.0);
    model.site = model.placement(None, [0.0, 0.0, 1_640.0], 0.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let wall = model.room(storey);
    model.opening(wall, (3.0, 4.5), (0.9, 2.1), Some("IFCWINDOW"));
    let (_, plan) = model.read();
    assert_abs_diff_eq!(plan.levels[0].floor_m, 0.0, epsilon = 0.002);
    assert_abs_diff_eq!(plan.openings[0].base_m, 0.9, epsilon = 0.002);
}

#[test]
fn a_storey_without_walls_is_a_mark_and_a_wall_over_two_storeys_stands_on_both() {
    let mut model = two_storeys([Some(0.0), Some(2.8)]);
    let storey = model.storey("Ridge", 6.0, Some(6.0));
    let (draft, _) = two_storeys([Some(0.0), Some(2.8)]).read();
    assert!(!notes(&draft, "storeys", "no wall is in them"));
    let body = model.block([10.0, 0.0, -6.0], [10.2, 4.0, -0.5]);
    let high = model.element("IFCWALL", storey, &[body], "$");
    model.add(format!("IFCRELASSOCIATESMATERIAL('g',$,$,$,(#{high}),$)"));
    let (draft, plan) = model.read();
    assert!(notes(&draft, "storeys", "no wall is in them"), "{:?}", draft.guesses);
    for level in [0, 1] {
        assert_abs_diff_eq!(walls_m(&plan, level), 24.0, epsilon = 0.01);
    }
}

#[test]
fn two_floors_that_a_model_keeps_in_one_storey_are_two_levels() {
    for with_spaces in [false, true] {
        let mut model = Model::new(METRE, 1.0);
        let storey = model.storey("All", 0.0, Some(0.0));
        model.room(storey);
        let above = model.placement(Some(storey), [0.0, 0.0, 2.9], 0.0);
        let first = model.room(above);
        model.opening(first, (1.0, 2.0), (0.9, 2.1), Some("IFCWINDOW"));
        if with_spaces {
            let body = model.block([0.2, 0.2, 0.0], [5.8, 3.8, 2.5]);
            let space = model.element("IFCSPACE", above, &[body], "'Loft',.ELEMENT.,$,$");
            model.keep(space);
        }
        let (draft, plan) = model.read();
        let [lower, upper] = plan.levels.as_slice() else { panic!("{:?}", plan.levels) };
        assert_eq!((lower.number, upper.number), (0, 1));
        assert_abs_diff_eq!(upper.floor_m, 2.9, epsilon = 0.002);
        assert_abs_diff_eq!(upper.ceiling_m, 5.4, epsilon = 0.002);
        assert_abs_diff_eq!(walls_m(&plan, 1), 20.0, epsilon = 0.01);
        assert_eq!(plan.walls[plan.openings[0].wall].level, 1);
        assert!(plan.room_names.iter().all(|room| room.level == 1));
        assert!(notes(&draft, "a storey", "was added"), "{:?}", draft.guesses);
    }
}

#[test]
fn gables_over_the_walls_are_no_storey() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("All", 0.0, Some(0.0));
    model.room(storey);
    for x in [0.0, 6.0] {
        let body = model.block([x - 0.15, 0.0, 2.5], [x + 0.15, 4.0, 4.5]);
        let gable = model.element("IFCWALL", storey, &[body], "$");
        model.keep(gable);
    }
    let (_, plan) = model.read();
    assert_eq!(plan.levels.len(), 1);
}
