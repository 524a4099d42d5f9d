//! Where a device may be moved to.

use explain::{Action, ExplainSettings, Side, explain, places, wall_face};
use geo::{Coord, Intersects as _, Line};
use plan::{Aerial, DeviceKind, Plan, read};

use forecast::vocabulary;

use super::{PLANS, shipped, site};

/// A room of brick 6 m by 4 m with a door in the lower wall from x 3 to x 4, the panel outside, and
/// one sensor.
fn room(position: [f64; 2], mount: &str) -> Plan {
    let text = format!(
        r#"{{"type": "FeatureCollection", "features": [
        {{"type": "Feature", "id": "ring", "geometry": {{"type": "LineString", "coordinates":
          [[0, 0], [6, 0], [6, 4], [0, 4], [0, 0]]}},
          "properties": {{"kind": "wall", "construction": "brick-half"}}}},
        {{"type": "Feature", "id": "door", "geometry": {{"type": "LineString", "coordinates":
          [[3, 0], [4, 0]]}},
          "properties": {{"kind": "opening", "construction": "door-solid", "base": 0, "top": 2}}}},
        {{"type": "Feature", "id": "panel", "geometry": {{"type": "Point", "coordinates": [3.5, -8]}},
          "properties": {{"kind": "panel", "height": 1.5}}}},
        {{"type": "Feature", "id": "s", "geometry": {{"type": "Point", "coordinates": [{}, {}]}},
          "properties": {{"kind": "sensor", "height": 1.5, "mount": "{mount}"}}}}]}}"#,
        position[0], position[1]
    );
    match read("room.geojson", text.as_bytes(), &vocabulary()) {
        Ok(reading) => reading.plan,
        Err(faults) => panic!("{faults:#?}"),
    }
}

/// A level sensor loses what the ledger says to an upright panel, and turning it is offered; where
/// nothing is known of it there is nothing to turn.
#[test]
fn a_level_aerial_is_turned_to_an_upright_panel() {
    let turns = |panel: Option<Aerial>, sensor: Option<Aerial>| {
        let mut plan = room([2.5, 0.09], "wall");
        (plan.devices[0].aerial, plan.devices[1].aerial) = (panel, sensor);
        let site = site(&plan);
        let explained = explain(&site, &plan.devices[1], &ExplainSettings::default()).unwrap();
        let ledger = &explained.result.hop.ledger;
        let lines: f64 = explained.budget.lines.iter().map(|line| line.adds.0).sum();
        assert!((lines - ledger.margin_db.0).abs() < 1e-9, "the lines add up");
        let turned = explained.remedies.list.iter().find_map(|remedy| match remedy.action {
            Action::Turn { to } => Some((to, remedy.gain_db.0)),
            _ => None,
        });
        (ledger.aerial_loss_db.0, ledger.margin_db.0, turned)
    };
    let (upright, level) = (Some(Aerial::Upright), Some(Aerial::Level));
    let (none, as_usual, turned) = turns(None, None);
    assert_eq!((none, turned), (0.0, None));
    let (lost, margin, turned) = turns(upright, None);
    assert!((-1.5..0.0).contains(&lost) && turned.is_none(), "{lost}");
    assert!((margin + lost - as_usual).abs() < 1e-9);
    let (lost, margin, turned) = turns(upright, level);
    assert!((4.0..9.0).contains(&lost), "{lost}");
    assert!((margin + lost - as_usual).abs() < 1e-9);
    let (alike, best, nothing) = turns(upright, upright);
    assert!(alike < 2.0 && nothing.is_none(), "{alike} {nothing:?}");
    let (to, gain) = turned.unwrap();
    assert_eq!(to, Aerial::Upright);
    assert!((gain - (best - margin)).abs() < 1e-9);
    // A panel with a level aerial gains less from the same turn the other way.
    let (lost, _, turned) = turns(level, upright);
    assert_eq!(turned.map(|(to, _)| to), Some(Aerial::Level));
    assert!(turned.unwrap().1 < gain && lost > 4.0);
}

fn best_move(plan: &Plan, reach_m: f64) -> Option<(Coord<f64>, Option<Side>)> {
    let settings = ExplainSettings { reach_m, ..ExplainSettings::default() };
    let device = plan.devices.iter().find(|d| d.id == "s").unwrap();
    let explained = explain(&site(plan), device, &settings).unwrap();
    explained.remedies.list.iter().find_map(|r| match r.action {
        Action::MoveDevice { to_m, along_wall, .. } => Some((to_m.into(), along_wall)),
        _ => None,
    })
}

#[test]
fn a_device_on_a_wall_slides_along_it_as_far_as_the_door() {
    let plan = room([2.5, 0.09], "wall");
    let face = wall_face(&plan, &plan.devices[1]).unwrap();
    assert_eq!((face.wall, face.segment), (0, 0));
    // Who faces the lower wall from inside has x to the left.
    assert_eq!(face.side(1.0), Side::Left);
    assert_eq!(face.side(-1.0), Side::Right);
    let (to, side) = best_move(&plan, 1.5).expect("nearer to the door it is heard better");
    assert_eq!(side, Some(Side::Left));
    assert!((to.y - 0.09).abs() < 1e-12);
    assert!(to.x > 2.5 && to.x <= 3.0 - 0.03 + 1e-9, "{to:?}");
}

#[test]
fn a_device_on_the_ceiling_moves_freely_but_through_no_wall() {
    let plan = room([2.0, 0.4], "ceiling");
    assert!(wall_face(&plan, &plan.devices[1]).is_none());
    let (to, side) = best_move(&plan, 1.0).expect("somewhere it is heard better");
    assert_eq!(side, None);
    assert!(to.y > 0.0, "it went through the wall to {to:?}");
}

#[test]
fn no_place_lies_behind_a_wall_of_a_shipped_plan() {
    let reach_m = 1.5;
    let mut seen = [0, 0];
    for name in PLANS {
        let plan = shipped(name);
        for device in plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel) {
            let own = wall_face(&plan, device);
            for (to, side) in places(&plan, device, reach_m) {
                let way = to - device.position;
                assert!(way.x.hypot(way.y) <= reach_m + 1e-9);
                assert_eq!(side.is_some(), own.is_some());
                seen[usize::from(own.is_some())] += 1;
                let step = Line::new(device.position, to);
                for (number, wall) in plan.walls.iter().enumerate() {
                    let same = wall.level == device.level
                        && (wall.base_m..wall.top_m).contains(&device.height_m);
                    for (segment, line) in wall.line.lines().enumerate() {
                        let is_own = own.is_some_and(|o| (o.wall, o.segment) == (number, segment));
                        assert!(
                            is_own || !same || !step.intersects(&line),
                            "{name} {} to {to:?} through {}",
                            device.id,
                            wall.id
                        );
                    }
                }
            }
        }
    }
    assert!(seen.iter().all(|count| *count > 500), "{seen:?}");
}

#[test]
fn without_reach_nothing_is_moved() {
    let plan = room([2.5, 0.09], "wall");
    let settings = ExplainSettings { reach_m: 0.0, raise_m: 0.0 };
    let explained = explain(&site(&plan), &plan.devices[1], &settings).unwrap();
    for action in ["move", "raise"] {
        let vain = explained.remedies.vain.iter().find(|vain| vain.action == action).unwrap();
        assert!(vain.why.is_some() && vain.tried == 0, "{vain:?}");
    }
}
