//! The plan as the page draws it: every feature in metres, whether it has faults or not.

use std::collections::BTreeMap;

use geo::Coord;
use serde::Serialize;
use serde_json::{Map, Value, json};

use forecast::{class_of, thickness};
use plan::{Backdrop, Level, PlacedFault, Plan, Severity, Sketch, Wall};
use units::Lengths;

/// A text as it was read: the plan, and what is wrong.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The plan, without what has faults; nothing where the text is none.
    pub plan: Option<Plan>,
    /// The picture under the plan, whatever is wrong with what is drawn over it.
    pub backdrop: Option<Backdrop>,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// What is doubtful, for people.
    pub doubts: Vec<String>,
    metres_per_unit: f64,
    /// Its levels, as far as they are without fault.
    pub levels: Vec<Level>,
    features: Vec<Sketch>,
}

/// Something wrong in a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fault {
    /// From 1.
    pub number: usize,
    /// The feature's id, if it is one's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feature: Option<String>,
    /// Where on the plan, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<[f64; 2]>,
    /// On which level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<i32>,
    /// What is wrong.
    pub what: String,
    /// How to fix it.
    pub fix: String,
}

impl Drawn {
    /// Reads a text; `source` is the file's name.
    #[must_use]
    pub fn read(source: &str, text: &str) -> Self {
        let reading = plan::read_leniently(source, text.as_bytes(), &forecast::vocabulary());
        let (faults, doubts): (Vec<_>, Vec<_>) =
            reading.faults.into_iter().partition(|one| one.diagnostic.severity == Severity::Error);
        let features = reading.features;
        let fault = |(one, number): (PlacedFault, usize)| {
            let feature = one.feature.and_then(|feature| features.get(feature));
            Fault {
                number,
                feature: feature.map(|feature| feature.id.clone()),
                at: one.at.map(|at| [at.x, at.y]),
                level: feature.and_then(|feature| feature.level),
                what: one.diagnostic.what,
                fix: one.diagnostic.fix,
            }
        };
        Self {
            plan: reading.plan,
            backdrop: reading.backdrop,
            faults: faults.into_iter().zip(1..).map(fault).collect(),
            doubts: doubts.iter().map(|one| one.diagnostic.to_string()).collect(),
            metres_per_unit: reading.metres_per_unit,
            levels: reading.levels,
            features,
        }
    }

    /// The unit in which it is drawn.
    #[must_use]
    pub fn lengths(&self) -> Lengths {
        Lengths::of(self.metres_per_unit)
    }

    /// West, south, east and north end of all that is drawn, metres; nothing where nothing is.
    #[must_use]
    pub fn bounds(&self) -> Option<[f64; 4]> {
        let lines = self.features.iter().flat_map(|feature| &feature.lines);
        lines.flatten().fold(None, |bounds, at| {
            let [x0, y0, x1, y1] = bounds.unwrap_or([at.x, at.y, at.x, at.y]);
            Some([x0.min(at.x), y0.min(at.y), x1.max(at.x), y1.max(at.y)])
        })
    }

    /// The members of the plan's message that come from the text.
    #[must_use]
    pub fn members(&self) -> Map<String, Value> {
        let facts = self.plan.as_ref().map(Facts::of).unwrap_or_default();
        let lowest = self.levels.first().map_or(0, |level| level.number);
        let features: Vec<Value> = self.features.iter().map(|one| facts.row(one, lowest)).collect();
        let levels: Vec<Value> = self.levels.iter().map(level_row).collect();
        let name = self.plan.as_ref().map_or("", |plan| plan.name.as_str());
        let members = [
            ("name", name.into()),
            ("units", self.lengths().sign().into()),
            ("levels", levels.into()),
            ("features", features.into()),
            ("bounds", json!(self.bounds().unwrap_or([0.0, 0.0, 10.0, 10.0]))),
            ("faults", json!(self.faults)),
        ];
        members.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
    }
}

fn level_row(level: &Level) -> Value {
    json!({
        "number": level.number,
        "name": level.name,
        "floor_m": level.floor_m,
        "ceiling_m": level.ceiling_m,
    })
}

/// Thickness, metres, and class of what each feature is built of, by its id.
#[derive(Debug, Default)]
struct Facts(BTreeMap<String, (f64, &'static str)>);

impl Facts {
    fn of(plan: &Plan) -> Self {
        let mut facts = BTreeMap::new();
        let class = |name: &str| class_of(plan, name).word();
        let thick = |wall: &Wall| {
            let usual = || thickness(plan, &wall.construction).0;
            wall.thickness_mm.map_or_else(usual, |mm| mm / 1000.0)
        };
        for wall in &plan.walls {
            facts.insert(wall.id.clone(), (thick(wall), class(&wall.construction)));
        }
        for opening in &plan.openings {
            if let Some(wall) = plan.walls.get(opening.wall) {
                facts.insert(opening.id.clone(), (thick(wall), class(&opening.construction)));
            }
        }
        let slabs = plan.slabs.iter().map(|slab| (&slab.id, &slab.construction));
        let obstacles = plan.obstacles.iter().map(|it| (&it.id, &it.construction));
        for (id, construction) in slabs.chain(obstacles) {
            facts.insert(id.clone(), (thickness(plan, construction).0, class(construction)));
        }
        Self(facts)
    }

    /// A feature as the page draws it.
    fn row(&self, sketch: &Sketch, lowest: i32) -> Value {
        let properties: Value = serde_json::from_str(&sketch.properties).unwrap_or_default();
        let mut row = json!({
            "id": sketch.id,
            "kind": sketch.kind,
            "level": sketch.level.unwrap_or(lowest),
            "geometry": geometry(sketch),
            "properties": properties,
        });
        if let Some((thick, class)) = self.0.get(&sketch.id) {
            row["thickness_m"] = (*thick).into();
            row["class"] = (*class).into();
        }
        // What hangs on something faulty is left out with it.
        let hangs = sketch.kind == "opening" && !sketch.is_used;
        if sketch.is_faulty || hangs {
            row["faulty"] = true.into();
        }
        row
    }
}

/// The geometry in metres, as `GeoJSON`; nothing where there is no position.
fn geometry(sketch: &Sketch) -> Value {
    let pair = |position: &Coord<f64>| json!([position.x, position.y]);
    let line = |line: &Vec<Coord<f64>>| Value::from(line.iter().map(pair).collect::<Vec<_>>());
    let lines: Vec<Value> = sketch.lines.iter().map(line).collect();
    let first = lines.first().cloned();
    let coordinates = match sketch.geometry.as_str() {
        "Point" => first.and_then(|line| line.get(0).cloned()),
        "LineString" => first,
        "MultiPolygon" => Some(lines.into_iter().map(|ring| json!([ring])).collect()),
        _ if lines.is_empty() => None,
        _ => Some(lines.into()),
    };
    coordinates.map_or(
        Value::Null,
        |coordinates| json!({ "type": sketch.geometry, "coordinates": coordinates }),
    )
}
