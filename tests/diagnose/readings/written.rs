//! Rows put into a table of readings: what was there stays, what was put in is read back.

use std::collections::BTreeMap;

use diagnose::readings::{Column, Entry, Scales, read_readings, template, with_entry, with_scales};
use proptest::prelude::*;

use super::plan;

fn entry(cells: &[(Column, &str)]) -> Entry {
    cells.iter().map(|(column, cell)| (*column, (*cell).to_owned())).collect()
}

fn readings_of(text: &str) -> Vec<diagnose::Reading> {
    let file = read_readings("r.csv", text.as_bytes(), &plan(), &Scales::default());
    assert_eq!(file.faults, [], "{text}");
    file.readings
}

#[test]
fn a_row_of_the_template_is_filled_in_where_it_stands() {
    let (plan, blank) = (plan(), template(&plan()));
    let id = plan.devices.iter().find(|device| device.kind != plan::DeviceKind::Panel).unwrap();
    let row =
        entry(&[(Column::Sensor, &id.id), (Column::Level, "-80"), (Column::Note, "=x, \"y\"")]);
    let new = with_entry(&blank, &plan, &row).unwrap();
    assert_eq!(new.lines().count(), blank.lines().count());
    let changed: Vec<_> = blank.lines().zip(new.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert_eq!(readings_of(&new).len(), 1);
    // The file's own text for a formula is no formula.
    assert!(new.contains("\"'=x, \"\"y\"\"\""), "{new}");
}

#[test]
fn columns_that_are_missing_are_added_and_dates_are_split() {
    let plan = plan();
    let id = &plan.devices.iter().find(|one| one.kind != plan::DeviceKind::Panel).unwrap().id;
    let time = "2026-03-01T18:20:00+01:00";
    let row = entry(&[
        (Column::Sensor, id),
        (Column::Time, time),
        (Column::Level, "-80"),
        (Column::Trips, "yes"),
    ]);
    let text = "date\ttime\tsensor\tnote\n";
    let new = with_entry(text, &plan, &row).unwrap();
    let lines: Vec<&str> = new.lines().collect();
    assert_eq!(lines[0], "date\ttime\tsensor\tnote\tlevel_dbm\ttrips");
    assert_eq!(lines[1], format!("2026-03-01\t18:20:00+01:00\t{id}\t\t-80\tyes"));
    assert_eq!(with_entry(&new, &plan, &row).unwrap(), new);
    let sheet = read_readings("r", new.as_bytes(), &plan, &Scales::default()).sheet;
    assert_eq!(sheet[id].is(Column::Trips), Some(true));
}

#[test]
fn scales_stand_above_the_heading_and_take_each_others_place() {
    let plan = plan();
    let bars = |text: &str| Scales { bars: Some(text.parse().unwrap()), percent: None };
    let text = "# mine\nsensor,bars\n";
    let one = with_scales(text, &plan, &bars("-100, -90")).unwrap();
    assert_eq!(one, "# mine\n# bars: -100, -90\nsensor,bars\n");
    let two = with_scales(&one, &plan, &bars("-101, -91")).unwrap();
    assert_eq!(two, "# mine\n# bars: -101, -91\nsensor,bars\n");
    let id = &plan.devices.iter().find(|one| one.kind != plan::DeviceKind::Panel).unwrap().id;
    let row =
        with_entry(&two, &plan, &entry(&[(Column::Sensor, id), (Column::Bars, "2")])).unwrap();
    let why = with_scales(&row, &plan, &bars("-101")).unwrap_err();
    assert!(why.what.contains("bars"), "{why}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Whatever a file holds and whatever is put in: refused, or all other readings are as before.
    #[test]
    fn no_other_reading_is_touched(
        rows in prop::collection::vec((0_usize..5, 0_u32..4, -120_i32..-20, "[ -~]{0,12}"), 0..8),
        delimiter in prop::sample::select(vec![',', ';', '\t', '|']),
        own in (0_usize..5, 0_u32..4, -120_i32..30, "[ -~]{0,20}"),
    ) {
        let plan = plan();
        let ids: Vec<&str> = plan.devices.iter().map(|device| device.id.as_str()).collect();
        let id = |number: usize| ids[number % ids.len()];
        let time = |minute: u32| format!("2026-03-01T10:0{minute}:00Z");
        let d = delimiter;
        let mut text = format!("time{d}note{d}sensor{d}level_dbm\n");
        for (number, minute, level, note) in &rows {
            let note = note.replace(['"', d], "");
            text.push_str(&format!("{}{d}{note}{d}{}{d}{level}\n", time(*minute), id(*number)));
        }
        let before = read_readings("r", text.as_bytes(), &plan, &Scales::default());
        let row: Entry = BTreeMap::from([
            (Column::Sensor, id(own.0).to_owned()),
            (Column::Time, time(own.1)),
            (Column::Level, own.2.to_string()),
            (Column::Note, own.3.clone()),
        ]);
        let Ok(new) = with_entry(&text, &plan, &row) else { return Ok(()) };
        let after = read_readings("r", new.as_bytes(), &plan, &Scales::default());
        prop_assert_eq!(&after.faults, &before.faults);
        let line = text.lines().zip(new.lines()).position(|(a, b)| a != b);
        let line = line.map_or(text.lines().count() + 1, |line| line + 1);
        let others = |file: &diagnose::readings::ReadingsFile| -> Vec<_> {
            file.readings.iter().filter(|one| one.line != line).cloned().collect()
        };
        prop_assert_eq!(others(&before), others(&after));
        prop_assert_eq!(with_entry(&new, &plan, &row).unwrap(), new);
    }
}
