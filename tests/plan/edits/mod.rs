//! Changes to any feature of a plan's text, by its id.

mod backdrop;
mod features;
mod levels;
mod random;
