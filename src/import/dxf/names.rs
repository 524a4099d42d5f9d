//! What is written in a drawing, and which of it are names of rooms.

use std::collections::BTreeMap;

use geo::{BoundingRect, Contains, Coord, Line, Point, Polygon};

use super::entity::{Entity, Sort, xy};
use crate::line::{around, index, to_millimetre};
use crate::{Piece, What};

/// Most letters of a name (our own choice).
const LONGEST: usize = 60;
/// Most names of one space (our own choice).
const MOST_NAMES: usize = 6;
/// Letters are about so wide for their height (common practice, no source).
const WIDE: f64 = 0.8;
/// Lines of a paragraph are so far apart for the height of their letters.
const SPACING: f64 = 1.6;
/// Names beside larger ones of the same space are at least so high, as a share (our own choice:
/// what is smaller says what stands there).
const AS_HIGH: f64 = 0.8;
/// Words that are no room by themselves: units, areas, levels, floors, directions, appliances.
/// All from memory.
const NO_ROOM: &str = "\
    m mm cm m2 m² sqm sqft sq ft sf in qm kvm mq area areas surface su sup superficie flaeche \
    fläche wfl nutzfläche yta pinta alan opp h hf hsp lh rh ch cl clg ceiling ht height ffl fl \
    level lvl el up dn down auf ab nts scale ref fr dw wm w d wd tv ac ahu n no nr typ type dim \
    max min ca approx x by perimeter umfang u площадь м м2 面積 面积 ㎡ 帖 畳 호 평";

/// A text with its place, in metres of the plan.
pub(super) struct Label {
    /// Its middle, and where it begins.
    pub(super) at: [Coord<f64>; 2],
    pub(super) height_m: f64,
    /// What is drawn in a block is rather a thing than a room.
    pub(super) in_block: bool,
    pub(super) lines: Vec<String>,
}

/// The lines of a text without what only says how they look.
pub(super) fn lines(entity: &Entity) -> Vec<String> {
    let text = if entity.sort == Sort::Paragraph {
        paragraph(&entity.text)
    } else {
        one_line(&entity.text)
    };
    let line = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    text.split('\n').map(line).filter(|line| !line.is_empty()).collect()
}

/// A text of one line: `%%u` and the like underline, `%%d` and the like are signs.
fn one_line(text: &str) -> String {
    let mut pieces = text.split("%%");
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let mut letters = piece.chars();
        match letters.next().map(|letter| letter.to_ascii_lowercase()) {
            Some('u' | 'o' | 'k') => {}
            Some('d') => out.push('°'),
            Some('p') => out.push('±'),
            Some('c') => out.push('⌀'),
            _ => letters = piece.chars(),
        }
        out.push_str(letters.as_str());
    }
    out
}

/// A paragraph without its codes: `\P` ends a line, others change letters up to a semicolon.
fn paragraph(text: &str) -> String {
    let mut out = String::new();
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '{' | '}' => {}
            '^' => match letters.next() {
                Some('J' | 'M') => out.push('\n'),
                Some('I' | ' ') => out.push(' '),
                Some(other) => out.extend(['^', other]),
                None => out.push('^'),
            },
            '\\' => match letters.next() {
                Some('P' | 'X' | 'N') => out.push('\n'),
                Some('~') => out.push(' '),
                Some(sign @ ('\\' | '{' | '}')) => out.push(sign),
                Some('L' | 'l' | 'O' | 'o' | 'K' | 'k') | None => {}
                // Stacked: one over the other.
                Some('S') => {
                    let stacked = letters.by_ref().take_while(|letter| *letter != ';');
                    out.extend(stacked.map(|it| if matches!(it, '^' | '#') { '/' } else { it }));
                }
                Some(_) => letters.by_ref().take_while(|letter| *letter != ';').for_each(drop),
            },
            other => out.push(other),
        }
    }
    out
}

/// The middle of a text and where it begins, in the frame that it is drawn in.
pub(super) fn places(entity: &Entity, lines: &[String]) -> [Coord<f64>; 2] {
    let longest = lines.iter().map(|line| line.chars().count()).max().unwrap_or_default();
    let high = entity.radius;
    let is_paragraph = entity.sort == Sort::Paragraph;
    let mut wide = longest as f64 * WIDE * high;
    let (mut turned, mut at) = (entity.angles_deg.0.to_radians(), entity.at);
    // From where the text is held to its middle, as shares of its width and height.
    let (right, up) = if is_paragraph {
        if entity.to != Coord::default() {
            turned = entity.to.y.atan2(entity.to.x);
        }
        if entity.scale.x > 0.0 {
            wide = wide.min(entity.scale.x);
        }
        let held = f64::from(entity.rows.clamp(1, 9) - 1);
        (0.5 - held.rem_euclid(3.0) * 0.5, (held / 3.0).floor() * 0.5 - 0.5)
    } else if entity.rows == 0 || entity.to == Coord::default() {
        (0.5, 0.5)
    } else {
        let (start, end) = (entity.at, entity.to);
        match entity.rows {
            2 => {
                at = end;
                (-0.5, 0.5)
            }
            // Fitted between two points.
            3 | 5 => {
                at = (start + end) * 0.5;
                (0.0, 0.5)
            }
            _ => {
                at = end;
                (0.0, 0.5)
            }
        }
    };
    let tall =
        if is_paragraph { high * (1.0 + SPACING * (lines.len() as f64 - 1.0)) } else { high };
    let (sin, cos) = turned.sin_cos();
    let (x, y) = (right * wide, up * tall);
    [at + xy(x * cos - y * sin, x * sin + y * cos), at]
}

/// Whether a line may be the name of a room: letters, and more than units, sizes and marks.
fn is_name(line: &str) -> bool {
    let letters = line.chars().filter(|c| c.is_alphabetic()).count();
    let shown = line.chars().filter(|c| !c.is_whitespace()).count();
    let digits = line.chars().filter(char::is_ascii_digit).count();
    let one_is_enough = line.chars().any(|c| c.is_alphabetic() && c >= '\u{2e80}');
    if shown > LONGEST || (letters < 2 && !one_is_enough) || 2 * letters < shown {
        return false;
    }
    let words: Vec<String> = line
        .split(|c: char| !c.is_alphanumeric() && c != '²')
        .filter(|word| word.chars().any(char::is_alphabetic))
        .map(str::to_lowercase)
        .collect();
    // `D01`, `W12a`: a mark of a door or window; `90x210`: a size; `12m2`: an area.
    let is_mark = |word: &String| {
        let digits = word.chars().filter(|c| c.is_numeric()).count();
        digits > 0 && word.chars().count() - digits <= 3
    };
    let says = words.iter().filter(|word| {
        !is_mark(word) && !NO_ROOM.split_ascii_whitespace().any(|known| known == **word)
    });
    // An area with a word before it is still an area.
    let has_unit = digits > 0 && (line.contains('²') || line.contains('㎡'));
    says.count() > 0 && !has_unit
}

/// The name that a text gives: its first line that is one, with the next if both are one word.
fn name(lines: &[String]) -> Option<String> {
    let first = lines.iter().position(|line| is_name(line))?;
    let next = lines.get(first + 1).filter(|line| is_name(line));
    let is_word = |line: &&String| !line.contains(' ');
    let both = next.filter(|next| is_word(next) && is_word(&&lines[first]));
    Some(both.map_or_else(|| lines[first].clone(), |next| format!("{} {next}", lines[first])))
}

/// The names of some rooms by what is written in them: the largest of it, and what is about as
/// large; a line close below another goes on with it.
pub(super) fn rooms(areas: &[Polygon<f64>], labels: &[Label]) -> Vec<Piece> {
    let boxes = areas.iter().map(|area| {
        let whole = area.bounding_rect();
        whole.map_or(Line::new(xy(0.0, 0.0), xy(0.0, 0.0)), |it| Line::new(it.min(), it.max()))
    });
    let by_place = index(boxes);
    /// A label, where it is in the room, and the name that it gives.
    type Named<'l> = (&'l Label, Coord<f64>, String);
    let mut found: BTreeMap<usize, Vec<Named<'_>>> = BTreeMap::new();
    for label in labels {
        let Some(name) = name(&label.lines) else { continue };
        let room = |at: Coord<f64>| {
            let mut near =
                by_place.locate_in_envelope_intersecting(&around(Line::new(at, at), 0.0));
            let within = near.find(|room| areas[room.data].contains(&at))?;
            Some((within.data, at))
        };
        if let Some((room, at)) = label.at.into_iter().find_map(room) {
            found.entry(room).or_default().push((label, at, name));
        }
    }
    let mut pieces = Vec::new();
    for mut own in found.into_values() {
        if own.iter().any(|one| !one.0.in_block) {
            own.retain(|one| !one.0.in_block);
        }
        let highest = own.iter().map(|one| one.0.height_m).fold(0.0, f64::max);
        own.retain(|one| one.0.height_m >= AS_HIGH * highest);
        // As one reads: from the top, then from the left.
        let row = |at: Coord<f64>| (-at.y / (0.8 * highest).max(0.01)).round();
        own.sort_by(|a, b| {
            row(a.1).total_cmp(&row(b.1)).then(a.1.x.total_cmp(&b.1.x)).then(a.2.cmp(&b.2))
        });
        let mut names: Vec<(Coord<f64>, Coord<f64>, String)> = Vec::new();
        for (label, at, name) in own {
            let above = names.iter_mut().find(|(_, last, _)| {
                let (x, y) = ((last.x - at.x).abs(), last.y - at.y);
                y > 0.0 && y <= 2.2 * label.height_m && x <= 4.0 * label.height_m
            });
            match above {
                Some((_, last, whole)) if whole.chars().count() < LONGEST => {
                    *last = at;
                    if *whole != name {
                        whole.push(' ');
                        whole.push_str(&name);
                    }
                }
                _ => names.push((at, at, name)),
            }
        }
        for (at, _, name) in names.into_iter().take(MOST_NAMES) {
            let at = Point(to_millimetre(at));
            pieces.push(Piece::new(&name, 0, at, What::Room).named(Some(name.clone())));
        }
    }
    pieces
}
