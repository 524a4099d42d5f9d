//! Paths are the same in both directions: what a device's images give at a spot is what the spot's
//! images give at the device.

use forecast::{Edges, Follower, HopFigures, ListenerEnd, Model, Site, Trail, hop_figures};
use geo::Coord;
use plan::{Device, DeviceKind, Plan};
use proptest::prelude::*;
use trace::{HeightProfile, ImageTree};

use super::dice::{Drawn, plan};
use super::{PLANS, same_db, shipped, site};
use crate::plans::at;

/// Loss and chance of a fault of `device` heard at a place, traced from one end and from the other.
fn both_ways(site: &Site<'_>, device: &Device, (to, height_m): (Coord<f64>, f64)) -> [[f64; 3]; 2] {
    let link = site.link(device.link.as_ref()).unwrap();
    let ends = [(device.position, device.height_m), (to, height_m)];
    let ways = [(ends, ListenerEnd::Far), ([ends[1], ends[0]], ListenerEnd::Near)];
    ways.map(|([from, to], listener)| {
        let order = site.model.reflections;
        let tree = ImageTree::new(&site.scene, from.0, order).unwrap();
        let height_profiles = HeightProfile::all(&site.scene.floors, from.1, to.1, order);
        let height_profiles = &height_profiles[..];
        let trail = Trail { tree: &tree, height_profiles, to: to.0, listener, aerial: None };
        let figures = hop_figures(site, &mut Follower::default(), trail, device, &link);
        let HopFigures { path_loss, margin, fault_per_year, .. } = figures;
        [path_loss.0, margin.0, fault_per_year]
    })
}

/// Every device of a plan against some places, which are on walls, in boxes and in the free.
fn check(plan: &Plan, model: Model, places: &[(Coord<f64>, f64)]) {
    let site = site(plan, model);
    let devices = plan.devices.iter();
    for device in devices.filter(|device| device.kind != DeviceKind::Panel) {
        for place in places {
            let [there, back] = both_ways(&site, device, *place);
            let what = format!("{} at {place:?}", device.id);
            same_db(there[0], back[0], &what);
            same_db(there[1], back[1], &what);
            assert!((there[2] - back[2]).abs() < 1e-9, "{what}");
        }
    }
}

/// Places on both sides of every wall, off its face or within its thickness, the middle of every
/// obstacle, and a place near every device. Devices themselves are on centre lines, too.
fn places(plan: &Plan) -> Vec<(Coord<f64>, f64)> {
    let mut places: Vec<(Coord<f64>, f64)> = plan
        .devices
        .iter()
        .map(|device| (device.position + at(0.0313, 0.0547), device.height_m + 0.3))
        .collect();
    for wall in &plan.walls {
        for piece in wall.line.lines() {
            // No round numbers: at 5 mm from a face a device begins to be on it.
            let middle = piece.start + piece.delta() * 0.4713;
            let length = piece.dx().hypot(piece.dy());
            let beside = at(-piece.dy() / length, piece.dx() / length);
            let height_m = wall.base_m + 1.4;
            places
                .extend([middle + beside * 0.187, middle - beside * 0.203].map(|p| (p, height_m)));
        }
    }
    for obstacle in &plan.obstacles {
        let corners = &obstacle.outline.exterior().0;
        let opposite = corners[corners.len() / 2];
        places.push(((corners[0] + opposite) / 2.0, obstacle.base_m + 0.5));
    }
    places
}

#[test]
fn the_field_from_the_sensor_is_the_field_from_the_panel_in_the_shipped_plans() {
    for name in PLANS {
        let plan = shipped(name);
        let places = places(&plan);
        for reflections in 0..=2 {
            for openings in [Edges::Soft, Edges::Sharp] {
                let model = Model { reflections, openings, ..Model::default() };
                // Twice reflected paths take long: some of the places.
                let every = if reflections == 2 { 9 } else { 1 };
                let some: Vec<_> = places.iter().copied().step_by(every).collect();
                check(&plan, model, &some);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_field_from_the_sensor_is_the_field_from_the_panel_in_random_plans(
        Drawn(plan) in plan(),
        reflections in 0..=2u8,
        soft in any::<bool>(),
        far in prop::array::uniform2(-2.0..10.0f64),
        height_m in 0.1..2.6f64,
    ) {
        let model = Model {
            reflections,
            openings: if soft { Edges::Soft } else { Edges::Sharp },
            ..Model::default()
        };
        let mut places = places(&plan);
        places.push((at(far[0], far[1]), height_m));
        check(&plan, model, &places);
    }
}
