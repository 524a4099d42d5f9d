//! Bad maps.
