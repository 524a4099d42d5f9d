//! The live page: a plan changed in the browser, and the forecast that follows.

mod copy;
mod drawing;
mod map;
mod message;
mod page;
mod session;

pub use copy::{Copy, Found, OpenError, SaveError};
pub use drawing::{Drawn, Fault, constructions};
pub use map::*;
pub use message::*;
pub use page::PageFile;
pub use session::Session;
