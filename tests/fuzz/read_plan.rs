//! Any bytes as a plan: a checked plan or faults, and what of it is sound, never a panic. See
//! `README.md` beside this.

#![no_main]

#[path = "../plan/lenient/promises.rs"]
mod lenient;
#[path = "../plan/faults/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    promises::survives(bytes);
    lenient::survives_leniently(bytes, &promises::vocabulary());
});
