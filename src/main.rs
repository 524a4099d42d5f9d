//! The `drillonce` program.
fn main() {}
