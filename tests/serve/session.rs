//! Undo and redo, without sockets.

use fixtures::{Dice, plan_texts};
use proptest::prelude::*;
use serve::Session;

/// Some other text that is alike.
fn other(dice: &mut Dice, text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let place = |dice: &mut Dice| dice.below(letters.len() + 1);
    let (a, b) = (place(dice), place(dice));
    let (from, to) = (a.min(b), a.max(b).min(a.min(b) + 40));
    let new: String =
        (0..dice.below(30)).map(|_| ['ä', '{', '1', '😀', '\n'][dice.below(5)]).collect();
    let (before, after): (String, String) =
        (letters[..from].iter().collect(), letters[to..].iter().collect());
    before + &new + &after
}

#[test]
fn undo_of_500_random_edits_gives_the_first_bytes_back() {
    for (number, (name, text)) in plan_texts().into_iter().enumerate() {
        let mut dice = Dice::new(number as u64 + 1);
        let mut session = Session::new(text.clone());
        let mut texts = vec![text.clone()];
        while session.steps().0 < 500 {
            let next = other(&mut dice, session.text());
            session.step_to(next);
            if texts.last().is_some_and(|last| last != session.text()) {
                texts.push(session.text().to_owned());
            }
        }
        for known in texts.iter().rev().skip(1) {
            assert!(session.undo());
            assert_eq!(session.text(), known, "{name}");
        }
        assert!(!session.undo());
        assert_eq!((session.text(), session.unsaved()), (text.as_str(), 0), "{name}");
        for known in &texts[1..] {
            assert!(session.redo());
            assert_eq!(session.text(), known, "{name}");
        }
        assert!(!session.redo());
        assert_eq!(session.unsaved(), 500);
    }
}

proptest! {
    #[test]
    fn any_text_comes_back(texts in prop::collection::vec(".{0,12}", 1..20)) {
        let mut session = Session::new(texts[0].clone());
        for text in &texts {
            let version = session.version();
            let is_new = text != session.text();
            session.step_to(text.clone());
            prop_assert_eq!(session.text(), text);
            prop_assert_eq!(session.version() != version, is_new);
        }
        while session.undo() {}
        prop_assert_eq!(session.text(), &texts[0]);
        while session.redo() {}
        prop_assert_eq!(session.text(), texts.last().unwrap());
    }
}

#[test]
fn a_new_step_ends_what_could_be_done_again() {
    let mut session = Session::new("a".to_owned());
    session.step_to("b".to_owned());
    session.step_to("c".to_owned());
    session.undo();
    assert_eq!(session.steps(), (1, 1));
    session.step_to("d".to_owned());
    assert_eq!(session.steps(), (2, 0));
    session.undo();
    assert_eq!(session.text(), "b");
}

#[test]
fn what_is_unsaved_counts_both_ways() {
    let mut session = Session::new("a".to_owned());
    session.step_to("b".to_owned());
    session.step_to("c".to_owned());
    session.is_saved();
    assert_eq!(session.unsaved(), 0);
    session.undo();
    assert_eq!(session.unsaved(), 1);
    session.step_to("d".to_owned());
    assert_eq!(session.unsaved(), 1, "another text than the one saved");
    session.undo();
    session.step_to("c".to_owned());
    assert_eq!(session.unsaved(), 0);
}

#[test]
fn the_memory_of_undo_is_bounded() {
    let mut session = Session::bounded(String::new(), 10_000);
    for number in 0..1000 {
        session.step_to(number.to_string().repeat(200));
    }
    let (undo, _) = session.steps();
    assert!((1..20).contains(&undo), "{undo}");
    assert_eq!(session.text(), "999".repeat(200));
}
