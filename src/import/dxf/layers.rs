//! What the layers of a drawing hold: as the user maps them, else as their names say.

use std::collections::BTreeMap;

use super::strokes::{Stroke, Strokes};
use crate::guess::Guesses;
use crate::{LEAVE_OUT, Settings, whole_file};
use plan::{Diagnostic, nearest, quoted};

/// Words for walls in the languages of drawings (from memory, not confirmed).
const WALLS: [&str; 13] = [
    "wall", "mur", "wand", "wände", "waende", "mauer", "pared", "muro", "parete", "vaegg", "vägg",
    "vegg", "parede",
];
const DOORS: [&str; 9] =
    ["door", "porte", "tür", "tuer", "puerta", "porta", "deur", "dörr", "doer"];
const WINDOWS: [&str; 11] = [
    "window", "glaz", "fenster", "fenêtre", "fenetre", "ventana", "finestra", "raam", "janela",
    "fönster", "vindu",
];
/// Words in layers about walls, doors and windows that hold none of them: notes, hatches, measures.
const NOTES: [&str; 12] = [
    "text", "dim", "hatch", "patt", "note", "anno", "schraff", "symb", "tag", "furn", "title",
    "iden",
];

/// What strokes stand for.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    /// Faces of walls, or their middle lines; with the construction, if the user maps one.
    Wall(Option<String>),
    /// Doors, with the construction of the leaf.
    Door(Option<String>),
    /// Windows, with the construction of the pane.
    Window(Option<String>),
    /// Doors and windows on one layer: arcs are doors, lines in a wall windows.
    DoorOrWindow(Option<String>),
    /// Nothing that is read.
    Other,
}

/// What each stroke stands for.
pub(super) struct Roles {
    layers: Vec<Role>,
    blocks: Vec<Option<Role>>,
    /// Layers that the user mapped.
    mapped: Vec<bool>,
}

impl Roles {
    /// The role of a stroke: that of its layer; a block called a door or window goes before a layer
    /// of no use and one of walls.
    pub(super) fn of(&self, stroke: &Stroke) -> Role {
        let layer = self.layers.get(stroke.layer).cloned().unwrap_or(Role::Other);
        let mapped = self.is_mapped(stroke.layer);
        let block = stroke.block.and_then(|block| self.blocks.get(block).cloned().flatten());
        match (&layer, block) {
            (Role::Other, Some(role)) if !mapped => role,
            (Role::Wall(_), Some(role)) => role,
            _ => layer,
        }
    }

    /// Whether the user mapped a layer.
    pub(super) fn is_mapped(&self, layer: usize) -> bool {
        self.mapped.get(layer).copied().unwrap_or(false)
    }
}

fn has_word(name: &str, words: &[&str]) -> bool {
    let name = name.to_lowercase();
    words.iter().any(|word| name.contains(word))
}

fn role_of(name: &str) -> Option<Role> {
    if has_word(name, &NOTES) {
        None
    } else if has_word(name, &DOORS) && has_word(name, &WINDOWS) {
        Some(Role::DoorOrWindow(None))
    } else if has_word(name, &DOORS) {
        Some(Role::Door(None))
    } else if has_word(name, &WINDOWS) {
        Some(Role::Window(None))
    } else if has_word(name, &WALLS) {
        Some(Role::Wall(None))
    } else {
        None
    }
}

/// What the layers hold, with what was assumed of them.
pub(super) fn roles(
    file: &str,
    strokes: &Strokes,
    settings: &Settings,
    guesses: &mut Guesses,
) -> Result<Roles, Vec<Diagnostic>> {
    let mapped = mapped(file, &strokes.layers, &settings.map)?;
    let roles: Vec<Role> = strokes
        .layers
        .iter()
        .zip(&mapped)
        .map(|(name, mapped)| match mapped {
            None => role_of(name).unwrap_or(Role::Other),
            Some(word) if word == LEAVE_OUT => Role::Other,
            Some(construction) => {
                let made = Some(construction.clone());
                match role_of(name) {
                    Some(Role::Door(_)) => Role::Door(made),
                    Some(Role::Window(_)) => Role::Window(made),
                    Some(Role::DoorOrWindow(_)) => Role::DoorOrWindow(made),
                    // A layer of whatever name that is built like a door holds doors.
                    _ if construction.contains("door-") => Role::Door(made),
                    _ if construction.starts_with("glass-") => Role::Window(made),
                    _ => Role::Wall(made),
                }
            }
        })
        .collect();
    let blocks = strokes.blocks.iter().map(|name| match role_of(name) {
        Some(Role::Wall(_)) | None => None,
        role => role,
    });
    let roles = Roles {
        blocks: blocks.collect(),
        mapped: mapped.iter().map(Option::is_some).collect(),
        layers: roles,
    };
    let mut counts = vec![0; strokes.layers.len()];
    let mut left: BTreeMap<usize, usize> = BTreeMap::new();
    for stroke in &strokes.strokes {
        counts[stroke.layer] += 1;
        if roles.of(stroke) == Role::Other {
            *left.entry(stroke.layer).or_default() += 1;
        }
    }
    if !roles.layers.iter().any(|role| matches!(role, Role::Wall(_))) {
        return Err(vec![no_walls(file, strokes, &counts)]);
    }
    for (layer, role) in roles
        .layers
        .iter()
        .enumerate()
        .filter(|(layer, _)| counts[*layer] > 0 && !roles.is_mapped(*layer))
    {
        let (taken, example) = match role {
            Role::Wall(_) => ("walls, by its name", "brick-half"),
            Role::Door(_) => ("doors, by its name", "door-hollow"),
            Role::Window(_) => ("windows, by its name", "glass-triple-coated"),
            Role::DoorOrWindow(_) => {
                ("doors where arcs are, else windows, by its name", "door-glazed")
            }
            Role::Other => continue,
        };
        let name = &strokes.layers[layer];
        let about = format!("layer {}", quoted(name));
        let mend = format!("--map {name:?}={example}, or ={LEAVE_OUT}");
        guesses.add(about, format!("taken as {taken}"), mend, counts[layer]);
    }
    let count: usize = left.values().sum();
    let mut most: Vec<(usize, usize)> = left.into_iter().collect();
    most.sort_by_key(|(layer, count)| (std::cmp::Reverse(*count), *layer));
    let names = most.iter().map(|(layer, n)| format!("{} ({n})", quoted(&strokes.layers[*layer])));
    let about = "layers left out";
    let taken = format!("no walls, doors or windows by their names: {}", listed(names, 6));
    guesses.add(about, taken, "--map LAYER=CONSTRUCTION takes a layer in as walls", count);
    Ok(roles)
}

/// The user's word for each layer. A name that ends in `*` stands for all layers that begin like
/// it; an exact name goes before it.
fn mapped(
    file: &str,
    layers: &[String],
    map: &BTreeMap<String, String>,
) -> Result<Vec<Option<String>>, Vec<Diagnostic>> {
    let mut words: Vec<Option<String>> = vec![None; layers.len()];
    let mut faults = Vec::new();
    let starred = |name: &&String| name.ends_with('*');
    let stars = map.keys().filter(starred);
    let exact = map.keys().filter(|name| !starred(name));
    for name in stars.chain(exact) {
        let wanted = name.to_lowercase();
        let mut any = false;
        for (layer, word) in layers.iter().zip(&mut words) {
            let layer = layer.to_lowercase();
            let fits = match wanted.strip_suffix('*') {
                Some(start) => layer.starts_with(start),
                None => layer == wanted,
            };
            if fits {
                any = true;
                *word = map.get(name).cloned();
            }
        }
        if !any {
            let near = nearest(name, layers.iter().map(String::as_str));
            let near = near.map_or_else(
                || match layers {
                    [] => "it has no layers with lines".to_owned(),
                    _ => format!("it has {}", listed(layers.iter().map(|name| quoted(name)), 12)),
                },
                |near| format!("did you mean {}?", quoted(near)),
            );
            faults.push(whole_file(
                file,
                format!("the drawing has no layer {}", quoted(name)),
                &near,
            ));
        }
    }
    if faults.is_empty() { Ok(words) } else { Err(faults) }
}

/// The first of some names, and how many more there are.
fn listed(names: impl ExactSizeIterator<Item = String>, most: usize) -> String {
    let more = names.len().saturating_sub(most);
    let names: Vec<String> = names.take(most).collect();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{more}", names.join(", "))
}

fn no_walls(file: &str, strokes: &Strokes, counts: &[usize]) -> Diagnostic {
    let mut order: Vec<usize> = (0..counts.len()).filter(|layer| counts[*layer] > 0).collect();
    order.sort_by(|a, b| counts[*b].cmp(&counts[*a]).then(a.cmp(b)));
    let most = order.iter().take(12);
    let most: Vec<String> = most
        .map(|&layer| format!("{} ({} lines)", quoted(&strokes.layers[layer]), counts[layer]))
        .collect();
    if most.is_empty() {
        return whole_file(
            file,
            "the drawing holds no lines that are read",
            "export the walls as lines or polylines, not as solids, splines or references to \
             other files",
        );
    }
    let example = order.first().map_or("LAYER", |&layer| strokes.layers[layer].as_str());
    whole_file(
        file,
        format!("no layer is called walls; the drawing has {}", most.join(", ")),
        &format!(
            "say which holds the walls, and what they are built of: --map {example:?}=brick-half"
        ),
    )
}
