//! What was understood of a drawing, put into the terms of a picture.

use crate::picture::{drawn_level, pair, with_holes};
use draw::{AreaMark, NoteMark, OriginalMark, Picture};
use import::Draft;
use plan::{Level, Plan, Rooms};
use report::ImportReport;

/// What an import made of a file.
pub(crate) struct Understood<'i> {
    pub(crate) draft: &'i Draft,
    pub(crate) plan: &'i Plan,
    pub(crate) rooms: &'i Rooms,
    pub(crate) report: &'i ImportReport,
}

/// The levels that have walls, and so a picture.
pub(crate) fn levels(plan: &Plan) -> Vec<&Level> {
    let has_walls = |level: &&Level| plan.walls.iter().any(|wall| wall.level == level.number);
    plan.levels.iter().filter(has_walls).collect()
}

impl Understood<'_> {
    /// The walls, openings and rooms of a level over the lines of the drawing, with the numbers of
    /// the report where they are true.
    pub(crate) fn picture(&self, level: &Level) -> Picture {
        let lengths = self.plan.lengths();
        let rooms = self.rooms.all().iter().filter(|room| room.level == level.number);
        let rooms = rooms.map(|room| AreaMark {
            outline: with_holes(&room.outline),
            label: room.name.clone().unwrap_or_default(),
            size: lengths.area(room.area_m2),
        });
        let original = self.draft.original.iter().filter(|one| one.level == level.number);
        let original = original.map(|one| OriginalMark {
            points: [pair(one.line.start), pair(one.line.end)],
            left_out: !one.is_taken,
        });
        let notes = self.report.marks_on(level.number).map(|mark| NoteMark {
            number: u32::try_from(mark.number).unwrap_or(u32::MAX),
            text: mark.words.clone(),
            places: mark.at.clone(),
        });
        let mut picture = drawn_level(self.plan, level);
        // A door that stands open is rare in what is imported, a gap without a door is not.
        picture.openings.iter_mut().for_each(|opening| opening.empty = opening.open);
        Picture {
            subtitle: "What was understood of the file. Compare it with the house before you go \
                       on: walls, doors, windows, and the names and sizes of rooms."
                .to_owned(),
            caution: "Check walls, materials and openings on site before you trust a forecast."
                .to_owned(),
            rooms: rooms.collect(),
            original: original.collect(),
            notes: notes.collect(),
            ..picture
        }
    }
}
