//! Walks: worked cases with known lengths, doors, stairs, entries, and what holds for every plan.

mod doors;
mod entries;
mod fine_grid;
mod invariants;
mod legs;
mod plans;
mod shipped;
mod spots;
mod stairs;
mod taut;
mod worked;
