//! The ledger, the paths and the profile.

use explain::{
    ExplainSettings, HopBudget, Item, LEAST_SHARE, Line, MOST_REFLECTED, Profile, explain,
};
use forecast::{
    Assessment, Edges, Follower, Listener, ListenerEnd, Model, Site, Trail, Walls, hop, hop_figures,
};
use plan::{Device, DeviceKind, Plan};
use trace::{HeightProfile, ImageTree};
use units::Db;

use super::{PLANS, near, shipped, site, site_with};

/// The usual model, and the corners of what can be asked for.
fn models() -> [Model; 4] {
    let usual = Model::default();
    [
        usual,
        Model {
            reflections: 0,
            openings: Edges::Sharp,
            walls: Walls::Ideal,
            antenna_gain_db: Db(2.0),
            ..usual
        },
        Model { openings: Edges::Sharp, ..usual },
        Model { sigma_db: Some(Db(3.0)), wall_cap_db: Db(20.0), ..usual },
    ]
}

fn listener<'a>(site: &'a Site<'_>, via: Option<&String>) -> &'a Listener {
    let known = site.repeaters.iter().find(|r| Some(&r.device.id) == via);
    known.unwrap_or(&site.panel)
}

#[test]
fn the_lines_add_up_for_every_device_of_every_plan() {
    let mut seen = 0;
    for name in PLANS {
        let mut plan = shipped(name);
        plan.roams.clear();
        for model in models() {
            let site = site_with(&plan, model);
            let forecast = Assessment::new(&site).unwrap();
            for result in forecast.sensors.iter().chain(&forecast.two_way) {
                let heard_by = listener(&site, result.via.as_ref());
                let budget = HopBudget::new(&site, heard_by, &result.device, &result.link);
                let (ledger, id) = (&result.hop.ledger, &result.device.id);
                let margin: f64 = budget.lines.iter().map(|line| line.adds.0).sum();
                assert!(near(margin, ledger.margin_db.0), "{name} {id}");
                let needed = budget.lines.iter().find(|line| line.item == Item::LevelNeeded);
                let received = margin - needed.unwrap().adds.0;
                assert!(near(received, ledger.received_dbm.0), "{name} {id}");
                let lines = budget.lines.iter();
                let crossings = lines.filter_map(|line| Some((line.crossing.as_ref()?, line.adds)));
                let crossings: Vec<_> = crossings.collect();
                assert_eq!(crossings.len(), result.hop.crossings.len());
                for ((listed, adds), known) in crossings.iter().zip(&result.hop.crossings) {
                    assert_eq!(*listed, known);
                    assert_eq!(adds.0, -(known.slab + known.excess).0);
                }
                let sigma = &budget.sigma;
                let both = sigma.shadowing_db.0.hypot(sigma.spot_sigma_db.0);
                assert!(near(both, result.hop.sigma.0), "{name} {id}");
                seen += 1;
            }
        }
    }
    assert!(seen > 4 * 80, "{seen}");
}

#[test]
fn without_reflections_and_edges_those_two_lines_are_nothing() {
    let plan = shipped("brick-house");
    let [_, bare, ..] = models();
    let site = site_with(&plan, bare);
    for device in plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel) {
        let link = site.link(device.link.as_ref()).unwrap();
        let budget = HopBudget::new(&site, &site.panel, device, &link);
        for line in &budget.lines {
            let none = matches!(
                line.item,
                Item::RoundEdges | Item::OtherPaths | Item::NearReflections | Item::Scattered
            );
            if none {
                assert!(line.adds.0.abs() < 1e-9, "{}: {line:?}", device.id);
            }
        }
        assert_eq!(budget.paths.len(), 1);
        assert_eq!(budget.rest.count, 0);
    }
}

#[test]
fn the_paths_share_the_power_and_run_from_end_to_end() {
    for name in PLANS {
        let plan = shipped(name);
        let second = Model { reflections: 2, ..Model::default() };
        for model in [Model::default(), second] {
            let site = site_with(&plan, model);
            for device in plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel) {
                let link = site.link(device.link.as_ref()).unwrap();
                let budget = HopBudget::new(&site, &site.panel, device, &link);
                let id = &device.id;
                // Shares are those of the powers, before waves add in step.
                let beyond =
                    |line: &&Line| matches!(line.item, Item::NearReflections | Item::Scattered);
                let beyond: f64 = budget.lines.iter().filter(beyond).map(|l| l.adds.0).sum();
                let followed = (budget.hop.path_loss + Db(beyond)).to_ratio().0;
                let all = 1.0 - budget.rest.scattered_share;
                let listed: f64 = budget.paths.iter().map(|path| path.share).sum();
                let rest = budget.rest;
                assert!(near(listed + rest.share + rest.scattered_share, 1.0), "{name} {id}");
                assert!(budget.paths.len() <= MOST_REFLECTED + 1);
                assert_eq!(budget.paths[0].label, "direct");
                let reflected = &budget.paths[1..];
                assert!(reflected.is_sorted_by(|a, b| a.share >= b.share));
                assert!(reflected.iter().all(|path| path.share >= LEAST_SHARE));
                for path in &budget.paths {
                    assert_eq!(path.points_m.len(), usize::from(path.order) + 2, "{path:?}");
                    assert_eq!(path.reflections.len(), usize::from(path.order));
                    let ends = [path.points_m[0], path.points_m[path.points_m.len() - 1]];
                    let spot = site.spot_of(device, link.frequency);
                    let panel = &site.panel.device;
                    let places = [(panel.position, panel.height_m), (spot, device.height_m)];
                    for (end, (place, height_m)) in ends.iter().zip(places) {
                        assert_eq!(end[..2], [place.x, place.y]);
                        assert!(near(end[2], height_m));
                    }
                    // By the law of reflection the folded path is as long as the unfolded one.
                    let steps = path.points_m.windows(2);
                    let length: f64 = steps
                        .map(|p| (0..3).map(|axis| (p[1][axis] - p[0][axis]).powi(2)).sum::<f64>())
                        .map(f64::sqrt)
                        .sum();
                    assert!((length - path.length_m.0).abs() < 1e-6, "{name} {id} {path:?}");
                    let share = followed / path.loss_db.to_ratio().0 * all;
                    assert!(near(share, path.share), "{name} {id}");
                    for reflection in &path.reflections {
                        assert!(plan.has_feature(&reflection.feature));
                    }
                }
            }
        }
    }
}

#[test]
fn what_is_needed_is_the_larger_of_the_two() {
    let mut plan = shipped("bungalow");
    let needed = |plan: &Plan| {
        let site = site(plan);
        let link = site.link(None).unwrap();
        HopBudget::new(&site, &site.panel, &plan.devices[1], &link)
    };
    assert_eq!(needed(&plan).needed_by, None);
    let mut link = plan.link.clone().unwrap_or_default();
    link.sensitivity_dbm = Some(-150.0);
    plan.link = Some(link);
    let budget = needed(&plan);
    let noise = budget.needed_by.unwrap();
    assert!(near((noise.floor + noise.snr).0, budget.hop.ledger.level_needed_dbm.0));
}

/// The plan with a repeater that the annexe's door goes over.
fn with_repeater() -> Plan {
    let mut plan = shipped("annexe");
    plan.roams.clear();
    let outlet = plan.outlets.iter().find(|o| o.id == "outlet-pump-house");
    let outlet = outlet.unwrap().clone();
    plan.devices.push(Device {
        id: "relay".to_owned(),
        name: "Relay".to_owned(),
        position: outlet.position,
        height_m: outlet.height_m,
        ..Device::bare(DeviceKind::Repeater, outlet.level)
    });
    plan
}

#[test]
fn a_device_that_goes_over_a_repeater_has_both_hops() {
    let plan = with_repeater();
    let site = site(&plan);
    let device = plan.devices.iter().find(|d| d.id == "c-annexe-door").unwrap();
    let explained = explain(&site, device, &ExplainSettings::default()).unwrap();
    assert_eq!(explained.result.via.as_deref(), Some("relay"));
    assert_eq!(explained.budget.listener, "relay");
    assert!(explained.budget.is_repeater);
    let direct = explained.to_panel.unwrap();
    assert!(!direct.is_repeater);
    let straight = hop(&site, &site.panel, device, &explained.result.link);
    assert_eq!(direct.hop.ledger, straight.ledger);
    let kept = (1.0 - explained.budget.hop.fault_per_year)
        * (1.0 - explained.onward_fault_per_year.unwrap());
    assert!(near(explained.result.fault_per_year, 1.0 - kept));
    // The repeater itself goes straight on.
    let relay = plan.devices.last().unwrap();
    let explained = explain(&site, relay, &ExplainSettings::default()).unwrap();
    assert_eq!((explained.result.via, explained.onward_fault_per_year), (None, None));
}

#[test]
fn the_profile_ends_at_the_level_received_also_from_the_other_end() {
    let mut plans: Vec<Plan> = PLANS.iter().map(|name| shipped(name)).collect();
    plans.push(with_repeater());
    for plan in &plans {
        let site = site(plan);
        for device in plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel) {
            let link = site.link(device.link.as_ref()).unwrap();
            let budget = HopBudget::new(&site, &site.panel, device, &link);
            let profile = Profile::new(&site, &site.panel, device, &budget);
            let last = profile.points.last().unwrap();
            let received = budget.hop.ledger.received_dbm;
            assert!(near(last.level_dbm.0, received.0), "{}", device.id);
            assert!(near(last.distance_m.0, budget.hop.distance.0));
            let radiated = received + budget.hop.path_loss;
            let direct = radiated - budget.paths[0].loss_db;
            assert!(near(last.direct_dbm.0, direct.0), "{}", device.id);
            assert!(profile.points.is_sorted_by(|a, b| a.distance_m.0 < b.distance_m.0));
            let least = 10.0 * forecast::LEAST_LEFT.log10();
            let levels = profile.points.iter().map(|p| p.level_dbm.0 - p.direct_dbm.0);
            assert!(levels.into_iter().all(|over| over >= least - 1e-9), "{}", device.id);
            assert_eq!(profile.crossings.len(), budget.hop.crossings.len());
            // Paths are the same both ways: the images of the device's spot give the panel alike.
            let spot = site.spot_of(device, link.frequency);
            let tree = ImageTree::new(&site.scene, spot, site.model.reflections).unwrap();
            let panel = &site.panel.device;
            let heights = HeightProfile::all(
                &site.scene.floors,
                device.height_m,
                panel.height_m,
                site.model.reflections,
            );
            let trail = Trail {
                tree: &tree,
                height_profiles: &heights,
                to: panel.position,
                listener: ListenerEnd::Far,
                aerial: panel.aerial,
            };
            let back = hop_figures(&site, &mut Follower::default(), trail, device, &link);
            let difference = back.path_loss.0 - budget.hop.path_loss.0;
            assert!(difference.abs() < 1e-9, "{}: {difference}", device.id);
        }
    }
}
