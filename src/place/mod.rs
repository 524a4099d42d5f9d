//! Where the panel and its repeaters may hang, and what each place is worth.

pub mod conductor;
pub mod cover;
pub mod delay;
pub mod map;
pub mod rank;
pub mod reach;
pub mod spots;
pub mod walk;
pub mod wire;
