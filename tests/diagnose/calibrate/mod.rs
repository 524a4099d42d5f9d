//! Calibration by readings: the linear model, censored readings, coverage.

mod cases;
mod coverage;
mod dice;
mod reference;
mod site;
