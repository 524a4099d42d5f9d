//! A plan that holds what readings told of the house: what it changes in the forecast, and what not.

mod margins;
mod surfaces;

use fixtures::{neutral_calibration as nothing_told, shipped};
