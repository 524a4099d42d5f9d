//! Causes of a flaky sensor: evidence against numerical integration, information against enumeration,
//! and hundreds of synthetic houses drawn from the model.

mod dice;
mod evidence;
mod information;
mod speed;
mod synthetic;
mod truth;
