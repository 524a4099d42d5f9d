//! What each role brings, and which role is proposed.

use std::collections::BTreeSet;

use drillonce::job::schedule::{Active, Response, Role, proposed_role};
use drillonce::plan::{DeviceKind, ROLES};

use crate::handover::{house, plan, shipped};

#[test]
fn the_roles_are_those_of_the_plan_format() {
    let words: BTreeSet<&str> = Role::ALL.iter().map(|role| role.word()).collect();
    assert_eq!(words, ROLES.iter().copied().collect());
    for role in Role::ALL {
        assert_eq!(Role::of(role.word()), Some(role));
        // The word in reports is the plan's word, too.
        assert_eq!(serde_json::to_value(role).unwrap(), role.word());
    }
    assert_eq!(Role::of("guard"), None);
}

#[test]
fn each_role_brings_its_defaults() {
    for (role, response, active) in [
        (Role::Perimeter, Response::Instant, Active::Armed),
        (Role::EntryExit, Response::Delayed, Active::Armed),
        (Role::Interior, Response::Follows, Active::EveryoneOut),
        (Role::AroundTheClock, Response::AlwaysOn, Active::Always),
        (Role::Fire, Response::AlwaysOn, Active::Always),
        (Role::CarbonMonoxide, Response::AlwaysOn, Active::Always),
        (Role::Medical, Response::AlwaysOn, Active::Always),
        (Role::Panic, Response::AlwaysOn, Active::Always),
    ] {
        assert_eq!((role.response(), role.active()), (response, active), "{role:?}");
    }
    let watched: Vec<Role> = Role::ALL.into_iter().filter(|r| r.is_life_safety()).collect();
    assert_eq!(watched, [Role::Fire, Role::CarbonMonoxide]);
}

#[test]
fn the_proposed_role_is_the_one_that_the_shipped_plans_give() {
    let mut seen = 0;
    for (name, text) in shipped() {
        let plan = plan(&text);
        let sensors = plan.devices.iter().filter(|d| d.kind == DeviceKind::Sensor);
        for device in sensors {
            let given = device.role.as_deref().and_then(Role::of);
            assert_eq!(proposed_role(&plan, device), given, "{name}: {}", device.name);
            // The name alone tells as much, but for what only the sort of device says.
            let mut bare = device.clone();
            bare.device = None;
            assert_eq!(proposed_role(&plan, &bare), given, "{name}: {}", device.name);
            seen += 1;
        }
    }
    assert!(seen > 70, "{seen}");
}

#[test]
fn a_nameless_device_is_known_by_the_opening_that_it_hangs_at() {
    let text = house(&[
        ("a", 5.1, 0.2, ""),
        ("b", 4.9, 7.8, ""),
        ("c", 9.8, 4.0, ""),
        ("d", 6.0, 4.0, ""),
        ("e", 6.0, 5.0, r#""name":"Grandmother's pendant""#),
        ("f", 6.0, 6.0, r#""name":"Till","device":"button""#),
        ("g", 5.1, 0.3, r#""name":"Company car""#),
    ]);
    let plan = plan(&text);
    let proposed: Vec<Option<Role>> = plan
        .devices
        .iter()
        .filter(|device| device.kind == DeviceKind::Sensor)
        .map(|device| proposed_role(&plan, device))
        .collect();
    assert_eq!(
        proposed,
        [
            Some(Role::EntryExit),
            Some(Role::Perimeter),
            Some(Role::Perimeter),
            None,
            Some(Role::Medical),
            Some(Role::Panic),
            // "Company" is not "CO".
            Some(Role::EntryExit),
        ]
    );
}
