//! The map of worst margins against the heatmaps of all devices, cell by cell.

use forecast::{Edges, Ledger, ListenerEnd, Model, Site, View, field, losses_anywhere};
use plan::{Device, DeviceKind, Level, Plan};
use proptest::prelude::*;
use siting::map::worst_field;
use siting::reach::Reach;
use trace::{Grid, ImageTree};
use units::{Db, PowerRatio};

use super::dice::{Drawn, plan};
use super::{same_db, shipped, site};
use crate::plans::{at, device};

/// Margin of a device to a receiver at every cell, dB.
fn margins(site: &Site<'_>, device: &Device, grid: &Grid) -> Vec<f64> {
    let link = site.link(device.link.as_ref()).unwrap();
    let view = View { listener: ListenerEnd::Far, ..site.view(link.frequency).unwrap() };
    let spot = site.spot_of(device, link.frequency);
    let tree = ImageTree::new(&site.scene, spot, site.model.reflections).unwrap();
    let gains = field(&view, &tree, device.height_m, grid, &|_| {});
    let losses = losses_anywhere(site, device);
    let loss = |gain: f64| PowerRatio(gain).to_loss();
    let ledger = |gain: f64| Ledger::new(&link, &site.model, loss(gain), losses);
    gains.into_iter().map(|gain| ledger(gain).margin_db.0).collect()
}

/// Margin of a device to a repeater: a field of one cell.
fn margin_at(site: &Site<'_>, device: &Device, to: &Device) -> f64 {
    let grid = Grid { origin: to.position, cell: 1.0, columns: 1, rows: 1, height: to.height_m };
    margins(site, device, &grid)[0]
}

/// The least margin of any device, each with the best of its ways, cell by cell.
fn worst_of_all(site: &Site<'_>, grid: &Grid) -> Vec<f64> {
    let is = |kind| site.plan.devices.iter().filter(move |d| d.kind == kind);
    let relays: Vec<(&Device, Vec<f64>)> =
        is(DeviceKind::Repeater).map(|relay| (relay, margins(site, relay, grid))).collect();
    let mut worst = vec![f64::INFINITY; grid.columns * grid.rows];
    for device in &site.plan.devices {
        if device.kind == DeviceKind::Panel {
            continue;
        }
        let mut own = margins(site, device, grid);
        if device.kind != DeviceKind::Repeater {
            for (relay, onward) in &relays {
                let first = margin_at(site, device, relay);
                for (own, onward) in own.iter_mut().zip(onward) {
                    *own = own.max(first.min(*onward));
                }
            }
        }
        for (worst, own) in worst.iter_mut().zip(own) {
            *worst = worst.min(own);
        }
    }
    worst
}

fn check(plan: &Plan, model: Model, level: &Level, height_m: f64) -> usize {
    let site = site(plan, model);
    let reach = Reach::new(&site).unwrap();
    let told = std::sync::Mutex::new(Vec::new());
    let progress = |parts: u64| told.lock().unwrap().push(parts);
    let map = worst_field(&reach, level, level.floor_m + height_m, &[], 0.0, &progress);
    let Some(map) = map.unwrap() else {
        return 0;
    };
    let want = worst_of_all(&site, &map.grid);
    assert_eq!(map.margin_db.len(), want.len());
    for (cell, (got, want)) in map.margin_db.iter().zip(&want).enumerate() {
        same_db(*got, *want, &format!("cell {cell}"));
    }
    assert_eq!(told.into_inner().unwrap().last(), Some(&1000));
    want.len()
}

#[test]
fn the_map_of_the_shipped_plans_is_the_worst_of_all_heatmaps() {
    for name in ["brick-house", "foil-garage", "workshop"] {
        let mut plan = shipped(name);
        for relays in [0, 1] {
            if relays == 1 {
                let mut relay = device("relay", DeviceKind::Repeater);
                relay.position = at(4.9, 3.1);
                plan.devices.push(relay);
            }
            let model = Model { cell_m: 0.4, ..Model::default() };
            let levels = plan.levels.iter();
            let cells: usize = levels.map(|level| check(&plan, model, level, 1.5)).sum();
            assert!(cells > 500);
        }
    }
}

#[test]
fn a_level_without_walls_has_no_map_and_a_plan_without_devices_no_bound() {
    let plan = crate::plans::empty(2);
    let site = site(&plan, Model::default());
    let reach = Reach::new(&site).unwrap();
    assert!(worst_field(&reach, &plan.levels[1], 4.2, &[], 0.0, &|_| {}).unwrap().is_none());
    let mut house = crate::plans::empty(1);
    crate::plans::outline(&mut house, 0, "brick-half", [4.0, 4.0]);
    let site = super::site(&house, Model::default());
    let reach = Reach::new(&site).unwrap();
    let map = worst_field(&reach, &house.levels[0], 1.5, &[], 0.0, &|_| {}).unwrap().unwrap();
    assert!(map.margin_db.iter().all(|margin| *margin == f64::INFINITY));
    assert_eq!(Db(map.margin_db[0]).to_ratio().0, f64::INFINITY);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_map_of_random_plans_is_the_worst_of_all_heatmaps(
        Drawn(plan) in plan(),
        reflections in 0..=2u8,
        soft in any::<bool>(),
        height_m in 0.2..2.3f64,
    ) {
        let model = Model {
            reflections,
            openings: if soft { Edges::Soft } else { Edges::Sharp },
            cell_m: 0.47,
            ..Model::default()
        };
        for level in &plan.levels {
            check(&plan, model, level, height_m);
        }
    }
}
