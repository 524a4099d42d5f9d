//! What a file of readings holds, and one row, whatever format it came in: from its cells to
//! readings.

use super::column::{COLUMNS, Column, NAMES};
use super::moment::moment;
use super::note::{self, Note};
use super::scales::{BARS_FIX, LEVELS_DBM, NOISE_DBM, PERCENT_FIX, Scales};
use super::sheet::{Sheet, SheetRow};
use super::who::Who;
use crate::{Circumstance, Reading, Seen};
use input::number::quantity;
use input::{Diagnostic, Diagnostics, MAX_LISTED, Severity, Spot, quoted};
use plan::{DeviceKind, Plan};
use units::Dbm;

/// Largest file that is read, in bytes: 16 MiB (our own choice, no source).
pub const MAX_READINGS_BYTES: usize = 16 * 1024 * 1024;

/// Most rows that are read (our own choice, no source).
pub const MAX_ROWS: usize = 1_000_000;

/// How many faults, and how many warnings, are listed; one more then says how many follow.
pub const MAX_LISTED_ROWS: usize = MAX_LISTED;

/// How to fix a file without a table.
pub(super) const TEMPLATE_FIX: &str = "`drillonce diagnose PLAN --template` prints one to fill in";

/// How to fix a file that is too large.
pub(super) const TOO_MANY_FIX: &str = "keep the readings of the last few months";

/// A note of which nothing, or not all, was understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusedNote {
    /// Its line, or the number of its entry in a JSON list, as in [`Reading::line`].
    pub line: usize,
    /// The note as it is written.
    pub text: String,
}

/// What a file of readings holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingsFile {
    /// The readings of all good rows, in file order; a row may hold several.
    pub readings: Vec<Reading>,
    /// What is wrong, in file order: at most [`MAX_LISTED_ROWS`] and one that counts the others.
    pub faults: Vec<Diagnostic>,
    /// What is doubtful but was used, likewise.
    pub warnings: Vec<Diagnostic>,
    /// Notes that were not, or not wholly, understood.
    pub unused: Vec<UnusedNote>,
    /// The scales in force: the caller's, else the file's.
    pub scales: Scales,
    /// Rows that held something, good and bad.
    pub rows: usize,
    /// What the newest good row of each device says, by the device's id.
    pub sheet: Sheet,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) at: usize,
    /// Number of its line, or of its entry in a JSON list, from 1.
    pub(super) number: usize,
    pub(super) is_entry: bool,
}

impl Place {
    fn spot(self, column: Option<&str>) -> Spot<'_> {
        let entry = self.is_entry.then_some(self.number);
        Spot { at: Some(self.at), also_at: None, entry, feature: column }
    }
}

/// One cell: the name of its column as the file has it, and the text.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Cell<'t> {
    pub(super) name: &'t str,
    pub(super) text: &'t str,
}

/// The cells of a row, by [`Column`].
pub(super) type Cells<'t> = [Cell<'t>; COLUMNS];

/// What is gathered while a file is read.
#[derive(Debug)]
pub(super) struct Rows<'p> {
    who: Who<'p>,
    given: Scales,
    pub(super) of_file: Scales,
    pub(super) faults: Diagnostics,
    file: ReadingsFile,
    /// First place of a time without a zone, and how many there are.
    no_zone: Option<(Place, usize)>,
}

impl<'p> Rows<'p> {
    pub(super) fn new(source_name: &str, plan: &'p Plan, given: &Scales) -> Self {
        Self {
            who: Who::new(plan),
            given: given.clone(),
            of_file: Scales::default(),
            faults: Diagnostics::of_rows(source_name, MAX_LISTED_ROWS),
            file: ReadingsFile::default(),
            no_zone: None,
        }
    }

    pub(super) fn finish(mut self, text: &str) -> ReadingsFile {
        if let Some((place, count)) = self.no_zone {
            self.warning(place, Some(Column::Time.name()), || {
                let times = if count == 1 { "time" } else { "times" };
                (
                    format!(
                        "{count} {times} without a time zone, the first one here; taken as \
                             UTC"
                    ),
                    "add the time zone: 2026-03-01T18:20:00+01:00",
                )
            });
        }
        let (faults, warnings) = self.faults.finish(text);
        ReadingsFile { faults, warnings, scales: self.given.or(&self.of_file), ..self.file }
    }

    /// Notes a fault of a row, or of its column.
    pub(super) fn fault<A: Into<String>, B: Into<String>>(
        &mut self,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        self.faults.note(Severity::Error, place.spot(column), words);
    }

    /// Notes what is doubtful in a row, or its column.
    pub(super) fn warning<A: Into<String>, B: Into<String>>(
        &mut self,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        self.faults.note(Severity::Warning, place.spot(column), words);
    }

    /// Whether there is room for another row; if not, that is noted.
    pub(super) fn has_room(&mut self, place: Place) -> bool {
        if self.file.rows < MAX_ROWS {
            return true;
        }
        let what = format!("the file has more than {MAX_ROWS} rows; from here on none is read");
        self.fault(place, None, || (what, TOO_MANY_FIX));
        false
    }

    /// Counts a row that is beyond use for a fault that was noted.
    pub(super) fn count_lost(&mut self) {
        self.file.rows += 1;
    }

    /// Notes a fault for which a row is beyond use, and counts it.
    pub(super) fn lost<A: Into<String>, B: Into<String>>(
        &mut self,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        self.count_lost();
        self.fault(place, column, words);
    }

    /// Takes a row; every fault in it is noted, and then the row is left out.
    pub(super) fn take(&mut self, place: Place, cells: &Cells<'_>) {
        let is_blank = |column: Column| cells[column as usize].text.trim().is_empty();
        if NAMES.iter().all(|(column, _)| !column.is_value() || is_blank(*column)) {
            // A row of the template that was not filled in, but for what was tried there.
            if NAMES.iter().any(|(column, _)| column.is_tick() && !is_blank(*column)) {
                let sensor = self.who.find(cells[Column::Sensor as usize].text);
                let sensor = sensor.map(|sensor| sensor.id.clone());
                self.note_row(sensor, place, None, cells);
            }
            return;
        }
        self.file.rows += 1;
        let mut row = Row { rows: self, place, cells, is_sound: true };
        let (sensor, is_panel) = row.sensor();
        let listener = row.listener();
        let time_min = row.time();
        let (seen, heard) = row.seen();
        let noise = row.level(Column::Noise).map(Seen::NoiseFloor);
        let note = row.note();
        let wants_sensor = seen.is_some() || !note.remarks.is_empty() || noise.is_none();
        if sensor.is_none() && row.is_sound && wants_sensor {
            let what = if is_panel { "the panel is not a sensor" } else { "the sensor is missing" };
            row.fault(Column::Sensor, |_, _| {
                (what, "write the sensor's number, id or name; only a noise floor needs none")
            });
        }
        if !row.is_sound {
            return;
        }
        self.note_row(sensor.clone(), place, time_min, cells);
        if note.is_left {
            let text = cells[Column::Note as usize].text.trim().to_owned();
            self.file.unused.push(UnusedNote { line: place.number, text });
        }
        let circumstance = note.circumstances.first().copied().unwrap_or_default();
        let reading = |sensor: Option<String>, seen| Reading {
            sensor,
            listener: listener.clone(),
            time_min,
            seen,
            circumstance,
            remarks: Vec::new(),
            line: place.number,
        };
        // What was done to a sensor does not bear on the noise.
        let of_noise = Some(circumstance).filter(|one| *one == Circumstance::OtherHour);
        self.file.readings.extend(noise.map(|noise| Reading {
            circumstance: of_noise.unwrap_or(Circumstance::AsFound),
            ..reading(None, noise)
        }));
        // A note alone; what was changed while the noise was read is in that reading.
        let tells =
            !note.remarks.is_empty() || (noise.is_none() && circumstance != Circumstance::AsFound);
        let seen = seen.or(tells.then_some(Seen::Nothing));
        if let Some(sensor) = sensor {
            self.file.readings.extend(heard.map(|heard| reading(Some(sensor.clone()), heard)));
            self.file.readings.extend(
                seen.map(|seen| Reading { remarks: note.remarks, ..reading(Some(sensor), seen) }),
            );
        }
    }
}

impl Rows<'_> {
    /// Keeps a row for the test sheet, if it is the newest of its device.
    fn note_row(
        &mut self,
        sensor: Option<String>,
        place: Place,
        time_min: Option<f64>,
        cells: &Cells<'_>,
    ) {
        let Some(sensor) = sensor else { return };
        let known = self.file.sheet.entry(sensor).or_default();
        known.rows += 1;
        let is_older = known.time_min.zip(time_min).is_some_and(|(known, new)| new < known);
        if !is_older {
            let filled =
                NAMES.iter().map(|(column, _)| (*column, cells[*column as usize].text.trim()));
            let filled =
                filled.filter(|(column, text)| *column != Column::Name && !text.is_empty());
            let cells = filled.map(|(column, text)| (column.name(), text.to_owned())).collect();
            *known = SheetRow { line: place.number, time_min, cells, rows: known.rows };
        }
    }
}

struct Row<'r, 'p, 't> {
    rows: &'r mut Rows<'p>,
    place: Place,
    cells: &'r Cells<'t>,
    is_sound: bool,
}

impl Row<'_, '_, '_> {
    /// The text of a cell, unless it is blank.
    fn text(&self, column: Column) -> Option<&str> {
        let text = self.cells[column as usize].text.trim();
        (!text.is_empty()).then_some(text)
    }

    /// Notes a fault of a cell, whose text `words` are given.
    fn fault<A: Into<String>, B: Into<String>>(
        &mut self,
        column: Column,
        words: impl FnOnce(&Who<'_>, &str) -> (A, B),
    ) {
        self.is_sound = false;
        let cell = self.cells[column as usize];
        let name = if cell.name.is_empty() { column.name() } else { cell.name };
        let Rows { who, faults, .. } = &mut *self.rows;
        let spot = self.place.spot(Some(name));
        faults.note(Severity::Error, spot, || words(who, cell.text.trim()));
    }

    /// The sensor's id, and whether the panel is named in its place.
    fn sensor(&mut self) -> (Option<String>, bool) {
        let column =
            if self.text(Column::Sensor).is_some() { Column::Sensor } else { Column::Name };
        let Some(text) = self.text(column) else {
            return (None, false);
        };
        if let Some(device) = self.rows.who.find(text) {
            let is_panel = device.kind == DeviceKind::Panel;
            return ((!is_panel).then(|| device.id.clone()), is_panel);
        }
        self.fault(column, |who, text| who.not_found(text));
        (None, false)
    }

    fn listener(&mut self) -> Option<String> {
        let text = self.text(Column::At)?;
        let listener = self.rows.who.listener(text);
        if listener.is_none() {
            self.fault(Column::At, |who, text| who.no_listener(text));
        }
        listener.flatten()
    }

    fn time(&mut self) -> Option<f64> {
        let (column, text) = match (self.text(Column::Date), self.text(Column::Time)) {
            (None, None) => return None,
            (None, Some(time)) => (Column::Time, time.to_owned()),
            (Some(date), None) => (Column::Date, date.to_owned()),
            (Some(date), Some(time)) => (Column::Time, format!("{date}T{time}")),
        };
        let Some((minutes, has_zone)) = moment(&text) else {
            self.fault(column, |_, _| {
                let fix = "write 2026-03-01T18:20:00+01:00, or leave it blank";
                (format!("{} is not a time", quoted(&text)), fix)
            });
            return None;
        };
        if !has_zone {
            let place = self.place;
            self.rows.no_zone.get_or_insert((place, 0)).1 += 1;
        }
        Some(minutes)
    }

    fn level(&mut self, column: Column) -> Option<Dbm> {
        let text = self.text(column)?;
        let number = quantity(text, &["dbm", "db"]);
        let (low, high) = if column == Column::Noise { NOISE_DBM } else { LEVELS_DBM };
        match number {
            Some(dbm) if (low..=high).contains(&dbm) => return Some(Dbm(dbm)),
            Some(dbm) => self.fault(column, |_, _| {
                let fix = if dbm > 20.0 {
                    format!("a receiver's levels are negative; did you mean -{dbm}?")
                } else {
                    "write the level that the panel shows, in dBm".to_owned()
                };
                (format!("{dbm} dBm is outside {low} to {high} dBm"), fix)
            }),
            None => self.fault(column, |_, text| {
                (
                    format!("{} is not a level", quoted(text)),
                    "write dBm, such as -87.5, or leave it blank",
                )
            }),
        }
        None
    }

    /// What was seen of the sensor, and whether the check-in by which it was seen was told of. A
    /// level says more than bars, these more than per cent; each that is there must be sound, and
    /// the one that says most is used.
    fn seen(&mut self) -> (Option<Seen>, Option<Seen>) {
        let level = self.level(Column::Level).map(Seen::Level);
        let bars = self.bars();
        let percent = self.percent();
        let heard = self.heard();
        let read = level.or(bars).or(percent);
        match (read, heard) {
            (Some(_), Some(Seen::CheckIn { heard: false } | Seen::Lost)) => {
                self.fault(Column::Heard, |_, text| {
                    (
                        format!("{} contradicts the level in the same row", quoted(text)),
                        "put what was read and what was missed in separate rows",
                    )
                });
                (None, None)
            }
            (Some(read), heard) => (Some(read), heard),
            (None, heard) => (heard, None),
        }
    }

    fn bars(&mut self) -> Option<Seen> {
        let text = self.text(Column::Bars)?.to_owned();
        let scales = self.rows.given.or(&self.rows.of_file);
        let Some(scale) = scales.bars else {
            self.fault(Column::Bars, |_, _| ("the file does not say what its bars mean", BARS_FIX));
            return None;
        };
        let (count, of) = match text.split_once('/') {
            Some((count, of)) => (count, Some(of)),
            None => (text.as_str(), None),
        };
        let whole = |text: &str| {
            quantity(text, &["bars", "bar"]).filter(|n| n.fract() == 0.0 && (0.0..=1e6).contains(n))
        };
        let most = scale.most();
        let (what, fix) = match (whole(count), of.map(whole)) {
            (None, _) | (_, Some(None)) => (
                format!("{} is not a number of bars", quoted(&text)),
                format!("write a whole number from 0 to {most}"),
            ),
            (Some(count), Some(Some(of))) if of != most as f64 => {
                (format!("{count} of {of} bars, but the scale has {most}"), BARS_FIX.to_owned())
            }
            (Some(count), _) => match scale.seen(count as usize) {
                Some(seen) => return Some(seen),
                None => (format!("{count} bars, but the scale has {most}"), BARS_FIX.to_owned()),
            },
        };
        self.fault(Column::Bars, |_, _| (what, fix));
        None
    }

    fn percent(&mut self) -> Option<Seen> {
        let text = self.text(Column::Percent)?.to_owned();
        let Some(scale) = self.rows.given.percent.or(self.rows.of_file.percent) else {
            let what = "the file does not say what its per cent mean";
            self.fault(Column::Percent, |_, _| (what, PERCENT_FIX));
            return None;
        };
        let number = quantity(&text, &["per cent", "percent", "%"]);
        let seen = number.and_then(|percent| scale.seen(percent));
        if seen.is_none() {
            self.fault(Column::Percent, |_, text| {
                let what = match number {
                    Some(percent) => format!("{percent} % is outside 0 to 100"),
                    None => format!("{} is not a percentage", quoted(text)),
                };
                (what, "write a number from 0 to 100")
            });
        }
        seen
    }

    fn heard(&mut self) -> Option<Seen> {
        let text = self.text(Column::Heard)?.to_lowercase();
        let seen = match text.as_str() {
            "yes" | "y" | "1" | "true" | "heard" | "ok" | "received" => {
                Seen::CheckIn { heard: true }
            }
            "no" | "n" | "0" | "false" | "missed" | "not heard" | "not received" => {
                Seen::CheckIn { heard: false }
            }
            "lost" | "supervision lost" | "lost supervision" => Seen::Lost,
            _ => {
                self.fault(Column::Heard, |_, text| {
                    (
                        format!("{} is neither yes nor no", quoted(text)),
                        "write yes or no for one check-in, or lost if supervision was lost",
                    )
                });
                return None;
            }
        };
        Some(seen)
    }

    fn note(&mut self) -> Note {
        let note = self.text(Column::Note).map(note::understood).unwrap_or_default();
        if let [first, second, ..] = note.circumstances.as_slice() {
            let (first, second) = (note::words(*first), note::words(*second));
            self.fault(Column::Note, |_, _| {
                (
                    format!("two things changed at once: {first} and {second}"),
                    "change one thing at a time, and give each its own row",
                )
            });
        }
        note
    }
}
