//! What must hold for every plan: reciprocity, rigid motion, monotone loss, agreement of the two
//! tracers, independence of order and of the number of threads.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod corners;
mod house;
mod motion;
mod tracers;
