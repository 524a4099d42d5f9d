//! The arguments of an entity.

/// One argument.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value<'b> {
    /// `$`, `*` and whatever is not read.
    Nothing,
    Number(f64),
    /// As it stands between its apostrophes.
    Text(&'b [u8]),
    /// `.METRE.` without its points.
    Word(&'b [u8]),
    Reference(u32),
    List(Vec<Value<'b>>),
    /// A value with its type, as `IFCBOOLEAN(.T.)`.
    Typed(&'b [u8], Vec<Value<'b>>),
}

impl Value<'_> {
    pub(super) fn number(&self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(*number),
            Self::Typed(_, values) => match values.as_slice() {
                [Value::Number(number)] => Some(*number),
                _ => None,
            },
            _ => None,
        }
    }

    pub(super) const fn reference(&self) -> Option<u32> {
        if let Self::Reference(number) = self { Some(*number) } else { None }
    }

    pub(super) fn items(&self) -> &[Self] {
        if let Self::List(items) = self { items } else { &[] }
    }

    pub(super) fn numbers(&self) -> Vec<f64> {
        self.items().iter().filter_map(Self::number).collect()
    }
}

/// The arguments of an entity, with its kind.
#[derive(Debug)]
pub(super) struct Args<'b> {
    pub(super) kind: &'static str,
    pub(super) values: Vec<Value<'b>>,
}

impl<'b> Args<'b> {
    pub(super) fn at(&self, index: usize) -> &Value<'b> {
        self.values.get(index).unwrap_or(&Value::Nothing)
    }

    pub(super) fn number(&self, index: usize) -> Option<f64> {
        self.at(index).number()
    }

    pub(super) fn reference(&self, index: usize) -> Option<u32> {
        self.at(index).reference()
    }

    /// The references of a list; of a single one, that.
    pub(super) fn references(&self, index: usize) -> Vec<u32> {
        let single = self.reference(index);
        let items = self.at(index).items().iter().filter_map(Value::reference);
        single.into_iter().chain(items).collect()
    }

    pub(super) fn word(&self, index: usize) -> &'b [u8] {
        if let Value::Word(word) = self.at(index) { word } else { b"" }
    }

    /// A text in plain letters, if it is there and not blank.
    pub(super) fn text(&self, index: usize) -> Option<String> {
        let Value::Text(raw) = self.at(index) else { return None };
        let text = decoded(raw);
        let text = text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }
}

/// Reads values from a place; what is ill-formed is nothing. The depth of lists is bounded before.
pub(super) struct Reader<'b> {
    pub(super) bytes: &'b [u8],
    pub(super) at: usize,
}

impl<'b> Reader<'b> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn blanks(&mut self) {
        while let Some(byte) = self.peek() {
            let rest = &self.bytes[self.at..];
            if rest.starts_with(b"/*") {
                let end = rest.windows(2).skip(2).position(|pair| pair == b"*/");
                self.at += end.map_or(rest.len(), |end| end + 4);
            } else if byte.is_ascii_whitespace() || byte == 0 {
                self.at += 1;
            } else {
                break;
            }
        }
    }

    fn run(&mut self, goes_on: impl Fn(u8) -> bool) -> &'b [u8] {
        let from = self.at;
        while self.peek().is_some_and(&goes_on) {
            self.at += 1;
        }
        &self.bytes[from..self.at]
    }

    /// A list in parentheses.
    pub(super) fn list(&mut self) -> Option<Vec<Value<'b>>> {
        self.blanks();
        if self.peek() != Some(b'(') {
            return None;
        }
        self.at += 1;
        let mut values = Vec::new();
        loop {
            self.blanks();
            match self.peek()? {
                b')' => {
                    self.at += 1;
                    return Some(values);
                }
                b',' => self.at += 1,
                b';' => return None,
                _ => values.push(self.value()?),
            }
        }
    }

    fn value(&mut self) -> Option<Value<'b>> {
        let first = self.peek()?;
        Some(match first {
            b'(' => Value::List(self.list()?),
            b'\'' => {
                self.at += 1;
                let from = self.at;
                loop {
                    self.run(|byte| byte != b'\'');
                    if self.bytes.get(self.at + 1) != Some(&b'\'') {
                        break;
                    }
                    self.at += 2;
                }
                let text = self.bytes.get(from..self.at)?;
                self.at += 1;
                Value::Text(text)
            }
            b'#' => {
                self.at += 1;
                let digits = self.run(|byte| byte.is_ascii_digit());
                let number = std::str::from_utf8(digits).ok().and_then(|text| text.parse().ok());
                number.map_or(Value::Nothing, Value::Reference)
            }
            b'.' => {
                self.at += 1;
                let word = self.run(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
                self.at += usize::from(self.peek() == Some(b'.'));
                Value::Word(word)
            }
            b'0'..=b'9' | b'-' | b'+' => {
                let digits = self.run(|byte| byte.is_ascii_digit() || b"+-.eE".contains(&byte));
                let number = std::str::from_utf8(digits).ok().and_then(|text| text.parse().ok());
                let sane = number.filter(|number: &f64| number.is_finite() && number.abs() < 1e12);
                sane.map_or(Value::Nothing, Value::Number)
            }
            byte if byte.is_ascii_alphabetic() => {
                let name = self.run(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
                self.blanks();
                if self.peek() == Some(b'(') {
                    Value::Typed(name, self.list()?)
                } else {
                    Value::Nothing
                }
            }
            _ => {
                self.at += 1;
                Value::Nothing
            }
        })
    }
}

/// A text of the format in plain letters: `''`, `\X2\00FC\X0\`, `\X4\…\X0\`, `\X\FC`, `\S\|` and
/// `\\` are undone (ISO 10303-21, clause 6.4.3, from memory), other bytes are UTF-8.
fn decoded(raw: &[u8]) -> String {
    let text = String::from_utf8_lossy(raw);
    let text = text.replace("''", "'");
    let mut plain = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(at) = rest.find('\\') {
        plain.push_str(&rest[..at]);
        rest = &rest[at..];
        let hex = |digits: &str| u32::from_str_radix(digits, 16).ok();
        let mut taken = 1;
        if let Some(coded) = rest.strip_prefix("\\X2\\").or_else(|| rest.strip_prefix("\\X4\\")) {
            let end = coded.find("\\X0\\").unwrap_or(coded.len());
            let wide = if rest.starts_with("\\X2\\") { 4 } else { 8 };
            let digits: Vec<char> = coded[..end].chars().collect();
            let codes = digits.chunks(wide).map(|chunk| chunk.iter().collect::<String>());
            let codes: Vec<u32> = codes.filter_map(|digits| hex(&digits)).collect();
            if wide == 4 {
                let units = codes.iter().filter_map(|code| u16::try_from(*code).ok());
                plain.extend(char::decode_utf16(units).filter_map(Result::ok));
            } else {
                plain.extend(codes.into_iter().filter_map(char::from_u32));
            }
            taken = (4 + end + 4).min(rest.len());
        } else if let Some(digits) = rest.strip_prefix("\\X\\").and_then(|coded| coded.get(..2)) {
            plain.extend(hex(digits).and_then(char::from_u32));
            taken = 5;
        } else if let Some(letter) = rest.strip_prefix("\\S\\").and_then(|it| it.chars().next()) {
            plain.extend(char::from_u32(u32::from(letter) + 128));
            taken = 3 + letter.len_utf8();
        } else if rest.starts_with("\\\\") {
            plain.push('\\');
            taken = 2;
        } else {
            plain.push('\\');
        }
        rest = rest.get(taken..).unwrap_or_default();
    }
    plain.push_str(rest);
    plain
}
