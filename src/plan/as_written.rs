//! Names of a plan's text that are read as another line.

use std::path::Path;

use super::feature::named;
use super::fields::Fields;
use input::AsWritten;
use input::as_written::may_differ;
use input::json::Value;

/// All texts that are read as another line, and the file's name where it is the plan's title.
pub(super) fn as_written(text: &str, source_name: &str) -> AsWritten {
    let mut written = AsWritten::default();
    if let Some(stem) = Path::new(source_name).file_stem() {
        written.note(None, &stem.to_string_lossy());
    }
    if !may_differ(text) {
        return written;
    }
    let top = Fields::quietly(Value::whole(text));
    for member in top.members().iter().filter(|member| member.key != "features") {
        note_all(&mut written, None, member.value);
    }
    let items = top.value("features").map(|list| list.items()).unwrap_or_default();
    for feature in named(&items) {
        if let Some(id) = feature.fields.value("id").and_then(|id| id.text()) {
            written.note_id(&feature.id, &id);
        }
        if let Some(properties) = feature.fields.value("properties") {
            note_all(&mut written, Some(&feature.id), properties);
        }
    }
    written
}

/// Notes every text of a value, names of members included.
fn note_all(written: &mut AsWritten, feature: Option<&str>, value: Value<'_>) {
    let mut rest = vec![serde_json::from_str(value.raw).unwrap_or(serde_json::Value::Null)];
    while let Some(value) = rest.pop() {
        match value {
            serde_json::Value::String(text) => written.note(feature, &text),
            serde_json::Value::Array(items) => rest.extend(items),
            serde_json::Value::Object(members) => {
                for (name, value) in members {
                    written.note(feature, &name);
                    rest.push(value);
                }
            }
            _ => {}
        }
    }
}
