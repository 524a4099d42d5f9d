//! What an imported file gave and what was guessed: `import`.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;

use crate::json::{as_json, rounded};
use crate::table::{counted, fitted};
use import::{Draft, Guess, PlanPoint};
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
    guesses: Vec<NumberedGuess>,
    /// What the plan's reader finds doubtful; numbered on from the guesses.
    warnings: Vec<String>,
    /// Where guesses and warnings are true, by their numbers, as the pictures show them.
    marks: Vec<ImportMark>,
    /// The files that show what was understood.
    pictures: Vec<String>,
    /// The words of each warning without places and names.
    #[serde(skip)]
    kinds: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
struct NumberedGuess {
    number: usize,
    #[serde(flatten)]
    guess: Guess,
}

/// The places of one guess or warning on one level.
#[derive(Debug, Clone, Serialize)]
pub struct ImportMark {
    /// Its number in the report.
    pub number: usize,
    /// What it is about and what was taken, in a clause.
    #[serde(skip)]
    pub words: String,
    /// Number of the level.
    pub level: i32,
    /// Where, metres.
    pub at: Vec<[f64; 2]>,
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
    /// written, `pictures` where those are that show what was understood.
    #[must_use]
    pub fn new(
        (file, kind): (String, &'static str),
        plan_file: String,
        draft: &Draft,
        plan: &Plan,
        rooms: &Rooms,
        doubts: &[Diagnostic],
        pictures: Vec<String>,
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
            guesses: (1..)
                .zip(&draft.guesses)
                .map(|(number, guess)| NumberedGuess { number, guess: guess.clone() })
                .collect(),
            warnings: doubts.iter().map(ToString::to_string).collect(),
            marks: marks(draft, plan, doubts),
            pictures,
            kinds: doubts.iter().map(|doubt| skeleton(&doubt.what)).collect(),
        }
    }

    as_json!(std::convert::identity, "");

    /// What is marked on a level, in the order of the numbers.
    pub fn marks_on(&self, level: i32) -> impl Iterator<Item = &ImportMark> {
        self.marks.iter().filter(move |mark| mark.level == level)
    }
}

/// The places of all guesses and warnings that have any, by number and level.
fn marks(draft: &Draft, plan: &Plan, doubts: &[Diagnostic]) -> Vec<ImportMark> {
    let guesses = draft.guesses.iter().map(|guess| {
        let words = format!("{}: {}", guess.about, guess.taken);
        (words, guess.places.clone())
    });
    let doubts = doubts.iter().map(|doubt| {
        let id = doubt.feature.as_deref().unwrap_or_default();
        // Without lengths and names, so that what is said of many is one line of a key.
        let clause = doubt.what.split(": ").next().unwrap_or_default();
        (clause.to_owned(), point_of(plan, id).into_iter().collect())
    });
    let mut marks: Vec<ImportMark> = Vec::new();
    for (number, (words, places)) in (1..).zip(guesses.chain(doubts)) {
        let mut by_level: BTreeMap<i32, Vec<[f64; 2]>> = BTreeMap::new();
        for place in places {
            by_level.entry(place.level).or_default().push([place.at.x, place.at.y].map(rounded));
        }
        marks.extend(by_level.into_iter().map(|(level, at)| {
            let words = words.clone();
            ImportMark { number, words, level, at }
        }));
    }
    marks
}

/// Where a feature of the plan is: the middle of a wall or an opening, the place of a device.
fn point_of(plan: &Plan, id: &str) -> Option<PlanPoint> {
    let wall = plan.walls.iter().find(|wall| wall.id == id);
    let wall = wall.and_then(|wall| {
        let line = wall.line.lines().next()?;
        Some(PlanPoint { level: wall.level, at: (line.start + line.end) * 0.5 })
    });
    let opening = || {
        let opening = plan.openings.iter().find(|opening| opening.id == id)?;
        let line = plan.opening_line(opening)?;
        let level = plan.walls.get(opening.wall)?.level;
        Some(PlanPoint { level, at: (line.start + line.end) * 0.5 })
    };
    let device = || {
        let device = plan.devices.iter().find(|device| device.id == id)?;
        Some(PlanPoint { level: device.level, at: device.position })
    };
    wall.or_else(opening).or_else(device)
}

fn length_m(line: &geo::LineString<f64>) -> f64 {
    line.lines().map(|line| line.dx().hypot(line.dy())).sum()
}

/// What is smaller and has no name is no room, square metres (our own choice: less than a toilet).
const SMALL_M2: f64 = 0.8;

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
        let unnamed = unnamed.map(|room| room.area_m2);
        let (small, unnamed): (Vec<f64>, Vec<f64>) = unnamed.partition(|area| *area < SMALL_M2);
        for (areas, what, of) in
            [(unnamed, "room", "without a name"), (small, "small space", "in walls and shafts")]
        {
            if !areas.is_empty() {
                let area = lengths.area(areas.iter().sum());
                rooms.push(format!("{} {of}, {area}", counted(areas.len(), what)));
            }
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
    let kinds = guesses
        .map(|NumberedGuess { guess, .. }| skeleton(&format!("{}: {}", guess.about, guess.taken)));
    for (place, others) in gathered(&kinds.collect::<Vec<_>>()) {
        let NumberedGuess { number, guess } = &report.guesses[place];
        let more = others.iter().map(|other| report.guesses[*other].guess.pieces);
        let pieces = guess.pieces + more.sum::<usize>();
        let pieces = if pieces > 1 { format!(" ({pieces})") } else { String::new() };
        let more = match others.len() {
            0 => String::new(),
            many => format!(" and {many} more like it"),
        };
        let _ = writeln!(out, "{number}. {}{more}{pieces}: {}", guess.about, guess.taken);
        if !guess.fix.is_empty() {
            let _ = writeln!(out, "    {}", guess.fix);
        }
    }
    for (place, others) in gathered(&report.kinds) {
        let number = report.guesses.len() + 1 + place;
        let _ = writeln!(out, "\n{number}. {}", report.warnings[place]);
        if !others.is_empty() {
            let _ = writeln!(out, "        and {} more like it", others.len());
        }
    }
    for picture in report.pictures.iter().filter(|name| name.ends_with(".png")) {
        let marked = if report.marks.is_empty() { "" } else { ", with these numbers in place" };
        let _ = writeln!(out, "\nPicture of what was understood{marked}: {picture}");
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
