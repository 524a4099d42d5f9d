//! One bad plan for each promise of the schema: both the schema and the reader refuse it.

use plan::schema::kinds;
use serde_json::{Value, json};

use crate::schema::support::{Judge, house, put, reader_verdict, take};

/// Checks that a plan is refused by both.
#[track_caller]
fn refuse(judge: &Judge, name: &str, plan: &Value) {
    assert!(reader_verdict(plan).is_err(), "the reader accepts {name}");
    assert!(judge.verdict(plan).is_err(), "the schema accepts {name}");
}

/// The same for a house with one value replaced.
fn refuse_all(changes: Vec<(&str, Value)>) {
    let judge = Judge::new();
    for (path, value) in changes {
        let mut plan = house();
        put(&mut plan, path, value.clone());
        refuse(&judge, &format!("{path}: {value}"), &plan);
    }
}

#[test]
fn missing_members_are_refused() {
    let judge = Judge::new();
    let needed = [
        ("", "type features constructions"),
        ("levels/0/", "level floor ceiling"),
        ("constructions/", "board/layers old/loss_db"),
        ("constructions/board/layers/", "0/material 0/thickness_mm 1/sheet_resistance_ohm"),
        ("calibration/", "panel panel_at level site_offset_db site_sigma_db"),
        ("calibration/constructions/old/", "scale sigma"),
        ("calibration/devices/sensor/", "loss_db own_db sigma_db"),
        ("features/wall/", "type geometry properties geometry/type geometry/coordinates"),
        ("features/wall/properties/", "kind construction level"),
        ("features/opening/properties/", "construction"),
        ("features/slab/properties/", "construction level"),
        ("features/obstacle/properties/", "construction level"),
        ("features/panel/properties/", "level"),
        ("features/sensor/properties/", "level"),
        ("features/repeater/properties/", "level"),
        ("features/keypad/properties/", "level"),
        ("features/siren/properties/", "level"),
        ("features/roam/properties/", "level"),
        ("features/stairs/properties/", "level"),
    ];
    let members = needed.iter().flat_map(|(path, members)| {
        members.split(' ').map(move |member| format!("{path}{member}"))
    });
    for path in members {
        let mut plan = house();
        take(&mut plan, &path);
        refuse(&judge, &format!("no {path}"), &plan);
    }
}

#[test]
fn wrong_types_are_refused() {
    refuse_all(vec![
        ("type", json!(1)),
        ("name", json!(1)),
        ("units", json!(1)),
        ("features", json!({})),
        ("levels", json!({})),
        ("link", json!(5)),
        ("link", json!(["us-345"])),
        ("constructions", json!([])),
        ("calibration", json!([])),
        ("levels/0", json!(0)),
        ("levels/0/name", json!(0)),
        ("levels/0/level", json!("0")),
        ("levels/0/floor", json!("0")),
        ("link/like", json!(1)),
        ("link/eirp_dbm", json!("10")),
        ("link/bursts", json!("4")),
        ("constructions/board", json!(null)),
        ("constructions/board", json!("brick")),
        ("constructions/board/layers", json!({})),
        ("constructions/board/layers/0", json!(null)),
        ("constructions/board/layers/0/material", json!(1)),
        ("constructions/board/layers/1/material", json!(1)),
        ("constructions/board/layers/0/thickness_mm", json!("12.5")),
        ("constructions/old/loss_db", json!([])),
        ("constructions/old/loss_db/868.3", json!("9.5")),
        ("calibration/panel", json!(1)),
        ("calibration/panel_at", json!("here")),
        ("calibration/panel_at/0", json!("1")),
        ("calibration/height", json!("1")),
        ("calibration/constructions", json!([])),
        ("calibration/constructions/old", json!(1)),
        ("calibration/devices", json!(1)),
        ("calibration/devices/sensor", json!(null)),
        ("features/wall", json!(null)),
        ("features/wall/type", json!(5)),
        ("features/wall/id", json!(true)),
        ("features/wall/id", json!(" \t")),
        ("features/wall/properties", json!("wall")),
        ("features/wall/properties/kind", json!(1)),
        ("features/wall/properties/construction", json!(1)),
        ("features/wall/properties/level", json!("0")),
        ("features/wall/properties/thickness_mm", json!("240")),
        ("features/wall/properties/base", json!("0")),
        ("features/opening/properties/state", json!(true)),
        ("features/opening/properties/entry", json!("yes")),
        ("features/opening/properties/top", json!([2])),
        ("features/sensor/properties/height", json!("1")),
        ("features/sensor/properties/name", json!(1)),
        ("features/sensor/properties/room", json!(1)),
        ("features/sensor/properties/number", json!("3")),
        ("features/sensor/properties/role", json!(1)),
        ("features/sensor/properties/device", json!(1)),
        ("features/sensor/properties/link", json!(1)),
        ("features/sensor/properties/mount", json!(1)),
        ("features/sensor/properties/supervised", json!(1)),
        ("features/repeater/properties/capacity", json!("8")),
        ("features/roam/properties/worn", json!("true")),
        ("features/roam/properties/name", json!(1)),
        ("features/outlet/properties/height", json!("0.3")),
        ("features/stairs/properties/to", json!("1")),
        ("features/wall/geometry", json!("line")),
        ("features/wall/geometry/type", json!(2)),
        ("features/wall/geometry/bbox", json!("none")),
        ("features/wall/geometry/coordinates", json!("0,0 10,0")),
        ("features/wall/geometry/coordinates/1", json!("10,0")),
        ("features/wall/geometry/coordinates/1/0", json!("10")),
    ]);
}

#[test]
fn a_room_with_a_wrong_name_is_refused() {
    refuse_all(vec![("features/room/properties/name", json!(1))]);
}

#[test]
fn what_is_out_of_range_is_refused() {
    let levels: Vec<Value> =
        (0..201).map(|n| json!({"level": n, "floor": n * 3, "ceiling": n * 3 + 2})).collect();
    let layers = vec![json!({"material": "brick", "thickness_mm": 1}); 51];
    refuse_all(vec![
        ("levels", json!([])),
        ("levels", json!(levels)),
        ("levels/0/level", json!(0.5)),
        ("levels/0/level", json!(1_001)),
        ("levels/0/floor", json!(-4_000)),
        ("levels/1/ceiling", json!(4_000)),
        ("link/frequency_mhz", json!(868_300_000)),
        ("link/sensitivity_dbm", json!(105)),
        ("link/bursts", json!(2.5)),
        ("link/bursts", json!(0)),
        ("constructions/board/layers", json!([])),
        ("constructions/board/layers", json!(layers)),
        ("constructions/board/layers/0/thickness_mm", json!(0)),
        ("constructions/board/layers/0/thickness_mm", json!(5_001)),
        ("constructions/board/layers/1/sheet_resistance_ohm", json!(0)),
        ("constructions/old/loss_db", json!({})),
        ("constructions/old/loss_db/868.3", json!(-1)),
        ("constructions/old/loss_db/868.3", json!(301)),
        ("calibration/site_offset_db", json!(61)),
        ("calibration/site_sigma_db", json!(-1)),
        ("calibration/constructions/old/scale", json!(0)),
        ("calibration/devices/sensor/sigma_db", json!(-1)),
        ("calibration/panel_at", json!([1])),
        ("calibration/panel_at", json!([1, 1, 1])),
        ("features/wall/properties/thickness_mm", json!(0.24)),
        ("features/wall/properties/thickness_mm", json!(5_001)),
        ("features/wall/properties/top", json!(4_000)),
        ("features/sensor/properties/height", json!(1e9)),
        ("features/sensor/properties/number", json!(-1)),
        ("features/sensor/properties/number", json!(1_000_000)),
        ("features/sensor/properties/number", json!(1.5)),
        ("features/repeater/properties/capacity", json!(0)),
        ("features/repeater/properties/capacity", json!(1_001)),
        ("features/sensor/geometry/coordinates", json!([1e6, 0])),
    ]);
}

#[test]
fn unknown_names_are_refused() {
    refuse_all(vec![
        ("type", json!("FeatureColection")),
        ("units", json!("mm")),
        ("link", json!("no-such")),
        ("link/like", json!("no-such")),
        ("constructions/board/layers/0/material", json!("no-such")),
        ("constructions/old/loss_db", json!({"many": 3})),
        ("constructions/old/loss_db", json!({"-868": 3})),
        ("constructions/old/loss_db", json!({"inf": 3})),
        ("features/wall/type", json!("Wall")),
        ("features/opening/properties/state", json!("ajar")),
        ("features/sensor/properties/mount", json!("no-such")),
        ("features/sensor/properties/link", json!("no-such")),
        ("features/roam/properties/link/like", json!("no-such")),
    ]);
    let judge = Judge::new();
    let mut plan = house();
    take(&mut plan, "constructions");
    take(&mut plan, "calibration");
    for kind in ["wall", "opening", "slab", "obstacle"] {
        let path = format!("features/{kind}/properties/construction");
        put(&mut plan, &path, json!("brick-half"));
    }
    assert_eq!(reader_verdict(&plan), Ok(()));
    assert_eq!(judge.verdict(&plan), Ok(()));
    for kind in ["wall", "opening", "slab", "obstacle"] {
        let mut plan = plan.clone();
        let path = format!("features/{kind}/properties/construction");
        put(&mut plan, &path, json!("brik-half"));
        refuse(&judge, &path, &plan);
    }
}

#[test]
fn what_does_not_go_together_is_refused() {
    refuse_all(vec![
        ("constructions/board/loss_db", json!({"868": 1})),
        ("constructions/old/layers", json!([{"material": "brick", "thickness_mm": 1}])),
        ("constructions/board/layers/0/sheet_resistance_ohm", json!(1)),
    ]);
    let judge = Judge::new();
    for role in ["fire", "carbon-monoxide"] {
        let mut plan = house();
        put(&mut plan, "features/siren/properties/role", json!(role));
        assert_eq!(judge.verdict(&plan), Ok(()), "{role}");
        put(&mut plan, "features/siren/properties/supervised", json!(false));
        refuse(&judge, role, &plan);
    }
    let mut plan = house();
    for path in ["levels", "calibration", "features/slab/properties/level"] {
        take(&mut plan, path);
    }
    refuse(&judge, "stairs on one level", &plan);
    put(&mut plan, "features/stairs/properties/kind", json!("lamp"));
    assert_eq!(reader_verdict(&plan), Ok(()));
    assert_eq!(judge.verdict(&plan), Ok(()));
}

#[test]
fn geometry_types_that_do_not_draw_a_kind_are_refused() {
    let judge = Judge::new();
    let ring = json!([[1, 1], [2, 1], [2, 2], [1, 1]]);
    let drawn = [
        ("Point", json!([1, 1])),
        ("LineString", json!([[1, 0], [2, 0]])),
        ("Polygon", json!([ring])),
        ("MultiPoint", json!([[1, 1]])),
        ("MultiLineString", json!([[[1, 0], [2, 0]]])),
        ("MultiPolygon", json!([[ring]])),
        ("Circle", json!([1, 1])),
    ];
    let mut refused = 0;
    for kind in kinds() {
        for (shape, coordinates) in &drawn {
            let mut plan = house();
            let path = format!("features/{}/geometry", kind.name);
            let drawing = json!({"type": shape, "coordinates": coordinates});
            put(&mut plan, &path, drawing);
            if kind.geometry.contains(shape) {
                assert_eq!(judge.verdict(&plan), Ok(()), "{} as {shape}", kind.name);
            } else {
                refuse(&judge, &format!("{} as {shape}", kind.name), &plan);
                refused += 1;
            }
        }
    }
    assert!(refused > 70, "{refused}");
}

#[test]
fn broken_coordinates_are_refused() {
    refuse_all(vec![
        ("features/wall/geometry/coordinates", json!([])),
        ("features/wall/geometry/coordinates", json!([[0, 0]])),
        ("features/wall/geometry/coordinates", json!([0, 0])),
        ("features/wall/geometry/coordinates", json!([[0, 0], [1]])),
        ("features/wall/geometry/coordinates", json!([[0, 0], [1, 2, 3, 4, 5]])),
        ("features/wall/geometry/coordinates", json!([[0, 0], [1, null]])),
        ("features/wall/geometry/coordinates", json!([[0, 0], [1, 1, "high"]])),
        ("features/panel/geometry/coordinates", json!([])),
        ("features/panel/geometry/coordinates", json!([[1, 1]])),
        ("features/slab/geometry/coordinates", json!([])),
        ("features/slab/geometry/coordinates", json!([[]])),
        ("features/slab/geometry/coordinates", json!([[0, 0], [1, 0], [1, 1], [0, 0]])),
        ("features/slab/geometry/coordinates", json!([[[0, 0], [1, 0], [0, 0]]])),
    ]);
}
