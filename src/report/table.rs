//! What the tables for the terminal share: the table itself, figures in words, and the last lines.

use std::borrow::Cow;
use std::fmt::Write as _;

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::json::rounded;
use forecast::RoamResult;
use input::isolated;
use plan::Device;
use siting::delay::{DelayKind, TooLong};
use units::Lengths;
use words::Words;

/// A column's padding: a blank on either side.
const PADDING: usize = 2;

/// A table without rules that fits into `width` columns, if that is given. The heads are divided by
/// `|`; one may end in `:` and a digit. The columns in `right` hold numbers and stand to the right.
/// Where there is no room, columns of the highest digit go first and those without one stay; then
/// text breaks between words. A row may have fewer cells than there are columns.
#[must_use]
pub fn table(
    width: Option<u16>,
    heads: &str,
    right: &[usize],
    rows: impl IntoIterator<Item = impl IntoIterator<Item = String>>,
) -> String {
    let heads = heads.split('|').map(|head| {
        let (name, last) = head.rsplit_once(':').unwrap_or((head, ""));
        last.parse::<u8>().map_or((head, 0), |rank| (name, rank))
    });
    let mut columns: Vec<Column<'_>> = heads
        .enumerate()
        .map(|(at, (head, rank))| Column { head, rank, at, is_right: right.contains(&at) })
        .collect();
    // A word that nobody can break takes a third of the room at most.
    let most = width.map_or(usize::MAX, |width| usize::from(width) / 3);
    let cells =
        |cell: String| cell.split(' ').map(|word| cut(word, most)).collect::<Vec<_>>().join(" ");
    let rows: Vec<Vec<String>> =
        rows.into_iter().map(|row| row.into_iter().map(cells).collect()).collect();
    let all = columns.len();
    let mut widths = Vec::new();
    if let Some(width) = width.map(usize::from) {
        let natural = |columns: &[Column<'_>]| -> Vec<usize> {
            columns.iter().map(|column| column.widest(&rows, UnicodeWidthStr::width)).collect()
        };
        let total = |widths: &[usize]| widths.iter().map(|width| width + PADDING).sum::<usize>();
        widths = natural(&columns);
        while total(&widths) > width {
            let last = columns.iter().map(|column| column.rank).max().unwrap_or(0);
            if last == 0 {
                break;
            }
            columns.retain(|column| column.rank != last);
            widths = natural(&columns);
        }
        let least: Vec<usize> = columns.iter().map(|c| c.widest(&rows, longest_word)).collect();
        // A column at a time, the widest first: words move to a line of their own, none is broken.
        while total(&widths) > width {
            let free = (0..widths.len()).filter(|&n| widths[n] > least[n]);
            let Some(widest) = free.max_by_key(|&n| widths[n]) else { break };
            widths[widest] -= 1;
        }
    }
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(columns.iter().map(|column| column.head));
    for row in &rows {
        let cell = |column: &Column<'_>| row.get(column.at).map_or("", String::as_str);
        table.add_row(columns.iter().map(cell).map(kept_together));
    }
    if !widths.is_empty() {
        table.set_content_arrangement(ContentArrangement::Dynamic);
    }
    for (number, column) in columns.iter().enumerate() {
        let Some(shown) = table.column_mut(number) else { continue };
        if column.is_right {
            shown.set_cell_alignment(CellAlignment::Right);
        }
        if let Some(width) = widths.get(number) {
            let width = u16::try_from(width + PADDING).unwrap_or(u16::MAX);
            shown.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
        }
    }
    let lines = table.to_string();
    let lines = lines.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    let lines = lines.replace(KEPT, " ");
    if columns.len() < all {
        return format!("{lines}\n\nA wider terminal, or --format json, shows more columns.");
    }
    lines
}

/// A column of a table.
struct Column<'h> {
    head: &'h str,
    /// What goes first where there is no room.
    rank: u8,
    /// Its number among all columns.
    at: usize,
    is_right: bool,
}

impl Column<'_> {
    /// The widest of its cells and its head, by a measure.
    fn widest(&self, rows: &[Vec<String>], measure: impl Fn(&str) -> usize) -> usize {
        let cells = rows.iter().filter_map(|row| row.get(self.at)).map(String::as_str);
        cells.chain([self.head]).map(measure).max().unwrap_or(0)
    }
}

/// The blank that no line breaks at.
const KEPT: char = '\u{a0}';

/// What belongs to the number before it.
const UNITS: [&str; 12] = ["dB", "dBm", "m", "cm", "mm", "ft", "%", "MHz", "min", "s", "m²", "V"];

/// A text in which a number and its unit, and feet and inches, stay on one line.
fn kept_together(text: &str) -> String {
    let mut words = text.split(' ');
    let mut kept = words.next().unwrap_or_default().to_owned();
    for word in words {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')', '?']);
        let inches = bare.strip_suffix('"').unwrap_or_default();
        let are_inches = !inches.is_empty() && inches.chars().all(|c| c.is_ascii_digit());
        let is_unit = kept.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&bare);
        let is_one = is_unit || (kept.ends_with('\'') && are_inches);
        kept.push(if is_one { KEPT } else { ' ' });
        kept.push_str(word);
    }
    kept
}

/// A word, its end cut off where it takes more than `most` columns.
fn cut(word: &str, most: usize) -> Cow<'_, str> {
    if word.width() <= most {
        return Cow::Borrowed(word);
    }
    let mut room = most.saturating_sub(1);
    let fits = |letter: &char| {
        let wide = UnicodeWidthChar::width(*letter).unwrap_or(0);
        room.checked_sub(wide).map(|left| room = left).is_some()
    };
    Cow::Owned(word.chars().take_while(fits).chain(['…']).collect())
}

fn longest_word(text: &str) -> usize {
    kept_together(text).split(' ').map(UnicodeWidthStr::width).max().unwrap_or(0)
}

/// A text whose lines fit into `width` columns, if that is given: longer ones break between words
/// and go on a little further in. What is written from right to left is set apart.
#[must_use]
pub fn fitted(text: String, width: Option<u16>) -> String {
    let Some(width) = width.map(usize::from) else { return isolated(&text).into_owned() };
    let line = |line: &str| {
        let indent = line.len() - line.trim_start().len();
        let further = " ".repeat(if indent == 0 { 0 } else { indent + 2 });
        let options = textwrap::Options::new(width)
            .break_words(false)
            .word_splitter(textwrap::WordSplitter::NoHyphenation)
            .subsequent_indent(&further);
        textwrap::fill(&kept_together(line), options).replace(KEPT, " ")
    };
    let end = if text.ends_with('\n') { "\n" } else { "" };
    isolated(&text.lines().map(line).collect::<Vec<_>>().join("\n")).into_owned() + end
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
#[must_use]
pub fn margin_words(words: &Words, margin_db: f64) -> String {
    let margin_db = rounded(margin_db);
    let shown = words.plain(tenths(margin_db.abs()));
    if margin_db < 0.0 { words.reserve_short(&shown) } else { words.reserve_left(&shown) }
}

/// How many things, in words.
#[must_use]
pub fn counted(count: usize, thing: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{plural}")
}

/// In how much of a roam area a transmitter works, or will work.
pub(crate) fn works_in(words: &Words, will: bool, result: &RoamResult, lengths: Lengths) -> String {
    let share = format!("{:.0}", result.percent());
    let area = words.area(lengths, result.area_m2);
    if will { words.roam_will_work(&share, &area) } else { words.roam_works(&share, &area) }
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

/// A delay that is longer than panels allow, in words.
pub(crate) fn too_long(words: &Words, over: &TooLong) -> String {
    let whole = |seconds: f64| fixed(seconds, 0);
    let (needs, walk, panel) = (whole(over.needs_s), whole(over.walk_s), whole(over.at_panel_s));
    let most = over.most_s.to_string();
    match over.kind {
        DelayKind::Entry => words.delay_too_long_entry(&needs, &walk, &panel, &most),
        DelayKind::Exit => words.delay_too_long_exit(&needs, &walk, &panel, &most),
    }
}

pub(crate) fn caution_lines(words: &Words, text: &mut String) {
    for caution in cautions(words) {
        let _ = writeln!(text, "{caution}");
    }
}
