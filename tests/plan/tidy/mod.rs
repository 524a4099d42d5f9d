//! What tidying promises: each fix by its exact text, all else byte for byte, nothing moved
//! farther than the tolerance, nothing left to do when it is done again, and no harm from any
//! input.

mod faces;
mod fixes;
mod geometry;
mod hostile;
mod houses;
mod layout;
mod promises;
mod properties;
mod shipped;
mod support;
