//! A draft as the text of a plan, laid out as the shipped ones: a feature a line.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Geometry, LineString};

use super::{Draft, Piece, What};
use crate::line::millimetre;
use input::one_line;
use plan::{Construction, Layer};

impl Draft {
    /// The plan as text, in the draft's unit: lengths to a thousandth of it, ids unique, levels in
    /// order, one feature a line. A ring of a polygon is closed if it is not.
    #[must_use]
    pub fn text(&self) -> String {
        let mut top = vec![
            member("type", quoted("FeatureCollection")),
            member("name", quoted(&self.name)),
            member("units", quoted(self.unit.symbol())),
        ];
        if !self.levels.is_empty() {
            let mut levels: Vec<_> = self.levels.iter().collect();
            levels.sort_by_key(|level| level.number);
            let rows = levels.iter().map(|level| {
                object([
                    member("level", level.number.to_string()),
                    member("name", quoted(&level.name)),
                    member("floor", self.length(level.floor_m)),
                    member("ceiling", self.length(level.ceiling_m)),
                ])
            });
            top.push(member("levels", spread('[', rows, ']')));
        }
        if let Some(link) = &self.link {
            top.push(member("link", quoted(link)));
        }
        if !self.constructions.is_empty() {
            let rows = self.constructions.iter();
            let rows = rows.map(|(name, own)| format!("{}: {}", quoted(name), construction(own)));
            top.push(member("constructions", spread('{', rows, '}')));
        }
        if let Some(ground) = self.ground.as_ref().filter(|ground| !ground.file.is_empty()) {
            // A millionth of a pixel across a wide picture.
            let number = |metres: f64| {
                format!("{:?}", (metres / self.unit.metres() * 1e9).round() / 1e9 + 0.0)
            };
            let picture = object([
                member("file", quoted(&ground.file)),
                member("transform", list(ground.transform.map(number))),
                member("opacity", format!("{:?}", plan::OPACITY)),
                member("level", "0".to_owned()),
            ]);
            top.push(member("backdrop", picture));
        }
        let mut ids = FreeIds::default();
        let features = self.pieces.iter().map(|piece| self.feature(piece, &mut ids));
        top.push(member("features", spread('[', features, ']')));
        format!("{{\n  {}\n}}\n", top.join(",\n  "))
    }

    fn length(&self, metres: f64) -> String {
        format!("{:?}", millimetre(metres / self.unit.metres()))
    }

    fn position(&self, at: Coord<f64>) -> String {
        format!("[{}, {}]", self.length(at.x), self.length(at.y))
    }

    fn positions(&self, line: &LineString<f64>) -> String {
        list(line.coords().map(|at| self.position(*at)))
    }

    fn geometry(&self, shape: &Geometry<f64>) -> String {
        let (name, coordinates) = match shape {
            Geometry::Point(point) => ("Point", self.position(point.0)),
            Geometry::Line(line) => ("LineString", self.positions(&LineString::from(*line))),
            Geometry::LineString(line) => ("LineString", self.positions(line)),
            Geometry::Polygon(area) => {
                let rings = std::iter::once(area.exterior()).chain(area.interiors());
                ("Polygon", list(rings.map(|ring| self.positions(ring))))
            }
            // No reader makes others; the plan's reader would name it as a fault.
            _ => ("GeometryCollection", list([])),
        };
        object([member("type", quoted(name)), member("coordinates", coordinates)])
    }

    fn feature(&self, piece: &Piece, ids: &mut FreeIds) -> String {
        object([
            member("type", quoted("Feature")),
            member("id", quoted(&ids.take(&piece.id, piece.what.word()))),
            member("geometry", self.geometry(&piece.shape)),
            member("properties", self.properties(piece)),
        ])
    }

    fn properties(&self, piece: &Piece) -> String {
        let height = |metres: &Option<f64>| metres.map(|metres| self.length(metres));
        let text = |text: &Option<String>| text.as_deref().map(quoted);
        let level = ("level", Some(piece.level.to_string()));
        let mut all = vec![("kind", Some(quoted(piece.what.word()))), ("name", text(&piece.name))];
        match &piece.what {
            What::Wall { construction, thickness_mm, base_m, top_m } => all.extend([
                ("construction", Some(quoted(construction))),
                ("thickness_mm", thickness_mm.map(|mm| format!("{:?}", mm.round()))),
                level,
                ("base", height(base_m)),
                ("top", height(top_m)),
            ]),
            What::Opening { construction, entry, open, base_m, top_m } => all.extend([
                ("construction", Some(quoted(construction))),
                level,
                ("state", open.then(|| quoted("open"))),
                ("base", height(base_m)),
                ("top", height(top_m)),
                ("entry", entry.then(|| "true".to_owned())),
            ]),
            What::Slab { construction } => {
                all.extend([("construction", Some(quoted(construction))), level]);
            }
            What::Obstacle { construction, base_m, top_m } => all.extend([
                ("construction", Some(quoted(construction))),
                level,
                ("base", height(base_m)),
                ("top", height(top_m)),
            ]),
            What::Room => all.push(level),
            What::Outlet { height_m } => all.extend([level, ("height", height(height_m))]),
            What::Stairs { to } => all.extend([level, ("to", to.map(|to| to.to_string()))]),
            What::Device { kind: _, height_m, device, role, number, room, mount, supervised } => {
                all.extend([
                    ("number", number.map(|number| number.to_string())),
                    ("room", text(room)),
                    ("role", text(role)),
                    ("device", text(device)),
                    level,
                    ("height", height(height_m)),
                    ("mount", text(mount)),
                    ("supervised", supervised.map(|supervised| supervised.to_string())),
                ]);
            }
        }
        object(all.into_iter().filter_map(|(name, value)| Some(member(name, value?))))
    }
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(&*one_line(text)).to_string()
}

fn member(name: &str, value: String) -> String {
    format!("\"{name}\": {value}")
}

fn object(members: impl IntoIterator<Item = String>) -> String {
    let members: Vec<String> = members.into_iter().collect();
    format!("{{{}}}", members.join(", "))
}

fn list(items: impl IntoIterator<Item = String>) -> String {
    let items: Vec<String> = items.into_iter().collect();
    format!("[{}]", items.join(", "))
}

/// A list or object at the top of the plan, an item a line.
fn spread(open: char, items: impl Iterator<Item = String>, close: char) -> String {
    let items: Vec<String> = items.collect();
    if items.is_empty() {
        // What is added will have lines of its own.
        return format!("{open}\n  {close}");
    }
    format!("{open}\n    {}\n  {close}", items.join(",\n    "))
}

fn construction(own: &Construction) -> String {
    match own {
        Construction::Layers(layers) => {
            let layers = layers.iter().map(|layer| match layer {
                Layer::Bulk { material, thickness_mm } => object([
                    member("material", quoted(material)),
                    member("thickness_mm", format!("{thickness_mm:?}")),
                ]),
                Layer::Film { sheet_resistance_ohm } => {
                    object([member("sheet_resistance_ohm", format!("{sheet_resistance_ohm:?}"))])
                }
            });
            object([member("layers", list(layers))])
        }
        Construction::Measured(pairs) => {
            let pair =
                |(mhz, loss_db): &(f64, f64)| member(&mhz.to_string(), format!("{loss_db:?}"));
            object([member("loss_db", object(pairs.iter().map(pair)))])
        }
    }
}

#[derive(Default)]
struct FreeIds {
    taken: BTreeSet<String>,
    /// The number that was last put behind each wish, so that many pieces of one name cost no time.
    last: BTreeMap<String, usize>,
}

impl FreeIds {
    /// An id that nobody has, in small letters, digits, hyphens: the wish, else kind and number.
    fn take(&mut self, wish: &str, kind: &str) -> String {
        let mut wish = slug(wish);
        let numbered = wish.is_empty();
        if numbered {
            kind.clone_into(&mut wish);
        }
        if !numbered && self.taken.insert(wish.clone()) {
            return wish;
        }
        let last = self.last.entry(wish.clone()).or_insert(usize::from(!numbered));
        loop {
            *last += 1;
            let id = format!("{wish}-{last}");
            if self.taken.insert(id.clone()) {
                return id;
            }
        }
    }
}

/// Longest id made of a name, in characters.
const LONGEST_ID: usize = 40;

/// A name as an id: small letters and digits of any script, with hyphens between words.
fn slug(name: &str) -> String {
    let mut id = String::new();
    for character in name.chars().flat_map(char::to_lowercase).take(LONGEST_ID) {
        if character.is_alphanumeric() {
            id.push(character);
        } else if !id.is_empty() && !id.ends_with('-') && character != '\'' && character != '’' {
            id.push('-');
        }
    }
    id.trim_end_matches('-').to_owned()
}
