//! Any bytes as a picture: a sound plan or faults, never a panic. See `README.md` beside this.

#![no_main]

#[allow(dead_code, reason = "the archives' target calls the rest")]
#[path = "../import/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives(import::Kind::Picture, bytes));
