//! What the layers of a drawing hold: as the user maps them, else as their names say.

use std::collections::{BTreeMap, BTreeSet};

use super::strokes::{Stroke, Strokes};
use super::trade::{is_no_wall, use_of};
use crate::guess::Guesses;
use crate::{LEAVE_OUT, Settings, whole_file};
use input::{Diagnostic, did_you_mean, quoted};

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    /// Faces of walls, or their middle lines.
    Wall,
    Door,
    Window,
    /// Lines from jamb to jamb, of which no name says what they are: in an outside wall a window,
    /// in an inside one a sliding leaf.
    Panes,
    /// Doors and windows on one layer: arcs are doors, lines in a wall windows.
    DoorOrWindow,
    /// An opening that nothing fills.
    Doorway,
    /// Columns: circles and squares.
    Column,
    /// Nothing that is read by itself; in a gap of a wall it may still be a leaf or pane.
    Other,
    /// Texts, hatches and measures, and what the user leaves out: no sign of anything.
    Notes,
}

/// What strokes stand for, and the construction of the wall, leaf or pane, if the user maps one.
pub(super) type Role<'r> = (Use, Option<&'r str>);

#[derive(Clone)]
pub(super) struct Roles {
    /// Of each layer, with what the user maps it to.
    layers: Vec<(Use, Option<String>)>,
    /// The same of each block; a mapped one goes before its layer.
    blocks: Vec<(Use, Option<String>)>,
    /// Layers whose lines say that they are walls.
    /// Of one that adds to the walls of others, what is inserted is furniture.
    by_shape: BTreeMap<usize, Adds>,
}

/// Whether the walls of a layer add to those of others.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Adds {
    ToOthers,
    Alone,
}

impl Roles {
    /// The role of a stroke: that of its layer; a block called a door or window goes before a layer
    /// of no use and one of walls.
    pub(super) fn of(&self, stroke: &Stroke) -> Role<'_> {
        self.at(stroke.layer, stroke.block)
    }

    /// The role of what is drawn on a layer in a block.
    pub(super) fn at(&self, layer: usize, block: Option<usize>) -> Role<'_> {
        let (layer, mapped) = &self.layers[layer];
        let block = block.map(|block| &self.blocks[block]);
        if let Some((meant, Some(word))) = block {
            return (*meant, Some(word));
        }
        let block = block.map_or(Use::Other, |(meant, _)| *meant);
        let gives_way = matches!(layer, Use::Wall | Use::Other | Use::Notes)
            && (*layer == Use::Wall || mapped.is_none());
        if gives_way && !matches!(block, Use::Wall | Use::Other | Use::Notes) {
            return (block, None);
        }
        (*layer, mapped.as_deref())
    }

    /// The same, with one layer as walls.
    pub(super) fn with_walls(&self, layer: usize, adds: Adds) -> Self {
        let mut roles = self.clone();
        roles.layers[layer].0 = Use::Wall;
        roles.by_shape.insert(layer, adds);
        roles
    }

    /// The same, with the walls of one layer alone.
    pub(super) fn only_walls(&self, layer: usize) -> Self {
        let mut roles = self.with_walls(layer, Adds::ToOthers);
        let holds = roles.layers.iter_mut().chain(&mut roles.blocks);
        holds.filter(|holds| holds.0 == Use::Wall).for_each(|holds| holds.0 = Use::Other);
        roles.layers[layer].0 = Use::Wall;
        roles
    }

    pub(super) fn any_by_shape(&self) -> bool {
        !self.by_shape.is_empty()
    }

    pub(super) fn by_shape(&self, layer: usize) -> Option<Adds> {
        self.by_shape.get(&layer).copied()
    }

    /// Whether a layer holds doors or windows: what is written there is no name of a room.
    pub(super) fn is_of_openings(&self, layer: usize) -> bool {
        matches!(self.layers[layer].0, Use::Door | Use::Window | Use::DoorOrWindow)
    }

    pub(super) fn is_mapped(&self, layer: usize) -> bool {
        self.layers[layer].1.is_some()
    }
}

pub(super) fn roles(
    file: &str,
    strokes: &Strokes,
    hidden: &BTreeSet<String>,
    settings: &Settings,
    likely: &dyn Fn(&Roles, &[usize]) -> Vec<usize>,
    guesses: &mut Guesses,
) -> Result<Roles, Vec<Diagnostic>> {
    let (mapped, blocks) = mapped(file, strokes, &settings.map)?;
    let is_off = |name: &String| hidden.contains(&name.to_lowercase());
    let layers = strokes.layers.iter().zip(mapped).map(|(name, mapped)| {
        let meant = match mapped {
            // What the user maps is wanted, shown or not.
            None if is_off(name) => Use::Notes,
            _ => meant(name, mapped.as_deref()),
        };
        (meant, mapped)
    });
    let blocks = strokes.blocks.iter().zip(blocks);
    let blocks = blocks.map(|(name, mapped)| (meant(name, mapped.as_deref()), mapped));
    let mut roles =
        Roles { layers: layers.collect(), blocks: blocks.collect(), by_shape: BTreeMap::new() };
    let mut counts = vec![0; strokes.layers.len()];
    let mut left: BTreeMap<usize, usize> = BTreeMap::new();
    for stroke in &strokes.strokes {
        counts[stroke.layer] += 1;
        if matches!(roles.of(stroke).0, Use::Other | Use::Notes) {
            *left.entry(stroke.layer).or_default() += 1;
        }
    }
    // Who maps layers says by it which are wanted.
    let says_all = settings.map.values().any(|word| word != LEAVE_OUT);
    let is_wall = |stroke: &Stroke| roles.of(stroke).0 == Use::Wall;
    let has_walls = strokes.strokes.iter().any(is_wall);
    if !(has_walls && says_all) {
        let unknown = |layer: &usize| {
            let (meant, mapped) = &roles.layers[*layer];
            // Pieces of wall that carry the house may be on a layer called columns, partitions on
            // that of their doors.
            matches!(meant, Use::Other | Use::Column | Use::Door)
                && mapped.is_none()
                && !is_no_wall(&strokes.layers[*layer])
        };
        let mut unknown: Vec<usize> = (0..counts.len()).filter(unknown).collect();
        unknown.sort_by_key(|layer| (std::cmp::Reverse(counts[*layer]), *layer));
        let found = likely(&roles, &unknown);
        if found.is_empty() && !has_walls {
            return Err(vec![no_walls(file, strokes, &counts)]);
        }
        for (at, layer) in found.into_iter().enumerate() {
            let adds = if has_walls || at > 0 { Adds::ToOthers } else { Adds::Alone };
            roles = roles.with_walls(layer, adds);
            left.remove(&layer);
        }
    }
    for (layer, (meant, mapped)) in roles.layers.iter().enumerate() {
        let (taken, example) = match meant {
            _ if counts[layer] == 0 || mapped.is_some() => continue,
            Use::Wall if roles.by_shape(layer).is_some() => {
                ("walls: no name says so, but its lines run in pairs as faces do", "brick-half")
            }
            Use::Wall => ("walls, by its name", "brick-half"),
            Use::Door => ("doors, by its name", "door-hollow"),
            Use::Window => ("windows, by its name", "glass-triple-coated"),
            Use::DoorOrWindow => ("doors where arcs are, else windows, by its name", "door-glazed"),
            Use::Column => ("columns, by its name", "sheet-metal"),
            Use::Panes | Use::Doorway | Use::Other | Use::Notes => continue,
        };
        let name = &strokes.layers[layer];
        let about = format!("layer {}", quoted(name));
        let fix = format!("--map {name:?}={example}, or ={LEAVE_OUT}");
        guesses.add(about, format!("taken as {taken}"), fix, counts[layer]);
    }
    let count: usize = left.values().sum();
    left.retain(|layer, _| !is_off(&strokes.layers[*layer]));
    let count = count.min(left.values().sum());
    let mut most: Vec<(usize, usize)> = left.into_iter().collect();
    most.sort_by_key(|(layer, count)| (std::cmp::Reverse(*count), *layer));
    let names = most.iter().map(|(layer, n)| format!("{} ({n})", quoted(&strokes.layers[*layer])));
    let off = |layer: &usize| counts[*layer] > 0 && is_off(&strokes.layers[*layer]);
    let off: Vec<usize> = (0..counts.len()).filter(off).collect();
    let off = off.into_iter().filter(|layer| !roles.is_mapped(*layer)).collect::<Vec<_>>();
    let about = "layers that are switched off or frozen";
    let taken = listed(off.iter().map(|layer| quoted(&strokes.layers[*layer])), 6);
    let fix = "switch them on before the export, or --map LAYER=CONSTRUCTION";
    guesses.add(about, format!("left out: {taken}"), fix, off.len());
    let about = "layers left out";
    let taken = format!("their names do not say walls, doors or windows: {}", listed(names, 6));
    guesses.add(about, taken, "--map LAYER=CONSTRUCTION reads a layer as walls", count);
    Ok(roles)
}

/// What a layer or block holds: what its name says, unless the user maps it to something else.
fn meant(name: &str, mapped: Option<&str>) -> Use {
    let by_name = use_of(name);
    match mapped {
        None => by_name,
        Some(LEAVE_OUT) => Use::Notes,
        Some(_) if !matches!(by_name, Use::Wall | Use::Other | Use::Notes) => by_name,
        // One of whatever name that is built like a door holds doors.
        Some(construction) if construction.contains("door-") => Use::Door,
        Some(construction) if construction.starts_with("glass-") => Use::Window,
        Some(_) => Use::Wall,
    }
}

/// The user's words for layers and for blocks, as far as there are any.
type Words = (Vec<Option<String>>, Vec<Option<String>>);

/// The user's word for each layer, and for each block whose name no layer has. A name that ends in
/// `*` stands for all that begin like it; an exact name goes before it.
fn mapped(
    file: &str,
    strokes: &Strokes,
    map: &BTreeMap<String, String>,
) -> Result<Words, Vec<Diagnostic>> {
    let layers = &strokes.layers;
    let mut words = (vec![None; layers.len()], vec![None; strokes.blocks.len()]);
    let mut faults = Vec::new();
    let starred = |name: &&String| name.ends_with('*');
    let stars = map.keys().filter(starred);
    let exact = map.keys().filter(|name| !starred(name));
    for name in stars.chain(exact) {
        let wanted = name.to_lowercase();
        let put = |names: &[String], words: &mut [Option<String>]| {
            let mut any = false;
            for (known, word) in names.iter().zip(words) {
                let known = known.to_lowercase();
                let start = wanted.strip_suffix('*');
                if start.map_or(known == wanted, |start| known.starts_with(start)) {
                    any = true;
                    *word = map.get(name).cloned();
                }
            }
            any
        };
        if !put(layers, &mut words.0) && !put(&strokes.blocks, &mut words.1) {
            let known = layers.iter().chain(&strokes.blocks).map(String::as_str);
            let near = did_you_mean(name, known).unwrap_or_else(|| match layers.as_slice() {
                [] => "it has no layers with lines".to_owned(),
                _ => format!("it has {}", listed(layers.iter().map(|name| quoted(name)), 12)),
            });
            let what = format!("the drawing has no layer or block {}", quoted(name));
            faults.push(whole_file(file, what, &near));
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
    order.sort_by_key(|layer| (std::cmp::Reverse(counts[*layer]), *layer));
    let Some(example) = order.first().map(|&layer| strokes.layers[layer].as_str()) else {
        let fix = "export the walls as lines, polylines or hatches, not as bodies in space or \
                    references to other files";
        return whole_file(file, "the drawing holds no lines that can be read", fix);
    };
    let named = |&layer: &usize| (quoted(&strokes.layers[layer]), counts[layer]);
    let most = order.iter().take(12).map(named).map(|(name, n)| format!("{name} ({n} lines)"));
    let most = most.collect::<Vec<_>>().join(", ");
    let what = format!("no layer has a name like walls; the drawing has {most}");
    let fix = "say which layer holds the walls and what they are built of";
    whole_file(file, what, &format!("{fix}: --map {example:?}=brick-half"))
}
