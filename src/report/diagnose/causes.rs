//! Causes and tests in words.

use serde_json::{Map, Value};

use diagnose::cause::{Cause, Test};
use words::Words;

/// A cause in a few words.
#[must_use]
pub fn cause_name(words: &Words, cause: Cause) -> String {
    match cause {
        Cause::TooWeak => words.cause_too_weak(),
        Cause::Obstruction => words.cause_obstruction(),
        Cause::Null => words.cause_null(),
        Cause::WeakTransmitter => words.cause_weak_transmitter(),
        Cause::Noise => words.cause_noise(),
        Cause::PanelLoss => words.cause_panel_loss(),
        Cause::Clashes => words.cause_clashes(),
        Cause::NotRadio => words.cause_not_radio(),
    }
}

/// What to do about a cause first, a sentence; `quarter` is how long a quarter of the wavelength
/// is, in words.
pub(super) fn first_step(words: &Words, cause: Cause, quarter: &str) -> String {
    match cause {
        Cause::TooWeak => words.first_step_too_weak(),
        Cause::Obstruction => words.first_step_obstruction(),
        Cause::Null => words.first_step_null(quarter),
        Cause::WeakTransmitter => words.first_step_weak_transmitter(),
        Cause::Noise => words.first_step_noise(),
        Cause::PanelLoss => words.first_step_panel_loss(),
        Cause::Clashes => words.first_step_clashes(),
        Cause::NotRadio => words.first_step_not_radio(),
    }
}

/// What to do in a test, a sentence.
pub(super) fn sentence(words: &Words, test: Test, quarter: &str) -> String {
    match test {
        Test::NoiseFloor => words.next_test_noise_floor(),
        Test::WayCleared => words.next_test_way_cleared(),
        Test::Transmissions => words.next_test_transmissions(),
        Test::Others => words.next_test_others(),
        Test::Moved => words.next_test_moved(quarter),
        Test::FreshBattery => words.next_test_fresh_battery(),
        Test::Swapped => words.next_test_swapped(),
        Test::OtherHour => words.next_test_other_hour(),
    }
}

/// What the JSON of a diagnosis says of causes, first steps and tests, each with the words of a
/// language for it.
#[must_use]
pub fn diagnose_words(words: &Words) -> Map<String, Value> {
    let said = |words: &Words| {
        let quarter = words.quarter_wavelength_long();
        let names = Cause::ALL.map(|cause| cause_name(words, cause));
        let steps = Cause::ALL.map(|cause| first_step(words, cause, &quarter));
        let tests = Test::ALL.map(|test| sentence(words, test, &quarter));
        names.into_iter().chain(steps).chain(tests).collect::<Vec<_>>()
    };
    let english = said(&Words::default()).into_iter();
    english.zip(said(words).into_iter().map(Value::from)).collect()
}
