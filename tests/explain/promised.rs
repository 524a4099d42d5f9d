//! Every remedy against `check`'s own forecast of the plan with that change made to it.

use std::collections::BTreeSet;

use explain::{Action, ExplainSettings, Explanation, LEAST_GAIN, explain, null_distance};
use forecast::{Assessment, DeviceResult, Finding, Site};
use geo::{Coord, LineString};
use plan::{Device, DeviceKind, Plan, Wall};

use super::{near, shipped, site};

/// Devices that are in trouble, and a few that are not.
const CASES: [(&str, &str); 9] = [
    ("workshop", "c-roller-door"),
    ("annexe", "c-annexe-door"),
    ("annexe", "smoke-annexe"),
    ("corner-shop", "c-cold-room"),
    ("corner-shop", "siren"),
    ("foil-garage", "c-office-window"),
    ("bungalow", "c-back-door"),
    ("brick-house", "c-bed4-window"),
    ("brick-house", "leak-utility"),
];

fn explained(plan: &Plan, id: &str) -> Explanation {
    let device = plan.devices.iter().find(|d| d.id == id).unwrap();
    explain(&site(plan), device, &ExplainSettings::default()).unwrap()
}

fn bare(name: &str) -> Plan {
    let mut plan = shipped(name);
    plan.roams.clear();
    plan
}

fn device_of<'p>(plan: &'p mut Plan, id: &str) -> &'p mut Device {
    plan.devices.iter_mut().find(|d| d.id == id).unwrap()
}

/// The plan with every straight piece of wall a wall of its own, and the one left out that is
/// nearest to where the straight line between two places first meets the feature.
fn without_piece(plan: &Plan, id: &str, crossed_at: Coord<f64>) -> Plan {
    let distance = |line: geo::Line<f64>| {
        let d = line.delta();
        let t = ((crossed_at.x - line.start.x) * d.x + (crossed_at.y - line.start.y) * d.y)
            / (d.x * d.x + d.y * d.y);
        let p = line.start + d * t.clamp(0.0, 1.0);
        (p.x - crossed_at.x).hypot(p.y - crossed_at.y)
    };
    let mut pieces: Vec<(usize, usize, Wall)> = Vec::new();
    for (number, wall) in plan.walls.iter().enumerate() {
        for (segment, line) in wall.line.lines().enumerate() {
            let piece = Wall { line: LineString::new(vec![line.start, line.end]), ..wall.clone() };
            pieces.push((number, segment, piece));
        }
    }
    let own = pieces.iter().enumerate().filter(|(_, p)| p.2.id == id);
    let gone = own
        .min_by(|a, b| {
            let off = |p: &(usize, usize, Wall)| distance(p.2.line.lines().next().unwrap());
            off(a.1).total_cmp(&off(b.1))
        })
        .unwrap()
        .0;
    pieces.remove(gone);
    let mut changed = plan.clone();
    changed.openings.retain_mut(|opening| {
        let home = pieces.iter().position(|(n, s, _)| (*n, *s) == (opening.wall, opening.segment));
        if let Some(home) = home {
            (opening.wall, opening.segment) = (home, 0);
        }
        home.is_some()
    });
    changed.walls = pieces.into_iter().map(|(_, _, wall)| wall).collect();
    changed
}

/// The plan with the change that a remedy asks for.
fn changed(plan: &Plan, id: &str, explained: &Explanation, action: &Action) -> Plan {
    let mut then = plan.clone();
    match action {
        Action::MoveDevice { to_m, .. } => device_of(&mut then, id).position = (*to_m).into(),
        Action::Raise { height_m, .. } => {
            let device = device_of(&mut then, id);
            device.height_m = plan.level(device.level).unwrap().floor_m + height_m.0;
        }
        Action::MovePanel { to_m, .. } => {
            let panel = then.devices.iter_mut();
            let mut panel = panel.filter(|d| d.kind == DeviceKind::Panel);
            panel.next().unwrap().position = (*to_m).into();
        }
        Action::Open { feature, .. } => {
            let mut own = then.openings.iter_mut().filter(|o| o.id == *feature);
            own.next().unwrap().open = true;
        }
        Action::Replace { feature, by, .. } => {
            let walls = then.walls.iter_mut().map(|x| (&x.id, &mut x.construction));
            let openings = then.openings.iter_mut();
            let slabs = then.slabs.iter_mut();
            let mut own = walls
                .chain(openings.map(|x| (&x.id, &mut x.construction)))
                .chain(slabs.map(|x| (&x.id, &mut x.construction)))
                .filter(|(id, _)| *id == feature);
            *own.next().unwrap().1 = by.clone();
        }
        Action::TakeAway { feature, .. } => {
            if plan.walls.iter().any(|wall| wall.id == *feature) {
                let mut crossings = explained.result.hop.crossings.iter();
                let t = crossings.find(|c| c.feature == *feature).unwrap().t;
                let (from, to) = (plan.panel().unwrap().position, explained.result.device.position);
                return without_piece(plan, feature, from + (to - from) * t);
            }
            then.obstacles.retain(|x| x.id != *feature);
            then.slabs.retain(|x| x.id != *feature);
        }
        Action::Repeater { level, position_m: [x, y, height_m], .. } => then.devices.push(Device {
            id: "repeater-1".to_owned(),
            position: Coord { x: *x, y: *y },
            height_m: *height_m,
            ..Device::bare(DeviceKind::Repeater, *level)
        }),
        Action::WireReed { to_m, height_m, .. } => {
            let device = device_of(&mut then, id);
            (device.position, device.height_m) = ((*to_m).into(), *height_m);
            device.mount = Some("wall".to_owned());
        }
        Action::Remount { to, .. } => {
            device_of(&mut then, id).mount = Some((*to).to_owned());
        }
        Action::Turn { to } => device_of(&mut then, id).aerial = Some(*to),
    }
    then
}

fn result_of(plan: &Plan, id: &str) -> (DeviceResult, Assessment) {
    let site: Site<'_> = site(plan);
    let forecast = Assessment::new(&site).unwrap();
    let mut all = forecast.sensors.iter().chain(&forecast.two_way);
    let own = all.find(|result| result.device.id == id).unwrap();
    (own.clone(), forecast)
}

fn not_sound(forecast: &Assessment) -> usize {
    let all = forecast.sensors.iter().chain(&forecast.two_way);
    all.filter(|r| r.finding != Finding::Sound).count()
}

#[test]
fn every_remedy_is_what_check_says_of_the_changed_plan() {
    let mut kinds = BTreeSet::new();
    for (name, id) in CASES {
        let plan = bare(name);
        let explained = explained(&plan, id);
        let now = explained.result.hop.ledger.margin_db;
        for remedy in &explained.remedies.list {
            kinds.insert(remedy.word);
            let context = format!("{name} {id} {remedy:?}");
            let then_plan = changed(&plan, id, &explained, &remedy.action);
            let (then, forecast) = result_of(&then_plan, id);
            let margin = then.hop.ledger.margin_db;
            assert!(near(remedy.margin_db.0, margin.0), "{margin} in {context}");
            assert!(near(remedy.gain_db.0, (margin - now).0), "{context}");
            let (chance, known) = (remedy.fault_per_year, then.fault_per_year);
            assert!((chance - known).abs() <= 1e-7 * known, "{known} in {context}");
            assert_eq!(remedy.finding, then.finding, "{context}");
            assert_eq!(remedy.via, then.via, "{context}");
            if let Action::MovePanel { not_sound_now, not_sound_then, .. } = remedy.action {
                assert_eq!(not_sound_then, not_sound(&forecast), "{context}");
                let before = result_of(&plan, id).1;
                assert_eq!(not_sound_now, not_sound(&before), "{context}");
            }
        }
    }
    let all = [
        "mount",
        "move",
        "move-panel",
        "open",
        "raise",
        "repeater",
        "replace",
        "take-away",
        "wired-reed",
    ];
    assert_eq!(kinds.into_iter().collect::<Vec<_>>(), all);
}

#[test]
fn remedies_are_sorted_help_and_are_marked_by_the_rule() {
    for (name, id) in CASES {
        let plan = bare(name);
        let explained = explained(&plan, id);
        let now = &explained.result;
        let list = &explained.remedies.list;
        assert!(
            list.is_sorted_by(
                |a, b| (a.fault_per_year, -a.gain_db.0) <= (b.fault_per_year, -b.gain_db.0)
            ),
            "{name} {id}"
        );
        let null = null_distance(explained.budget.link.frequency.wavelength());
        for remedy in list {
            assert!(remedy.fault_per_year <= now.fault_per_year, "{remedy:?}");
            let is_repeater = matches!(remedy.action, Action::Repeater { .. });
            assert!(is_repeater || remedy.gain_db.0 >= LEAST_GAIN.0);
            let short = match remedy.action {
                Action::MoveDevice { by_m, .. }
                | Action::Raise { by_m, .. }
                | Action::MovePanel { by_m, .. } => by_m.0.abs() < null.0,
                _ => false,
            };
            assert_eq!(remedy.uncertain, short || remedy.gain_db.0 < remedy.gain_sigma_db.0);
            assert!(remedy.gain_sigma_db.0 > 0.0 && remedy.gain_sigma_db.0 < 20.0, "{remedy:?}");
        }
        // A place that is tried in vain is not among them, and the other way round.
        for vain in &explained.remedies.vain {
            assert!(!list.iter().any(|r| r.word == vain.action), "{vain:?}");
            assert!(vain.why.is_some() == (vain.tried == 0), "{vain:?}");
        }
    }
}

#[test]
fn a_repeater_that_is_not_sound_itself_is_not_offered() {
    let plan = bare("foil-garage");
    let explained = explained(&plan, "c-office-window");
    let trials = &explained.remedies.repeaters;
    assert_eq!(trials.len(), plan.outlets.len());
    let offered = |outlet: &str| {
        explained
            .remedies
            .list
            .iter()
            .any(|r| matches!(&r.action, Action::Repeater { outlet: o, .. } if o == outlet))
    };
    for trial in trials {
        assert_eq!(trial.helps, offered(&trial.outlet), "{trial:?}");
        assert!(!trial.helps || trial.onward_finding == Finding::Sound);
    }
    let unsound = trials.iter().filter(|t| t.onward_finding != Finding::Sound);
    assert!(unsound.count() > 0, "the case shows nothing: {trials:?}");
}
