//! The layout of the house, checked: which crate may use which, circles of imports, length of files
//! and lines, who may print.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fixtures::root;

/// What crates may never depend on; that nothing goes round in a circle, Cargo sees to.
const FORBIDDEN: [(&str, &[&str]); 6] = [
    // Physics knows nothing of plans or geometry.
    ("radio", &["plan", "trace", "input"]),
    // Geometry knows no decibels.
    ("trace", &["radio", "forecast"]),
    // The reader learns of names from its caller.
    ("plan", &["trace", "radio"]),
    // Drawing knows margins, not physics.
    ("draw", &["plan", "trace", "radio", "forecast", "siting", "explain", "diagnose"]),
    // Readings are held against the forecast of what is there, not of what might be.
    ("diagnose", &["siting", "explain"]),
    ("report", &["draw"]),
];

const LONGEST_FILE: usize = 500;
const LONGEST_LINE: usize = 100;

fn files(folder: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.ends_with("target") {
            found.extend(files(&path, endings));
        } else if path.extension().is_some_and(|it| endings.iter().any(|e| it == *e)) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// Every crate's folder.
fn crates() -> Vec<PathBuf> {
    let folders = fs::read_dir(root().join("src")).unwrap().map(|entry| entry.unwrap().path());
    let mut crates: Vec<_> = folders.filter(|path| path.join("Cargo.toml").is_file()).collect();
    crates.sort();
    assert!(crates.len() >= 8, "where are the crates?");
    crates
}

/// A module, as the names on the way to it from the crate's root.
type Module = Vec<String>;

fn module(folder: &Path, file: &Path) -> Module {
    let inside = file.strip_prefix(folder).unwrap().with_extension("");
    let mut names: Module =
        inside.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    if names.last().is_some_and(|name| name == "mod" || name == "lib") {
        names.pop();
    }
    names
}

/// Text without comments and without what follows its unit tests.
fn code(text: &str) -> String {
    let lines = text.lines().map(|line| line.split("//").next().unwrap_or_default());
    let lines: Vec<&str> = lines.take_while(|line| line.trim() != "#[cfg(test)]").collect();
    lines.join("\n")
}

/// The paths that a `use` names: `a::{b, c::d}` names `a::b` and `a::c::d`.
fn paths(text: &str) -> Vec<String> {
    let Some((before, group)) = text.split_once('{') else {
        return vec![text.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let group = group.trim().trim_end_matches('}').to_owned() + ",";
    let (mut depth, mut part, mut found) = (0, String::new(), Vec::new());
    for letter in group.chars() {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                if !part.trim().is_empty() {
                    let whole = format!("{}{}", before.trim(), part.trim());
                    found.extend(paths(&whole));
                }
                part.clear();
                continue;
            }
            _ => {}
        }
        part.push(letter);
    }
    found
}

/// The imports of a crate's files: what each file uses, and what it hands on under its own name.
struct Imports {
    uses: BTreeMap<Module, Vec<(Module, Vec<String>)>>,
    hands_on: BTreeMap<(Module, String), (Module, Vec<String>)>,
}

/// The module that a path leads to from a module, and the names that are left.
fn resolved(
    modules: &BTreeSet<Module>,
    from: &Module,
    path: &str,
) -> Option<(Module, Vec<String>)> {
    let mut names: Vec<String> = path.split("::").map(|name| name.trim().to_owned()).collect();
    let mut at = match names[0].as_str() {
        "crate" => Vec::new(),
        "self" | "super" => from.clone(),
        own if modules.contains(&[from.clone(), vec![own.to_owned()]].concat()) => from.clone(),
        _ => return None,
    };
    while names.first().is_some_and(|name| name == "super") {
        at.pop();
        names.remove(0);
    }
    if names.first().is_some_and(|name| name == "crate" || name == "self") {
        names.remove(0);
    }
    while let Some(name) = names.first() {
        let next = [at.clone(), vec![name.clone()]].concat();
        if !modules.contains(&next) {
            break;
        }
        at = next;
        names.remove(0);
    }
    Some((at, names))
}

fn imports(folder: &Path) -> Imports {
    let sources = files(folder, &["rs"]);
    let modules: BTreeSet<Module> = sources.iter().map(|file| module(folder, file)).collect();
    let mut imports = Imports { uses: BTreeMap::new(), hands_on: BTreeMap::new() };
    for file in &sources {
        let (here, text) = (module(folder, file), code(&fs::read_to_string(file).unwrap()));
        let uses = imports.uses.entry(here.clone()).or_default();
        let mut rest = String::new();
        for (number, statement) in text.split(';').enumerate() {
            let Some(start) = statement.find("use ").filter(|start| {
                let before = statement[..*start].trim_end();
                *start == 0 || before.is_empty() || statement[..*start].ends_with(['\n', ' ', ')'])
            }) else {
                rest.push_str(statement);
                rest.push(if number == 0 { ' ' } else { ';' });
                continue;
            };
            let line = statement[..start].rsplit('\n').next().unwrap_or_default();
            rest.push_str(&statement[..start - line.len()]);
            for path in paths(&statement[start + 4..]) {
                let Some((to, names)) = resolved(&modules, &here, &path) else { continue };
                match names.last() {
                    Some(name) if line.trim_start().starts_with("pub") => {
                        imports.hands_on.insert((here.clone(), name.clone()), (to, names));
                    }
                    _ => uses.push((to, names)),
                }
            }
        }
        for word in rest.split(|letter: char| !letter.is_alphanumeric() && !"_:".contains(letter)) {
            if word.starts_with("super::") || word.starts_with("crate::") {
                uses.extend(resolved(&modules, &here, word));
            }
        }
    }
    imports
}

/// Which files each file imports from; a name that is handed on counts for the file that holds it.
fn graph(imports: &Imports) -> BTreeMap<Module, BTreeSet<Module>> {
    let origin = |target: &(Module, Vec<String>)| {
        let (mut at, mut names) = target.clone();
        for _ in 0..10 {
            let Some(name) = names.first() else { break };
            let Some(next) = imports.hands_on.get(&(at.clone(), name.clone())) else { break };
            (at, names) = next.clone();
        }
        at
    };
    let reached = |uses: &Vec<(Module, Vec<String>)>| uses.iter().map(origin).collect();
    imports.uses.iter().map(|(file, uses)| (file.clone(), reached(uses))).collect()
}

fn reachable(graph: &BTreeMap<Module, BTreeSet<Module>>, from: &Module) -> BTreeSet<Module> {
    let mut seen = BTreeSet::new();
    let mut waiting: Vec<&Module> = graph.get(from).into_iter().flatten().collect();
    while let Some(next) = waiting.pop() {
        if seen.insert(next.clone()) {
            waiting.extend(graph.get(next).into_iter().flatten());
        }
    }
    seen
}

/// The sets of three or more files that all reach one another.
fn circles(folder: &Path) -> Vec<Vec<String>> {
    let graph = graph(&imports(folder));
    let reach: BTreeMap<&Module, BTreeSet<Module>> =
        graph.keys().map(|file| (file, reachable(&graph, file))).collect();
    let mut found = BTreeSet::new();
    for (file, reached) in &reach {
        let back = |other: &&Module| reach.get(*other).is_some_and(|set| set.contains(*file));
        let mut circle: BTreeSet<&Module> = reached.iter().filter(back).collect();
        circle.insert(file);
        if circle.len() > 2 {
            found.insert(circle.iter().map(|module| module.join("/")).collect::<Vec<_>>());
        }
    }
    found.into_iter().collect()
}

#[test]
fn no_crate_depends_on_what_it_must_not_know() {
    for (name, forbidden) in FORBIDDEN {
        let manifest = root().join("src").join(name).join("Cargo.toml");
        let text = fs::read_to_string(manifest).unwrap();
        let used = text.split("[dev-dependencies]").next().unwrap();
        assert!(used.contains("drillonce-units") || name == "trace" || name == "draw", "{name}");
        for other in forbidden {
            assert!(!used.contains(&format!("drillonce-{other}.")), "{name} depends on {other}");
        }
    }
}

#[test]
fn no_crate_has_a_circle_of_three_or_more_files() {
    let mut edges = 0;
    for folder in crates() {
        edges += graph(&imports(&folder)).values().map(BTreeSet::len).sum::<usize>();
        let circles = circles(&folder);
        assert!(circles.is_empty(), "{}: {circles:#?}", folder.display());
    }
    assert!(edges > 300, "only {edges} imports found: does the test still see the files?");
}

#[test]
fn a_circle_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("lib.rs", "mod a;\nmod b;\nmod c;\npub use b::B;\n");
    write("a.rs", "use super::B;\npub struct A(B);\n");
    write("b.rs", "use crate::{\n    c::{C, D},\n};\npub struct B(C, D);\n");
    write("c.rs", "pub struct C(Option<Box<super::a::A>>);\npub struct D;\n");
    assert_eq!(circles(folder.path()), [["a", "b", "c"]]);
    write("c.rs", "// super::a::A\npub struct C;\npub struct D;\n");
    assert!(circles(folder.path()).is_empty());
}

#[test]
fn no_file_and_no_line_is_too_long() {
    let mut sources = files(&root().join("src"), &["rs"]);
    sources.extend(files(&root().join("tests"), &["rs"]));
    assert!(sources.len() > 300);
    for path in sources {
        let text = fs::read_to_string(&path).unwrap();
        let lines = text.lines().count();
        assert!(lines <= LONGEST_FILE, "{} has {lines} lines", path.display());
        for (number, line) in text.lines().enumerate() {
            let is_prose = line.trim_start().starts_with("//");
            assert!(
                !is_prose || line.chars().count() <= LONGEST_LINE,
                "{}:{}: prose beyond {LONGEST_LINE} columns",
                path.display(),
                number + 1
            );
        }
    }
}

#[test]
fn only_the_command_line_prints_or_reads_arguments() {
    for path in files(&root().join("src"), &["rs"]) {
        let own = path.starts_with(root().join("src/cli")) || path == root().join("src/lib.rs");
        let is_test =
            path.ends_with("tests.rs") || path.components().any(|p| p.as_os_str() == "tests");
        if own || is_test {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for word in ["use clap", "indicatif", "std::env::", "println!(", "std::process::exit"] {
            assert!(!code(&text).contains(word), "{} contains {word}", path.display());
        }
    }
}
