//! Archives of the Indoor Mapping Data Format become plans.

mod arcade;
mod archives;
mod changed;
mod faults;
mod made;
mod sites;
