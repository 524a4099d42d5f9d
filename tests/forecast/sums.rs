//! Sums of paths against closed forms, and what must be true of them whatever the house.

use std::f64::consts::TAU;

use fixtures::plan_of;
use forecast::{Adding, Follower, LEAST_LEFT, Model, PathSum, Walls};
use proptest::prelude::*;
use radio::Polarisation;
use serde_json::{Value, json};
use trace::HeightProfile;

use crate::invariants::house::{house, path_loss, seeds, site};

fn model(adding: Adding) -> Model {
    Model { walls: Walls::Ideal, adding, ..Model::default() }
}

/// A plan of the features given, with a panel and a sensor at these places and heights.
fn plan(features: &[Value], panel: [f64; 3], sensor: [f64; 3]) -> plan::Plan {
    let point = |kind: &str, at: [f64; 3]| {
        json!({"type": "Feature", "id": kind,
            "geometry": {"type": "Point", "coordinates": [at[0], at[1]]},
            "properties": {"kind": kind, "level": 0, "height": at[2]}})
    };
    let mut all = features.to_vec();
    all.extend([point("panel", panel), point("sensor", sensor)]);
    let levels = json!([{"level": 0, "floor": 0.0, "ceiling": 2.4},
        {"level": 1, "floor": 2.4, "ceiling": 4.0}]);
    plan_of(
        &json!({"type": "FeatureCollection", "name": "t", "units": "m", "link": "eu-868.65",
        "levels": levels, "features": all})
        .to_string(),
    )
}

fn ring(low: [f64; 2], high: [f64; 2]) -> Value {
    let ([w, s], [e, n]) = (low, high);
    json!([[w, s], [e, s], [e, n], [w, n], [w, s]])
}

fn slab(id: &str, level: i32, construction: &str, joint: &str) -> Value {
    json!({"type": "Feature", "id": id,
        "geometry": {"type": "Polygon", "coordinates": [ring([-2.0, -2.0], [22.0, 4.0])]},
        "properties": {"kind": "slab", "level": level, "construction": construction,
            "joint": joint}})
}

/// The sum for a level wave, which metal below it reflects with −1.
fn sum(plan: &plan::Plan) -> PathSum {
    let level = Model { polarisation: Polarisation::Te, ..model(Adding::Waves) };
    let site = site(plan, level);
    let view = site.view(site.link(None).unwrap().frequency).unwrap();
    let (from, to) = (&site.panel.device, &plan.devices[1]);
    let heights = HeightProfile::all(&site.scene.floors, from.height_m, to.height_m, 1);
    view.sum(&mut Follower::default(), &site.panel.tree, &heights, to.position)
}

/// Two rays over a plane of metal: E = 1 − e^{−jk(l − d)}·d/l over the direct ray's, times the
/// share that the spot about the device keeps, and what is not known of both ends' places.
#[test]
fn over_a_metal_floor_two_rays_add_as_waves() {
    let wavelength = 299.792_458 / 868.65;
    for (low, high, far) in
        [(0.05, 0.05, 20.0), (0.1, 0.2, 15.0), (0.3, 0.4, 18.0), (1.0, 1.5, 4.0)]
    {
        let floor = slab("floor", 0, "sheet-metal", "seam");
        let plan = plan(&[floor], [0.0, 1.0, low], [far, 1.0, high]);
        let found = sum(&plan);
        let direct = f64::hypot(far, high - low);
        let bounced = f64::hypot(far, high + low);
        // Unit vectors at either end differ in height and a little along.
        let along = far / direct - far / bounced;
        let apart = |sign: f64| {
            let rise = (high - low) / direct - sign * (high + low) / bounced;
            rise * rise + along * along
        };
        let place = TAU / wavelength * 0.05;
        let (drawn, spot) = (0.5 * place * place, std::f64::consts::PI.powi(2) / 8.0);
        let weight = (-drawn * apart(-1.0) - (drawn + spot) * apart(1.0)).exp();
        let phase = TAU / wavelength * (bounced - direct);
        let ratio = direct / bounced;
        let wave = -2.0 * ratio * phase.cos() * weight;
        let over = found.waves * (1.0 + ratio * ratio) / found.powers;
        approx::assert_abs_diff_eq!(over, wave, epsilon = 2e-3);
    }
}

#[test]
fn low_over_the_floor_and_far_away_nothing_but_the_least_is_left() {
    let floor = slab("floor", 0, "sheet-metal", "seam");
    let found = sum(&plan(&[floor], [0.0, 1.0, 0.02], [20.0, 1.0, 0.02]));
    assert!(found.powers + found.waves < 0.02 * found.powers);
    approx::assert_relative_eq!(found.total(), LEAST_LEFT * found.powers, max_relative = 1e-9);
}

/// Loss to a place in a room of sheet metal under a ceiling and on a floor.
fn into_metal(ceiling: &str, floor: &str, joint: &str) -> f64 {
    let wall = json!({"type": "Feature", "id": "room",
        "geometry": {"type": "LineString", "coordinates": [[10.0, -1.0], [14.0, -1.0], [14.0, 3.0],
            [10.0, 3.0], [10.0, -1.0]]},
        "properties": {"kind": "wall", "level": 0, "construction": "sheet-metal"}});
    let features = [wall, slab("floor", 0, floor, joint), slab("ceiling", 1, ceiling, joint)];
    path_loss(&plan(&features, [0.0, 1.0, 1.5], [12.0, 1.2, 1.0]), model(Adding::Waves))
}

/// What gets round a metal wall goes through what it is joined to, out and in again: concrete holds
/// it off, a board does not.
#[test]
fn concrete_about_a_metal_room_holds_off_what_a_board_lets_round() {
    let board = into_metal("ceiling-board-roof", "floor-timber", "seam");
    let concrete = into_metal("floor-concrete", "floor-concrete", "seam");
    assert!(concrete - board > 5.0, "{board} {concrete}");
}

/// A sensor in a metal room: each step closes the room further and lets through no more.
#[test]
fn closing_a_metal_room_never_brings_more() {
    let steps = [
        into_metal("ceiling-board-roof", "floor-timber", "seam"),
        into_metal("ceiling-foil", "floor-timber", "seam"),
        into_metal("ceiling-foil", "floor-timber", "tight"),
        into_metal("ceiling-foil", "floor-metal-panel", "tight"),
    ];
    assert!(steps.is_sorted(), "{steps:?}");
    assert!(steps[3] - steps[0] > 20.0, "{steps:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// No reflection does more than double the direct wave's amplitude together with its own.
    #[test]
    fn waves_in_step_stay_within_the_sum_of_amplitudes(seed in seeds()) {
        let plan = house(seed);
        let site = site(&plan, model(Adding::Waves));
        let view = site.view(site.link(None).unwrap().frequency).unwrap();
        let (from, to) = (&site.panel.device, &plan.devices[1]);
        let heights = (from.height_m, to.height_m);
        let mut follower = Follower::default();
        let paths = view.paths(&mut follower, &site.panel.tree, heights, to.position);
        let amplitude: f64 = paths
            .iter()
            .map(|path| (path.interaction.0 * view.spreading(path.length_m)).sqrt())
            .sum();
        let profiles = HeightProfile::all(&site.scene.floors, heights.0, heights.1, 1);
        let found = view.sum(&mut follower, &site.panel.tree, &profiles, to.position);
        let top = amplitude * amplitude * (1.0 + 1e-9);
        prop_assert!(found.powers + found.waves.abs() <= top, "{found:?} {amplitude}");
        prop_assert!(found.total() >= LEAST_LEFT * found.powers);
    }
}
