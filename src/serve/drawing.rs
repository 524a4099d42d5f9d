//! The plan as the page draws it: every feature in metres, whether it has faults or not.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use serde_json::{Map, Value, json};

use forecast::{Model, SurfaceNames, Surfaces, class_of, thickness};
use input::{Diagnostic, Severity};
use plan::{Level, Plan};
use radio::{DEFAULT_LINK, link};
use units::Hertz;

/// A text as it was read: the plan, and what is wrong.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The plan, without what has faults; nothing where the text is none.
    pub plan: Option<Plan>,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// What is doubtful, for people.
    pub doubts: Vec<String>,
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
        match plan::read(source, text.as_bytes(), &forecast::vocabulary()) {
            Ok(reading) => Self {
                plan: Some(reading.plan),
                faults: Vec::new(),
                doubts: reading.warnings.iter().map(ToString::to_string).collect(),
            },
            Err(found) => Self { plan: None, faults: faults(&found), doubts: Vec::new() },
        }
    }

    /// The members of the plan's message that come from the text.
    #[must_use]
    pub fn members(&self, text: &str) -> Map<String, Value> {
        let whole: Value = serde_json::from_str(text).unwrap_or_default();
        let in_feet = whole.get("units").and_then(Value::as_str).is_some_and(|u| u != "m");
        let metres = self
            .plan
            .as_ref()
            .map_or(if in_feet { 0.3048 } else { 1.0 }, |plan| plan.metres_per_unit);
        let facts = self.plan.as_ref().map(Facts::of).unwrap_or_default();
        let mut bounds = Bounds::default();
        let mut counts = BTreeMap::new();
        let faulty: BTreeSet<&str> =
            self.faults.iter().filter_map(|fault| fault.feature.as_deref()).collect();
        let list = whole.get("features").and_then(Value::as_array);
        let mut taken = BTreeSet::new();
        let features = list.into_iter().flatten().zip(1..).filter_map(|(feature, place)| {
            let properties = feature.get("properties")?;
            let kind = properties.get("kind").and_then(Value::as_str).unwrap_or_default();
            let count: &mut usize = counts.entry(kind.to_owned()).or_default();
            *count += 1;
            let id = match feature.get("id") {
                Some(Value::String(id)) => id.clone(),
                Some(Value::Number(id)) => id.to_string(),
                _ if kind.is_empty() => String::new(),
                _ => format!("{kind}-{count}"),
            };
            // What has no id of its own goes by its place, as an edit finds it.
            let id = if id.is_empty() || taken.contains(&id) { format!("#{place}") } else { id };
            taken.insert(id.clone());
            let mut geometry = feature.get("geometry").cloned().unwrap_or_default();
            if let Some(coordinates) = geometry.get_mut("coordinates") {
                in_metres(coordinates, metres, &mut bounds);
            }
            let fact = facts.by_id.get(&id);
            let named = properties.get("level").and_then(Value::as_i64);
            let level = fact.map(|fact| fact.level).or_else(|| i32::try_from(named?).ok());
            let mut shown = json!({
                "kind": kind,
                "level": level.unwrap_or(facts.lowest),
                "geometry": geometry,
                "properties": properties,
            });
            if let (Some(thick), Value::Object(shown)) = (fact.and_then(|f| f.built), &mut shown) {
                shown.insert("thickness_m".to_owned(), thick.0.into());
                shown.insert("class".to_owned(), thick.1.into());
            }
            if faulty.contains(id.as_str()) {
                shown["faulty"] = true.into();
            }
            shown["id"] = id.into();
            Some(shown)
        });
        let features: Vec<Value> = features.collect();
        let name = whole.get("name").and_then(Value::as_str).unwrap_or_default();
        let levels = self.plan.as_ref().map_or(&[][..], |plan| &plan.levels);
        let members = json!({
            "name": self.plan.as_ref().map_or(name, |plan| &plan.name),
            "units": if metres == 1.0 { "m" } else { "ft" },
            "levels": levels.iter().map(level_row).collect::<Vec<_>>(),
            "features": features,
            "bounds": bounds.corners(),
            "faults": self.faults,
        });
        match members {
            Value::Object(members) => members,
            _ => Map::new(),
        }
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

fn faults(found: &[Diagnostic]) -> Vec<Fault> {
    let errors = found.iter().filter(|one| one.severity == Severity::Error);
    let fault = |(one, number): (&Diagnostic, usize)| Fault {
        number,
        feature: one.feature.clone(),
        at: None,
        level: None,
        what: one.what.clone(),
        fix: one.fix.clone(),
    };
    errors.zip(1..).map(fault).collect()
}

/// What the plan knows of a feature beyond its text.
#[derive(Debug, Clone, Copy)]
struct Fact {
    level: i32,
    /// Thickness, metres, and class of what it is built of.
    built: Option<(f64, &'static str)>,
}

#[derive(Debug, Default)]
struct Facts {
    by_id: BTreeMap<String, Fact>,
    lowest: i32,
}

impl Facts {
    fn of(plan: &Plan) -> Self {
        let mut by_id = BTreeMap::new();
        let mut note = |id: &String, level, built| {
            by_id.insert(id.clone(), Fact { level, built });
        };
        let built = |name: &str| (thickness(plan, name).0, class_of(plan, name).word());
        for wall in &plan.walls {
            let (usual, class) = built(&wall.construction);
            let thick = wall.thickness_mm.map_or(usual, |mm| mm / 1000.0);
            note(&wall.id, wall.level, Some((thick, class)));
        }
        for opening in &plan.openings {
            if let Some(wall) = plan.walls.get(opening.wall) {
                let usual = built(&wall.construction).0;
                let thick = wall.thickness_mm.map_or(usual, |mm| mm / 1000.0);
                note(&opening.id, wall.level, Some((thick, built(&opening.construction).1)));
            }
        }
        plan.slabs.iter().for_each(|x| note(&x.id, x.level, Some(built(&x.construction))));
        plan.obstacles.iter().for_each(|x| note(&x.id, x.level, Some(built(&x.construction))));
        plan.devices.iter().for_each(|x| note(&x.id, x.level, None));
        plan.roams.iter().for_each(|x| note(&x.id, x.level, None));
        plan.mountables.iter().for_each(|x| note(&x.id, x.level, None));
        plan.outlets.iter().for_each(|x| note(&x.id, x.level, None));
        plan.stairs.iter().for_each(|x| note(&x.id, x.level, None));
        plan.room_names.iter().for_each(|x| note(&x.id, x.level, None));
        Self { by_id, lowest: plan.levels.first().map_or(0, |level| level.number) }
    }
}

/// The least box round all positions.
#[derive(Debug, Default)]
struct Bounds(Option<[f64; 4]>);

impl Bounds {
    fn add(&mut self, x: f64, y: f64) {
        let [x0, y0, x1, y1] = self.0.unwrap_or([x, y, x, y]);
        self.0 = Some([x0.min(x), y0.min(y), x1.max(x), y1.max(y)]);
    }

    fn corners(&self) -> [f64; 4] {
        self.0.unwrap_or([0.0, 0.0, 10.0, 10.0])
    }
}

/// Turns coordinates into metres. The reader bounds how deep they are nested.
fn in_metres(coordinates: &mut Value, metres: f64, bounds: &mut Bounds) {
    let Value::Array(list) = coordinates else { return };
    if let [x, y, ..] = list.as_slice()
        && let (Some(x), Some(y)) = (x.as_f64(), y.as_f64())
    {
        let (x, y) = (x * metres, y * metres);
        bounds.add(x, y);
        *list = vec![x.into(), y.into()];
        return;
    }
    list.iter_mut().for_each(|part| in_metres(part, metres, bounds));
}

/// Every construction that a plan may name, its own and the built-in ones, with class and loss at
/// the frequency of the plan's link.
#[must_use]
pub fn constructions(plan: &Plan, model: &Model) -> Value {
    let own = plan.link.as_ref();
    let like = own.and_then(|own| own.like.as_deref()).unwrap_or(DEFAULT_LINK);
    let usual = || link(like).map(|link| link.frequency);
    let frequency = own.and_then(|own| own.frequency_mhz).map(Hertz::from_mhz).or_else(usual);
    let Some(frequency) = frequency else { return Value::Null };
    let built_in: Vec<String> =
        radio::catalogue().iter().map(|construction| construction.name.to_owned()).collect();
    let names = SurfaceNames::of(plan, plan.constructions.keys().chain(&built_in));
    let surfaces = Surfaces::new(plan, &names, frequency, model);
    let row = |surface: &forecast::Surface| {
        json!({
            "name": surface.name,
            "class": surface.class.word(),
            "loss_db": report::rounded(surface.normal_loss().0),
        })
    };
    surfaces.constructions().map(row).collect()
}
