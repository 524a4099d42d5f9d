//! Calibration by readings: the linear model, censored readings, coverage.

#![allow(clippy::print_stdout, reason = "the tables are there to be read")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod cases;
mod coverage;
mod dice;
mod reference;
mod site;
