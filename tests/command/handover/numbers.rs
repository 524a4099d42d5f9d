//! Numbers that are filled in.

use std::collections::{BTreeMap, BTreeSet};

use drillonce::job::schedule::{free_numbers, missing_numbers, with_numbers};
use drillonce::plan::{Device, DeviceKind, Plan, ROLES};
use proptest::prelude::*;

use crate::handover::{plan, shipped};

/// The order of numbering, as documented.
const ORDER: &str = "entry-exit perimeter interior 24-hour fire carbon-monoxide medical panic";

/// A sensor of a role (none for the last), or a device of another kind.
fn device(place: usize, kind: DeviceKind, role: usize, level: i32, number: Option<u32>) -> Device {
    Device {
        id: format!("d{place}"),
        name: format!("Device {place}"),
        role: ROLES.get(role).map(|role| (*role).to_owned()),
        number,
        ..Device::bare(kind, level)
    }
}

/// Where a device stands in the order.
fn rank(device: &Device) -> (usize, i32) {
    let role = device.role.as_deref();
    let place = match device.kind {
        DeviceKind::Sensor => role.map_or(8, |r| ORDER.split(' ').position(|o| o == r).unwrap()),
        DeviceKind::Keypad => 9,
        DeviceKind::Siren => 10,
        _ => 11,
    };
    (place, device.level)
}

fn plans() -> impl Strategy<Value = Plan> {
    let kinds = prop_oneof![
        6 => Just(DeviceKind::Sensor),
        1 => Just(DeviceKind::Keypad),
        1 => Just(DeviceKind::Siren),
        1 => Just(DeviceKind::Repeater),
        1 => Just(DeviceKind::Panel),
    ];
    let one = (kinds, 0_usize..9, -1_i32..3, prop::option::of(0_u32..40));
    prop::collection::vec(one, 0..40).prop_map(|all| {
        let mut taken = BTreeSet::new();
        let devices = all.into_iter().enumerate().map(|(place, (kind, role, level, number))| {
            let number = number.filter(|number| taken.insert(*number));
            device(place, kind, role, level, number)
        });
        Plan { devices: devices.collect(), ..Plan::default() }
    })
}

proptest! {
    #[test]
    fn no_number_clashes_none_is_changed_and_all_are_the_lowest_in_order(plan in plans()) {
        let given = missing_numbers(&plan);
        let numbered = with_numbers(plan.clone(), &given);
        let mut taken = BTreeSet::new();
        for (old, new) in plan.devices.iter().zip(&numbered.devices) {
            prop_assert_eq!(&old.id, &new.id);
            if old.number.is_some() || old.kind == DeviceKind::Panel {
                prop_assert_eq!(old.number, new.number);
            } else {
                prop_assert!(new.number.is_some_and(|number| number >= 1));
            }
            if let Some(number) = new.number {
                prop_assert!(taken.insert(number), "{number} twice");
            }
        }
        // The lowest free ones, and no other.
        let before: BTreeSet<u32> = plan.devices.iter().filter_map(|d| d.number).collect();
        let lowest: Vec<u32> = (1..).filter(|n| !before.contains(n)).take(given.len()).collect();
        let numbers: Vec<u32> = given.iter().map(|numbering| numbering.number).collect();
        prop_assert_eq!(numbers, lowest);
        // In the order of roles, levels and the plan.
        let place: BTreeMap<&str, (usize, &Device)> = plan
            .devices
            .iter()
            .enumerate()
            .map(|(place, device)| (device.id.as_str(), (place, device)))
            .collect();
        let keys: Vec<((usize, i32), usize)> = given
            .iter()
            .map(|numbering| {
                let (place, device) = place[numbering.id.as_str()];
                (rank(device), place)
            })
            .collect();
        prop_assert!(keys.is_sorted(), "{keys:?}");
        // A second time there is nothing to do.
        prop_assert!(missing_numbers(&numbered).is_empty());
    }

    #[test]
    fn gaps_are_all_numbers_below_the_highest_that_nobody_has(plan in plans()) {
        let taken: BTreeSet<u32> = plan.devices.iter().filter_map(|d| d.number).collect();
        let top = taken.last().copied().unwrap_or(0);
        let free: Vec<u32> = (1..top).filter(|n| !taken.contains(n)).collect();
        let gaps: Vec<u32> = free_numbers(&plan)
            .into_iter()
            .flat_map(|(first, last)| first..=last)
            .collect();
        prop_assert_eq!(gaps, free);
    }
}

#[test]
fn a_shipped_plan_without_numbers_is_numbered_by_role() {
    for (name, text) in shipped() {
        let mut plan = plan(&text);
        plan.devices.iter_mut().for_each(|device| device.number = None);
        let numbered = with_numbers(plan.clone(), &missing_numbers(&plan));
        assert!(free_numbers(&numbered).is_empty(), "{name}");
        let one = numbered.devices.iter().find(|d| d.number == Some(1)).unwrap();
        assert_eq!(one.role.as_deref(), Some("entry-exit"), "{name}: {}", one.name);
    }
}
