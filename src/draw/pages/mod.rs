//! The kinds of pictures, laid out.

pub(crate) mod compare;
pub(crate) mod multiples;
pub(crate) mod page;
pub(crate) mod pair;
pub(crate) mod print;
pub(crate) mod profile;
pub mod tradeoff;
