//! Delays: those of `place` for the same spot, and the exit never the shorter one.

use drillonce::job::schedule::{PanelDelays, facing, panel_delays};
use drillonce::plan::Plan;
use drillonce::siting::delay::DelaySettings;
use drillonce::siting::walk::WalkSettings;
use tempfile::tempdir;

use crate::handover::{house, plan, shipped};
use crate::run::told;

fn delays_of(plan: &Plan, walk: &WalkSettings) -> PanelDelays {
    panel_delays(plan, plan.panel().unwrap(), walk, &DelaySettings::USUAL).unwrap()
}

#[test]
fn a_panel_moved_to_a_spot_of_place_gets_the_delays_of_place() {
    for name in ["bungalow", "workshop", "annexe"] {
        let folder = tempdir().unwrap();
        let copy = folder.path().join("moved.geojson");
        let options = ["--best", "1", "--write", copy.to_str().unwrap()];
        let spots = told(name, "place", &options);
        let walk = &spots["best"][0]["walk"];
        let moved = plan(&std::fs::read_to_string(&copy).unwrap());
        let found = delays_of(&moved, &WalkSettings::USUAL);
        assert_eq!(found.entry_s, walk["entry_delay_s"].as_f64(), "{name}");
        assert_eq!(found.exit_s, walk["exit_delay_s"].as_f64(), "{name}");
        let longest =
            found.entries.iter().max_by(|a, b| a.walk.time_s.total_cmp(&b.walk.time_s)).unwrap();
        assert_eq!(walk["entry"], longest.walk.entry.as_str(), "{name}");
        // The plan's copy holds the spot to a thousandth of its unit, and the person stands on a
        // grid of 5 cm and 10° before it.
        let off_s = longest.walk.time_s - walk["time_s"].as_f64().unwrap();
        assert!(off_s.abs() < 0.06, "{name}: {off_s} s");
    }
}

#[test]
fn the_exit_is_never_less_than_the_longest_entry_and_no_entry_less_than_it_needs() {
    for speed in [1.0, 0.3, 0.1, 0.06] {
        let walk = WalkSettings { speed_m_per_s: speed, ..WalkSettings::USUAL };
        for (name, text) in shipped() {
            let found = delays_of(&plan(&text), &walk);
            assert!(!found.entries.is_empty() && found.unreached.is_empty(), "{name}");
            let longest = found.entry_s.unwrap();
            for one in &found.entries {
                assert!(one.delay.proposed_s >= one.delay.needed_s);
                assert!(one.delay.needed_s >= one.walk.time_s + 10.0);
                assert!(one.delay.proposed_s >= 30.0 && one.delay.proposed_s <= longest);
            }
            assert!(found.entries.iter().any(|one| one.delay.proposed_s >= longest));
            assert!(found.exit_s.unwrap() >= longest.max(60.0), "{name}");
        }
    }
}

#[test]
fn a_panel_looks_away_from_the_wall_that_it_hangs_on() {
    let plan = plan(&house(&[("a", 5.0, 4.0, "")]));
    let mut panel = plan.panel().unwrap().clone();
    let looks = facing(&plan, &panel).unwrap();
    assert!((looks.x - 1.0).abs() < 1e-12 && looks.y.abs() < 1e-12);
    panel.position.x = -0.2;
    assert!((facing(&plan, &panel).unwrap().x + 1.0).abs() < 1e-12);
    // In the middle of the room, and on the wall's very middle, it looks nowhere.
    panel.position.x = 5.0;
    assert_eq!(facing(&plan, &panel), None);
    panel.position.x = 0.0;
    assert_eq!(facing(&plan, &panel), None);
}

#[test]
fn without_an_entry_there_is_no_delay() {
    let text = house(&[("a", 5.0, 4.0, "")]).replace(r#","entry":true"#, "");
    let found = delays_of(&plan(&text), &WalkSettings::USUAL);
    assert_eq!((found.entry_s, found.exit_s), (None, None));
    assert!(found.entries.is_empty() && found.unreached.is_empty());
}
