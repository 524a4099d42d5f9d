//! Archives of the Indoor Mapping Data Format become plans.

mod arcade;
mod archives;
mod faults;
mod made;
#[path = "imdf_promises.rs"]
mod promises;
mod sites;
