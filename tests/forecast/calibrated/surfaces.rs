//! A construction's decibels multiplied.

use forecast::{Edges, Follower, LinkOverride, Model, Site, SurfaceNames, Surfaces, View, Walls};
use plan::{ConstructionScale, Plan};
use trace::HeightProfile;
use units::Hertz;

use super::{neutral_calibration, shipped};

fn surfaces(plan: &Plan, model: &Model) -> Surfaces {
    let names = SurfaceNames::new(plan);
    Surfaces::new(plan, &names, Hertz::from_mhz(868.3), model)
}

fn scaled(plan: &Plan, name: &str, scale: f64, sigma: f64) -> Plan {
    let mut plan = plan.clone();
    let mut calibration = plan.calibration.clone().unwrap_or_else(|| neutral_calibration(&plan));
    calibration.constructions.insert(name.to_owned(), ConstructionScale { scale, sigma });
    plan.calibration = Some(calibration);
    plan
}

const COSINES: [f64; 6] = [0.0, 0.02, 0.2, 0.5, 0.83, 1.0];

#[test]
fn all_decibels_of_a_wall_are_multiplied_and_then_capped() {
    let plan = shipped("brick-house");
    let model = Model::default();
    let plain = surfaces(&plan, &model);
    for scale in [0.05, 0.4, 0.82, 1.7, 5.0] {
        for surface in plain.constructions() {
            let with = scaled(&plan, &surface.name, scale, 0.1);
            let with = surfaces(&with, &model);
            let with = with.constructions().find(|s| s.name == surface.name).unwrap();
            for cos in COSINES {
                // Before the cap; the table gives the ideal slab.
                let whole = -10.0 * surface.table.transmittance(cos).log10() + surface.excess.0;
                let expected = (whole * scale).min(40.0);
                let loss = with.loss(cos);
                let (got, ideal) = ((loss.slab + loss.excess).0, surface.loss(cos).slab);
                let name = &surface.name;
                // At grazing incidence nothing passes and the cap decides, whatever the scale.
                if cos > 0.05 {
                    assert!(
                        (got - expected).abs() < 2e-3,
                        "{name} {scale} {cos}: {got} {expected}"
                    );
                }
                assert_eq!(loss.slab, ideal, "{name}: the slab of the ledger is the ideal one");
                assert_eq!(with.reflected(0, cos), surface.reflected(0, cos));
            }
            let typical = surface.normal_loss().0;
            assert!((with.spread.0 - 0.1 * typical).abs() < 1e-12);
            assert_eq!((with.scale, with.class), (scale, surface.class));
        }
    }
}

#[test]
fn a_scale_of_one_is_no_scale_and_factors_compose() {
    let plan = shipped("brick-house");
    let model = Model::default();
    let plain = surfaces(&plan, &model);
    let twice = plain.rescaled("brick-half", 0.5).rescaled("brick-half", 2.0);
    let halves = plain.rescaled("brick-half", 0.25);
    let onto = surfaces(&scaled(&plan, "brick-half", 0.5, 0.1), &model).rescaled("brick-half", 0.5);
    let mut changed = 0;
    for surface in plain.constructions() {
        let of = |all: &Surfaces| {
            let found = all.constructions().find(|s| s.name == surface.name).unwrap();
            COSINES.map(|cos| found.transmitted(cos).to_bits())
        };
        assert_eq!(of(&plain), of(&twice));
        assert_eq!(of(&halves), of(&onto));
        changed += usize::from(of(&plain) != of(&halves));
    }
    assert_eq!(changed, 1, "no other construction is touched");
    let facts = onto.facts("brick-half").unwrap();
    assert_eq!(facts.scale, 0.25);
    let typical = plain.facts("brick-half").unwrap().loss.0;
    assert!((facts.loss.0 - typical * 0.25).abs() < 1e-3);
    assert!((facts.spread.0 - 0.1 * typical).abs() < 1e-12);
    assert!(plain.facts("no such wall").is_none());
    assert_eq!(plain.facts("air"), None);
}

#[test]
fn ideal_walls_know_no_scale() {
    let plan = shipped("brick-house");
    let model = Model { walls: Walls::Ideal, ..Model::default() };
    let (plain, with) =
        (surfaces(&plan, &model), surfaces(&scaled(&plan, "brick-half", 3.0, 0.1), &model));
    for (a, b) in plain.constructions().zip(with.constructions()) {
        assert_eq!(a.spread, b.spread);
        for cos in COSINES {
            assert_eq!(a.transmitted(cos).to_bits(), b.transmitted(cos).to_bits());
        }
    }
}

/// Sharp edges and no reflection: then nothing but the wall's own loss changes.
#[test]
fn a_larger_scale_never_loses_less() {
    let plan = shipped("brick-house");
    let model = Model { openings: Edges::Sharp, reflections: 0, ..Model::default() };
    let site = Site::new(&plan, model, LinkOverride::default(), None).unwrap();
    let link = site.link(None).unwrap();
    let view = site.view(link.frequency).unwrap();
    let panel = &site.panel;
    let mut follower = Follower::default();
    let names: Vec<String> = view.surfaces.constructions().map(|s| s.name.clone()).collect();
    let mut risen = 0;
    for name in &names {
        let mut last = vec![0.0; plan.devices.len()];
        for step in 1..=24 {
            let other = view.surfaces.rescaled(name, f64::from(step) * 0.2);
            let view = View { surfaces: &other, ..view };
            for (device, last) in plan.devices.iter().zip(&mut last) {
                let height_profile = HeightProfile::straight(
                    &site.scene.floors,
                    panel.device.height_m,
                    device.height_m,
                );
                let gain =
                    view.gain(&mut follower, &panel.tree, &[height_profile], device.position);
                let loss = gain.to_loss().0;
                assert!(loss >= *last - 1e-4, "{name} {step} {}: {loss} {last}", device.id);
                risen += usize::from(loss > *last + 0.1);
                *last = loss;
            }
        }
    }
    assert!(risen > 300, "{risen}");
}
