//! Building models become plans.

mod faults;
mod heights;
mod layers;
mod made;
mod mutated;
mod walls;
