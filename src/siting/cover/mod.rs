//! The fewest repeaters through which every sensor is heard, as a mixed-integer programme.
//!
//! A pure problem: no radio, no geometry. What is given are chances of a supervision fault per
//! year, hop by hop ([`CoverProblem`]); what comes out is which panel place and which repeater
//! places to take, and over which way each sensor is heard ([`CoverAnswer`]).
//!
//! # What is minimised
//!
//! First the number of new repeaters. Among choices of equally many, the chance that anything
//! faults in a year. Hops are taken to fail independently, so that chance is
//! 1 − Π (1 − p) over the hops in use, and it is lowest where Σ −ln(1 − p), the *weight*, is
//! lowest. A sensor's first hop is one hop. A repeater's onward hop is one hop too, however many
//! sensors it carries: when it fails it takes all of them down in the same event, so counting it
//! once for each sensor would count one event many times. A repeater that carries nothing has no
//! hop in use and counts nothing.
//!
//! Each repeater has one onward hop, to the panel or (two hops) to a repeater whose own onward hop
//! is to the panel: all that it carries goes that way.
//!
//! # How it is solved, and what [`Proof::Best`] rests on
//!
//! For each panel place this is a capacitated location problem with a limit on the number of
//! places. `microlp` solves it as mixed-integer programmes, written with `good_lp`: one of the
//! count, and one of the weight where it is small enough for `microlp` to be quick (one hop, as a
//! rule). Its authors do not promise that it is right, so nothing that it says is believed. Only
//! *which repeaters and onward hops* is taken from it, as a proposal; the ways are then worked out
//! and checked here, and the proof is our own:
//!
//! * the count: by a search over linear cuts that every feasible choice fulfils (each the minimum
//!   cut of a maximum-flow network that did not fit, so a counting argument about some sensors and
//!   the repeaters between them and the panel), which ends when one repeater fewer is impossible;
//! * the chance: by branch and bound with a Lagrangian bound, which is valid whatever its
//!   multipliers are, so that an inexact optimisation of them costs time and not truth.
//!
//! `Best` is said only when both searches ran to their end. It is exact in the count; in the weight
//! it holds to 1e-11, the margin left for rounding. Where `microlp` fails, stops or errs, the
//! searches start from a greedy choice and come to the same end.
//!
//! Without a clock and with one thread: the same problem gives the same answer, unless the caller
//! says stop.

mod answer;
mod bound;
mod check;
mod cost;
mod count;
mod domain;
mod local;
mod oracle;
mod problem;
mod programme;
mod route;
mod search;

pub use answer::{CoverAnswer, CoverError, Proof, Way};
pub use check::Broken;
pub use problem::{CoverProblem, Hops, Matrix, Site};
pub use search::cover;

/// The margin for rounding when two weights are compared, in weight (−ln of a chance).
///
/// Sums of a few hundred weights below 10 err by less than 1e-12 in double precision.
const ROUNDING: f64 = 1e-11;
