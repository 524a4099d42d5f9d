//! The JSON Schema of a plan, held against an independent validator (`boon` 0.6) and against the
//! reader.

mod accepted;
mod altered;
mod bounds;
mod known;
mod refused;
mod shipped;
mod support;
