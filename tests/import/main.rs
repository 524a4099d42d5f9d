//! Files of other kinds become plans, and bad ones are refused.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod contacts;
mod dxf;
mod ifc;
mod imdf;
mod known;
mod osm;
mod outlines;
mod pdf;
mod picture;
mod promises;
mod round_trip;
mod tape;
mod text;
