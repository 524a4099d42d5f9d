//! What the tables for the terminal share: the table itself, figures in words, and the last lines.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

use super::json::rounded;
use forecast::RoamResult;
use plan::Device;
use words::Words;

/// A table without rules, as wide as the terminal, if it is one. The heads are divided by `|`. The
/// columns in `right` hold numbers and stand to the right. A row may have fewer cells than there
/// are columns.
#[must_use]
pub fn table(
    width: Option<u16>,
    heads: &str,
    right: &[usize],
    rows: impl IntoIterator<Item = impl IntoIterator<Item = String>>,
) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if let Some(width) = width {
        // Names that are longer than the terminal is wide are wrapped.
        table.set_content_arrangement(ContentArrangement::Dynamic).set_width(width);
    }
    table.set_header(heads.split('|'));
    for row in rows {
        table.add_row(row);
    }
    for number in right {
        if let Some(column) = table.column_mut(*number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

/// A number with so many digits after the point, from its value in the JSON.
pub(crate) fn fixed(value: f64, places: usize) -> String {
    format!("{:.places$}", rounded(value))
}

/// A number with one digit after the point.
pub(crate) fn tenths(value: f64) -> String {
    fixed(value, 1)
}

/// What there is of something, as text.
pub(crate) fn optional<T: ToString>(value: Option<T>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// A device's number and name.
#[must_use]
pub fn numbered(device: &Device) -> String {
    let name = &device.name;
    device.number.map_or_else(|| name.clone(), |number| format!("{number} {name}"))
}

/// What hears a device.
pub(crate) fn via(via: Option<&String>) -> String {
    via.map_or_else(|| "panel".to_owned(), Clone::clone)
}

/// A margin as a person says it: what is in reserve, or how much is short.
pub(crate) fn margin_words(margin_db: f64) -> String {
    let margin_db = rounded(margin_db);
    if margin_db < 0.0 {
        format!("{:.1} dB short", -margin_db)
    } else {
        format!("{margin_db:.1} dB in reserve")
    }
}

/// How many things, in words.
#[must_use]
pub fn counted(count: usize, thing: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{plural}")
}

/// In how much of a roam area a transmitter works; `verb` says when.
pub(crate) fn works_in(verb: &str, result: &RoamResult) -> String {
    let (share, area) = (rounded(result.share) * 100.0, fixed(result.area_m2, 0));
    format!("{verb} {share:.0} % of {area} m²")
}

/// The doubts, a line each.
pub(crate) fn notes(warnings: &[String], text: &mut String) {
    for warning in warnings {
        let _ = writeln!(text, "note: {warning}");
    }
}

/// What every report says of its own worth and of the work it leads to.
#[must_use]
pub fn cautions(words: &Words) -> [String; 3] {
    [
        words.handover_caution_estimate(),
        words.handover_caution_life(),
        words.handover_caution_drill(),
    ]
}

pub(crate) fn caution_lines(words: &Words, text: &mut String) {
    for caution in cautions(words) {
        let _ = writeln!(text, "{caution}");
    }
}
