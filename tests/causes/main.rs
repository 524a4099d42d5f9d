//! Causes of a flaky sensor: evidence against numerical integration, information against enumeration,
//! and hundreds of synthetic houses drawn from the model.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod dice;
mod evidence;
mod information;
mod speed;
mod synthetic;
mod truth;
