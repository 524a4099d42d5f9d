//! What is wrong or doubtful in a schedule, in the words of a language.

use super::term::term;
use job::schedule::{Concern, Matter, Role};
use words::Words;

/// What is wrong or doubtful, and how to mend it.
#[must_use]
pub fn concern(words: &Words, concern: &Concern) -> String {
    let name = concern.name.as_str();
    let proposed = |proposal: &Option<Role>| match proposal {
        Some(role) => words.concern_suits(role.word()),
        None => words.concern_give_role(),
    };
    match &concern.matter {
        Matter::NumberTwice { number, first } => {
            words.concern_number_twice(name, first, &number.to_string())
        }
        Matter::LifeUnsupervised(role) => words.concern_life_unsupervised(name, role.word()),
        Matter::RoleAgainstDevice { role, sort: what, suits } => words.concern_role_against_device(
            name,
            &term(words, "sort", what),
            role.word(),
            &proposed(suits),
        ),
        Matter::OddRole { role, sort: what, suits } => {
            words.concern_odd_role(name, role.word(), &term(words, "sort", what), &proposed(suits))
        }
        Matter::NoRole(proposal) => words.concern_no_role(name, &proposed(proposal)),
        Matter::UnknownRole { word, proposal } => {
            words.concern_unknown_role(name, word, &proposed(proposal))
        }
        Matter::RoleOnOther(other) => {
            let kind = words.term("kind", other.word()).unwrap_or_default();
            words.concern_role_on_other(name, &kind)
        }
        Matter::NoNumber => words.concern_no_number(name),
        Matter::FarFromEntry(Some(near)) => {
            let distance = words.plain(format!("{:.1}", near.distance_m));
            words.concern_far_from_entry(name, &near.entry, &distance)
        }
        Matter::FarFromEntry(None) => words.concern_no_entry(name),
        Matter::EntryWithoutDevice(Some(instant)) => words.concern_instant_entry(name, instant),
        Matter::EntryWithoutDevice(None) => words.concern_bare_entry(name),
        Matter::NothingDelayed => words.concern_nothing_delayed(),
        Matter::Unsupervised => words.concern_unsupervised(name),
    }
}
