//! The choice of repeaters against brute force, by hand-made cases, and on hostile input.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod brute;
mod hostile;
mod random;
mod worked;
