//! Causes of a flaky sensor: evidence against numerical integration, information against
//! enumeration, and hundreds of synthetic houses drawn from the model.

mod evidence;
mod information;
mod synthetic;
mod truth;
