//! A plan with a calibration: what it changes in the forecast, and what not.

mod margins;
mod surfaces;

use fixtures::{neutral_calibration, shipped};
