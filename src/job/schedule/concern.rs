//! What is wrong or doubtful in a schedule.

use std::collections::BTreeMap;

use super::role::{
    ENTRY_REACH_M, NearEntry, Response, Role, Sort, distance_m, near_entry, opening_at,
    proposed_role, role_of, sort_of,
};
use plan::{Device, DeviceKind, Opening, Plan, Severity};

/// One thing that is wrong or doubtful.
#[derive(Debug, Clone, PartialEq)]
pub struct Concern {
    /// Name of the device, or id of the opening, that it is about; empty for the whole plan.
    pub name: String,
    /// What it is.
    pub matter: Matter,
}

/// What a [`Concern`] is about.
#[derive(Debug, Clone, PartialEq)]
pub enum Matter {
    /// Two devices have one number. A fault.
    NumberTwice {
        /// The number.
        number: u32,
        /// Name of the device that had it first.
        first: String,
    },
    /// A device on which a life hangs is not supervised. A fault.
    LifeUnsupervised(Role),
    /// The role does not go with the device.
    RoleAgainstDevice {
        /// Whether the device cannot do what the role asks for, a fault; else it is only unusual.
        never: bool,
        /// The plan's role.
        role: Role,
        /// What the device is.
        sort: Sort,
        /// The role that suits it.
        suits: Option<Role>,
    },
    /// A sensor without a role, with what it might be.
    NoRole(Option<Role>),
    /// A sensor with a role that is not known, with what it might be.
    UnknownRole {
        /// The plan's word.
        word: String,
        /// What it might be.
        proposal: Option<Role>,
    },
    /// A device that is no sensor has a role, which is of no use.
    RoleOnOther(DeviceKind),
    /// A device without a number.
    NoNumber,
    /// An entry-exit device that stands at no entry, with the nearest one.
    FarFromEntry(Option<NearEntry>),
    /// An entry at which no entry-exit device stands, with the name of an instant device that does.
    EntryWithoutDevice(Option<String>),
    /// There is no entry-exit device, so that nothing starts the entry delay.
    NothingDelayed,
    /// Nobody would notice if the device fell silent.
    Unsupervised,
}

impl Matter {
    /// A fault forbids to go on; a warning is a doubt.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        match self {
            Self::NumberTwice { .. }
            | Self::LifeUnsupervised(_)
            | Self::RoleAgainstDevice { never: true, .. } => Severity::Error,
            _ => Severity::Warning,
        }
    }
}

impl Concern {
    fn of(device: &Device, matter: Matter) -> Self {
        Self { name: device.name.clone(), matter }
    }

    /// Whether it forbids to go on.
    #[must_use]
    pub fn is_fault(&self) -> bool {
        self.matter.severity() == Severity::Error
    }
}

/// Everything that is wrong or doubtful in the devices of a plan: in the order of the plan, faults
/// first, what is about the whole plan last.
#[must_use]
pub fn concerns(plan: &Plan) -> Vec<Concern> {
    let mut found = Vec::new();
    let mut numbers: BTreeMap<u32, &Device> = BTreeMap::new();
    for device in &plan.devices {
        if let Some(number) = device.number {
            if let Some(first) = numbers.get(&number) {
                let first = first.name.clone();
                found.push(Concern::of(device, Matter::NumberTwice { number, first }));
            } else {
                numbers.insert(number, device);
            }
        } else if device.kind != DeviceKind::Panel {
            found.push(Concern::of(device, Matter::NoNumber));
        }
        let matters = match device.kind {
            DeviceKind::Sensor => of_sensor(plan, device),
            kind => device.role.iter().map(|_| Matter::RoleOnOther(kind)).collect(),
        };
        found.extend(matters.into_iter().map(|matter| Concern::of(device, matter)));
    }
    found.extend(of_entries(plan));
    let sensors = || plan.devices.iter().filter(|d| d.kind == DeviceKind::Sensor);
    let responses = || sensors().filter_map(|d| role_of(plan, d)).map(Role::response);
    if responses().any(|r| r != Response::AlwaysOn) && !responses().any(|r| r == Response::Delayed)
    {
        found.push(Concern { name: String::new(), matter: Matter::NothingDelayed });
    }
    found.sort_by_key(|concern| concern.matter.severity());
    found
}

fn of_sensor(plan: &Plan, device: &Device) -> Vec<Matter> {
    let mut matters = Vec::new();
    let proposal = proposed_role(plan, device);
    let role = device.role.as_deref().and_then(Role::of);
    match &device.role {
        None => matters.push(Matter::NoRole(proposal)),
        Some(word) if role.is_none() => {
            matters.push(Matter::UnknownRole { word: word.clone(), proposal });
        }
        Some(_) => {}
    }
    if let Some(role) = role {
        let (sort, suits) = (sort_of(device), proposal);
        let against = |never| Matter::RoleAgainstDevice { never, role, sort, suits };
        matters.extend(never_fits(role, sort).map(against));
        if role == Role::EntryExit {
            let near = near_entry(plan, device);
            if near.as_ref().is_none_or(|near| near.distance_m > ENTRY_REACH_M) {
                matters.push(Matter::FarFromEntry(near));
            }
        }
    }
    if !device.supervised {
        matters.push(match role.or(proposal) {
            Some(role) if role.is_life_safety() => Matter::LifeUnsupervised(role),
            _ => Matter::Unsupervised,
        });
    }
    matters
}

/// Whether a role never goes with a sort of device, or is only odd; `None` where it is usual.
///
/// A life-safety detector under a role that is off at times, or a role that calls the fire brigade,
/// a doctor or the police on a detector that cannot know, is a conflict; what works but is seldom
/// meant is odd (our own choice, no source).
fn never_fits(role: Role, sort: Sort) -> Option<bool> {
    use Role::{
        AroundTheClock, CarbonMonoxide, EntryExit, Fire, Interior, Medical, Panic, Perimeter,
    };
    match (role, sort) {
        (_, Sort::Other)
        | (Fire, Sort::Smoke | Sort::Heat)
        | (CarbonMonoxide, Sort::CarbonMonoxide)
        | (AroundTheClock, Sort::Leak | Sort::Contact | Sort::Shock)
        | (Medical | Panic, Sort::Button)
        | (EntryExit, Sort::Contact)
        | (Perimeter, Sort::Contact | Sort::GlassBreak | Sort::Shock)
        | (Interior, Sort::Motion | Sort::Contact) => None,
        // A smoke, heat or CO detector under anything else, and their roles on anything that
        // cannot know. A contact or a button may be a manual call point or a flow switch.
        (_, Sort::Smoke | Sort::Heat | Sort::CarbonMonoxide)
        | (Fire | CarbonMonoxide, Sort::Motion | Sort::GlassBreak | Sort::Shock | Sort::Leak)
        | (CarbonMonoxide, Sort::Contact | Sort::Button)
        | (Medical | Panic, Sort::Motion | Sort::GlassBreak | Sort::Shock | Sort::Leak) => {
            Some(true)
        }
        _ => Some(false),
    }
}

fn of_entries(plan: &Plan) -> Vec<Concern> {
    let responding = |response: Response| {
        let sensors = plan.devices.iter().filter(|device| device.kind == DeviceKind::Sensor);
        sensors.filter(move |device| role_of(plan, device).map(Role::response) == Some(response))
    };
    let delayed = |entry: &Opening| {
        let near = |device| distance_m(plan, device, entry).is_some_and(|m| m <= ENTRY_REACH_M);
        responding(Response::Delayed).any(near)
    };
    // A window beside the door is no device of the door.
    let instant = |entry: &Opening| {
        let at = |device| opening_at(plan, device).is_some_and(|opening| opening.id == entry.id);
        responding(Response::Instant).find(|device| at(device))
    };
    let entries = plan.openings.iter().filter(|opening| opening.entry);
    entries
        .filter(|entry| !delayed(entry))
        .map(|entry| {
            let instant = instant(entry).map(|device| device.name.clone());
            Concern { name: entry.id.clone(), matter: Matter::EntryWithoutDevice(instant) }
        })
        .collect()
}
