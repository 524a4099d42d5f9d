//! Any bytes as a business file: what it says or faults, never a panic. See `README.md` beside
//! this.

#![no_main]

#[allow(dead_code, reason = "other targets call the rest")]
mod papers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| papers::survives_business(bytes));
