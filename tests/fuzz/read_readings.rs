//! Any bytes as a file of readings: readings or faults, never a panic. See `README.md` beside this.

#![no_main]

#[path = "../diagnose/readings/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives(bytes));
