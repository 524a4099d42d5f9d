//! What is known of a page's walk, and what is put into its file of readings.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use crate::drawing::Drawn;
use crate::message::Refusal;
use crate::outbox::TabNumber;
use diagnose::readings::{Column, Entry, MAX_READINGS_BYTES, Scales, Unwritten};
use input::file_bytes;
use words::Language;

/// The walk of a page.
#[derive(Debug, Clone)]
pub(crate) struct Walking {
    /// The bare name of its file of readings.
    pub(crate) file: String,
    /// The entry at which it begins.
    pub(crate) from: Option<String>,
    /// Counts up with every reason to send it again.
    pub(crate) order: u64,
    /// Whether that is still to be done.
    pub(crate) is_due: bool,
    /// Whether what the readings say is to go into the plan.
    pub(crate) accepts: bool,
    /// The file as it was read last.
    pub(crate) seen: Stamp,
}

/// By what a change of a file shows: nothing where there is none.
pub(crate) type Stamp = Option<(Option<SystemTime>, u64)>;

/// The stamp of a file.
pub(crate) fn stamp(path: &Path) -> Stamp {
    let about = fs::metadata(path).ok()?;
    Some((about.modified().ok(), about.len()))
}

/// What is put into a file of readings.
#[derive(Debug, Clone)]
pub(crate) enum Row {
    Entry(Entry),
    Scales(Scales),
}

/// Something to put into a file of readings, and who wishes it.
#[derive(Debug, Clone)]
pub(crate) struct Write {
    pub(crate) number: TabNumber,
    pub(crate) seq: u32,
    pub(crate) file: String,
    pub(crate) row: Row,
}

/// A walk that is to be sent.
#[derive(Debug)]
pub(crate) struct WalkWork {
    pub(crate) number: TabNumber,
    pub(crate) order: u64,
    pub(crate) version: u32,
    pub(crate) text: String,
    pub(crate) drawn: Arc<Drawn>,
    pub(crate) walking: Walking,
    pub(crate) path: PathBuf,
    pub(crate) language: Language,
}

/// The row of a message.
pub(crate) fn entry_of(cells: &BTreeMap<String, String>) -> Result<Entry, Refusal> {
    let column = |(name, cell): (&String, &String)| match Column::named(name) {
        Some(column) => Ok((column, cell.clone())),
        None => {
            let shown: String = name.chars().take(40).collect();
            let what = format!("readings have no column {shown:?}");
            Err(Refusal::new(what, "reload the page"))
        }
    };
    cells.iter().map(column).collect()
}

/// The scales of a message.
pub(crate) fn scales_of(bars: Option<String>, percent: Option<String>) -> Result<Scales, Refusal> {
    let no = |why: &dyn std::fmt::Display, fix: &str| {
        Refusal::new(format!("the scale cannot be used: {why}"), fix)
    };
    let bars = bars.map(|text| text.parse()).transpose();
    let percent = percent.map(|text| text.parse()).transpose();
    Ok(Scales {
        bars: bars.map_err(|why| no(&why, "write rising levels, such as -105, -95, -85, -75"))?,
        percent: percent.map_err(|why| no(&why, "write two levels, such as -110 to -50"))?,
    })
}

impl From<Unwritten> for Refusal {
    fn from(why: Unwritten) -> Self {
        Self::new(why.what, why.fix)
    }
}

/// The bytes of a file of readings; none where there is no such file yet.
pub(crate) fn bytes_of(path: &Path) -> Result<Vec<u8>, Refusal> {
    if !path.exists() {
        return Ok(Vec::new());
    }
    let fix = "keep the readings of the last few months";
    let bytes = file_bytes(path, MAX_READINGS_BYTES, "a file of readings", fix);
    bytes.map_err(|fault| Refusal::new(fault.what.clone(), fault.fix.clone()))
}
