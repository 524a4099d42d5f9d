//! The table of everything that a plan's file may hold: each object's members, with what each
//! holds and what it is for.
//!
//! From this one table come the names and bounds that the reader knows, the JSON Schema
//! ([`crate::schema`]) and the reference for people ([`crate::reference`]).

mod kinds;
mod objects;

pub(crate) use kinds::{
    AERIALS, JOINTS, KIND, KINDS, Kind, KindRow, LIFE_SAFETY, STATES, is_device, kinds_with,
};
pub use kinds::{Aerial, MAX_CAPACITY, MAX_NUMBER, ROLES};
pub(crate) use objects::*;

#[derive(Debug, PartialEq)]
pub(crate) struct Member {
    pub(crate) name: &'static str,
    pub(crate) needed: bool,
    pub(crate) holds: Holds,
    says: &'static str,
}

impl Member {
    pub(crate) fn says(&self) -> &'static str {
        self.says.trim_start()
    }
}

pub(crate) type Members = &'static [&'static [Member]];

/// An object of the plan whose members have fixed names.
pub(crate) struct Object {
    /// Its name in the schema.
    pub(crate) name: &'static str,
    /// What a member of it is called in messages.
    pub(crate) thing: &'static str,
    pub(crate) says: &'static str,
    pub(crate) members: Members,
}

impl Object {
    /// The names of its members, in the order in which messages list them.
    pub(crate) fn names(&self) -> Vec<&'static str> {
        rows(self.members).map(|member| member.name).collect()
    }
}

/// The members of lists, in the order in which messages name them.
pub(crate) fn rows(members: Members) -> impl Iterator<Item = &'static Member> {
    members.iter().copied().flatten()
}

/// What a member holds. Bounds are inclusive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Holds {
    /// Anything: it is not looked at.
    Anything,
    /// Nothing: it must not be there.
    Absent,
    Text,
    Id,
    Flag,
    Height,
    Coordinate,
    /// The number of a level that may be left out only where the plan has one level.
    OwnLevel,
    Level,
    Number(f64, f64),
    /// A number above zero, up to a most.
    Above(f64),
    Whole(f64, f64),
    Always(&'static str),
    /// One of these words and no other.
    OneOf(&'static [&'static str]),
    /// Text; these words are known.
    Known(&'static [&'static str]),
    /// What the schema defines under a name.
    A(&'static str),
    /// A list of so many of these.
    List(&'static Holds, usize, usize),
    /// An object with names of the user's own; each value is what the schema defines under a name.
    Map(&'static str),
    /// An object with losses in dB by frequency in MHz.
    Losses,
    Properties,
    Kind,
}

impl Holds {
    pub(crate) fn bounds(self) -> (f64, f64) {
        match self {
            Self::Number(least, most) | Self::Whole(least, most) => (least, most),
            Self::OwnLevel | Self::Level => crate::limits::LEVEL_NUMBERS,
            _ => (f64::NEG_INFINITY, f64::INFINITY),
        }
    }
}

/// Declares members: the sentence as a comment, whether it `must` or `may` be there, its name and
/// what it holds.
macro_rules! members {
    ($($(#[doc = $says:literal])+ $need:ident $name:literal: $holds:expr;)+) => {
        &[$($crate::members::Member {
            name: $name,
            needed: $crate::members::needed::$need,
            holds: $holds,
            says: concat!($($says),+),
        }),+]
    };
}
use members;

/// The words of [`members!`].
#[expect(non_upper_case_globals, reason = "they stand in the table as words")]
mod needed {
    pub(super) const must: bool = true;
    pub(super) const may: bool = false;
}
