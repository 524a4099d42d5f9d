//! Texts of a plan as its file has them, where they are read as another line.
//!
//! Tables, pictures and documents show a name as [`crate::one_line`] reads it. JSON can escape
//! whatever a name holds, so a JSON text gets the names back as they are written.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use crate::json::outside_strings;
use crate::shown::one_line;

/// What was written, by the line that it is read as.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AsWritten {
    /// By the feature's id as it is read, and the line.
    own: BTreeMap<(String, String), String>,
    /// Ids of features.
    ids: BTreeMap<String, String>,
    /// Texts of any feature and of the file itself.
    texts: BTreeMap<String, String>,
}

impl AsWritten {
    /// Notes a text of a feature, or of the file itself, if it is read as another line.
    pub fn note(&mut self, feature: Option<&str>, written: &str) {
        let line = one_line(written);
        if *line == *written {
            return;
        }
        if let Some(id) = feature {
            let key = (id.to_owned(), line.clone().into_owned());
            self.own.entry(key).or_insert_with(|| written.to_owned());
        }
        self.texts.entry(line.into_owned()).or_insert_with(|| written.to_owned());
    }

    /// Notes the id of a feature that goes by another one.
    pub fn note_id(&mut self, id: &str, written: &str) {
        if id != written {
            self.ids.entry(id.to_owned()).or_insert_with(|| written.to_owned());
        }
    }

    /// A JSON text with every text that was noted as it is written; all else stays byte for byte.
    ///
    /// An object with an `id` is about the feature of that id: its texts come first, and its `name`
    /// can be no other feature's. A text of which only a piece was noted stays as it is.
    #[must_use]
    pub fn put_back(&self, json: String) -> String {
        if self.ids.is_empty() && self.texts.is_empty() {
            return json;
        }
        let mut out = String::with_capacity(json.len());
        let mut done = 0;
        for (place, written) in self.replaced(&json) {
            out.push_str(json.get(done..place.start).unwrap_or_default());
            out.push_str(&serde_json::Value::from(written).to_string());
            done = place.end;
        }
        out.push_str(json.get(done..).unwrap_or_default());
        out
    }

    /// Where something was noted, in order, and what.
    fn replaced(&self, json: &str) -> Vec<(Range<usize>, Cow<'_, str>)> {
        let mut found = Vec::new();
        let mut open = vec![Open::default()];
        let mut bytes = outside_strings(json).peekable();
        while let Some((at, byte)) = bytes.next() {
            match byte {
                b'"' => {
                    let end = bytes.peek().map_or(json.len(), |(next, _)| *next);
                    self.read_text(json, at..end, &mut open);
                }
                b'{' | b'[' => {
                    let name = open.last().and_then(|it| it.name.clone());
                    let name = name.filter(|_| byte == b'[');
                    open.push(Open { is_object: byte == b'{', name, ..Open::default() });
                }
                b'}' | b']' if open.len() > 1 => {
                    let closed = open.pop().unwrap_or_default();
                    match &closed.id {
                        Some(id) => found.extend(self.resolved(&closed.texts, Some(id))),
                        None => open.last_mut().into_iter().for_each(|outer| {
                            outer.texts.extend(closed.texts.iter().cloned());
                        }),
                    }
                }
                b',' => {
                    if let Some(inner) = open.last_mut().filter(|it| it.is_object) {
                        inner.name = None;
                    }
                }
                _ => {}
            }
        }
        for rest in &open {
            found.extend(self.resolved(&rest.texts, rest.id.as_deref()));
        }
        found.sort_by_key(|(place, _)| place.start);
        found
    }

    fn read_text(&self, json: &str, place: Range<usize>, open: &mut [Open]) {
        let Some(inner) = open.last_mut() else { return };
        let raw = json.get(place.clone()).unwrap_or_default();
        let Ok(line) = serde_json::from_str::<String>(raw) else { return };
        let is_noted = self.id(&line).is_some() || self.texts.contains_key(&line);
        let is_name = inner.is_object && inner.name.is_none();
        let member = inner.name.clone().filter(|_| !is_name);
        if member.as_deref() == Some("id") && inner.is_object {
            inner.id = Some(line.clone());
        }
        if is_name {
            inner.name = Some(line.clone());
        }
        if is_noted {
            inner.texts.push(Text { place, line, member });
        }
    }

    /// An id as it is written, also with a word behind it: `door-hop` of `door`.
    fn id(&self, line: &str) -> Option<Cow<'_, str>> {
        let whole = self.ids.get(line).map(|id| Cow::Borrowed(id.as_str()));
        whole.or_else(|| {
            let (id, word) = line.rsplit_once('-')?;
            self.ids.get(id).map(|id| Cow::Owned(format!("{id}-{word}")))
        })
    }

    fn resolved(&self, texts: &[Text], feature: Option<&str>) -> Vec<(Range<usize>, Cow<'_, str>)> {
        let written = |text: &Text| {
            let line = &text.line;
            let own = feature.and_then(|id| self.own.get(&(id.to_owned(), line.clone())));
            let is_name = text.member.as_deref() == Some("name");
            let is_id = text.member.as_deref() == Some("id");
            let id = self.id(line).filter(|_| !is_name);
            let any = self.texts.get(line).filter(|_| feature.is_none() || !is_name);
            let [own, any] = [own, any].map(|text| text.map(|text| Cow::Borrowed(text.as_str())));
            let found = if is_id { id } else { own.or(id).or(any) };
            found.map(|written| (text.place.clone(), written))
        };
        texts.iter().filter_map(written).collect()
    }
}

/// An object or a list whose end has not come yet.
#[derive(Debug, Default)]
struct Open {
    is_object: bool,
    /// The member whose value comes next, or whose list this is.
    name: Option<String>,
    id: Option<String>,
    texts: Vec<Text>,
}

/// A text that was noted, until it is known what it is about.
#[derive(Debug, Clone)]
struct Text {
    place: Range<usize>,
    line: String,
    member: Option<String>,
}

/// Whether some text of a JSON text may be read as another line: it holds an escape or what does
/// not show, or it is long.
#[must_use]
pub fn may_differ(json: &str) -> bool {
    let mut bytes = outside_strings(json).peekable();
    while let Some((at, byte)) = bytes.next() {
        let end = bytes.peek().map_or(json.len(), |(next, _)| *next);
        let text = json.get(at..end).unwrap_or_default();
        if byte == b'"' && (text.contains('\\') || *one_line(text) != *text) {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_come_back_where_they_belong() {
        let mut written = AsWritten::default();
        written.note(Some("a"), "Hall\u{7}");
        written.note(Some("b"), "Ha\u{200b}ll");
        written.note(Some("a"), "plain");
        written.note(None, "My\nhouse");
        written.note_id("d", "\u{1b}d");
        let json = r#"{"plan": "My house", "n": 1.50, "list": [{"name": "Hall", "id": "a"},
            {"id": "b", "name": "Hall", "via": "d"}, {"id": "c", "name": "Hall", "room": "Hall"},
            {"type": "Feature", "properties": {"name": "Hall"}, "id": "b"}], "by": {"d": ["d-hop"]},
            "say": "\"Hall\" d", "id": 3}"#;
        let back: serde_json::Value =
            serde_json::from_str(&written.put_back(json.to_owned())).expect("JSON");
        let wanted = serde_json::json!({
            "plan": "My\nhouse", "n": 1.5, "list": [{"name": "Hall\u{7}", "id": "a"},
            {"id": "b", "name": "Ha\u{200b}ll", "via": "\u{1b}d"},
            {"id": "c", "name": "Hall", "room": "Hall\u{7}"},
            {"type": "Feature", "properties": {"name": "Ha\u{200b}ll"}, "id": "b"}],
            "by": {"\u{1b}d": ["\u{1b}d-hop"]}, "say": "\"Hall\" d", "id": 3
        });
        assert_eq!(back, wanted);
        assert!(written.put_back(json.to_owned()).contains("1.50"));
    }

    #[test]
    fn what_shows_as_it_is_written_needs_no_second_look() {
        assert!(!may_differ("{\n  \"name\": \"Hall\",\r\n\t\"n\": [1, \"é\"]\n}"));
        for odd in ["{\"a\\u0007\": 1}", "[\"a\u{202e}\"]", &format!("[\"{}\"]", "x".repeat(201))] {
            assert!(may_differ(odd), "{odd}");
        }
    }
}
