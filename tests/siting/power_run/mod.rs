//! The power run: wires along walls, and what arrives at the panel.

mod conductors;
mod every_route;
mod hostile;
mod plans;
mod properties;
mod worked;
