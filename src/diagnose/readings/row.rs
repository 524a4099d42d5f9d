//! One row, whatever format it came in: from its cells to readings.

use super::column::{COLUMNS, Column, NAMES};
use super::faults::{Place, RowFaults, Words};
use super::note::{self, Note};
use super::number::{moment, quantity};
use super::scales::{BARS_MEND, LEVELS_DBM, NOISE_DBM, PERCENT_MEND, Scales};
use super::who::Who;
use super::{MAX_ROWS, ReadingsFile, UnusedNote};
use crate::{Circumstance, Reading, Seen};
use plan::{DeviceKind, Plan, quoted};
use units::Dbm;

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
    pub(super) faults: RowFaults,
    readings: Vec<Reading>,
    unused: Vec<UnusedNote>,
    rows: usize,
    /// First place of a time without a zone, and how many there are.
    no_zone: Option<(Place, usize)>,
}

impl<'p> Rows<'p> {
    pub(super) fn new(source_name: &str, plan: &'p Plan, given: &Scales) -> Self {
        Self {
            who: Who::new(plan),
            given: given.clone(),
            of_file: Scales::default(),
            faults: RowFaults::new(source_name),
            readings: Vec::new(),
            unused: Vec::new(),
            rows: 0,
            no_zone: None,
        }
    }

    /// What was read.
    pub(super) fn finish(mut self) -> ReadingsFile {
        if let Some((place, count)) = self.no_zone {
            self.faults.warning(place, Some(Column::Time.name()), || {
                let times = if count == 1 { "time" } else { "times" };
                (
                    format!("{count} {times} without a zone, here the first: taken as UTC"),
                    "write the zone behind it: 2026-03-01T18:20:00+01:00".to_owned(),
                )
            });
        }
        let (faults, warnings) = self.faults.finish();
        ReadingsFile {
            readings: self.readings,
            faults,
            warnings,
            unused: self.unused,
            scales: self.given.or(&self.of_file),
            rows: self.rows,
        }
    }

    /// Whether there is room for another row; if not, that is noted.
    pub(super) fn has_room(&mut self, place: Place) -> bool {
        if self.rows < MAX_ROWS {
            return true;
        }
        self.faults.fault(place, None, || {
            (
                format!("more than {MAX_ROWS} rows: this one and what follows is not read"),
                "give the readings of the last months only".to_owned(),
            )
        });
        false
    }

    /// Counts a row that is beyond use for a fault that was noted.
    pub(super) fn lost(&mut self) {
        self.rows += 1;
    }

    /// Takes a row; every fault in it is noted, and then the row is left out.
    pub(super) fn take(&mut self, place: Place, cells: &Cells<'_>) {
        let is_blank = |column: Column| cells[column as usize].text.trim().is_empty();
        if NAMES.iter().all(|(column, _)| !column.is_value() || is_blank(*column)) {
            // A row of the template that was not filled in.
            return;
        }
        self.rows += 1;
        let mut row = Row { rows: self, place, cells, is_sound: true };
        let (sensor, is_panel) = row.sensor();
        let listener = row.listener();
        let time_min = row.time();
        let (seen, heard) = row.seen();
        let noise = row.level(Column::Noise).map(Seen::NoiseFloor);
        let note = row.note();
        if sensor.is_none() && row.is_sound {
            let wants = seen.is_some() || !note.remarks.is_empty() || noise.is_none();
            if wants {
                row.fault(Column::Sensor, |_| {
                    let what =
                        if is_panel { "the panel is no sensor" } else { "the sensor is missing" };
                    (
                        what.to_owned(),
                        "write its number, id or name; only a noise floor needs none".to_owned(),
                    )
                });
            }
        }
        let is_sound = row.is_sound;
        if is_sound {
            let circumstance = note.circumstances.first().copied().unwrap_or_default();
            self.put(
                place,
                (sensor, listener, time_min),
                [seen, heard],
                noise,
                circumstance,
                &note,
            );
        }
        if note.is_left && is_sound {
            self.unused.push(UnusedNote {
                line: place.entry.unwrap_or(place.line),
                text: cells[Column::Note as usize].text.trim().to_owned(),
            });
        }
    }

    fn put(
        &mut self,
        place: Place,
        (sensor, listener, time_min): (Option<String>, Option<String>, Option<f64>),
        [seen, heard]: [Option<Seen>; 2],
        noise: Option<Seen>,
        circumstance: Circumstance,
        note: &Note,
    ) {
        let line = place.entry.unwrap_or(place.line);
        if let Some(noise) = noise {
            self.readings.push(Reading {
                sensor: None,
                listener: listener.clone(),
                time_min,
                seen: noise,
                // What was done to a sensor does not bear on the noise.
                circumstance: if circumstance == Circumstance::OtherHour {
                    circumstance
                } else {
                    Circumstance::AsFound
                },
                remarks: Vec::new(),
                line,
            });
        }
        // A note alone; what was changed while the noise was read is in that reading.
        let tells =
            !note.remarks.is_empty() || (noise.is_none() && circumstance != Circumstance::AsFound);
        let seen = seen.or(tells.then_some(Seen::Nothing));
        if let (Some(heard), true) = (heard, sensor.is_some()) {
            self.readings.push(Reading {
                sensor: sensor.clone(),
                listener: listener.clone(),
                time_min,
                seen: heard,
                circumstance,
                remarks: Vec::new(),
                line,
            });
        }
        if let (Some(seen), true) = (seen, sensor.is_some()) {
            self.readings.push(Reading {
                sensor,
                listener,
                time_min,
                seen,
                circumstance,
                remarks: note.remarks.clone(),
                line,
            });
        }
    }
}

/// A row while it is read.
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

    fn fault(&mut self, column: Column, words: impl FnOnce(&str) -> Words) {
        self.fault_of(column, |_, text| words(text));
    }

    fn fault_of(&mut self, column: Column, words: impl FnOnce(&Who<'_>, &str) -> Words) {
        self.is_sound = false;
        let cell = self.cells[column as usize];
        let name = if cell.name.is_empty() { column.name() } else { cell.name };
        let Rows { who, faults, .. } = &mut *self.rows;
        faults.fault(self.place, Some(name), || words(who, cell.text.trim()));
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
        self.fault_of(column, |who, text| who.not_found(text));
        (None, false)
    }

    fn listener(&mut self) -> Option<String> {
        let text = self.text(Column::At)?;
        let listener = self.rows.who.listener(text);
        if listener.is_none() {
            self.fault_of(Column::At, |who, text| who.no_listener(text));
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
        let Some(moment) = moment(&text) else {
            self.fault(column, |_| {
                (
                    format!("{} is no time", quoted(&text)),
                    "write it as 2026-03-01T18:20:00+01:00, or leave it blank".to_owned(),
                )
            });
            return None;
        };
        if !moment.has_zone {
            let place = self.place;
            self.rows.no_zone.get_or_insert((place, 0)).1 += 1;
        }
        Some(moment.minutes)
    }

    /// A level in dBm.
    fn level(&mut self, column: Column) -> Option<Dbm> {
        let text = self.text(column)?;
        let number = quantity(text, &["dbm", "db"]);
        let (low, high) = if column == Column::Noise { NOISE_DBM } else { LEVELS_DBM };
        match number {
            Some(dbm) if (low..=high).contains(&dbm) => return Some(Dbm(dbm)),
            Some(dbm) => self.fault(column, |_| {
                let mend = if dbm > 20.0 {
                    format!("levels at a receiver are negative: is -{dbm} meant?")
                } else {
                    "give what the panel shows, in dBm".to_owned()
                };
                (format!("{dbm} dBm lies outside {low} to {high} dBm"), mend)
            }),
            None => self.fault(column, |text| {
                (
                    format!("{} is no level", quoted(text)),
                    "write a number in dBm, such as -87.5; leave it blank if none was read"
                        .to_owned(),
                )
            }),
        }
        None
    }

    /// What was seen of the sensor, and whether the check-in by which it was seen was told of. A level
    /// says more than bars, these more than per cent; each that is there must be sound, and the one
    /// that says most is used.
    fn seen(&mut self) -> (Option<Seen>, Option<Seen>) {
        let level = self.level(Column::Level).map(Seen::Level);
        let bars = self.bars();
        let percent = self.percent();
        let heard = self.heard();
        let read = level.or(bars).or(percent);
        match (read, heard) {
            (Some(_), Some(Seen::CheckIn { heard: false } | Seen::Lost)) => {
                self.fault(Column::Heard, |text| {
                    (
                        format!("{} does not go with a level that was read", quoted(text)),
                        "put what was read and what was missed into rows of their own".to_owned(),
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
            self.fault(Column::Bars, |_| {
                ("the scale of the bars is not declared".to_owned(), BARS_MEND.to_owned())
            });
            return None;
        };
        let (count, of) = match text.split_once('/') {
            Some((count, of)) => (count, Some(of)),
            None => (text.as_str(), None),
        };
        let whole = |text: &str| {
            quantity(text, &["bars", "bar"]).filter(|n| n.fract() == 0.0 && (0.0..=1e6).contains(n))
        };
        let (count, of) = (whole(count), of.map(whole));
        let most = scale.most();
        let Some(count) = count.filter(|_| of != Some(None)) else {
            self.fault(Column::Bars, |text| {
                (
                    format!("{} is no number of bars", quoted(text)),
                    format!("write a whole number from 0 to {most}"),
                )
            });
            return None;
        };
        if let Some(Some(of)) = of
            && of != most as f64
        {
            self.fault(Column::Bars, |_| {
                (
                    format!("{count} of {of} bars, but the declared scale has {most}"),
                    BARS_MEND.to_owned(),
                )
            });
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 0 to a million"
        )]
        let seen = scale.seen(count as usize);
        if seen.is_none() {
            self.fault(Column::Bars, |_| {
                (format!("{count} bars, but the declared scale has {most}"), BARS_MEND.to_owned())
            });
        }
        seen
    }

    fn percent(&mut self) -> Option<Seen> {
        let text = self.text(Column::Percent)?.to_owned();
        let Some(scale) = self.rows.given.percent.or(self.rows.of_file.percent) else {
            self.fault(Column::Percent, |_| {
                ("the scale of the per cent is not declared".to_owned(), PERCENT_MEND.to_owned())
            });
            return None;
        };
        let number = quantity(&text, &["per cent", "percent", "%"]);
        let seen = number.and_then(|percent| scale.seen(percent));
        if seen.is_none() {
            self.fault(Column::Percent, |text| {
                let what = match number {
                    Some(percent) => format!("{percent} % lies outside 0 to 100"),
                    None => format!("{} is no number of per cent", quoted(text)),
                };
                (what, "write a number from 0 to 100".to_owned())
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
                self.fault(Column::Heard, |text| {
                    (
                        format!("{} says neither yes nor no", quoted(text)),
                        "write yes or no for one check-in, or lost where supervision was"
                            .to_owned(),
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
            self.fault(Column::Note, |_| {
                (
                    format!("two things changed at once: {first} and {second}"),
                    "change one thing at a time, and give each a row of its own".to_owned(),
                )
            });
        }
        note
    }
}
