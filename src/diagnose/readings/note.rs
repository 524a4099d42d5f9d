//! What a note says, as far as it is understood.

use crate::{Circumstance, Remark};

#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Note {
    pub(super) circumstances: Vec<Circumstance>,
    pub(super) remarks: Vec<Remark>,
    /// Whether there are words that were not understood.
    pub(super) is_left: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Says {
    It(Circumstance),
    That(Remark),
}

/// Phrases by what they say, the plainest first; longer ones before shorter ones that they hold.
const PHRASES: [(Says, &str); 7] = [
    (
        Says::That(Remark::BatteryLow),
        "battery low|low battery|battery is low|battery weak|weak battery",
    ),
    (
        Says::It(Circumstance::FreshBattery),
        "fresh battery|fresh batteries|new battery|new batteries|battery changed|battery replaced|\
         battery new",
    ),
    (Says::That(Remark::Tamper), "tamper|tampered|case open|cover open|lid open"),
    (
        Says::It(Circumstance::WayCleared),
        "door open|door was open|doors open|door opened|open door|window open|gate open|\
         way cleared|way clear",
    ),
    (Says::It(Circumstance::Swapped), "swapped|other sensor|another sensor"),
    (Says::It(Circumstance::Moved), "moved|shifted"),
    (
        Says::It(Circumstance::OtherHour),
        "other hour|another hour|at another time|other time|at night",
    ),
];

/// Words after which a phrase may mean its opposite: the whole note is then left to people.
const DENIALS: [&str; 8] = ["no", "not", "never", "without", "before", "isn", "wasn", "nicht"];

/// Words that say nothing by themselves.
const FILLERS: [&str; 12] =
    ["a", "an", "the", "with", "and", "at", "of", "was", "is", "sensor", "alarm", "again"];

/// What is understood of a note. Upper and lower case, signs and spaces do not count.
pub(super) fn understood(text: &str) -> Note {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let mut note = Note::default();
    if words.iter().any(|word| DENIALS.contains(&word.as_str())) {
        note.is_left = true;
        return note;
    }
    // Each word stands between blanks of its own, so that phrases match whole words.
    let mut left: String = words.iter().map(|word| format!(" {word} ")).collect();
    let phrases = PHRASES.iter().flat_map(|(says, all)| all.split('|').map(|one| (*says, one)));
    for (says, phrase) in phrases {
        let spaced: String = phrase.split(' ').map(|word| format!(" {word} ")).collect();
        if !left.contains(&spaced) {
            continue;
        }
        left = left.replace(&spaced, " | ");
        match says {
            Says::It(circumstance) if !note.circumstances.contains(&circumstance) => {
                note.circumstances.push(circumstance);
            }
            Says::That(remark) if !note.remarks.contains(&remark) => note.remarks.push(remark),
            _ => {}
        }
    }
    note.circumstances.sort_unstable();
    note.remarks.sort_unstable();
    let is_filler = |word: &str| word == "|" || FILLERS.contains(&word);
    note.is_left = !left.split_whitespace().all(is_filler);
    note
}

/// What was changed, in words.
pub(super) fn words(circumstance: Circumstance) -> &'static str {
    let own = PHRASES.iter().find(|(says, _)| *says == Says::It(circumstance));
    own.and_then(|(_, phrases)| phrases.split('|').next()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_understood_as_far_as_they_go() {
        let told = |text: &str| {
            let note = understood(text);
            (note.circumstances, note.remarks, note.is_left)
        };
        let (low, fresh) = (Remark::BatteryLow, Circumstance::FreshBattery);
        assert_eq!(told("Battery LOW"), (vec![], vec![low], false));
        assert_eq!(told("low-battery; tamper"), (vec![], vec![low, Remark::Tamper], false));
        assert_eq!(told("with a fresh battery"), (vec![fresh], vec![], false));
        assert_eq!(told("new batteries (lithium)"), (vec![fresh], vec![], true));
        assert_eq!(told("door open"), (vec![Circumstance::WayCleared], vec![], false));
        assert_eq!(told("unmoved"), (vec![], vec![], true));
        assert_eq!(told("battery not low"), (vec![], vec![], true));
        assert_eq!(told("moved, fresh battery").0.len(), 2);
        assert_eq!(told("behind the fridge"), (vec![], vec![], true));
        assert_eq!(told(" . "), (vec![], vec![], false));
    }
}
