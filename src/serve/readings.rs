//! Puts rows into files of readings: each at once, beside the file and renamed, so that whatever
//! ends the program leaves the file as it was before the row or after it.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use crate::copy::new_beside;
use crate::drawing::Drawn;
use crate::hub::Hub;
use crate::message::Refusal;
use crate::walking::{Row, Write, bytes_of};
use diagnose::readings::{with_entry, with_scales};
use input::{Diagnostics, decoded, with_line_feeds};

/// How often a row is tried where another program writes the same file at the same time.
const TRIES: usize = 5;

/// Writes rows until the program ends.
pub fn keep(hub: &Hub) {
    while let Some((write, plan, drawn)) = hub.next_write() {
        let made = AssertUnwindSafe(|| written(&write, &plan, &drawn));
        let made = catch_unwind(made).unwrap_or_else(|_| {
            Err(Refusal::new("the program failed at this entry", "note it on paper"))
        });
        hub.wrote(&write, made);
    }
}

/// Puts a row into its file, beside the plan's.
fn written(write: &Write, plan_file: &Path, drawn: &Drawn) -> Result<(), Refusal> {
    let Some(plan) = &drawn.plan else {
        return Err(Refusal::new("the plan has faults", "put them right first"));
    };
    let path = plan_file.with_file_name(&write.file);
    // Where it is a link to a file, the file is written, not the link.
    let path = path.canonicalize().unwrap_or(path);
    let unwritten = |why: io::Error| {
        let what = format!("cannot write {}: {why}", write.file);
        Refusal::new(what, "make room, or give the name of another file")
    };
    for _ in 0..TRIES {
        let bytes = bytes_of(&path)?;
        let mut faults = Diagnostics::new(&write.file);
        let text = decoded(&bytes, &mut faults);
        let Some(text) = text else {
            let what = format!("{} is not text", write.file);
            return Err(Refusal::new(what, "give the name of another file"));
        };
        // Line ends of old systems become line feeds; where lines end with both, they stay.
        let text = if text.contains('\n') { text } else { with_line_feeds(text) };
        let new = match &write.row {
            Row::Entry(entry) => with_entry(&text, plan, entry)?,
            Row::Scales(scales) => with_scales(&text, plan, scales)?,
        };
        if new.as_bytes() == bytes {
            return Ok(());
        }
        let like = if path.exists() { &path } else { plan_file };
        let file = new_beside(like, &new).map_err(unwritten)?;
        file.as_file().sync_data().map_err(unwritten)?;
        // What somebody wrote meanwhile stays.
        if bytes_of(&path)? == bytes {
            file.persist(&path).map_err(|error| unwritten(error.error))?;
            return Ok(());
        }
    }
    let what = format!("another program writes {} all the time", write.file);
    Err(Refusal::new(what, "close it there"))
}
