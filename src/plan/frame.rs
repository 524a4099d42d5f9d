//! What holds for the whole plan: units, levels, the names that features may refer to.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::limits::MAX_LEVELS;
use super::members::{LEVEL, UNDER, rows};
use super::unit::{FOOT, METRE, Unit};
use super::{Construction, Level, Vocabulary};
use input::json::{Sort, Value};
use input::{Diagnostics, one_of, quoted};

/// Ceiling of the level that a plan without levels has, metres above its floor.
const DEFAULT_CEILING_M: f64 = 2.4;

/// By how much one level may reach into the next for rounding's sake, metres.
const LEVEL_OVERLAP_M: f64 = 0.001;

/// What is known of the plan before its features are read, and where faults go.
pub(super) struct Frame<'v> {
    pub(super) vocabulary: &'v Vocabulary,
    pub(super) faults: Diagnostics,
    pub(super) unit: Unit,
    /// Whether lengths can be judged: not while the unit is unknown, coordinates are
    /// degrees, or walls are too many in one place.
    pub(super) lengths_make_sense: bool,
    /// Ascending by number.
    pub(super) levels: Vec<Level>,
    /// The user's constructions that are without fault.
    pub(super) constructions: BTreeMap<String, Construction>,
    /// The names of all user's constructions, faulty or not.
    pub(super) own_names: BTreeSet<String>,
    /// The numbers of devices, each with its place.
    pub(super) numbers: BTreeMap<u32, usize>,
    /// The numbers printed on transmitters, each with its place.
    pub(super) serials: BTreeMap<String, usize>,
    /// Place and id of every panel, in file order.
    pub(super) panels: Vec<(usize, String)>,
    pub(super) sensors: usize,
    pub(super) needs_sensors: bool,
}

impl<'v> Frame<'v> {
    pub(super) fn new(vocabulary: &'v Vocabulary, faults: Diagnostics) -> Self {
        Self {
            vocabulary,
            faults,
            unit: METRE,
            lengths_make_sense: true,
            levels: Vec::new(),
            constructions: BTreeMap::new(),
            own_names: BTreeSet::new(),
            numbers: BTreeMap::new(),
            serials: BTreeMap::new(),
            panels: Vec::new(),
            sensors: 0,
            needs_sensors: true,
        }
    }

    /// Reads the member `units`.
    pub(super) fn read_units(&mut self, top: &Fields<'_>) {
        if let Some(value) = top.value("units")
            && value.sort() != Sort::Text
        {
            self.lengths_make_sense = false;
        }
        let Some(units) = top.text("units", &mut self.faults) else {
            return;
        };
        match units.as_str() {
            "m" => {}
            "ft" => self.unit = FOOT,
            _ => {
                self.lengths_make_sense = false;
                let what = format!("the units {} are not known", quoted(&units));
                let fix = match units.to_lowercase().as_str() {
                    "metre" | "metres" | "meter" | "meters" => "write \"m\"",
                    "foot" | "feet" | "'" | "′" => "write \"ft\"",
                    _ => "use \"m\" or \"ft\" and convert the coordinates",
                };
                top.fault("units", &mut self.faults, || (what, fix));
            }
        }
    }

    /// Reads the member `levels`; without it there is one level.
    pub(super) fn read_levels(&mut self, top: &Fields<'_>) {
        match top.value("levels") {
            None => self.levels.push(Level {
                number: 0,
                name: "level 0".to_owned(),
                floor_m: 0.0,
                ceiling_m: DEFAULT_CEILING_M,
                is_over_air: false,
            }),
            Some(list) if list.sort() == Sort::List => {
                let items = list.items();
                if items.is_empty() || items.len() > MAX_LEVELS {
                    let what = format!("a plan has 1 to {MAX_LEVELS} levels, not {}", items.len());
                    let fix = "for one level of usual height, leave \"levels\" out";
                    top.fault("levels", &mut self.faults, || (what, fix));
                }
                let mut places = BTreeMap::new();
                let levels = items.into_iter().take(MAX_LEVELS);
                levels.for_each(|item| self.read_level(item, &mut places));
                self.levels.sort_by_key(|level| level.number);
                self.check_overlap(&places);
            }
            Some(other) => {
                let what = format!("\"levels\" must be a list, not {}", other.described());
                let fix = "write [{\"level\": 0, \"floor\": 0.0, \"ceiling\": 2.4}]";
                top.fault("levels", &mut self.faults, || (what, fix));
            }
        }
    }

    fn read_level(&mut self, item: Value<'_>, places: &mut BTreeMap<i32, usize>) {
        let faults = &mut self.faults;
        let Some(fields) = Fields::of(item, &LEVEL, "a level", None, faults) else { return };
        for member in rows(LEVEL.members).filter(|member| member.needed) {
            fields.need(
                member.name,
                "give every level its \"level\", \"floor\" and \"ceiling\"",
                faults,
            );
        }
        let number = level_number(&fields, "level", faults);
        let floor_m = fields.height_m("floor", self.unit.metres, faults);
        let ceiling_m = fields.height_m("ceiling", self.unit.metres, faults);
        let name = fields.text("name", faults);
        let under = fields.word("under", &UNDER, faults);
        if let (Some(floor_m), Some(ceiling_m)) = (floor_m, ceiling_m)
            && floor_m >= ceiling_m
        {
            let fix = "measure both from the plan's zero; they may be swapped";
            fields.fault("ceiling", faults, || ("the ceiling is not above the floor", fix));
        }
        let Some(number) = number else { return };
        let at = fields.place("level");
        let first = *places.entry(number).or_insert(at);
        if first != at {
            let what = format!("two levels have the \"level\" {number}");
            faults.fault_with_other(at, first, None, || (what, "give each a \"level\" of its own"));
            return;
        }
        let floor_m = floor_m.unwrap_or_default();
        self.levels.push(Level {
            number,
            name: name.unwrap_or_else(|| format!("level {number}")),
            floor_m,
            ceiling_m: ceiling_m.unwrap_or(floor_m + DEFAULT_CEILING_M),
            is_over_air: under == Some("air"),
        });
    }

    fn check_overlap(&mut self, places: &BTreeMap<i32, usize>) {
        let mut by_floor: Vec<&Level> = self.levels.iter().collect();
        let unit = self.unit;
        by_floor.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
        for pair in by_floor.windows(2) {
            let [low, high] = pair else { continue };
            let place = |level: &Level| places.get(&level.number).copied().unwrap_or_default();
            if low.ceiling_m > high.floor_m + LEVEL_OVERLAP_M {
                let (floor, ceiling) = (unit.show(high.floor_m), unit.show(low.ceiling_m));
                let (number, lower) = (high.number, low.number);
                let what = format!(
                    "the floor of level {number}, {floor}, is below the ceiling of level {lower}, \
                     {ceiling}"
                );
                let fix = "measure floor and ceiling from the plan's zero";
                self.faults.fault_with_other(place(high), place(low), None, || (what, fix));
            }
        }
    }

    pub(super) fn level(&self, number: i32) -> Option<&Level> {
        self.levels.iter().find(|level| level.number == number)
    }

    pub(super) fn level_numbers(&self) -> String {
        let numbers: Vec<String> =
            self.levels.iter().map(|level| level.number.to_string()).collect();
        one_of(numbers.iter().map(String::as_str))
    }

    /// The level that a member of a feature names; nothing if it names none, or after a fault.
    pub(super) fn named_level(&mut self, fields: &Fields<'_>, member: &str) -> Option<Level> {
        let number = level_number(fields, member, &mut self.faults)?;
        let level = self.level(number).cloned();
        if level.is_none() && !self.levels.is_empty() {
            let numbers = self.level_numbers();
            let what = format!("the plan has no level {number}");
            let fix = format!("give one of \"levels\": {numbers}");
            fields.fault(member, &mut self.faults, || (what, fix));
        }
        level
    }

    /// The level of a feature that must have one: what it names, else the only one of the plan.
    pub(super) fn required_level(&mut self, fields: &Fields<'_>) -> Option<Level> {
        if fields.value("level").is_some() {
            return self.named_level(fields, "level");
        }
        match self.levels.as_slice() {
            [] => return None, // "levels" itself has a fault, which is noted.
            [only] => return Some(only.clone()),
            _ => {}
        }
        let fix = format!("give one of \"levels\": {}", self.level_numbers());
        fields.need("level", &fix, &mut self.faults);
        None
    }

    /// The level of a feature that may name none: the lowest, with a warning if there are several.
    pub(super) fn optional_level(&mut self, fields: &Fields<'_>) -> Option<Level> {
        if fields.value("level").is_some() || self.levels.len() < 2 {
            return self.required_level(fields);
        }
        let first = self.levels.first().cloned()?;
        let numbers = self.level_numbers();
        let what = format!("no level is given; taken as level {}", first.number);
        let fix = format!("give one of \"levels\": {numbers}");
        fields.warning("level", &mut self.faults, || (what, fix));
        Some(first)
    }

    pub(super) fn construction(&mut self, fields: &Fields<'_>, kind: &str) -> Option<String> {
        if fields.value("construction").is_none() {
            let fix =
                format!("say what the {kind} is built of; `drillonce catalogue` lists every name");
            fields.need("construction", &fix, &mut self.faults);
            return None;
        }
        let name = fields.text("construction", &mut self.faults)?;
        let known = self.own_names.iter().chain(&self.vocabulary.constructions).map(String::as_str);
        let fix = Some("`drillonce catalogue` lists every name");
        let said = ("construction", name.as_str());
        let is_known = fields.must_be_known("construction", said, known, fix, &mut self.faults);
        is_known.then_some(name)
    }
}

fn level_number(fields: &Fields<'_>, member: &str, faults: &mut Diagnostics) -> Option<i32> {
    #[expect(clippy::cast_possible_truncation, reason = "a whole number within LEVEL_NUMBERS")]
    fields.whole(member, faults).map(|number| number as i32)
}

/// How to fix a base or top that was measured from the wrong place.
pub(super) fn from_zero(level: &Level, unit: Unit) -> String {
    let number = level.number;
    if level.floor_m == 0.0 {
        return format!("measure base and top from the floor of level {number}");
    }
    format!(
        "measure base and top from the plan's zero, not from the floor of level {number} at {}",
        unit.show(level.floor_m)
    )
}
