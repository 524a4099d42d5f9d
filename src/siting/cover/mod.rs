//! The fewest repeaters through which every sensor is heard, by branch and bound.
//!
//! A pure problem: no radio, no geometry. What is given are chances of a supervision fault per
//! year, hop by hop ([`CoverProblem`]); what comes out is which panel option and which repeater
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
//! For each panel option this is a capacitated location problem with a limit on the number of
//! places. It is solved by branch and bound on what is open, over linear cuts that every feasible
//! choice fulfils: each the minimum cut of a flow that did not fit, so a counting argument about
//! some sensors and the repeaters between them and the panel. The search branches on the cut that
//! is hardest to fulfil; when all are, the sites are asked whether they can carry everything, which
//! gives more cuts where they cannot.
//!
//! * The count: a choice is found, then one with a repeater fewer, until there is none.
//! * The chance: all choices of that count, pruned where nothing lighter can be below.
//!
//! Both prune by a Lagrangian bound, which is valid whatever its multipliers are, so that an
//! inexact optimisation of them costs time and not truth.
//!
//! `Best` is said only when both searches ran to their end. It is exact in the count; in the weight
//! it holds to 1e-11, the margin left for rounding.
//!
//! Without a clock and with one thread: the same problem gives the same answer, unless the caller
//! says stop.

mod answer;
mod bound;
mod cut;
mod flow;
mod panels;
mod problem;
mod routing;
mod search;
mod view;

pub use answer::{CoverAnswer, CoverError, Proof};
pub use panels::cover;
pub use problem::{CoverProblem, Hops, Matrix, RepeaterOption};

/// The margin for rounding when two weights are compared, in weight (−ln of a chance).
///
/// Sums of a few hundred weights below 10 err by less than 1e-12 in double precision.
const ROUNDING: f64 = 1e-11;
