//! What can be drawn and hung: every construction with its loss at the plan's link, and the words
//! of the plan's format.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use forecast::{MOUNTS, Model, Surface, SurfaceNames, Surfaces};
use import::tape::{DeviceSort, SORTS};
use plan::{Construction, DeviceKind, Layer, Plan, ROLES};
use radio::{BuiltFor, DEFAULT_LINK, link};
use units::{Db, Hertz};
use words::Words;

/// Every construction that a plan may name: its own, then the built-in ones.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Palette(Vec<Row>);

#[derive(Debug, Clone, PartialEq)]
struct Row {
    name: String,
    class: &'static str,
    built_for: Vec<&'static str>,
    /// Loss straight through at the frequency of the plan's link, dB.
    loss_db: f64,
    /// What it is, if it is the plan's own.
    own: Option<Construction>,
}

impl Palette {
    /// What a plan may name.
    #[must_use]
    pub fn of(plan: &Plan, model: &Model) -> Self {
        let own = plan.link.as_ref();
        let like = own.and_then(|own| own.like.as_deref()).unwrap_or(DEFAULT_LINK);
        let usual = || link(like).map(|link| link.frequency);
        let frequency = own.and_then(|own| own.frequency_mhz).map(Hertz::from_mhz).or_else(usual);
        let Some(frequency) = frequency else { return Self::default() };
        let built_in = radio::catalogue().iter();
        let built_in = built_in.filter(|one| !plan.constructions.contains_key(one.name));
        let names: Vec<String> =
            plan.constructions.keys().cloned().chain(built_in.map(|it| it.name.into())).collect();
        let surfaces = Surfaces::new(plan, &SurfaceNames::of(plan, names.iter()), frequency, model);
        let by_name: BTreeMap<&str, &Surface> =
            surfaces.constructions().map(|surface| (surface.name.as_str(), surface)).collect();
        let row = |name: &String| {
            let surface = by_name.get(name.as_str())?;
            let own = plan.constructions.get(name);
            let built_in = radio::construction(name).filter(|_| own.is_none());
            let built_for = built_in.map_or(BuiltFor::ALL.as_slice(), |one| one.built_for());
            Some(Row {
                name: name.clone(),
                class: surface.class.word(),
                built_for: built_for.iter().map(|one| one.word()).collect(),
                loss_db: report::rounded(surface.normal_loss().0),
                own: own.cloned(),
            })
        };
        Self(names.iter().filter_map(row).collect())
    }

    /// The constructions as the plan's message has them.
    #[must_use]
    pub fn in_plan(&self) -> Value {
        let row = |row: &Row| json!({"name": row.name, "class": row.class, "loss_db": row.loss_db});
        self.0.iter().map(row).collect()
    }

    /// The members of the message `palette`, but for type and version.
    #[must_use]
    pub fn members(&self, words: &Words) -> Value {
        let role = |role: &&'static str| json!({"name": role, "words": words.term("role", role)});
        let mount = |(name, loss): &(&str, Db)| {
            let said = words.term("mount", name);
            json!({"name": name, "words": said, "loss_db": loss.0})
        };
        json!({
            "constructions": self.0.iter().map(|row| row.members(words)).collect::<Vec<_>>(),
            "mounts": MOUNTS.iter().map(mount).collect::<Vec<_>>(),
            "kinds": SORTS.iter().map(|sort| kind(words, sort)).collect::<Vec<_>>(),
            "roles": ROLES.iter().map(role).collect::<Vec<_>>(),
        })
    }
}

impl Row {
    /// What people call it, what it is, and its loss.
    fn members(&self, words: &Words) -> Value {
        let layers = || words.term("layers", &self.name).unwrap_or_default();
        json!({
            "name": self.name,
            "called": words.construction(&self.name),
            "words": self.own.as_ref().map_or_else(layers, |own| own_words(words, own)),
            "class": self.class,
            "for": self.built_for,
            "loss_db": self.loss_db,
            "own": self.own.is_some(),
        })
    }
}

/// What a device may be: its kind, what is usual of it, and the roles that it may have. A height
/// is above the floor, or below the ceiling.
fn kind(words: &Words, sort: &DeviceSort) -> Value {
    let is_sensor = sort.kind == DeviceKind::Sensor;
    let height = if sort.height_m < 0.0 { "below_ceiling_m" } else { "height_m" };
    json!({
        "name": sort.word,
        "words": words.term("device", sort.word),
        "kind": sort.kind.word(),
        "device": sort.device,
        "role": sort.role,
        "roles": if is_sensor { ROLES.as_slice() } else { &[] },
        height: sort.height_m.abs(),
    })
}

/// A plan's own construction in words.
fn own_words(words: &Words, own: &Construction) -> String {
    let layer = |layer: &Layer| match layer {
        Layer::Bulk { material, thickness_mm } => {
            let material = words.term("material", material).unwrap_or_else(|| material.clone());
            words.layer_bulk(&words.plain(thickness_mm), &material)
        }
        Layer::Film { sheet_resistance_ohm } => {
            words.layer_film(&words.plain(sheet_resistance_ohm))
        }
    };
    let measured =
        |(mhz, loss_db): &(f64, f64)| words.layer_loss(&words.plain(loss_db), &words.plain(mhz));
    match own {
        Construction::Layers(layers) => layers.iter().map(layer).collect::<Vec<_>>().join(", "),
        Construction::Measured(table) => {
            let rows: Vec<String> = table.iter().map(measured).collect();
            words.layer_measured(&rows.join(", "))
        }
    }
}
