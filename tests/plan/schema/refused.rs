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

/// The same for a house with one value replaced. Each row holds a value and the places to put it.
fn refuse_all(rows: &str) {
    let judge = Judge::new();
    for row in rows.trim().lines() {
        let (value, paths) = row.split_once(" <- ").unwrap();
        let value: Value = serde_json::from_str(value.trim()).unwrap();
        for path in paths.split_whitespace() {
            let mut plan = house();
            put(&mut plan, path, value.clone());
            refuse(&judge, &format!("{path}: {value}"), &plan);
        }
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
        ("backdrop/", "file transform"),
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
    refuse_all(
        r#"
        1 <- type name units link/like calibration/panel calibration/constructions/old
        1 <- calibration/devices features/wall/properties/kind features/wall/properties/construction
        1 <- constructions/board/layers/0/material constructions/board/layers/1/material
        1 <- features/sensor/properties/name features/sensor/properties/room
        1 <- features/sensor/properties/role features/sensor/properties/device
        1 <- features/sensor/properties/link features/sensor/properties/mount
        1 <- features/sensor/properties/supervised features/roam/properties/name
        1 <- features/room/properties/name
        0 <- levels/0 levels/0/name
        2 <- features/wall/geometry/type
        5 <- link features/wall/type
        true <- features/wall/id features/opening/properties/state
        null <- constructions/board constructions/board/layers/0 calibration/devices/sensor
        null <- features/wall
        [] <- constructions calibration constructions/old/loss_db calibration/constructions
        [2] <- features/opening/properties/top
        ["us-345"] <- link
        {} <- features levels constructions/board/layers
        "0" <- levels/0/level levels/0/floor features/wall/properties/level
        "0" <- features/wall/properties/base
        "0.3" <- features/outlet/properties/height
        "1" <- calibration/panel_at/0 calibration/height features/sensor/properties/height
        "1" <- features/stairs/properties/to
        "3" <- features/sensor/properties/number
        "4" <- link/bursts
        "8" <- features/repeater/properties/capacity
        "9.5" <- constructions/old/loss_db/868.3
        "10" <- link/eirp_dbm features/wall/geometry/coordinates/1/0
        "12.5" <- constructions/board/layers/0/thickness_mm
        "240" <- features/wall/properties/thickness_mm
        "10,0" <- features/wall/geometry/coordinates/1
        "0,0 10,0" <- features/wall/geometry/coordinates
        "brick" <- constructions/board
        "here" <- calibration/panel_at
        "line" <- features/wall/geometry
        "none" <- features/wall/geometry/bbox
        " \t" <- features/wall/id
        "true" <- features/roam/properties/worn
        "wall" <- features/wall/properties
        "yes" <- features/opening/properties/entry
        "#,
    );
}

#[test]
fn what_is_out_of_range_is_refused() {
    refuse_all(
        r#"
        [] <- levels constructions/board/layers
        {} <- constructions/old/loss_db
        0 <- link/bursts constructions/board/layers/0/thickness_mm
        0 <- constructions/board/layers/1/sheet_resistance_ohm calibration/constructions/old/scale
        0 <- features/repeater/properties/capacity
        -1 <- constructions/old/loss_db/868.3 calibration/site_sigma_db
        -1 <- calibration/devices/sensor/sigma_db features/sensor/properties/number
        0.5 <- levels/0/level
        1.5 <- features/sensor/properties/number
        2.5 <- link/bursts
        0.24 <- features/wall/properties/thickness_mm
        61 <- calibration/site_offset_db
        105 <- link/sensitivity_dbm
        301 <- constructions/old/loss_db/868.3
        1001 <- levels/0/level features/repeater/properties/capacity
        -4000 <- levels/0/floor
        4000 <- levels/1/ceiling features/wall/properties/top
        5001 <- features/wall/properties/thickness_mm constructions/board/layers/0/thickness_mm
        1000000 <- features/sensor/properties/number
        868300000 <- link/frequency_mhz
        1e9 <- features/sensor/properties/height
        [1] <- calibration/panel_at
        [1, 1, 1] <- calibration/panel_at
        [1e6, 0] <- features/sensor/geometry/coordinates
        "#,
    );
    let levels: Vec<Value> =
        (0..201).map(|n| json!({"level": n, "floor": n * 3, "ceiling": n * 3 + 2})).collect();
    let layers = vec![json!({"material": "brick", "thickness_mm": 1}); 51];
    refuse_all(&format!("{} <- levels", json!(levels)));
    refuse_all(&format!("{} <- constructions/board/layers", json!(layers)));
}

#[test]
fn unknown_names_are_refused() {
    refuse_all(
        r#"
        "FeatureColection" <- type
        "mm" <- units
        "Wall" <- features/wall/type
        "ajar" <- features/opening/properties/state
        "no-such" <- link link/like constructions/board/layers/0/material
        "no-such" <- features/sensor/properties/mount features/sensor/properties/link
        "no-such" <- features/roam/properties/link/like
        {"many": 3} <- constructions/old/loss_db
        {"-868": 3} <- constructions/old/loss_db
        {"inf": 3} <- constructions/old/loss_db
        "#,
    );
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
    refuse_all(
        r#"
        {"868": 1} <- constructions/board/loss_db
        [{"material": "brick", "thickness_mm": 1}] <- constructions/old/layers
        1 <- constructions/board/layers/0/sheet_resistance_ohm
        "#,
    );
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
    refuse_all(
        r#"
        [] <- features/wall/geometry/coordinates features/panel/geometry/coordinates
        [] <- features/slab/geometry/coordinates
        [[0, 0]] <- features/wall/geometry/coordinates
        [0, 0] <- features/wall/geometry/coordinates
        [[0, 0], [1]] <- features/wall/geometry/coordinates
        [[0, 0], [1, 2, 3, 4, 5]] <- features/wall/geometry/coordinates
        [[0, 0], [1, null]] <- features/wall/geometry/coordinates
        [[0, 0], [1, 1, "high"]] <- features/wall/geometry/coordinates
        [[1, 1]] <- features/panel/geometry/coordinates
        [[]] <- features/slab/geometry/coordinates
        [[0, 0], [1, 0], [1, 1], [0, 0]] <- features/slab/geometry/coordinates
        [[[0, 0], [1, 0], [0, 0]]] <- features/slab/geometry/coordinates
        "#,
    );
}
