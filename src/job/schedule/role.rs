//! Roles and what they make the panel do; what sort a device is, which entry it stands at, and the
//! role that follows from both.

use serde::Serialize;

use plan::{Device, DeviceKind, Opening, Plan, ROLES};
use siting::distance_to_line;

/// What a device is there for. The order is that of numbering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// A door by which people come in and go out.
    EntryExit,
    /// The shell of the building: windows and all other doors.
    Perimeter,
    /// What sees people inside.
    Interior,
    /// What must tell at any hour and is no danger to life: a safe, a leak.
    #[serde(rename = "24-hour")]
    AroundTheClock,
    /// Smoke and heat.
    Fire,
    /// Carbon monoxide.
    CarbonMonoxide,
    /// A call for medical help.
    Medical,
    /// A call for help against an attack.
    Panic,
}

/// What the panel does when a device trips.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Response {
    /// Alarm at once, when armed.
    Instant,
    /// Starts the entry delay, when armed.
    Delayed,
    /// Waits while an entry or exit delay runs, else alarm at once.
    Follows,
    /// Alarm at once, armed or not.
    AlwaysOn,
}

/// When a device counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Active {
    /// At all times.
    Always,
    /// Whenever the panel is armed: everyone out, or people at home.
    Armed,
    /// Only when it is armed with everyone out.
    EveryoneOut,
}

impl Role {
    /// All roles, in the order of numbering: the doors by which people come first, as the trade
    /// does it, then the shell, the inside, and what is always on (common practice, no source).
    pub const ALL: [Self; 8] = [
        Self::EntryExit,
        Self::Perimeter,
        Self::Interior,
        Self::AroundTheClock,
        Self::Fire,
        Self::CarbonMonoxide,
        Self::Medical,
        Self::Panic,
    ];

    /// The word of the plan format, one of [`ROLES`].
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::EntryExit => ROLES[1],
            Self::Perimeter => ROLES[0],
            other => ROLES[other as usize],
        }
    }

    /// The role of a plan's word; `None` for a word that is not known.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }

    /// What the panel does when such a device trips.
    #[must_use]
    pub const fn response(self) -> Response {
        match self {
            Self::EntryExit => Response::Delayed,
            Self::Perimeter => Response::Instant,
            Self::Interior => Response::Follows,
            Self::AroundTheClock
            | Self::Fire
            | Self::CarbonMonoxide
            | Self::Medical
            | Self::Panic => Response::AlwaysOn,
        }
    }

    /// When such a device counts. People at home walk about, so the inside is left out then.
    #[must_use]
    pub const fn active(self) -> Active {
        match self {
            Self::EntryExit | Self::Perimeter => Active::Armed,
            Self::Interior => Active::EveryoneOut,
            _ => Active::Always,
        }
    }

    /// Whether a life hangs on the device, so that it must be supervised.
    #[must_use]
    pub const fn is_life_safety(self) -> bool {
        matches!(self, Self::Fire | Self::CarbonMonoxide)
    }
}

/// A device on a door's frame stands no farther from the leaf than this, metres (common sense, no
/// source).
pub const ENTRY_REACH_M: f64 = 1.0;

/// What a device senses or is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sort {
    /// Tells that a door or window is open.
    Contact,
    /// Sees people move.
    Motion,
    /// Hears glass break.
    GlassBreak,
    /// Feels a blow.
    Shock,
    /// Smoke.
    Smoke,
    /// Heat.
    Heat,
    /// Carbon monoxide.
    CarbonMonoxide,
    /// Water, frost, gas and other mishaps.
    Leak,
    /// A button, fob or pendant that a person presses.
    Button,
    /// Not known.
    Other,
}

/// Words in a device's sort or name, whole words in lower case, and what they tell. The first in
/// the list that is found counts: a "garage door motion" is a motion detector.
const WORDS: [(&[&str], Sort); 9] = [
    (&["smoke"], Sort::Smoke),
    (&["heat"], Sort::Heat),
    (&["co", "monoxide", "carbon"], Sort::CarbonMonoxide),
    (&["leak", "water", "flood", "freeze", "frost", "gas"], Sort::Leak),
    (&["motion", "pir", "movement"], Sort::Motion),
    (&["glass", "glassbreak"], Sort::GlassBreak),
    (&["shock", "vibration"], Sort::Shock),
    (&["panic", "medical", "pendant", "fob", "button", "holdup", "help"], Sort::Button),
    (&["contact", "door", "window", "gate", "hatch", "shutter", "reed"], Sort::Contact),
];

fn words_of(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

fn sort_in(text: &str) -> Option<Sort> {
    let words = words_of(text);
    WORDS
        .iter()
        .find(|(known, _)| words.iter().any(|word| known.contains(&word.as_str())))
        .map(|(_, sort)| *sort)
}

/// What sort a device is: by its property `device`; failing that, by its name, which is guessed
/// from English words.
#[must_use]
pub fn sort_of(device: &Device) -> Sort {
    let told = device.device.as_deref().and_then(sort_in);
    told.or_else(|| sort_in(&device.name)).unwrap_or(Sort::Other)
}

/// An entry and how far a device is from it.
#[derive(Debug, Clone, PartialEq)]
pub struct NearEntry {
    /// Id of the opening.
    pub entry: String,
    /// Distance in plan, metres.
    pub distance_m: f64,
}

/// Distance of a device from an opening of its level, metres.
pub(super) fn distance_m(plan: &Plan, device: &Device, opening: &Opening) -> Option<f64> {
    let level = plan.walls.get(opening.wall)?.level;
    let line = plan.opening_line(opening)?;
    (level == device.level).then(|| distance_to_line(device.position, line))
}

/// The entry of a device's level that is nearest to it, however far; `None` if the level has none.
#[must_use]
pub fn near_entry(plan: &Plan, device: &Device) -> Option<NearEntry> {
    let entries = plan.openings.iter().filter(|opening| opening.entry);
    let near = entries.filter_map(|opening| {
        Some(NearEntry {
            entry: opening.id.clone(),
            distance_m: distance_m(plan, device, opening)?,
        })
    });
    near.min_by(|a, b| a.distance_m.total_cmp(&b.distance_m))
}

/// The opening within [`ENTRY_REACH_M`] that a device hangs at: the nearest one.
pub(super) fn opening_at<'p>(plan: &'p Plan, device: &Device) -> Option<&'p Opening> {
    let near = plan.openings.iter().filter_map(|opening| {
        let off_m = distance_m(plan, device, opening)?;
        (off_m <= ENTRY_REACH_M).then_some((off_m, opening))
    });
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, opening)| opening)
}

/// Whether a device is a contact at a door or window; one of which nothing is known counts as one
/// if it hangs at an opening.
#[must_use]
pub fn is_contact(plan: &Plan, device: &Device) -> bool {
    device.kind == DeviceKind::Sensor
        && match sort_of(device) {
            Sort::Contact => true,
            Sort::Other => opening_at(plan, device).is_some(),
            _ => false,
        }
}

/// The contact of an opening: the nearest of those that hang at no other.
#[must_use]
pub fn contact_at<'p>(plan: &'p Plan, opening: &Opening) -> Option<&'p Device> {
    let own = |device: &&Device| {
        is_contact(plan, device) && opening_at(plan, device).is_some_and(|at| at.id == opening.id)
    };
    let off = |device: &Device| distance_m(plan, device, opening).unwrap_or(f64::INFINITY);
    plan.devices.iter().filter(own).min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// The role that suits a device by what it is and where it hangs; `None` where neither tells.
///
/// A contact that hangs at an entry is an entry-exit device, any other of the perimeter; glass and
/// shock sensors are of the perimeter, motion detectors of the interior, leak and the like around
/// the clock; a button is for medical help if its name says so, else against attack. A device of
/// which nothing is known but that hangs at an opening counts as a contact.
#[must_use]
pub fn proposed_role(plan: &Plan, device: &Device) -> Option<Role> {
    let opening = opening_at(plan, device);
    let shell = || match opening {
        Some(Opening { entry: true, .. }) => Role::EntryExit,
        _ => Role::Perimeter,
    };
    match sort_of(device) {
        Sort::Smoke | Sort::Heat => Some(Role::Fire),
        Sort::CarbonMonoxide => Some(Role::CarbonMonoxide),
        Sort::Leak => Some(Role::AroundTheClock),
        Sort::Motion => Some(Role::Interior),
        Sort::GlassBreak | Sort::Shock => Some(Role::Perimeter),
        Sort::Contact => Some(shell()),
        Sort::Button => {
            let sort = device.device.as_deref().unwrap_or_default();
            let words = words_of(&format!("{sort} {}", device.name));
            let medical = words.iter().any(|word| word == "medical" || word == "pendant");
            Some(if medical { Role::Medical } else { Role::Panic })
        }
        Sort::Other => opening.map(|_| shell()),
    }
}

/// The role of a sensor: its own if it is known, else the proposed one.
pub(super) fn role_of(plan: &Plan, device: &Device) -> Option<Role> {
    let own = device.role.as_deref().and_then(Role::of);
    own.or_else(|| proposed_role(plan, device))
}
