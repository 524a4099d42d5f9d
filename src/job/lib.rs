//! The job on paper, without the paper: what it costs, and what is programmed and tested.

#![warn(missing_docs)]

pub mod pricing;
pub mod schedule;
