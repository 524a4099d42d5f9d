//! Any bytes as a PDF under a plan: a picture or why not, never a panic. See `README.md` here.

#![no_main]

#[allow(dead_code, reason = "the importers' targets call the rest")]
#[path = "../import/promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_painting(bytes));
