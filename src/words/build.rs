//! Lists the messages of the files, so that each becomes a method of `Words`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::{env, fs, io};

/// The messages of a file: the table's name and the entry's, joined by an underscore, and the text
/// with its quotation marks, which means the same in TOML and in Rust.
fn messages(text: &str) -> Vec<(String, &str)> {
    let (mut group, mut all) = ("", Vec::new());
    for line in text.lines() {
        if let Some(name) = line.strip_prefix('[') {
            group = name.trim_end_matches(']');
        } else if let Some((key, text)) = line.split_once(" = ") {
            all.push((format!("{group}_{key}"), text));
        }
    }
    all
}

/// The places of a message, in its order.
fn places(text: &str) -> Vec<&str> {
    let mut places: Vec<&str> = Vec::new();
    for place in text.split('{').skip(1).filter_map(|part| part.split('}').next()) {
        if !places.contains(&place) {
            places.push(place);
        }
    }
    places
}

fn main() -> io::Result<()> {
    let (english, spanish) = (fs::read_to_string("en.toml")?, fs::read_to_string("es.toml")?);
    let mut other: BTreeMap<String, &str> = messages(&spanish).into_iter().collect();
    let mut list = String::from("messages! {\n");
    for (key, text) in messages(&english) {
        let spanish = other.remove(&key).unwrap_or_default();
        let (places, mut same) = (places(text), places(spanish));
        same.sort_by_key(|place| places.iter().position(|known| known == place));
        let is_blank = |text: &str| text.trim_matches(['"', ' ']).is_empty();
        assert!(!is_blank(text) && !is_blank(spanish), "{key} is missing in one language");
        assert_eq!(places, same, "the places of {key} differ between the languages");
        let _ = writeln!(list, "    {key}({}) = {text}, {spanish};", places.join(", "));
    }
    assert!(other.is_empty(), "only one language has {other:?}");
    list.push_str("}\n");
    let folder = env::var_os("OUT_DIR").map(PathBuf::from).unwrap_or_default();
    fs::write(folder.join("messages.rs"), list)
}
