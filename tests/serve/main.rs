//! The live page, asked by a client of its own over real sockets.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stderr, reason = "the server in a process of its own says its address")]

mod attacks;
mod begun;
mod client;
mod ending;
mod forecasts;
mod ground;
mod guest;
mod guests;
mod languages;
mod maps;
mod outbox;
mod session;
mod steps;
mod tape;
mod together;
mod undone;
mod walk;
