//! Plans that nobody draws on purpose: what they cost is bounded, and what they give stays right.

use fixtures::plan_of;
use forecast::{Assessment, LinkOverride, Model, Site};
use serde_json::{Value, json};
use trace::HeightProfile;

const BOX: [[f64; 2]; 5] = [[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0], [0.0, 0.0]];

fn wall(points: &Value) -> Value {
    json!({"type": "Feature", "geometry": {"type": "LineString", "coordinates": points},
        "properties": {"kind": "wall", "construction": "brick-half", "level": 0}})
}

fn slab(low: [f64; 2], high: [f64; 2]) -> Value {
    let ([w, s], [e, n]) = (low, high);
    json!({"type": "Feature", "geometry": {"type": "Polygon",
        "coordinates": [[[w, s], [e, s], [e, n], [w, n], [w, s]]]},
        "properties": {"kind": "slab", "construction": "floor-concrete", "level": 1}})
}

fn plan(mut features: Vec<Value>) -> plan::Plan {
    let devices =
        [("panel", [1.31, 1.73], 0), ("sensor", [16.37, 12.19], 0), ("sensor", [5.33, 9.17], 1)];
    features.extend(devices.map(|(kind, at, level)| {
        json!({"type": "Feature", "geometry": {"type": "Point", "coordinates": at},
            "properties": {"kind": kind, "level": level}})
    }));
    let levels = json!([{"level": 0, "floor": 0.0, "ceiling": 2.4},
        {"level": 1, "floor": 2.6, "ceiling": 5.0}]);
    let whole = json!({"type": "FeatureCollection", "name": "t", "units": "m",
        "link": "eu-868.65", "levels": levels, "features": features});
    plan_of(&whole.to_string())
}

fn site(plan: &plan::Plan) -> Site<'_> {
    Site::new(plan, Model::default(), LinkOverride::default(), None).unwrap()
}

#[test]
fn walls_drawn_two_thousand_times_over_join_a_few_only() {
    let same = wall(&json!([[4.0, 18.0], [8.0, 18.0]]));
    let plan = plan(std::iter::repeat_n(same, 2_000).chain([wall(&json!(BOX))]).collect());
    let site = site(&plan);
    let joined = site.scene.screens.iter().flat_map(|screen| &screen.joints);
    let most = joined.map(|joint| joint.screens.len()).max();
    assert!(most.is_some_and(|most| (10..100).contains(&most)), "{most:?}");
    assert!(!site.scene.screens[0].free[0]);
}

#[test]
fn a_floor_in_ten_thousand_pieces_is_one_floor_to_a_path() {
    let whole = plan(vec![wall(&json!(BOX)), slab([0.0, 0.0], [20.0, 20.0])]);
    let pieces = (0..10_000).map(|number| {
        let low = [f64::from(number % 100) * 0.2, f64::from(number / 100) * 0.2];
        slab(low, [low[0] + 0.2, low[1] + 0.2])
    });
    let pieced = plan(pieces.chain([wall(&json!(BOX))]).collect());
    let (whole, pieced) = (site(&whole), site(&pieced));
    let profiles = |site: &Site<'_>| HeightProfile::all(&site.scene.floors, 1.4, 2.0, 2).len();
    assert_eq!(profiles(&pieced), profiles(&whole));
    let losses = |site: &Site<'_>| {
        let sensors = Assessment::new(site).unwrap().sensors;
        sensors.iter().map(|sensor| sensor.hop.path_loss.0).collect::<Vec<f64>>()
    };
    for (one, many) in losses(&whole).iter().zip(losses(&pieced)) {
        assert!((one - many).abs() < 1e-9, "{one} dB {many} dB");
    }
}
