//! The forecast as a table for the terminal.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

use super::check::{CheckReport, DeviceRow};
use forecast::Finding;

/// A chance in words and figures that a person can read at a glance.
pub(super) fn chance_words(chance: f64) -> String {
    if chance < 0.000_5 {
        "< 0.1 %".to_owned()
    } else if chance > 0.999 {
        "> 99.9 %".to_owned()
    } else {
        format!("{:.1} %", chance * 100.0)
    }
}

/// A margin as a person says it.
pub(super) fn margin_words(margin_db: f64) -> String {
    if margin_db < 0.0 {
        format!("{:.1} dB short of what is needed", -margin_db)
    } else {
        format!("{margin_db:.1} dB over what is needed")
    }
}

/// How many things, in words.
pub(super) fn counted(count: usize, thing: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{plural}")
}

/// A table without rules, as wide as the terminal, if it is one.
pub(super) fn plain_table(width: Option<u16>) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if let Some(width) = width {
        // Names that are longer than the terminal is wide are wrapped.
        table.set_content_arrangement(ContentArrangement::Dynamic).set_width(width);
    }
    table
}

pub(super) fn finding_mark(finding: Finding) -> &'static str {
    match finding {
        Finding::Sound => "sound",
        Finding::Thin => "thin ~",
        Finding::Failing => "FAILING !",
    }
}

/// The heaviest wall on the way, for the column that says why.
fn heaviest(row: &DeviceRow) -> String {
    let worst = row.crossings.iter().max_by(|a, b| a.loss_db.total_cmp(&b.loss_db));
    worst.map_or_else(
        || "clear".to_owned(),
        |wall| format!("{} {:.0} dB", wall.feature, wall.loss_db),
    )
}

/// A column of the table.
struct Column {
    header: &'static str,
    /// Numbers stand to the right.
    right: bool,
    /// Where there is no room, the column with the highest number goes first; 0 always stays.
    dispensable: u8,
    cell: fn(&DeviceRow) -> String,
}

/// The column that is kept where messages go over repeaters.
const VIA: &str = "via";

/// The column that is shown where some device's room is known.
const ROOM: &str = "room";

const COLUMNS: [Column; 13] = [
    column("no", true, 0, |row| row.number.map(|n| n.to_string()).unwrap_or_default()),
    column("name", false, 0, |row| row.name.clone()),
    column(ROOM, false, 8, |row| row.room.clone().unwrap_or_default()),
    column(VIA, false, 3, |row| row.via.clone().unwrap_or_else(|| "panel".to_owned())),
    column("m", true, 4, |row| format!("{:.1}", row.distance_m)),
    column("walls", true, 5, |row| row.crossings.len().to_string()),
    column("heaviest wall", false, 2, heaviest),
    column("loss dB", true, 6, |row| format!("{:.1}", row.path_loss_db)),
    column("level dBm", true, 7, |row| format!("{:.1}", row.received_dbm)),
    column("margin dB", true, 0, |row| format!("{:.1}", row.margin_db)),
    column("9 in 10 dB", true, 1, |row| format!("{:.1}", row.margin_p10_db)),
    column("fault/year", true, 0, |row| chance_words(row.fault_per_year)),
    column("finding", false, 0, |row| finding_mark(row.finding).to_owned()),
];

const fn column(
    header: &'static str,
    right: bool,
    dispensable: u8,
    cell: fn(&DeviceRow) -> String,
) -> Column {
    Column { header, right, dispensable, cell }
}

/// The columns that say something.
fn useful(report: &CheckReport) -> Vec<&'static Column> {
    let no_rooms = report.rows().all(|row| row.room.is_none());
    let columns = COLUMNS.iter();
    columns.filter(|column| column.header != ROOM || !no_rooms).collect()
}

/// The columns that find space in `width`, all of them without one.
fn fitting(report: &CheckReport, width: Option<u16>) -> Vec<&'static Column> {
    let mut columns = useful(report);
    let wide = |column: &Column| {
        let cells = report.rows().map(|row| (column.cell)(row).chars().count());
        // A blank on either side.
        cells.chain([column.header.len()]).max().unwrap_or(0) + 2
    };
    let Some(width) = width else {
        return columns;
    };
    let over_repeaters = report.rows().any(|row| row.via.is_some());
    let dispensable = |column: &Column| {
        if column.header == VIA && over_repeaters { 0 } else { column.dispensable }
    };
    while columns.iter().map(|column| wide(column)).sum::<usize>() > usize::from(width) {
        let last = columns.iter().map(|column| dispensable(column)).max().unwrap_or(0);
        if last == 0 {
            break;
        }
        columns.retain(|column| dispensable(column) != last);
    }
    columns
}

/// The table, with the roam areas, the doubts and the cautions below it. `width` is the terminal's,
/// if it is one: columns that find no room there are left out, the least needed first.
#[must_use]
pub fn check_table(report: &CheckReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let [x, y, z] = report.panel.position_m;
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel \"{}\" at x {x:.2} m, y {y:.2} m, height {z:.2} m",
        report.plan, report.model.link, report.model.frequency_mhz, report.panel.id
    );
    text.push_str(&report.model.calibration_line());
    let columns = fitting(report, width);
    let mut table = plain_table(width);
    table.set_header(columns.iter().map(|column| column.header));
    for row in report.rows() {
        table.add_row(columns.iter().map(|column| (column.cell)(row)));
    }
    for (number, shown) in columns.iter().enumerate() {
        if shown.right
            && let Some(column) = table.column_mut(number)
        {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "\n{}", trimmed(&table.to_string()));
    if columns.len() < useful(report).len() {
        let _ = writeln!(text, "\nA wider terminal, or --format csv, shows more columns.");
    }
    summary(report, &mut text);
    text
}

pub(super) fn trimmed(table: &str) -> String {
    table.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

fn summary(report: &CheckReport, text: &mut String) {
    let count = |finding| report.rows().filter(|row| row.finding == finding).count();
    let _ = writeln!(
        text,
        "\n{} sound, {} thin, {} failing.",
        count(Finding::Sound),
        count(Finding::Thin),
        count(Finding::Failing)
    );
    for roam in &report.roams {
        let worn = if roam.worn { ", worn" } else { "" };
        let _ = writeln!(
            text,
            "{} ({}{worn}): works in {:.0} % of {:.0} m².",
            roam.name,
            roam.link,
            roam.share * 100.0,
            roam.area_m2
        );
    }
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    let _ = writeln!(text);
    for caution in &report.cautions {
        let _ = writeln!(text, "{caution}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use forecast::{Assessment, LinkOverride, Model, Site};
    use plan::{Device, DeviceKind, Plan};

    fn report() -> CheckReport {
        let device = |id: &str, kind, x| Device {
            id: id.to_owned(),
            kind,
            level: 0,
            position: geo::Coord { x, y: 0.0 },
            height_m: 1.5,
            name: "Window of the long corridor".to_owned(),
            number: Some(7),
            role: None,
            device: None,
            link: None,
            mount: None,
            supervised: true,
            capacity: None,
            room: None,
        };
        let devices =
            vec![device("panel", DeviceKind::Panel, 0.0), device("s", DeviceKind::Sensor, 3.0)];
        let plan = Plan { devices, ..Plan::default() };
        let site = Site::new(&plan, Model::default(), LinkOverride::default(), None)
            .expect("the plan has a panel");
        let assessment = Assessment::new(&site).expect("the default link exists");
        CheckReport::new(&site, &assessment, Vec::new())
    }

    #[test]
    fn a_narrow_terminal_loses_columns_but_never_the_finding() {
        let report = report();
        let whole = check_table(&report, None);
        assert!(whole.contains("heaviest wall") && !whole.contains("wider terminal"));
        for width in [120, 100, 80, 65] {
            let table = check_table(&report, Some(width));
            let rows: Vec<&str> = table.lines().skip(2).take(2).collect();
            assert!(rows.iter().all(|row| row.chars().count() <= width.into()), "{table}");
            assert!(rows[0].contains("margin dB") && rows[0].contains("finding"), "{table}");
            assert!(rows[1].contains("sound"), "{table}");
        }
        assert!(!check_table(&report, Some(80)).contains("level dBm"));
    }

    #[test]
    fn the_way_over_a_repeater_is_not_left_out() {
        let mut report = report();
        report.sensors[0].via = Some("repeater-2".to_owned());
        assert!(check_table(&report, Some(80)).contains("repeater-2"));
    }
}
