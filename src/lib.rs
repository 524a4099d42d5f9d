//! Whether every sensor of a wireless alarm will be heard, before a hole is drilled.
//!
//! Data goes one way: [`input`] (bytes to text, numbers, tables, what is wrong with a file),
//! [`import`] (drawings, maps, tape measure) → [`plan`] (the site as drawn) → [`trace`] (which
//! paths there are) → [`radio`] (what air, walls and edges do to a wave) → [`forecast`] (margin,
//! chance of a supervision fault, finding) → [`siting`] (where to hang it), [`explain`] (one link
//! in full), [`diagnose`] (readings against the forecast), [`job`] (what is programmed and tested)
//! → [`draw`]; [`words`] (words in each language), `job::pricing` (exact sums), [`document`] (HTML
//! and PDF) → [`report`]. [`cli`] wires them together for the program.
//!
//! Where to find a formula: free space `radio::free_space_loss`; layered walls
//! `radio::slab_response`; edges `radio::edge_field` and `forecast::soft`; noise
//! `radio::noise_floor`; fading `radio::rician_miss`; runs of missed check-ins
//! `forecast::run_of_misses`; the link budget `forecast::Ledger`.

#![warn(missing_docs)]

pub use ::cli;
pub use ::diagnose;
pub use ::document;
pub use ::draw;
pub use ::explain;
pub use ::forecast;
pub use ::import;
pub use ::input;
pub use ::job;
pub use ::plan;
pub use ::radio;
pub use ::report;
pub use ::siting;
pub use ::trace;
pub use ::units;
pub use ::words;
