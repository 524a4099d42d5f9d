//! Places where the panel may hang, and why others may not.
