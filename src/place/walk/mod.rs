//! The shortest walk from the entries to a spot, through doorways and over stairs.
