//! Small maps.
