//! The choice of repeaters against brute force, by hand-made cases, and on hostile input.

pub mod brute;
mod hostile;
mod random;
mod worked;
