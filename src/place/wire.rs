//! The shortest wire from an outlet to a spot, along walls.
