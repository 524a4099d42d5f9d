//! The chances of a fault on every hop, traced from the ends that listen: the plan gets a repeater
//! at every outlet, and each panel place is a site of its own.

use forecast::{Hop, Listener, Model, Site, hop};
use plan::{Device, DeviceKind, Plan};
use siting::cover::{CoverProblem, Hops, Matrix, RepeaterOption};
use siting::relays::RelaySettings;

/// The plan with a repeater at every outlet, after those that it has.
pub fn everywhere(plan: &Plan, capacity: Option<u32>) -> Plan {
    let mut full = plan.clone();
    full.devices.extend(plan.outlets.iter().map(|outlet| Device {
        id: format!("at-{}", outlet.id),
        position: outlet.position,
        height_m: outlet.height_m,
        supervised: true,
        capacity,
        ..Device::bare(DeviceKind::Repeater, outlet.level)
    }));
    full
}

/// The sites of a plan, one for each panel place.
pub fn sites<'p>(full: &'p Plan, model: Model, panels: &[Device]) -> Vec<Site<'p>> {
    let site =
        |panel: &Device| Site::new(full, model, Default::default(), Some(panel.clone())).unwrap();
    panels.iter().map(site).collect()
}

/// The hop of a device to what listens.
pub fn to(site: &Site<'_>, listener: &Listener, from: &Device) -> Hop {
    let link = site.link(from.link.as_ref()).unwrap();
    hop(site, listener, from, &link)
}

/// The question of which repeaters, from those hops alone, for the devices wanted.
pub fn problem(
    sites: &[Site<'_>],
    wanted: &[&Device],
    given: usize,
    settings: &RelaySettings,
    sound_below: f64,
    sensor_below: Vec<f64>,
) -> CoverProblem {
    let first = &sites[0];
    let repeaters = &first.repeaters;
    let table = |rows: usize, columns: usize, hop: &dyn Fn(usize, usize) -> Hop| {
        Matrix::from_fn(rows, columns, |row, column| hop(row, column).fault_per_year)
    };
    CoverProblem {
        panels: sites.len(),
        sites: (repeaters.iter().enumerate())
            .map(|(number, repeater)| RepeaterOption {
                capacity: repeater.device.capacity,
                given: number < given,
            })
            .collect(),
        sensors: wanted.len(),
        sensor_panel: table(wanted.len(), sites.len(), &|sensor, panel| {
            to(&sites[panel], &sites[panel].panel, wanted[sensor])
        }),
        sensor_site: table(wanted.len(), repeaters.len(), &|sensor, site| {
            to(first, &repeaters[site], wanted[sensor])
        }),
        site_panel: table(repeaters.len(), sites.len(), &|site, panel| {
            to(&sites[panel], &sites[panel].panel, &repeaters[site].device)
        }),
        site_site: if settings.hops == Hops::Two {
            Matrix::from_fn(repeaters.len(), repeaters.len(), |from, onto| {
                if from == onto {
                    return 1.0;
                }
                to(first, &repeaters[onto], &repeaters[from].device).fault_per_year
            })
        } else {
            Matrix::default()
        },
        sound_below,
        sensor_below,
        hops: settings.hops,
        lose_one: settings.lose_one,
    }
}
