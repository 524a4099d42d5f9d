//! The lines of a list, one after another.

use std::collections::BTreeMap;

use super::cursor::{Cursor, Slip};
use super::list::{LevelLine, List, Notes, RoomSide, WallLine, WallOf};
use super::parts::{device_line, known_name, opening_line, room_line, stairs_line};
use crate::{DraftUnit, Settings};
use input::is_hidden;
use plan::{MAX_LEVELS, nearest, quoted};

/// Most lines that are read (our own choice: a large house has a hundred).
const MAX_LINES: usize = 20_000;
/// Longest line, bytes (our own choice: more than a page).
const MAX_LINE_BYTES: usize = 16 * 1024;

/// Every word that a line may begin with.
const WORDS: &str = "name units link walls level ceiling room wall no-wall door window gap \
                     panel contact motion smoke heat co leak glass-break shock keypad siren \
                     repeater outlet floors stairs";

/// The word, if a line may begin with it.
pub(super) fn known_word(word: &str) -> Option<&'static str> {
    WORDS.split(' ').find(|known| *known == word)
}

pub(super) fn lines(text: &str, settings: &Settings, notes: &mut Notes) -> List {
    let mut list = List::default();
    let mut reader = Reader { settings, level: 0, names: BTreeMap::new(), said: BTreeMap::new() };
    for (index, line) in text.lines().enumerate() {
        let number = index + 1;
        if index >= MAX_LINES {
            let what = format!("the list has more than {MAX_LINES} lines");
            notes.say(number, what, "write one list per building");
            break;
        }
        if let Err(slip) = plain(line) {
            notes.note(number, slip);
            continue;
        }
        let mut cursor = Cursor::new(line, list.unit.metres());
        if cursor.is_done() {
            continue;
        }
        let read = reader.line(number, &mut cursor, &mut list).and_then(|()| {
            if cursor.is_done() {
                return Ok(());
            }
            let rest = cursor.peek_word();
            let what = format!("{} is not understood here", quoted(&rest));
            Err(cursor.slip(what, "take it out; `drillonce help tape` says what a line may hold"))
        });
        if let Err(slip) = read {
            notes.note(number, slip);
        }
    }
    list
}

/// No line is endless, and none plays tricks with the terminal that shows it.
fn plain(line: &str) -> Result<(), Slip> {
    if line.len() > MAX_LINE_BYTES {
        let what = format!("the line is longer than {MAX_LINE_BYTES} bytes");
        return Err(Slip::new(1, what, "write one thing per line"));
    }
    let hidden = |character: char| is_hidden(character) && character != '\t';
    line.chars().position(hidden).map_or(Ok(()), |before| {
        let fix = "delete it, or save the list as plain text";
        Err(Slip::new(before + 1, "a control character stands here", fix))
    })
}

struct Reader<'s> {
    settings: &'s Settings,
    level: i32,
    /// Rooms by their name in small letters, with their line.
    names: BTreeMap<String, usize>,
    /// Words that may stand once, with their line.
    said: BTreeMap<&'static str, usize>,
}

impl Reader<'_> {
    fn line(&mut self, number: usize, cursor: &mut Cursor, list: &mut List) -> Result<(), Slip> {
        let first = cursor.peek_word();
        let column = cursor.column();
        let Some(word) = known_word(&first) else {
            let near =
                nearest(&first, WORDS.split(' ')).map(|near| format!("did you mean {near}?"));
            let usual = "begin a line with room, door, window, panel, contact or the like";
            let near = near.unwrap_or_else(|| usual.to_owned());
            return Err(Slip::new(column, format!("no line begins with {}", quoted(&first)), near));
        };
        cursor.word();
        match word {
            "name" => {
                self.once("name", number, column)?;
                list.name = cursor.rest();
            }
            "units" => self.units(number, cursor, list)?,
            "link" => {
                self.once("link", number, column)?;
                let known = &self.settings.known.vocabulary.links;
                list.link = Some(known_name(cursor, known, "link")?);
            }
            "walls" => {
                let inside = match cursor.peek_word().as_str() {
                    "inside" => true,
                    "outside" => false,
                    _ => {
                        let fix = "write walls outside NAME or walls inside NAME";
                        return Err(cursor.slip("which walls?", fix));
                    }
                };
                cursor.word();
                let said = if inside { "walls inside" } else { "walls outside" };
                self.once(said, number, column)?;
                let name = Some(self.construction(cursor)?);
                *(if inside { &mut list.inside } else { &mut list.outside }) = name;
            }
            "level" => self.level(number, cursor, list)?,
            "ceiling" => {
                let height = cursor.length("the ceiling")?;
                self.level_line(number, list).ceiling_m = Some(sane_height(height, cursor)?);
            }
            "room" => {
                let room = room_line(number, self.level, cursor, &mut self.names)?;
                self.level_line(number, list);
                list.by_name.insert(room.name.to_lowercase(), list.rooms.len());
                list.rooms.push(room);
            }
            "wall" => {
                let room = cursor.name()?;
                let of = match RoomSide::of(&cursor.peek_word()) {
                    Some(side) => {
                        cursor.word();
                        WallOf::Side(room, side)
                    }
                    None => WallOf::Between(room, cursor.name()?),
                };
                let construction = Some(self.construction(cursor)?);
                list.walls.push(WallLine { line: number, of, construction });
            }
            "no-wall" => {
                let of = WallOf::Between(cursor.name()?, cursor.name()?);
                list.walls.push(WallLine { line: number, of, construction: None });
            }
            "door" | "window" | "gap" => {
                let known = &self.settings.known.vocabulary.constructions;
                list.openings.push(opening_line(number, word, cursor, known)?);
            }
            "floors" => {
                self.once("floors", number, column)?;
                list.floors = Some(self.construction(cursor)?);
            }
            "stairs" => list.stairs.push(stairs_line(number, cursor)?),
            sort => {
                let mounts = &self.settings.known.vocabulary.mounts;
                list.devices.push(device_line(number, sort, cursor, mounts)?);
            }
        }
        Ok(())
    }

    /// What is true of the whole list is said once.
    fn once(&mut self, what: &'static str, number: usize, column: usize) -> Result<(), Slip> {
        match self.said.insert(what, number) {
            None => Ok(()),
            Some(first) => {
                let what = format!("line {first} already says {what}");
                Err(Slip::new(column, what, "take one of the two lines out"))
            }
        }
    }

    /// The unit of numbers without one: before any of them.
    fn units(&mut self, number: usize, cursor: &mut Cursor, list: &mut List) -> Result<(), Slip> {
        if !list.rooms.is_empty() || !list.levels.is_empty() || self.said.contains_key("units") {
            let what = "units comes too late, or twice";
            return Err(cursor.slip(what, "write units once, above the first room and level"));
        }
        self.said.insert("units", number);
        list.unit = match cursor.peek_word().as_str() {
            "m" => DraftUnit::Metre,
            "ft" => DraftUnit::Foot,
            _ => {
                let fix = "a length in another unit carries its own: 360cm";
                return Err(cursor.slip("units is m or ft", fix));
            }
        };
        cursor.word();
        Ok(())
    }

    fn construction(&self, cursor: &mut Cursor) -> Result<String, Slip> {
        known_name(cursor, &self.settings.known.vocabulary.constructions, "construction")
    }

    /// The line of the level that is being listed; the ground floor is there without one.
    fn level_line<'l>(&self, line: usize, list: &'l mut List) -> &'l mut LevelLine {
        let at = list.levels.iter().position(|level| level.number == self.level);
        let at = at.unwrap_or_else(|| {
            let (number, name) = (self.level, "Ground".to_owned());
            list.levels.push(LevelLine { line, number, name, ..LevelLine::default() });
            list.levels.len() - 1
        });
        &mut list.levels[at]
    }

    fn level(&mut self, line: usize, cursor: &mut Cursor, list: &mut List) -> Result<(), Slip> {
        let column = cursor.column();
        let word = cursor.word();
        let number = word.parse().ok().filter(|number| (-20..=150).contains(number));
        let Some(number) = number else {
            let fix = "write level 0 Ground, level 1 First, level -1 Cellar";
            return Err(Slip::new(column, format!("{} is not a level number", quoted(&word)), fix));
        };
        if list.levels.len() >= MAX_LEVELS || list.levels.iter().any(|level| level.number == number)
        {
            let what = format!("level {number} is already listed");
            return Err(Slip::new(column, what, "list all rooms of a level below its line"));
        }
        let mut name = String::new();
        let mut level = LevelLine { line, number, ..LevelLine::default() };
        while !cursor.is_done() {
            // "First floor" is a name, "floor 2.7" a height.
            if cursor.takes_before_number("floor") {
                level.floor_m = Some(sane_height(cursor.length("the floor")?, cursor)?);
            } else if cursor.takes_before_number("ceiling") {
                level.ceiling_m = Some(sane_height(cursor.length("the ceiling")?, cursor)?);
            } else {
                let word = cursor.name()?;
                name.push_str(if name.is_empty() { "" } else { " " });
                name.push_str(&word);
            }
        }
        level.name = if name.is_empty() { format!("Level {number}") } else { name };
        self.level = number;
        list.levels.push(level);
        Ok(())
    }
}

fn sane_height(height_m: f64, cursor: &mut Cursor) -> Result<f64, Slip> {
    if height_m <= 500.0 {
        return Ok(height_m);
    }
    Err(cursor.slip("no house is that high", "check the unit and the decimal point"))
}
