//! The physics against figures from outside this crate. Where each comes from, and how far that was
//! confirmed, stands beside it; `README.md` in this folder sums up.

mod closed_forms;
mod fading;
mod field_strength;
mod free_space;
mod knife_edge;
mod materials;
mod noise;
mod reverberation;
mod runs;
mod slab;

/// Rows of a data file: comment lines begin with `#`, then one header line.
fn rows(text: &str) -> Vec<csv::StringRecord> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .into_records()
        .collect::<Result<_, _>>()
        .expect("the data file is well-formed CSV")
}

/// A number of a row.
fn number(row: &csv::StringRecord, column: usize) -> f64 {
    row[column].parse().expect("the column holds numbers")
}
