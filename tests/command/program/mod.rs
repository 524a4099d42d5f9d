//! The whole program as a user or a script meets it: what it prints, what it writes, how it ends.

mod bad_output;
mod bad_plan;
mod compare;
mod contract;
mod formats;
mod import;
mod language;
mod metal_boxes;
mod new_plan;
mod options;
mod picture;
mod pictures;
mod place;
mod place_options;
mod printed;
mod repeater;
mod repeaters;
mod repeaters_plans;

/// The shipped plans that these tests go through.
const PLANS: [&str; 4] = ["bungalow", "brick-house", "corner-shop", "foil-garage"];
