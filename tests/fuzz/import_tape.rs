//! Any bytes as a tape-measure list: a sound plan or faults, never a panic. See `README.md` beside
//! this.

#![no_main]

#[path = "../import/tape_promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_tape(bytes));
