//! How text from outside is shown: the one place that decides it.
//!
//! A name of a plan, a note, a price list or a business file is read as [`one_line`], so that no
//! table, picture or document has to think of tricks. A message repeats what it complains of as
//! [`shown`] or [`quoted`]. Whatever is printed goes through [`printable`] at the very end.

use std::borrow::Cow;

/// Longest piece of the user's text that a message repeats, in characters.
const LONGEST_SHOWN: usize = 60;

/// Longest name that is kept, in characters (our own choice: three lines of a terminal).
pub const LONGEST_NAME: usize = 200;

/// What sets a piece of text apart whose direction is its own, and what ends it (Unicode Standard
/// Annex #9: FIRST STRONG ISOLATE, POP DIRECTIONAL ISOLATE).
const ISOLATE: [char; 2] = ['\u{2068}', '\u{2069}'];

/// Whether a character does something to a terminal or a page and shows nothing itself: a control
/// character, a line end, one that turns the direction of writing, one without width, a tag, a
/// noncharacter. The joiners of Persian and Indian scripts (U+200C, U+200D) are letters' business.
#[must_use]
pub fn is_hidden(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'
            | '\u{200e}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fdd0}'..='\u{fdef}'
            | '\u{e0000}'..='\u{e007f}')
        || u32::from(character) & 0xfffe == 0xfffe
}

/// A hidden character as JSON spells it, so that a JSON text stays one.
fn spelt(character: char, out: &mut String) {
    use std::fmt::Write as _;
    match character {
        '\n' => out.push_str("\\n"),
        '\r' => out.push_str("\\r"),
        '\t' => out.push_str("\\t"),
        _ => {
            for unit in character.encode_utf16(&mut [0; 2]) {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\u{unit:04x}");
            }
        }
    }
}

/// The text with hidden characters spelt out, so that it is one line and plays no tricks.
#[must_use]
pub fn tame(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if is_hidden(character) { spelt(character, &mut out) } else { out.push(character) }
    }
    out
}

/// The text as a message shows it: tame, and cut after 60 characters.
#[must_use]
pub fn shown(text: &str) -> String {
    match text.char_indices().nth(LONGEST_SHOWN) {
        Some((end, _)) => format!("{}…", tame(text.get(..end).unwrap_or_default())),
        None => tame(text),
    }
}

/// The text as a message shows it, in quotation marks.
#[must_use]
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", shown(text))
}

/// A name as it is read: one line of at most [`LONGEST_NAME`] characters, without hidden
/// characters. Line ends and tabulators become a blank; what is too long ends in `…`.
#[must_use]
pub fn one_line(text: &str) -> Cow<'_, str> {
    let is_short = text.len() <= LONGEST_NAME || text.chars().nth(LONGEST_NAME).is_none();
    if is_short && !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut name = String::new();
    let mut length = 0;
    for character in text.trim().chars() {
        let is_blank = character.is_whitespace();
        if (is_hidden(character) && !is_blank) || (is_blank && name.ends_with(' ')) {
            continue;
        }
        length += 1;
        if length > LONGEST_NAME {
            name.pop();
            name.push('…');
            break;
        }
        name.push(if is_blank { ' ' } else { character });
    }
    name.truncate(name.trim_end().len());
    Cow::Owned(name)
}

/// What may be printed: the text with every hidden character spelt out but line ends, tabulators
/// and balanced isolates. A JSON text stays one and loses nothing.
#[must_use]
pub fn printable(text: &str) -> Cow<'_, str> {
    let is_safe = |character: char| !is_hidden(character) || matches!(character, '\n' | '\t');
    if text.chars().all(is_safe) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let isolates = is_balanced(line);
        let mut characters = line.chars().peekable();
        while let Some(character) = characters.next() {
            let ends_line = character == '\r' && characters.peek() == Some(&'\n');
            let is_isolate = isolates && ISOLATE.contains(&character);
            if is_safe(character) || ends_line || is_isolate {
                out.push(character);
            } else {
                spelt(character, &mut out);
            }
        }
    }
    Cow::Owned(out)
}

/// Whether each isolate of a line is ended in it, and none stands within another.
fn is_balanced(line: &str) -> bool {
    let mut open = false;
    let is_sound = line.chars().filter(|sign| ISOLATE.contains(sign)).all(|sign| {
        let is_next = open == (sign == ISOLATE[1]);
        open = !open;
        is_next
    });
    is_sound && !open
}

/// The text with every piece that is written from right to left set apart for a terminal, so that
/// it does not turn figures beside it round.
#[must_use]
pub fn isolated(text: &str) -> Cow<'_, str> {
    let [open, close] = ISOLATE.map(String::from);
    set_apart(text, &open, &close)
}

/// The text with `open` before and `close` behind every piece that is written from right to left.
/// Two blanks, as between columns, end a piece.
#[must_use]
pub fn set_apart<'t>(text: &'t str, open: &str, close: &str) -> Cow<'t, str> {
    if !text.contains(is_from_right) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find(is_from_right) {
        let (before, piece) = rest.split_at(start);
        let (mut end, mut last) = (0, ' ');
        for (at, character) in piece.char_indices() {
            if is_from_right(character) {
                end = at + character.len_utf8();
            } else if character.is_alphabetic()
                || is_hidden(character)
                || (character, last) == (' ', ' ')
            {
                break;
            }
            last = character;
        }
        let (piece, after) = piece.split_at(end);
        out.extend([before, open, piece, close]);
        rest = after;
    }
    out.push_str(rest);
    Cow::Owned(out)
}

/// Whether a letter is written from right to left: the blocks of Hebrew, Arabic and their kin.
fn is_from_right(character: char) -> bool {
    matches!(character, '\u{590}'..='\u{61b}' | '\u{61d}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdcf}'
        | '\u{fdf0}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}'
        | '\u{1e800}'..='\u{1efff}')
        && u32::from(character) & 0xfffe != 0xfffe
}
