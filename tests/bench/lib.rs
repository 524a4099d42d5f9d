//! Benches only: see the files beside this one.
