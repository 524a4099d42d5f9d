//! How the text of a plan is laid out, and new pieces of it in the same manner.

use super::fields::Fields;
use super::splice::{Splice, piece, written};
use input::Diagnostics;
use input::json::{Member, Sort, Value};

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Node {
    /// A number, or text with its quotation marks.
    Leaf(String),
    List(Vec<Node>),
    /// Members, in the order in which they are written; each name has its quotation marks.
    Object(Vec<(String, Node)>),
}

impl Node {
    /// A position, its numbers rounded to thousandths before.
    pub(super) fn position(x: f64, y: f64) -> Self {
        Self::List(vec![Self::Leaf(written(x)), Self::Leaf(written(y))])
    }

    /// A value as it stands in a text, to be laid out anew; numbers and texts keep their spelling.
    pub(super) fn of(value: Value<'_>) -> Self {
        match value.sort() {
            Sort::List => Self::List(value.items().into_iter().map(Self::of).collect()),
            Sort::Object => {
                let mut faults = Diagnostics::new("");
                let members = value.members(None, &mut faults);
                if faults.any_fault() {
                    // Too many members, or a name that cannot be read: none may be lost.
                    return Self::Leaf(value.raw.to_owned());
                }
                let node = |it: Member<'_>| {
                    (serde_json::Value::from(&*it.key).to_string(), Self::of(it.value))
                };
                Self::Object(members.into_iter().map(node).collect())
            }
            _ => Self::Leaf(value.raw.to_owned()),
        }
    }

    /// Text as JSON writes it, with quotation marks and escapes.
    pub(super) fn text(text: &str) -> Self {
        Self::Leaf(serde_json::Value::from(text).to_string())
    }

    /// Members with their plain names.
    pub(super) fn object<'n>(members: impl IntoIterator<Item = (&'n str, Self)>) -> Self {
        let named = |(name, value)| (serde_json::Value::from(name).to_string(), value);
        Self::Object(members.into_iter().map(named).collect())
    }
}

/// Line ends and indents of what is spread over several lines.
struct Lines {
    end: &'static str,
    base: String,
    step: String,
    /// Objects this deep within the outermost, and less deep ones, are spread.
    deepest: usize,
    /// Whether each number of a list has a line of its own.
    lists: bool,
}

pub(super) struct Layout {
    /// The colon with the space around it.
    colon: String,
    /// Nothing if all stands in one line.
    lines: Option<Lines>,
}

/// What stands between the name of a member and its value.
fn colon<'t>(text: &'t str, member: &Member<'_>) -> &'t str {
    let named = piece(text, member.key_at, member.value.at);
    named.rfind('"').map_or(": ", |quote| named.get(quote + 1..).unwrap_or_default())
}

/// The indent that ends a run of white space; nothing if it has no line end.
fn indent(space: &str) -> Option<&str> {
    let end = space.rfind('\n')?;
    space.get(end + 1..)
}

/// Whether what stands behind the bracket of an object or list begins on a line of its own.
fn begins_a_line(inner: &str) -> bool {
    inner.trim_start_matches(|c: char| c.is_whitespace() && c != '\n').starts_with('\n')
}

fn is_spread(raw: &str) -> bool {
    raw.get(1..).is_some_and(begins_a_line)
}

impl Layout {
    /// The layout of an object; `None` if it has no member.
    pub(super) fn of(text: &str, object: &Fields<'_>) -> Option<Self> {
        let members = object.members();
        let (first, last) = (members.first()?, members.last()?);
        let lead = piece(text, object.at + 1, first.key_at);
        let lines = indent(lead).map(|inner| {
            let tail = piece(text, last.value.end(), object.whole.end().saturating_sub(1));
            let base = indent(tail).unwrap_or_default();
            let step = inner.strip_prefix(base).filter(|step| !step.is_empty());
            let mut objects = members.iter().filter(|member| member.value.raw.starts_with('{'));
            Lines {
                end: if lead.contains("\r\n") { "\r\n" } else { "\n" },
                base: base.to_owned(),
                step: step.unwrap_or("  ").to_owned(),
                deepest: if objects.any(|it| is_spread(it.value.raw)) { usize::MAX } else { 0 },
                lists: numbers_are_spread(object.whole.raw),
            }
        });
        Some(Self { colon: colon(text, first).to_owned(), lines })
    }

    /// The layout of one line, with the colon of a member.
    pub(super) fn one_line(text: &str, member: &Member<'_>) -> Self {
        Self { colon: colon(text, member).to_owned(), lines: None }
    }

    /// A comma with the space after it, within a line.
    fn comma(&self) -> &'static str {
        if self.colon.ends_with([' ', '\t']) { ", " } else { "," }
    }

    pub(super) fn write(&self, node: &Node) -> String {
        self.written(node, 0)
    }

    /// A member of an object in this layout; objects in it are spread at least `levels` deep.
    pub(super) fn write_member(mut self, node: &Node, levels: usize) -> String {
        if let Some(lines) = &mut self.lines {
            lines.deepest = if lines.lists { usize::MAX } else { levels };
        }
        self.written(node, 1)
    }

    fn written(&self, node: &Node, depth: usize) -> String {
        let lines = self.lines.as_ref();
        match node {
            Node::Leaf(text) => text.clone(),
            Node::List(items) => {
                let items: Vec<String> =
                    items.iter().map(|item| self.written(item, depth + 1)).collect();
                self.enclosed(['[', ']'], lines.filter(|lines| lines.lists), depth, &items)
            }
            Node::Object(members) => {
                let member = |(name, value): &(String, Node)| {
                    format!("{name}{}{}", self.colon, self.written(value, depth + 1))
                };
                let members: Vec<String> = members.iter().map(member).collect();
                self.enclosed(['{', '}'], lines.filter(|it| depth <= it.deepest), depth, &members)
            }
        }
    }

    /// Items between brackets, each in a line of its own if there are `lines`.
    fn enclosed(
        &self,
        [open, close]: [char; 2],
        lines: Option<&Lines>,
        depth: usize,
        items: &[String],
    ) -> String {
        if items.is_empty() {
            return format!("{open}{close}");
        }
        let new_line = |depth: usize| {
            let line = |it: &Lines| format!("{}{}{}", it.end, it.base, it.step.repeat(depth));
            lines.map(line).unwrap_or_default()
        };
        let comma = if lines.is_some() { "," } else { self.comma() };
        let (inner, outer) = (new_line(depth + 1), new_line(depth));
        let items = items.join(&format!("{comma}{inner}"));
        format!("{open}{inner}{items}{outer}{close}")
    }

    /// A member of an object set: put in the place of its value where there is one (null counts),
    /// else written behind the other members in their layout. Nothing if it is the same number
    /// already, or there is no other member.
    pub(super) fn set(text: &str, object: &Fields<'_>, name: &str, value: &str) -> Option<Splice> {
        let members = object.members();
        if let Some(old) = members.iter().find(|member| member.key == name) {
            let number = old.value.number();
            let same = old.value.raw == value || number.is_some() && number == value.parse().ok();
            return (!same).then(|| Splice::value(old.value, value.to_owned()));
        }
        let last = members.last()?;
        let gap = match members {
            [.., before, _] => piece(text, before.value.end(), last.key_at).to_owned(),
            _ if is_spread(object.whole.raw) => {
                format!(",{}", piece(text, object.at + 1, last.key_at))
            }
            _ => Self::one_line(text, last).comma().to_owned(),
        };
        let name = serde_json::Value::from(name);
        let with = format!("{gap}{name}{}{value}", colon(text, last));
        Some(Splice::new(last.value.end(), with))
    }

    /// What stands before an item that follows the others of a list, the comma included.
    pub(super) fn gap(text: &str, list: Value<'_>, items: &[Value<'_>]) -> String {
        match items {
            [] => {
                let inner = piece(text, list.at + 1, list.end().saturating_sub(1));
                if inner.contains('\n') { format!("{inner}  ") } else { String::new() }
            }
            [only] => format!(",{}", piece(text, list.at + 1, only.at)),
            [.., before, last] => piece(text, before.end(), last.at).to_owned(),
        }
    }
}

/// Whether the first list of numbers in the text has a line for each.
fn numbers_are_spread(raw: &str) -> bool {
    let is_number = |c: char| c == '-' || c.is_ascii_digit();
    let mut lists = raw.split('[').skip(1);
    lists.find(|inner| inner.trim_start().starts_with(is_number)).is_some_and(begins_a_line)
}
