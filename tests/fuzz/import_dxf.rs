//! Any bytes as a DXF drawing: a sound plan or faults, never a panic. See `README.md` beside this.

#![no_main]

#[path = "../import/dxf_promises.rs"]
mod promises;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| promises::survives_dxf(bytes));
