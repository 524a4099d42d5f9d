//! One line of a list, read from left to right: words, names, numbers, lengths.

use units::{FOOT_M, Length, Lengths};

/// What is wrong in a line, and how to fix it; the column counts characters from 1.
pub(super) struct Slip {
    pub(super) column: usize,
    pub(super) what: String,
    pub(super) fix: String,
}

impl Slip {
    pub(super) fn new(column: usize, what: impl Into<String>, fix: impl Into<String>) -> Self {
        Self { column, what: what.into(), fix: fix.into() }
    }
}

/// Quotation marks that phones write.
const QUOTES: [char; 6] = ['"', '“', '”', '„', '«', '»'];
const FEET: [char; 4] = ['\'', '’', '′', '‘'];
const INCHES: [char; 3] = ['"', '”', '″'];
/// Metres in an inch, exactly.
const INCH_M: f64 = 0.0254;
/// Longest length in a list, metres (as far as a plan may reach).
const LONGEST_M: f64 = plan::MAX_EXTENT_M;

pub(super) struct Cursor {
    characters: Vec<char>,
    at: usize,
    /// Metres in a number without a unit.
    metres: f64,
}

impl Cursor {
    /// The start of a line up to its comment. `metres` is what a number without a unit counts.
    pub(super) fn new(line: &str, metres: f64) -> Self {
        let mut characters = Vec::new();
        let mut in_name = false;
        for character in line.chars() {
            // A number sign within a name in quotation marks is part of it. Behind a number the
            // same mark means inches.
            if QUOTES.contains(&character) {
                let begins = characters.last().is_none_or(|before: &char| before.is_whitespace());
                in_name = !in_name && begins;
            }
            if character == '#' && !in_name {
                break;
            }
            characters.push(character);
        }
        Self { characters, at: 0, metres }
    }

    /// A length for a message, in the unit of numbers without one.
    pub(super) fn shown(&self, metres: f64) -> Length {
        Lengths::of(self.metres).fine(metres)
    }

    fn skip_space(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    fn peek(&self) -> Option<char> {
        self.characters.get(self.at).copied()
    }

    pub(super) fn column(&mut self) -> usize {
        self.skip_space();
        self.at + 1
    }

    /// Whether nothing but space is left.
    pub(super) fn is_done(&mut self) -> bool {
        self.skip_space();
        self.at >= self.characters.len()
    }

    pub(super) fn slip(&mut self, what: impl Into<String>, fix: impl Into<String>) -> Slip {
        Slip::new(self.column(), what.into(), fix.into())
    }

    fn left(&self) -> &[char] {
        self.characters.get(self.at..).unwrap_or_default()
    }

    /// Reads something, or nothing: then it stays where it was.
    fn attempt<T>(&mut self, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let before = self.at;
        let found = read(self);
        if found.is_none() {
            self.at = before;
        }
        found
    }

    /// The next word in small letters, without taking it.
    pub(super) fn peek_word(&mut self) -> String {
        self.skip_space();
        let word = self.left().iter().take_while(|c| !c.is_whitespace());
        word.collect::<String>().to_lowercase()
    }

    pub(super) fn word(&mut self) -> String {
        self.skip_space();
        let word: String = self.left().iter().take_while(|c| !c.is_whitespace()).collect();
        self.at += word.chars().count();
        word
    }

    /// Takes the next word if it is this one, whatever the case.
    pub(super) fn takes(&mut self, word: &str) -> bool {
        let is = self.peek_word() == word;
        if is {
            self.word();
        }
        is
    }

    /// Takes the next word if it is this one and a number follows it.
    pub(super) fn takes_before_number(&mut self, word: &str) -> bool {
        self.attempt(|line| (line.takes(word) && line.is_number()).then_some(())).is_some()
    }

    /// A name: a word, or what stands between quotation marks.
    pub(super) fn name(&mut self) -> Result<String, Slip> {
        self.skip_space();
        let column = self.column();
        if !self.peek().is_some_and(|c| QUOTES.contains(&c)) {
            let word = self.word();
            if word.is_empty() {
                let fix = "give a word, or a name in quotation marks";
                return Err(self.slip("a name is missing", fix));
            }
            return Ok(word);
        }
        self.at += 1;
        let Some(length) = self.left().iter().position(|c| QUOTES.contains(c)) else {
            let what = "the closing quotation mark is missing";
            return Err(Slip::new(column, what, "write \"Living room\""));
        };
        let name: String = self.left().iter().take(length).collect();
        self.at += length + 1;
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() {
            let what = "the name is empty";
            return Err(Slip::new(column, what, "write a name between the quotation marks"));
        }
        Ok(name)
    }

    /// Everything up to the end as one name.
    pub(super) fn rest(&mut self) -> String {
        self.skip_space();
        let text: String = self.left().iter().filter(|c| !QUOTES.contains(c)).collect();
        self.at = self.characters.len();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Digits with a point or comma; nothing else is taken.
    fn decimal(&mut self) -> Option<f64> {
        let mut text = String::new();
        for &character in self.left() {
            match character {
                '0'..='9' => text.push(character),
                '.' | ',' if !text.contains('.') => text.push('.'),
                _ => break,
            }
        }
        let number = text.parse().ok()?;
        self.at += text.len();
        Some(number)
    }

    /// A fraction such as `1/2`, where one comes next.
    fn fraction(&mut self) -> Option<f64> {
        self.attempt(|line| {
            line.skip_space();
            let over = line.decimal()?;
            let under = line.mark(&['/']).then(|| line.decimal())??;
            (under > 0.0).then_some(over / under)
        })
    }

    fn mark(&mut self, marks: &[char]) -> bool {
        let is = self.peek().is_some_and(|c| marks.contains(&c));
        self.at += usize::from(is);
        is
    }

    /// A unit's word right here or after a space, not part of a longer word.
    fn unit(&mut self, unit: &str) -> bool {
        let taken = self.attempt(|line| {
            line.skip_space();
            let word = line.left().iter().take_while(|c| c.is_alphabetic());
            let is = word.flat_map(|c| c.to_lowercase()).eq(unit.chars());
            line.at += unit.chars().count();
            is.then_some(())
        });
        taken.is_some()
    }

    pub(super) fn skip_minus(&mut self) {
        self.skip_space();
        self.mark(&['-', '−']);
    }

    pub(super) fn is_number(&mut self) -> bool {
        self.skip_space();
        self.peek().is_some_and(|c| c.is_ascii_digit() || c == '.' || c == ',' || c == '-')
    }

    /// A length above or at zero, in metres: `3.6`, `3,6 m`, `360cm`, `12' 6"`, `12ft 6 1/2 in`. A
    /// number alone is in the list's unit.
    pub(super) fn length(&mut self, of: &str) -> Result<f64, Slip> {
        let start = self.column();
        let slip =
            |what: String| Slip::new(start, what, "write 3.6, 3.6m, 360cm, 12' 6\" or 12ft 6in");
        let Some(number) = self.decimal() else {
            let found = self.word();
            return Err(slip(if found.is_empty() {
                format!("{of} is missing")
            } else {
                format!("{of} must be a length, not {}", plan::quoted(&found))
            }));
        };
        let number = number + self.fraction().unwrap_or(0.0);
        let metres = if self.mark(&FEET) || self.unit("ft") || self.unit("feet") {
            number * FOOT_M + self.inches_behind_feet() * INCH_M
        } else if self.mark(&INCHES) || self.unit("in") {
            number * INCH_M
        } else if self.unit("mm") {
            number / 1e3
        } else if self.unit("cm") {
            number / 1e2
        } else if self.unit("m") {
            number
        } else {
            number * self.metres
        };
        // What sticks to a number without being a unit is a slip of the thumb, except the x between
        // two sizes.
        if let Some(character) = self.peek()
            && !character.is_whitespace()
            && !matches!(character, 'x' | 'X' | '×' | '*')
        {
            let character = plan::quoted(&character.to_string());
            return Err(slip(format!("{of} ends in {character}, which is not a unit")));
        }
        if !metres.is_finite() || metres > LONGEST_M {
            return Err(slip(format!("{of} is over {}", self.shown(LONGEST_M))));
        }
        Ok(metres)
    }

    /// Inches that follow feet: right behind them, or after a space with their mark.
    fn inches_behind_feet(&mut self) -> f64 {
        let start = self.at;
        let inches = self.attempt(|line| {
            line.skip_space();
            let adjacent = line.at == start;
            let whole = line.decimal()?;
            // `12' 1/2"` has no whole inches.
            let inches = if line.mark(&['/']) {
                line.decimal().filter(|under| *under > 0.0).map_or(f64::NAN, |under| whole / under)
            } else {
                whole + line.fraction().unwrap_or(0.0)
            };
            (line.mark(&INCHES) || line.unit("in") || adjacent).then_some(inches)
        });
        inches.unwrap_or(0.0)
    }

    /// Two lengths with an `x` between them.
    pub(super) fn size(&mut self) -> Result<(f64, f64), Slip> {
        let width = self.length("the width")?;
        self.skip_space();
        if !self.mark(&['x', 'X', '×', '*']) && !self.takes("by") {
            return Err(self.slip("the depth is missing", "write width x depth: 3.6 x 4.2"));
        }
        self.skip_space();
        Ok((width, self.length("the depth")?))
    }
}
