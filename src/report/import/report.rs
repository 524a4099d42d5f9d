//! The report of an import.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::json::rounded;
use import::{Draft, Guess};
use plan::{Diagnostic, Plan, Rooms};

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
    pub guesses: Vec<Guess>,
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
            guesses: draft.guesses.clone(),
            warnings: doubts.iter().map(ToString::to_string).collect(),
        }
    }

    crate::json::as_json!(&[]);
}

fn length_m(line: &geo::LineString<f64>) -> f64 {
    line.lines().map(|line| line.dx().hypot(line.dy())).sum()
}
