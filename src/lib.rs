//! Whether every sensor of a wireless alarm will be heard, before a hole is drilled.
//!
//! Data goes one way: [`import`] (drawings, maps, tape measure) → [`plan`] (the site as drawn) → [`trace`] (which paths there are) → [`radio`]
//! (what air, walls and edges do to a wave) → [`budget`] (margin, chance of a supervision fault,
//! finding) → [`place`] (where to hang it), [`explain`] (one link in full), [`diagnose`] (readings against the
//! forecast), [`schedule`] (what is programmed and tested) → [`draw`]; [`wording`] (words in each language),
//! [`pricing`] (exact sums), [`document`] (HTML and PDF) → [`report`]. [`command`] wires them together for
//! the program.
//!
//! Where to find a formula: free space `radio::free_space_loss`; layered walls
//! `radio::slab_response`; edges `radio::edge_field` and `budget::soft`; noise `radio::noise_floor`;
//! fading `radio::rician_miss`; runs of missed check-ins `budget::run_of_misses`; the link budget
//! `budget::Ledger`.

#![warn(missing_docs)]

pub mod budget;
pub mod command;
pub mod diagnose;
pub mod document;
pub mod draw;
pub mod explain;
pub mod import;
pub mod place;
pub mod plan;
pub mod pricing;
pub mod radio;
pub mod report;
pub mod schedule;
pub mod trace;
pub mod units;
pub mod wording;
