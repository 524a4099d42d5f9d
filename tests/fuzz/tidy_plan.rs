//! Any bytes as a plan to tidy: a sound plan or faults, never a panic. See `README.md` beside this.

#![no_main]

/// What the promises take from their tests.
mod support {
    pub use drillonce::budget::vocabulary;
}

#[path = "../tidy/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_tidy(bytes));
