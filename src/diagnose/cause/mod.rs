//! What is most likely wrong with a flaky sensor, how sure that is, and which test would tell most.
//!
//! Each [`Cause`] is a statement of how readings come about: what it takes from the level and at
//! which readings, what it does to check-ins, what it makes of the noise floor and of remarks, each
//! with its prior. Causes are compared by the marginal likelihood of all readings of the house.
//!
//! # Model
//! - One cause at a time: the sensor asked about has exactly one of the causes.
//! - The other sensors are sound but for a small chance ([`OTHERS_FAULTY`]) of a fault of their own,
//!   so that one bad sensor among them does not spoil the rest.
//! - What happens to one sensor (an obstruction, a null, a weak transmitter, no radio matter) is
//!   worked out beside the others as they are on a quiet air: one propagation over the house, and a
//!   small one for each state of the cause.
//! - What happens to all (noise, a loss at the panel, clashes) changes every sensor's likelihood:
//!   one propagation over the house for each state.
//! - Extra losses are normal, or mixtures of normals, so that the linear model in decibels takes them
//!   as they are: a lower mean and a covariance among the readings that share the loss.

mod climate;
mod compare;
mod flaky;
mod information;
mod kind;
mod next_test;
mod state;
mod subject;
mod way;

pub use climate::{
    CLASH_CHANCES, NOISE_ELSEWHEN, NOISE_RISES, OTHERS_FAULTY, OTHERS_LAPSE, OTHERS_LOSSES,
    PANEL_LOSS, PANEL_LOSS_SIGMA,
};
pub use compare::{CauseChance, SensorCauses, diagnose_causes};
pub use flaky::flaky;
pub use information::information_bits;
pub use kind::{Cause, Shares};
pub use next_test::{
    Band, LEVELS_PER_TEST, NextTest, PLACES_PER_TEST, TRANSMISSIONS_PER_TEST, Test,
};
pub use state::{
    BATTERY_LOW_SAID, BATTERY_LOW_STRAY, BATTERY_SHARE, LAPSES, NULL_BELOW, OBSTRUCTION_GOES,
    OBSTRUCTION_LOSS, OBSTRUCTION_SIGMA, TAMPER_SAID, TAMPER_STRAY, WEAK_LOSS, WEAK_SIGMA,
};
pub use way::{Case, FLOOR_METER_SIGMA, FLOOR_SIGMA};
