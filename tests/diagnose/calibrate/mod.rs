//! Calibration by readings: the linear model, censored readings, coverage.

mod cases;
mod coverage;
mod reference;
mod site;
