//! What an imported file gave and what was guessed: `import`.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;

use crate::json::{as_json, rounded};
use crate::table::{counted, fitted};
use import::{Draft, Guess};
use plan::{Diagnostic, Plan, Rooms};
use units::Lengths;

/// One run of `import`.
#[derive(Debug, Clone, Serialize)]
pub struct ImportReport {
    file: String,
    /// What the file is, in words.
    kind: &'static str,
    /// Where the plan was written.
    plan: String,
    name: String,
    levels: Vec<ImportedLevel>,
    /// Length of the walls by construction, metres.
    walls_m: BTreeMap<String, f64>,
    /// How many openings there are by construction.
    openings: BTreeMap<String, usize>,
    /// Openings by which people come in.
    ways_in: usize,
    devices: usize,
    /// The unit that people read.
    #[serde(skip)]
    lengths: Lengths,
    /// What was guessed, and what was not read.
    guesses: Vec<Guess>,
    /// What the plan's reader finds doubtful.
    warnings: Vec<String>,
    /// The words of each of them without places and names.
    #[serde(skip)]
    kinds: Vec<String>,
}

/// Notes of one kind that are listed one by one; of more the first stands for all.
const MOST_ALIKE: usize = 3;

/// A text without numbers and without what is quoted: notes of one kind have the same.
fn skeleton(text: &str) -> String {
    let unquoted: Vec<&str> = text.split('"').step_by(2).collect();
    let is_of_number = |c: &char| c.is_numeric() || matches!(c, '.' | ',' | '-' | ' ');
    unquoted.concat().chars().filter(|c| !is_of_number(c)).collect()
}

/// The places of notes that are listed, by their kinds, each with the places of those of its kind
/// for which it stands.
fn gathered(kinds: &[String]) -> Vec<(usize, Vec<usize>)> {
    let mut by_kind: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (place, kind) in kinds.iter().enumerate() {
        by_kind.entry(kind).or_default().push(place);
    }
    let mut out = Vec::new();
    for places in by_kind.into_values() {
        match places.as_slice() {
            [first, rest @ ..] if places.len() > MOST_ALIKE => out.push((*first, rest.to_vec())),
            few => out.extend(few.iter().map(|place| (*place, Vec::new()))),
        }
    }
    out.sort_unstable();
    out
}

/// What a level holds; its rooms are the spaces that walls close off.
#[derive(Debug, Clone, Serialize)]
struct ImportedLevel {
    level: i32,
    name: String,
    walls_m: f64,
    openings: usize,
    rooms: Vec<ImportedRoom>,
}

/// A space that walls close off, by its area between their faces.
#[derive(Debug, Clone, Serialize)]
struct ImportedRoom {
    name: Option<String>,
    area_m2: f64,
}

impl ImportReport {
    /// The report of a draft and of the plan that was read of its text. `plan_file` is where it is
    /// written.
    #[must_use]
    pub fn new(
        (file, kind): (String, &'static str),
        plan_file: String,
        draft: &Draft,
        plan: &Plan,
        rooms: &Rooms,
        doubts: &[Diagnostic],
    ) -> Self {
        let mut walls_m: BTreeMap<String, f64> = BTreeMap::new();
        let mut openings: BTreeMap<String, usize> = BTreeMap::new();
        for wall in &plan.walls {
            *walls_m.entry(wall.construction.clone()).or_default() += length_m(&wall.line);
        }
        for opening in &plan.openings {
            *openings.entry(opening.construction.clone()).or_default() += 1;
        }
        let levels = plan.levels.iter().map(|level| {
            let walls = plan.walls.iter().filter(|wall| wall.level == level.number);
            let on_level = |wall: usize| {
                let wall = plan.walls.get(wall);
                wall.is_some_and(|wall| wall.level == level.number)
            };
            let rooms = rooms.all().iter().filter(|room| room.level == level.number);
            let rooms = rooms.map(|room| ImportedRoom {
                name: room.name.clone(),
                area_m2: rounded(room.area_m2),
            });
            ImportedLevel {
                level: level.number,
                name: level.name.clone(),
                walls_m: walls.map(|wall| length_m(&wall.line)).sum(),
                openings: plan.openings.iter().filter(|o| on_level(o.wall)).count(),
                rooms: rooms.collect(),
            }
        });
        Self {
            file,
            kind,
            plan: plan_file,
            name: plan.name.clone(),
            levels: levels.collect(),
            walls_m,
            openings,
            ways_in: plan.openings.iter().filter(|opening| opening.entry).count(),
            devices: plan.devices.len(),
            lengths: plan.lengths(),
            guesses: draft.guesses.clone(),
            warnings: doubts.iter().map(ToString::to_string).collect(),
            kinds: doubts.iter().map(|doubt| skeleton(&doubt.what)).collect(),
        }
    }

    as_json!(std::convert::identity, "");
}

fn length_m(line: &geo::LineString<f64>) -> f64 {
    line.lines().map(|line| line.dx().hypot(line.dy())).sum()
}

/// The report for people.
#[must_use]
pub fn import_table(report: &ImportReport, width: Option<u16>) -> String {
    let lengths = report.lengths;
    let mut out = String::new();
    let _ = writeln!(out, "{}: {}, \"{}\"\n", report.file, report.kind, report.name);
    for level in &report.levels {
        let _ = writeln!(
            out,
            "{}: {} of walls, {}",
            level.name,
            lengths.run(level.walls_m),
            counted(level.openings, "opening")
        );
        let known = level.rooms.iter().filter_map(|room| {
            let name = room.name.as_ref()?;
            Some(format!("{name} {}", lengths.area(room.area_m2)))
        });
        let mut rooms: Vec<String> = known.collect();
        let unnamed = level.rooms.iter().filter(|room| room.name.is_none());
        let unnamed: Vec<f64> = unnamed.map(|room| room.area_m2).collect();
        if !unnamed.is_empty() {
            let area: f64 = unnamed.iter().sum();
            let area = lengths.area(area);
            rooms.push(format!("{} without a name, {area}", counted(unnamed.len(), "room")));
        }
        if !rooms.is_empty() {
            let _ = writeln!(out, "  rooms: {}", rooms.join(", "));
        }
    }
    let _ = writeln!(out);
    for (construction, metres) in &report.walls_m {
        let _ = writeln!(out, "  {:>9}  {construction}", lengths.run(*metres));
    }
    for (construction, number) in &report.openings {
        let _ = writeln!(out, "  {number:>9}  {construction}");
    }
    let _ = writeln!(
        out,
        "  {}; {}.",
        counted(report.ways_in, "entry door"),
        match report.devices {
            0 => "no devices yet".to_owned(),
            number => counted(number, "device"),
        }
    );
    if !report.guesses.is_empty() {
        let _ = writeln!(out, "\nAssumed or left out, and how to correct it:");
    }
    let guesses = report.guesses.iter();
    let kinds = guesses.map(|guess| skeleton(&format!("{}: {}", guess.about, guess.taken)));
    for (place, others) in gathered(&kinds.collect::<Vec<_>>()) {
        let guess = &report.guesses[place];
        let more = others.iter().map(|other| report.guesses[*other].pieces);
        let pieces = guess.pieces + more.sum::<usize>();
        let pieces = if pieces > 1 { format!(" ({pieces})") } else { String::new() };
        let more = match others.len() {
            0 => String::new(),
            number => format!(" and {number} more like it"),
        };
        let _ = writeln!(out, "- {}{more}{pieces}: {}", guess.about, guess.taken);
        if !guess.fix.is_empty() {
            let _ = writeln!(out, "    {}", guess.fix);
        }
    }
    for (place, others) in gathered(&report.kinds) {
        let _ = writeln!(out, "\n{}", report.warnings[place]);
        if !others.is_empty() {
            let _ = writeln!(out, "        and {} more like it", others.len());
        }
    }
    let _ = writeln!(
        out,
        "\nWritten: {}. Check walls, materials and openings on site before you trust a forecast.",
        report.plan
    );
    fitted(out, width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_notes_of_one_kind_are_one() {
        let gap =
            |at: usize| skeleton(&format!("a gap of 0.{at} m at ({at}.5, -2), beside \"w-{at}\""));
        let mut kinds: Vec<String> = (0..40).map(gap).collect();
        kinds.insert(1, skeleton("the slab has no construction"));
        let found = gathered(&kinds);
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].0, found[0].1.len()), (0, 39));
        assert_eq!(found[1], (1, Vec::new()));
        // A few stay as they are.
        assert_eq!(gathered(&kinds[38..]).len(), 3);
    }
}
