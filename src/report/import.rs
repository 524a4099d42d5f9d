//! What an imported file gave and what was guessed.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;

use super::check::rounded;
use super::table::counted;
use import::{Draft, Guess};
use plan::{Diagnostic, Plan};

/// One run of `import`.
#[derive(Debug, Clone, Serialize)]
pub struct ImportReport {
    /// The file that was read.
    pub file: String,
    /// What it is, in words.
    pub kind: &'static str,
    /// Where the plan was written.
    pub plan: String,
    /// Title of the plan.
    pub name: String,
    /// What each level holds, ascending.
    pub levels: Vec<ImportedLevel>,
    /// Length of the walls by construction, metres.
    pub walls_m: BTreeMap<String, f64>,
    /// How many openings there are by construction.
    pub openings: BTreeMap<String, usize>,
    /// Openings by which people come in.
    pub ways_in: usize,
    /// Devices of all kinds.
    pub devices: usize,
    /// What was guessed, and what was not read.
    pub guesses: Vec<GuessRow>,
    /// What the plan's reader finds doubtful.
    pub warnings: Vec<String>,
}

/// What a level holds.
#[derive(Debug, Clone, Serialize)]
pub struct ImportedLevel {
    /// Its number.
    pub level: i32,
    /// Its name.
    pub name: String,
    /// Length of its walls, metres.
    pub walls_m: f64,
    /// How many openings its walls have.
    pub openings: usize,
    /// Its rooms: the spaces that walls close off.
    pub rooms: Vec<ImportedRoom>,
}

/// A space that walls close off.
#[derive(Debug, Clone, Serialize)]
pub struct ImportedRoom {
    /// Its name, if the file gives one.
    pub name: Option<String>,
    /// Its area between the walls' faces, square metres.
    pub area_m2: f64,
}

/// A guess.
#[derive(Debug, Clone, Serialize)]
pub struct GuessRow {
    /// What it is about.
    pub about: String,
    /// What was taken.
    pub taken: String,
    /// How to say it better.
    pub mend: String,
    /// How many pieces it is true of.
    pub pieces: usize,
}

impl From<&Guess> for GuessRow {
    fn from(guess: &Guess) -> Self {
        Self {
            about: guess.about.clone(),
            taken: guess.taken.clone(),
            mend: guess.mend.clone(),
            pieces: guess.pieces,
        }
    }
}

impl ImportReport {
    /// The report of a draft and of the plan that was read of its text. `plan_file` is where it is written,
    /// `room_of` gives the rooms of each level.
    #[must_use]
    pub fn new(
        (file, kind): (String, &'static str),
        plan_file: String,
        draft: &Draft,
        plan: &Plan,
        rooms: &dyn Fn(i32) -> Vec<ImportedRoom>,
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
            ImportedLevel {
                level: level.number,
                name: level.name.clone(),
                walls_m: rounded(walls.map(|wall| length_m(&wall.line)).sum()),
                openings: plan.openings.iter().filter(|o| on_level(o.wall)).count(),
                rooms: rooms(level.number),
            }
        });
        Self {
            file,
            kind,
            plan: plan_file,
            name: plan.name.clone(),
            levels: levels.collect(),
            walls_m: walls_m.into_iter().map(|(name, m)| (name, rounded(m))).collect(),
            openings,
            ways_in: plan.openings.iter().filter(|opening| opening.entry).count(),
            devices: plan.devices.len(),
            guesses: draft.guesses.iter().map(GuessRow::from).collect(),
            warnings: doubts.iter().map(ToString::to_string).collect(),
        }
    }

    /// The report as JSON.
    ///
    /// # Errors
    /// What `serde_json` says.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

fn length_m(line: &geo::LineString<f64>) -> f64 {
    line.lines().map(|line| line.dx().hypot(line.dy())).sum()
}

/// The report for people.
#[must_use]
pub fn import_table(report: &ImportReport) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}: {}, \"{}\"\n", report.file, report.kind, report.name);
    for level in &report.levels {
        let _ = writeln!(
            out,
            "{}: {:.1} m of walls, {}",
            level.name,
            level.walls_m,
            counted(level.openings, "opening")
        );
        let known = level.rooms.iter().filter_map(|room| {
            let name = room.name.as_ref()?;
            Some(format!("{name} {:.1} m²", room.area_m2))
        });
        let mut rooms: Vec<String> = known.collect();
        let unnamed: Vec<f64> = level
            .rooms
            .iter()
            .filter(|room| room.name.is_none())
            .map(|room| room.area_m2)
            .collect();
        if !unnamed.is_empty() {
            let area: f64 = unnamed.iter().sum();
            rooms.push(format!("{} without a name, {area:.1} m²", counted(unnamed.len(), "room")));
        }
        if !rooms.is_empty() {
            let _ = writeln!(out, "  rooms: {}", rooms.join(", "));
        }
    }
    let _ = writeln!(out);
    for (construction, metres) in &report.walls_m {
        let _ = writeln!(out, "  {metres:>7.1} m  {construction}");
    }
    for (construction, number) in &report.openings {
        let _ = writeln!(out, "  {number:>7}    {construction}");
    }
    let _ = writeln!(
        out,
        "  {} by which people come in; {}.",
        counted(report.ways_in, "opening"),
        match report.devices {
            0 => "no devices yet".to_owned(),
            number => counted(number, "device"),
        }
    );
    if !report.guesses.is_empty() {
        let _ = writeln!(out, "\nGuessed or left out; each with how to say it better:");
    }
    for guess in &report.guesses {
        let pieces = if guess.pieces > 1 { format!(" ({})", guess.pieces) } else { String::new() };
        let _ = writeln!(out, "- {}{pieces}: {}", guess.about, guess.taken);
        if !guess.mend.is_empty() {
            let _ = writeln!(out, "    {}", guess.mend);
        }
    }
    for warning in &report.warnings {
        let _ = writeln!(out, "\n{warning}");
    }
    let _ = writeln!(
        out,
        "\nWritten: {}. Hold walls, materials and openings against the house before you believe a forecast.",
        report.plan
    );
    out
}
