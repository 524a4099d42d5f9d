//! Any bytes as a plan to be tidied: fixed or refused, never a panic. See `README.md` beside this.

#![no_main]

#[path = "../plan/tidy/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_tidy(bytes));
