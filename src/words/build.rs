//! Lists the messages of the English file, so that each becomes a method of `Words`.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let text = fs::read_to_string("en.toml")?;
    let mut list = String::from("messages! {\n");
    let mut group = "";
    for line in text.lines() {
        if let Some(name) = line.strip_prefix('[') {
            group = name.trim_end_matches(']');
        } else if let Some((key, text)) = line.split_once(" = ") {
            let mut places: Vec<&str> = Vec::new();
            for place in text.split('{').skip(1).filter_map(|part| part.split('}').next()) {
                if !places.contains(&place) {
                    places.push(place);
                }
            }
            let _ = writeln!(list, "    {group}_{key}({});", places.join(", "));
        }
    }
    list.push_str("}\n");
    let folder = env::var_os("OUT_DIR").map(PathBuf::from).unwrap_or_default();
    fs::write(folder.join("messages.rs"), list)
}
