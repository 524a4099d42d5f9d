//! Symmetries of the whole model.

use fixtures::Dice;
use forecast::{Adding, Edges, Follower, ListenerEnd, Model, View};
use geo::Coord;
use plan::{DeviceKind, Plan};
use proptest::prelude::*;

use trace::{HeightProfile, ImageTree};

use crate::invariants::house::{at, house, mapped, path_loss, seeds, site, wall};

/// Rounding of coordinates moved by tens of metres is some 1e-14 m; near an edge of a shadow the
/// field changes by no more than a few dB a millimetre.
const TOLERANCE_DB: f64 = 1e-8;

/// Where an edge lies on the path itself, rounding of its place counts by the root.
const DRAWN_DB: f64 = 1e-6;

fn model(reflections: u8, openings: Edges) -> Model {
    Model { reflections, openings, ..Model::default() }
}

fn edges() -> impl Strategy<Value = Edges> {
    prop_oneof![Just(Edges::Soft), Just(Edges::Sharp)]
}

/// Loss from the panel to the sensor of a plan, traced from the one and from the other, dB.
fn both_ways(plan: &Plan, model: Model) -> (f64, f64) {
    let site = site(plan, model);
    let link = site.link(None).unwrap();
    let [panel, sensor] = [&plan.devices[0], &plan.devices[1]];
    let ends =
        [(panel.position, panel.height_m), (site.spot_of(sensor, link.frequency), sensor.height_m)];
    let loss = |from: (Coord<f64>, f64), to: (Coord<f64>, f64), listener| {
        let tree = ImageTree::new(&site.scene, from.0, model.reflections).unwrap();
        let heights = HeightProfile::all(&site.scene.floors, from.1, to.1, model.reflections);
        let view = View { listener, ..site.view(link.frequency).unwrap() };
        view.gain(&mut Follower::default(), &tree, &heights, to.0).to_loss().0
    };
    (loss(ends[0], ends[1], ListenerEnd::Near), loss(ends[1], ends[0], ListenerEnd::Far))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn swapping_the_ends_changes_nothing(seed in seeds(), order in 0u8..=2, edges in edges()) {
        let (there, back) = both_ways(&house(seed), model(order, edges));
        prop_assert!((there - back).abs() < TOLERANCE_DB, "{there} dB there, {back} dB back");
    }

    /// Drawn plans stand on whole tenths, where devices, corners and edges often lie in one line.
    /// Only the edge of a slab is left to rounding: a path that meets a floor exactly there.
    #[test]
    fn swapping_the_ends_of_a_drawn_plan_changes_nothing(
        seed in seeds(), order in 0u8..=2, edges in edges(), step in 1u8..=5,
        ends in [0u8..24, 0u8..18, 0u8..24, 0u8..18],
    ) {
        let step = f64::from(step) / 10.0;
        let whole = |x: f64| (x / step).round() * step;
        let mut plan = mapped(&house(seed), &|p| at(whole(p.x), whole(p.y)));
        let length = |wall: usize, segment: usize| {
            let line = plan.walls[wall].line.lines().nth(segment).unwrap();
            line.dx().hypot(line.dy())
        };
        let fits = |opening: &plan::Opening| opening.to_m < length(opening.wall, opening.segment);
        plan.openings = plan.openings.iter().filter(|one| fits(one)).cloned().collect();
        for slab in &mut plan.slabs {
            slab.outline = geo::Polygon::new(slab.outline.exterior().clone(), vec![]);
        }
        if order > 1 {
            plan.slabs.clear();
        }
        plan.obstacles.retain(|one| geo::Area::unsigned_area(&one.outline) > 1e-6);
        let place = |x: u8, y: u8| at(whole(f64::from(x) / 2.0), whole(f64::from(y) / 2.0));
        plan.devices[0].position = place(ends[0], ends[1]);
        plan.devices[1].position = place(ends[2], ends[3]);
        let (there, back) = both_ways(&plan, model(order, edges));
        prop_assert!((there - back).abs() < DRAWN_DB, "{there} dB there, {back} dB back");
    }

    #[test]
    fn rotation_translation_and_mirror_change_nothing(
        seed in seeds(), order in 0u8..=2, edges in edges(),
        angle in 0.0..6.3f64, dx in -50.0..50.0f64, dy in -50.0..50.0f64, mirror in any::<bool>(),
    ) {
        let plan = house(seed);
        let (sin, cos) = angle.sin_cos();
        let moved = mapped(&plan, &|p: Coord<f64>| {
            let x = if mirror { -p.x } else { p.x };
            at(cos * x - sin * p.y + dx, sin * x + cos * p.y + dy)
        });
        let (here, there) = (path_loss(&plan, model(order, edges)), path_loss(&moved, model(order, edges)));
        prop_assert!((here - there).abs() < TOLERANCE_DB, "{here} dB, {there} dB when moved");
    }

    #[test]
    fn order_and_direction_of_walls_change_nothing(seed in seeds(), order in 0u8..=2, edges in edges()) {
        let plan = house(seed);
        let mut other = plan.clone();
        let last = other.walls.len() - 1;
        other.walls.reverse();
        for opening in &mut other.openings {
            opening.wall = last - opening.wall;
        }
        other.openings.reverse();
        other.slabs.reverse();
        // A wall drawn from its other end.
        other.walls[0].line.0.reverse();
        let (one, two) = (path_loss(&plan, model(order, edges)), path_loss(&other, model(order, edges)));
        prop_assert!((one - two).abs() < TOLERANCE_DB, "{one} dB, {two} dB in another order");
    }

    #[test]
    fn one_wall_more_never_lessens_the_direct_loss(seed in seeds(), a in 0.0..1.0f64, b in 0.0..1.0f64) {
        let plan = house(seed);
        let mut dice = Dice::new(seed ^ 77);
        let mut more = plan.clone();
        let from = at(dice.within(-1.0, 8.0), a * 9.0);
        more.walls.push(wall("more", "brick-half", &[from, at(dice.within(2.0, 13.0), b * 9.0)]));
        let model = model(0, Edges::Sharp);
        let (less, more) = (path_loss(&plan, model), path_loss(&more, model));
        prop_assert!(more >= less - 1e-9, "{less} dB without, {more} dB with the wall");
    }

    #[test]
    fn more_paths_never_carry_less_power(seed in seeds(), edges in edges()) {
        let plan = house(seed);
        let powers = |order| Model { adding: Adding::Powers, ..model(order, edges) };
        let losses: Vec<f64> = (0..=3).map(|order| path_loss(&plan, powers(order))).collect();
        prop_assert!(losses.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9), "{losses:?}");
    }
}

#[test]
fn a_transparent_wall_gains_and_loses_nothing() {
    use plan::Construction;
    let mut plan = house(5);
    plan.constructions.insert("nothing".to_owned(), Construction::Measured(vec![(100.0, 0.0)]));
    for wall in &mut plan.walls {
        wall.construction = "nothing".to_owned();
    }
    for opening in &mut plan.openings {
        opening.construction = "nothing".to_owned();
    }
    plan.slabs.clear();
    plan.obstacles.clear();
    let (panel, sensor) = (&plan.devices[0], &plan.devices[1]);
    assert_eq!(panel.kind, DeviceKind::Panel);
    let d = sensor.position - panel.position;
    let distance = (d.x.powi(2) + d.y.powi(2) + (sensor.height_m - panel.height_m).powi(2)).sqrt();
    let free = 20.0 * (4.0 * std::f64::consts::PI * distance * 868.65e6 / 299_792_458.0).log10();
    let soft = path_loss(&plan, model(2, Edges::Soft));
    approx::assert_relative_eq!(soft, free, epsilon = 1e-9);
}
