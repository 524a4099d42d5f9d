//! The live page: a plan changed in the browser, and the forecast that follows.
//!
//! The program owns the text. A page sends wishes ([`Wish`]); each becomes a splice of the text, a
//! step of undo and a working copy on the disk. One worker follows the newest text, or what a page
//! tries while a finger drags, and sends a table at once and a map that becomes finer; another
//! answers questions that take a while. Only a browser on this machine that was given the key is
//! let in.

mod accept;
mod change;
mod copy;
mod door;
mod drawing;
mod hub;
mod live;
mod map;
mod message;
mod outbox;
mod page;
mod palette;
mod questions;
mod readings;
mod server;
mod session;
mod socket;
mod start;
mod state;
mod take;
mod tries;
mod walk;
mod walking;

pub use change::changed;
pub use copy::{Copy, Found, OpenError, SaveError, UNNAMED_EDITS};
pub use map::{HEADER_BYTES, LAST_STAGE, MapHead, MapKind, Stages, bytes, cell};
pub use message::{
    Asked, Beginning, LanguageWord, LevelWord, MOST_BYTES, MOST_CHANGES, MapWord, Refusal,
    SUBPROTOCOL, UnitWord, Wish,
};
pub use outbox::{Frame, Outbox, Said, Slot};
pub use page::{PAGE, PageFile};
pub use server::{Opened, ServeError, ServeSettings, serve};
pub use session::Session;
pub use take::{Making, Taking, command_line};
