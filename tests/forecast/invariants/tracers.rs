//! The tracer against a plain one that knows neither index, beams nor shades, and the field of a
//! grid against single paths.

use forecast::{
    Adding, Edges, Follower, MAP_MISSES, Mask, Model, PathGain, SurfaceNames, Walls, field,
    field_where,
};
use plan::Plan;
use proptest::prelude::*;
use radio::Polarisation;
use trace::{Grid, HeightProfile, Point, Scene, Unfolding};

use crate::invariants::house::{at, house, path_loss, seeds, site};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn every_cell_of_a_field_is_the_sum_of_its_paths(
        seed in seeds(), order in 0u8..=2, soft in any::<bool>(), height in 0.3..4.5f64,
        waves in any::<bool>(),
    ) {
        let plan = house(seed);
        let openings = if soft { Edges::Soft } else { Edges::Sharp };
        let adding = if waves { Adding::Waves } else { Adding::Powers };
        let site = site(&plan, Model { reflections: order, openings, adding, ..Model::default() });
        let link = site.link(None).unwrap();
        let view = site.view(link.frequency).unwrap();
        // Cell centres fall on whole tenths, as walls of drawn plans do.
        let grid = Grid { origin: at(-0.5, -0.5), cell: 0.3, columns: 44, rows: 35, height };
        let panel = &site.panel;
        let gains = field(&view, &panel.tree, panel.device.height_m, &grid, &|_| {});
        let mut follower = Follower::default();
        for (number, gain) in gains.iter().enumerate() {
            let cell = grid.centre(number % grid.columns, number / grid.columns);
            let heights = (panel.device.height_m, height);
            let paths = view.paths(&mut follower, &panel.tree, heights, cell);
            let power = |path: &PathGain| path.interaction.0 * view.spreading(path.length_m);
            let powers: f64 = paths.iter().map(power).sum();
            let heights = HeightProfile::all(&site.scene.floors, heights.0, heights.1, order);
            let sum = view.sum(&mut follower, &panel.tree, &heights, cell);
            prop_assert!((10.0 * (sum.powers / powers).log10()).abs() < 1e-9, "cell {cell:?}");
            let apart = 10.0 * (gain / sum.total()).log10();
            prop_assert!(apart.abs() < 1e-9, "cell {cell:?}: {apart} dB apart");
            prop_assert!(waves || (sum.waves == 0.0 && sum.scattered == 0.0), "cell {cell:?}");
        }
    }

    #[test]
    fn a_map_misses_little_of_what_is_reflected_twice(
        seed in seeds(), soft in any::<bool>(), height in 0.3..4.5f64, waves in any::<bool>(),
    ) {
        let plan = house(seed);
        let openings = if soft { Edges::Soft } else { Edges::Sharp };
        let adding = if waves { Adding::Waves } else { Adding::Powers };
        let site = site(&plan, Model { reflections: 2, openings, adding, ..Model::default() });
        let view = site.view(site.link(None).unwrap().frequency).unwrap();
        let grid = Grid { origin: at(-0.5, -0.5), cell: 0.1, columns: 75, rows: 60, height };
        let (tree, from_z) = (&site.panel.tree, site.panel.device.height_m);
        let all = Mask::new(&grid, 0..grid.rows, |_| true);
        let exact = field(&view, tree, from_z, &grid, &|_| {});
        let map = field_where(&view, tree, from_z, (&grid, &all), MAP_MISSES, &|_| {});
        let apart = map.iter().zip(&exact).map(|(map, exact)| 10.0 * (map / exact).log10());
        let apart: Vec<f64> = apart.collect();
        for (number, apart) in apart.iter().enumerate() {
            prop_assert!((-1.0..1e-9).contains(apart), "cell {number}: {apart} dB");
        }
        let many = apart.iter().filter(|apart| **apart < -0.1).count();
        prop_assert!(many * 200 < apart.len(), "{many} of {} cells", apart.len());
    }

    #[test]
    fn the_number_of_threads_changes_no_bit(seed in seeds(), order in 1u8..=2) {
        let plan = house(seed);
        let site = site(&plan, Model { reflections: order, ..Model::default() });
        let link = site.link(None).unwrap();
        let view = site.view(link.frequency).unwrap();
        let grid = Grid { origin: at(-0.5, -0.5), cell: 0.25, columns: 50, rows: 40, height: 1.2 };
        let run = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            let all = Mask::new(&grid, 0..grid.rows, |_| true);
            let cells = (&grid, &all);
            pool.install(|| field_where(&view, &site.panel.tree, 1.5, cells, MAP_MISSES, &|_| {}))
        };
        let bits = |gains: Vec<f64>| gains.into_iter().map(f64::to_bits).collect::<Vec<_>>();
        let one = bits(run(1));
        prop_assert!(one == bits(run(2)) && one == bits(run(7)));
    }

    #[test]
    fn the_tracer_agrees_with_a_plain_one(seed in seeds(), order in 0u8..=2) {
        let mut plan = house(seed);
        plan.slabs.clear();
        plan.openings.clear();
        plan.obstacles.clear();
        plan.walls.retain(|wall| wall.id != "low" && wall.id != "upper");
        plan.devices[1].height_m = 1.1;
        let model = Model {
            reflections: order,
            openings: Edges::Sharp,
            walls: Walls::Ideal,
            adding: Adding::Powers,
            ..Model::default()
        };
        let ours = path_loss(&plan, model);
        let plain = plain_loss(&plan, order);
        prop_assert!((ours - plain).abs() < 1e-3, "{ours} dB, {plain} dB by the plain tracer");
    }
}

/// Every wall against every wall, every chain of mirrors, no pruning: slow and simple. Slabs by the
/// exact formula instead of the table (hence the looser comparison).
fn plain_loss(plan: &Plan, order: u8) -> f64 {
    // On which side a wall's first layer is, the scene says.
    let names = SurfaceNames::new(plan);
    let scene = Scene::new(plan, &|name| names.facts(name));
    let lines = plan.walls.iter().flat_map(|wall| {
        wall.line.lines().map(|line| (line.start, line.end, wall.construction.as_str()))
    });
    let walls: Vec<PlainWall<'_>> = lines
        .zip(&scene.screens)
        .map(|((start, end, construction), screen)| (start, end, construction, screen.first_layer))
        .collect();
    let (from, to) = (&plan.devices[0], &plan.devices[1]);
    let rise = (to.height_m - from.height_m).abs();
    let mut gain = 0.0;
    let mut chains: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..=order {
        for chain in &chains {
            gain += plain_path(&walls, from.position, to.position, rise, chain).unwrap_or(0.0);
        }
        chains = chains
            .iter()
            .flat_map(|chain| (0..walls.len()).map(move |next| [&chain[..], &[next]].concat()))
            .filter(|chain| chain.windows(2).all(|pair| pair[0] != pair[1]))
            .collect();
    }
    -10.0 * gain.log10()
}

/// Both ends, the construction, and the side of its first layer, +1 the left one.
type PlainWall<'a> = (Point, Point, &'a str, f64);

fn plain_path(
    walls: &[PlainWall<'_>],
    from: Point,
    to: Point,
    rise: f64,
    chain: &[usize],
) -> Option<f64> {
    let frequency = units::Hertz::from_mhz(868.65);
    let normal = |wall: usize| {
        let (a, b, ..) = walls[wall];
        let length = (b - a).x.hypot((b - a).y);
        at(-(b - a).y / length, (b - a).x / length)
    };
    let offset = |wall: usize, p: Point| {
        let n = normal(wall);
        n.x * (p - walls[wall].0).x + n.y * (p - walls[wall].0).y
    };
    let slab = |wall: usize| radio::construction(walls[wall].2).unwrap();
    let on_it = |wall: usize, p: Point| offset(wall, p).abs() <= trace::TOUCH_M;
    // No mirror for a device on its centre line.
    if let (Some(first), Some(last)) = (chain.first(), chain.last())
        && (on_it(*first, from) || on_it(*last, to))
    {
        return None;
    }
    let mut images = vec![from];
    for wall in chain {
        let mirror = Unfolding::reflection(walls[*wall].0, normal(*wall));
        images.push(mirror.point(*images.last()?));
    }
    let mut corners = vec![to];
    for (number, wall) in chain.iter().enumerate().rev() {
        let (image, target) = (images[number + 1], *corners.last()?);
        if offset(*wall, image) * offset(*wall, target) >= 0.0 {
            return None;
        }
        let t = offset(*wall, image) / (offset(*wall, image) - offset(*wall, target));
        let hit = image + (target - image) * t;
        let (a, b, ..) = walls[*wall];
        let s = ((hit - a).x * (b - a).x + (hit - a).y * (b - a).y)
            / ((b - a).x.powi(2) + (b - a).y.powi(2));
        if !(0.0..=1.0).contains(&s) {
            return None;
        }
        corners.push(hit);
    }
    corners.push(from);
    corners.reverse();
    let end = *images.last()?;
    let plan_length = (to - end).x.hypot((to - end).y);
    let length = plan_length.hypot(rise);
    let mut gain = (frequency.wavelength().0 / (4.0 * std::f64::consts::PI * length)).powi(2);
    let response = |wall: usize, leg: (Point, Point)| {
        let d = leg.1 - leg.0;
        let n = normal(wall);
        let cos = (n.x * d.x + n.y * d.y).abs() / d.x.hypot(d.y) * plan_length / length;
        let mut layers = slab(wall).slab_layers(frequency);
        // As what comes from the leg's far end sees it.
        if offset(wall, leg.1) * walls[wall].3 < 0.0 {
            layers.reverse();
        }
        radio::slab_response(&layers, frequency, cos, Polarisation::Mean)
    };
    let legs: Vec<(Point, Point)> = corners.windows(2).map(|pair| (pair[0], pair[1])).collect();
    for (number, leg) in legs.iter().enumerate() {
        if number > 0 {
            gain *= response(chain[number - 1], *leg).reflectance.0;
        }
        for (wall, (a, b, ..)) in walls.iter().enumerate() {
            if (number > 0 && chain[number - 1] == wall) || chain.get(number) == Some(&wall) {
                continue;
            }
            // A device on a wall's centre line does not cross that wall.
            if (number == 0 && on_it(wall, from)) || (number == chain.len() && on_it(wall, to)) {
                continue;
            }
            let (one, two) = (offset(wall, leg.0), offset(wall, leg.1));
            let hit = leg.0 + (leg.1 - leg.0) * (one / (one - two));
            let (span, reach) = (*b - *a, hit - *a);
            let s = (reach.x * span.x + reach.y * span.y) / (span.x.powi(2) + span.y.powi(2));
            if one * two < 0.0 && (0.0..=1.0).contains(&s) {
                gain *= response(wall, *leg).transmittance.0.max(1e-4);
            }
        }
    }
    Some(gain)
}
