//! What must hold for every plan: reciprocity, rigid motion, monotone loss, agreement of the two
//! tracers, independence of order and of the number of threads.

mod corners;
pub mod house;
mod motion;
mod tracers;
