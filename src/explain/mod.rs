//! One sensor's link in full: every decibel, every path that carries weight, and what would help.
