//! Any bytes as a message of the live page: understood or refused, never a panic. See `README.md`
//! beside this.

#![no_main]

#[path = "../serve/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_message(bytes));
