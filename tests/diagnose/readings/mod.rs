//! Files of readings: every fault is reported with its line, and the good rows are used.

mod faults;
mod forgiving;
mod hostile;
mod promises;
mod written;

use diagnose::readings::{ReadingsFile, Scales, read_readings};

use promises::plan;

/// Reads a file for the small plan, without scales of the caller's.
fn read(text: &str) -> ReadingsFile {
    read_readings("readings.csv", text.as_bytes(), &plan(), &Scales::default())
}

/// What a file leads to, in words.
fn outcome(file: &ReadingsFile) -> String {
    let all = file.faults.iter().chain(&file.warnings);
    let mut lines: Vec<String> = all.map(ToString::to_string).collect();
    for note in &file.unused {
        lines.push(format!("not used, {}: {}", note.line, note.text));
    }
    let lines_used: Vec<String> = file.readings.iter().map(|r| r.line.to_string()).collect();
    lines.push(format!("{} rows; readings of {}", file.rows, lines_used.join(", ")));
    lines.join("\n")
}
