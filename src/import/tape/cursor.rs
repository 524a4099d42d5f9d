//! One line of a list, read from left to right: words, names, numbers, lengths.

/// What is wrong in a line, and how to mend it; the column counts characters from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Slip {
    pub(super) column: usize,
    pub(super) what: String,
    pub(super) mend: String,
}

impl Slip {
    pub(super) fn new(column: usize, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { column, what: what.into(), mend: mend.into() }
    }
}

/// Quotation marks that phones write.
const QUOTES: [char; 6] = ['"', '“', '”', '„', '«', '»'];
/// Marks of feet.
const FEET: [char; 4] = ['\'', '’', '′', '‘'];
/// Marks of inches.
const INCHES: [char; 3] = ['"', '”', '″'];

/// The foot and the inch of 1959 in metres, exact (from memory).
const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;

/// Longest length in a list, metres (as far as a plan may reach).
const LONGEST_M: f64 = plan::MAX_EXTENT_M;

/// A place in a line.
#[derive(Debug, Clone)]
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
            // A number sign within a name in quotation marks is part of it. Behind a number the same mark
            // means inches.
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

    fn skip_space(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    fn peek(&self) -> Option<char> {
        self.characters.get(self.at).copied()
    }

    /// Column of what comes next.
    pub(super) fn column(&mut self) -> usize {
        self.skip_space();
        self.at + 1
    }

    /// Whether nothing but space is left.
    pub(super) fn is_done(&mut self) -> bool {
        self.skip_space();
        self.at >= self.characters.len()
    }

    /// A slip at what comes next.
    pub(super) fn slip(&mut self, what: impl Into<String>, mend: impl Into<String>) -> Slip {
        Slip::new(self.column(), what.into(), mend.into())
    }

    /// The next word in small letters, without taking it.
    pub(super) fn peek_word(&mut self) -> String {
        let before = self.at;
        let word = self.word();
        self.at = before;
        word.to_lowercase()
    }

    /// The next word as it is written; empty at the end.
    pub(super) fn word(&mut self) -> String {
        self.skip_space();
        let rest = self.characters.get(self.at..).unwrap_or_default();
        let word: String = rest.iter().take_while(|c| !c.is_whitespace()).collect();
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
        let before = self.at;
        let is = self.takes(word) && self.is_number();
        if !is {
            self.at = before;
        }
        is
    }

    /// A name: a word, or what stands between quotation marks.
    pub(super) fn name(&mut self) -> Result<String, Slip> {
        self.skip_space();
        let column = self.column();
        if !self.peek().is_some_and(|c| QUOTES.contains(&c)) {
            let word = self.word();
            if word.is_empty() {
                return Err(
                    self.slip("a name is missing", "give a word, or a name in quotation marks")
                );
            }
            return Ok(word);
        }
        self.at += 1;
        let rest = self.characters.get(self.at..).unwrap_or_default();
        let Some(length) = rest.iter().position(|c| QUOTES.contains(c)) else {
            let what = "the name has no closing quotation mark";
            return Err(Slip::new(column, what, "write it like \"Living room\""));
        };
        let name: String = rest.iter().take(length).collect();
        self.at += length + 1;
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() {
            let what = "the name is empty";
            return Err(Slip::new(column, what, "put letters between the quotation marks"));
        }
        Ok(name)
    }

    /// Everything up to the end as one name.
    pub(super) fn rest(&mut self) -> String {
        self.skip_space();
        let rest = self.characters.get(self.at..).unwrap_or_default();
        let text: String = rest.iter().filter(|c| !QUOTES.contains(c)).collect();
        self.at = self.characters.len();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Digits with a point or comma; nothing else is taken.
    fn decimal(&mut self) -> Option<f64> {
        let rest = self.characters.get(self.at..).unwrap_or_default();
        let mut text = String::new();
        for &character in rest {
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
        let before = self.at;
        self.skip_space();
        let over = self.decimal();
        let slash = self.peek() == Some('/');
        self.at += usize::from(slash);
        match (over, slash, self.decimal()) {
            (Some(over), true, Some(under)) if under > 0.0 => Some(over / under),
            _ => {
                self.at = before;
                None
            }
        }
    }

    /// A mark of these right here.
    fn mark(&mut self, marks: &[char]) -> bool {
        let is = self.peek().is_some_and(|c| marks.contains(&c));
        self.at += usize::from(is);
        is
    }

    /// A unit's word right here or after a space, not part of a longer word.
    fn unit(&mut self, unit: &str) -> bool {
        let before = self.at;
        self.skip_space();
        let rest = self.characters.get(self.at..).unwrap_or_default();
        let word: String =
            rest.iter().take_while(|c| c.is_alphabetic()).flat_map(|c| c.to_lowercase()).collect();
        if word == unit {
            self.at += unit.chars().count();
            return true;
        }
        self.at = before;
        false
    }

    /// Passes over a minus right here.
    pub(super) fn skip_minus(&mut self) {
        self.skip_space();
        self.mark(&['-', '−']);
    }

    /// Whether a length comes next.
    pub(super) fn is_number(&mut self) -> bool {
        self.skip_space();
        self.peek().is_some_and(|c| c.is_ascii_digit() || c == '.' || c == ',' || c == '-')
    }

    /// A length above or at zero, in metres: `3.6`, `3,6 m`, `360cm`, `12' 6"`, `12ft 6 1/2 in`. A number
    /// alone is in the list's unit.
    pub(super) fn length(&mut self, of: &str) -> Result<f64, Slip> {
        let start = self.column();
        let slip = |what: String| {
            Slip::new(start, what, "write it like 3.6, 3.6m, 360cm, 12' 6\" or 12ft 6in")
        };
        let Some(number) = self.decimal() else {
            let found = self.word();
            return Err(slip(if found.is_empty() {
                format!("{of} is missing")
            } else {
                format!("{of} must be a length, not {}", plan::quoted(&found))
            }));
        };
        let half_feet = self.fraction();
        let number = number + half_feet.unwrap_or(0.0);
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
        // What sticks to a number without being a unit is a slip of the thumb, except the x between two sizes.
        if let Some(character) = self.peek()
            && !character.is_whitespace()
            && !matches!(character, 'x' | 'X' | '×' | '*')
        {
            return Err(slip(format!(
                "{of} ends in {}, which is no unit",
                plan::quoted(&character.to_string())
            )));
        }
        if !metres.is_finite() || metres > LONGEST_M {
            return Err(slip(format!("{of} is longer than {LONGEST_M} m")));
        }
        Ok(metres)
    }

    /// Inches that follow feet: right behind them, or after a space with their mark.
    fn inches_behind_feet(&mut self) -> f64 {
        let before = self.at;
        self.skip_space();
        let adjacent = self.at == before;
        let Some(whole) = self.decimal() else {
            self.at = before;
            return 0.0;
        };
        // `12' 1/2"` has no whole inches.
        let inches = if self.peek() == Some('/') {
            self.at += 1;
            match self.decimal() {
                Some(under) if under > 0.0 => whole / under,
                _ => f64::NAN,
            }
        } else {
            whole + self.fraction().unwrap_or(0.0)
        };
        if self.mark(&INCHES) || self.unit("in") || adjacent {
            return inches;
        }
        self.at = before;
        0.0
    }

    /// Two lengths with an `x` between them.
    pub(super) fn size(&mut self) -> Result<(f64, f64), Slip> {
        let width = self.length("the width")?;
        self.skip_space();
        if !self.mark(&['x', 'X', '×', '*']) && !self.takes("by") {
            return Err(self.slip("the depth is missing", "write width x depth, like 3.6 x 4.2"));
        }
        self.skip_space();
        Ok((width, self.length("the depth")?))
    }
}
