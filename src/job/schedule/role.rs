//! What a zone's role makes the panel do.

use serde::Serialize;

use plan::ROLES;

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
