//! A plan with faults: what can still be used of it, and where the faults are.

mod found;
pub(crate) mod promises;
mod random;
