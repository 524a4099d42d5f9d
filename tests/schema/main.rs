//! The JSON Schema of a plan, held against an independent validator (`boon` 0.6) and against the reader.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on says so by its panic"
)]

mod accepted;
mod altered;
mod bounds;
mod known;
mod refused;
mod shipped;
mod support;
