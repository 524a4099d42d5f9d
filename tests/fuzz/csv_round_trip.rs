//! Any bytes as names in a row of CSV: read back as they were, none a formula. See `README.md`
//! beside this.

#![no_main]

#[allow(dead_code, reason = "other targets call the rest")]
mod papers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| papers::survives_csv(bytes));
