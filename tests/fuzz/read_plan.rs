//! Any bytes as a plan: a checked plan or faults, never a panic. See `README.md` beside this.

#![no_main]

#[path = "../plan/faults/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives(bytes));
