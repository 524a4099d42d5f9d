//! The newest row of each device, as a test sheet shows it.

use std::collections::BTreeMap;

/// The newest good row of each device, by the device's id.
pub type Sheet = BTreeMap<String, SheetRow>;

/// The newest good row of a device.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetRow {
    /// Its line, or the number of its entry in a JSON list.
    pub line: usize,
    /// When it was read, minutes since 1970-01-01T00:00Z; `None` if it does not say.
    pub time_min: Option<f64>,
    /// What is filled in, by the plainest name of its column, as it is written.
    pub cells: BTreeMap<&'static str, String>,
    /// How many good rows the device has.
    pub rows: usize,
}

impl SheetRow {
    /// What stands in a column; nothing if it is blank.
    #[must_use]
    pub fn cell(&self, column: super::Column) -> Option<&str> {
        self.cells.get(column.name()).map(String::as_str)
    }

    /// Whether a column says yes or no; `None` if it is blank or says something else.
    #[must_use]
    pub fn is(&self, column: super::Column) -> Option<bool> {
        match self.cell(column)?.to_lowercase().as_str() {
            "yes" | "y" | "1" | "true" | "x" | "ok" | "heard" | "received" => Some(true),
            "no" | "n" | "0" | "false" | "missed" | "lost" | "not heard" => Some(false),
            _ => None,
        }
    }
}
