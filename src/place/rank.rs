//! Which spots no other beats, and in which order they are offered.
