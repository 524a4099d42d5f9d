//! What is most likely wrong with a flaky sensor, how sure that is, and which test says most.
//!
//! Each [`Cause`] is a statement of how readings come about: what it takes from the level and at
//! which readings, what it does to check-ins, to the noise floor and to remarks, each with its
//! prior. Causes are compared by the marginal likelihood of all readings of the house. The prior
//! shares of the causes are our choice and the same for every house, but for sensors that the
//! forecast has failing as drawn, which need no fault ([`Shares::of_failing`]).
//! `tests/diagnose/causes` draws houses from these very statements: it shows that the sums are
//! right, not that the world is so.
//!
//! # Model
//! - One cause at a time: the sensor asked about has exactly one of the causes.
//! - The other sensors are sound but for a small chance ([`OTHERS_FAULTY`]) of a fault of their
//!   own, so that one bad sensor among them does not spoil the rest.
//! - What happens to one sensor (an obstruction, a null, a weak transmitter, no radio matter) is
//!   worked out beside the others as they are on a quiet air: one propagation over the house, and a
//!   small one for each state of the cause.
//! - What happens to all (noise, a loss at the panel, clashes) changes every sensor's likelihood:
//!   one propagation over the house for each state.
//! - Extra losses are normal, or mixtures of normals, so that the linear model in decibels takes
//!   them as they are: a lower mean and a covariance among the readings that share the loss.

mod band_state;
mod case;
mod compare;
mod flaky;
mod kind;
mod next_test;
mod sensor_state;
mod subject;

pub use band_state::{
    CLASH_CHANCES, NOISE_ELSEWHEN, NOISE_RISES, OTHERS_LAPSE, OTHERS_LOSSES, PANEL_LOSS,
    PANEL_LOSS_SIGMA,
};
pub use case::{Case, FLOOR_METER_SIGMA, FLOOR_SIGMA};
pub use compare::{CauseChance, SensorCauses, diagnose_causes, diagnose_causes_of};
pub use flaky::flaky;
pub use kind::{Cause, Effort, OTHERS_FAULTY, Shares};
pub use next_test::{
    LEVELS_PER_TEST, NextTest, Outcome, PLACES_PER_TEST, TRANSMISSIONS_PER_TEST, Test,
};
pub use sensor_state::{
    BATTERY_LOW_SAID, BATTERY_LOW_STRAY, BATTERY_SHARE, LAPSES, NULL_BELOW, OBSTRUCTION_GOES,
    OBSTRUCTION_LOSS, OBSTRUCTION_SIGMA, TAMPER_SAID, TAMPER_STRAY, WEAK_LOSS, WEAK_SIGMA,
};
