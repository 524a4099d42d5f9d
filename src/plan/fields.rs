//! The members of one object by name, each asked for by the sort of value it must have.
//!
//! A member that is `null` counts as absent: drawing programs write empty attributes so.

use super::limits::MAX_HEIGHT_M;
use super::members::{Members, Object, rows};
use super::unit::Unit;
use input::json::{Member, Sort, Value, warn_unknown};
use input::{Diagnostics, LONGEST_NAME, fix_name, one_line, one_of, quoted, shown};

pub(super) struct Fields<'t> {
    pub(super) whole: Value<'t>,
    pub(super) at: usize,
    pub(super) feature: Option<String>,
    /// What a member is called in messages: "property", "member".
    thing: &'static str,
    members: Vec<Member<'t>>,
    /// The members that it may have; none where names are the user's own.
    known: Members,
}

impl<'t> Fields<'t> {
    /// An object with fixed names, of which unknown ones are warned of; anything else is a fault.
    pub(super) fn of(
        value: Value<'t>,
        object: &'static Object,
        holder: &str,
        feature: Option<&str>,
        faults: &mut Diagnostics,
    ) -> Option<Self> {
        let mut fields = Self::named_freely(value, object.thing, holder, feature, faults);
        fields.know(object.members, faults);
        (value.sort() == Sort::Object).then_some(fields)
    }

    /// An object whose names are the user's own; anything else is a fault and has no members.
    pub(super) fn named_freely(
        value: Value<'t>,
        thing: &'static str,
        holder: &str,
        feature: Option<&str>,
        faults: &mut Diagnostics,
    ) -> Self {
        if value.sort() != Sort::Object {
            let what = format!("{holder} must be an object, not {}", value.described());
            let fix = format!("write {{…}} with {thing} names and values");
            faults.fault(value.at, feature, || (what, fix));
        }
        let members = value.members(feature, faults);
        let feature = feature.map(str::to_owned);
        Self { whole: value, at: value.at, feature, thing, members, known: &[] }
    }

    /// The members of an object that is not to be judged.
    pub(super) fn quietly(value: Value<'t>) -> Self {
        Self::named_freely(value, "", "", None, &mut Diagnostics::new(""))
    }

    /// Takes these members for the ones that the object may have, and warns of every other.
    pub(super) fn know(&mut self, known: Members, faults: &mut Diagnostics) {
        self.known = known;
        let names: Vec<&str> = rows(known).map(|member| member.name).collect();
        warn_unknown(&self.members, self.thing, &names, self.feature.as_deref(), faults);
    }

    fn bounds(&self, name: &str) -> (f64, f64) {
        let row = rows(self.known).find(|member| member.name == name);
        row.map_or((f64::NEG_INFINITY, f64::INFINITY), |member| member.holds.bounds())
    }

    /// The value of a member that is there and not null.
    pub(super) fn value(&self, name: &str) -> Option<Value<'t>> {
        debug_assert!(
            self.known.is_empty() || rows(self.known).any(|member| member.name == name),
            "{name} is not in the table of members"
        );
        let member = self.members.iter().find(|member| member.key == name)?;
        (member.value.sort() != Sort::Null).then_some(member.value)
    }

    pub(super) fn members(&self) -> &[Member<'t>] {
        &self.members
    }

    /// Where a member's value stands; where the object begins if it is absent.
    pub(super) fn place(&self, name: &str) -> usize {
        self.value(name).map_or(self.at, |value| value.at)
    }

    pub(super) fn fault<A: Into<String>, B: Into<String>>(
        &self,
        name: &str,
        faults: &mut Diagnostics,
        words: impl FnOnce() -> (A, B),
    ) {
        faults.fault(self.place(name), self.feature.as_deref(), words);
    }

    pub(super) fn warning<A: Into<String>, B: Into<String>>(
        &self,
        name: &str,
        faults: &mut Diagnostics,
        words: impl FnOnce() -> (A, B),
    ) {
        faults.warning(self.place(name), self.feature.as_deref(), words);
    }

    pub(super) fn need(&self, name: &str, fix: &str, faults: &mut Diagnostics) {
        if self.value(name).is_none() {
            let what = format!("the {} {} is missing", self.thing, quoted(name));
            faults.fault(self.at, self.feature.as_deref(), || (what, fix));
        }
    }

    /// The value of a member as the sort that is wanted; another sort is a fault.
    fn of_sort<T>(
        &self,
        name: &str,
        wanted: &str,
        read: impl Fn(&Value<'t>) -> Option<T>,
        faults: &mut Diagnostics,
    ) -> Option<T> {
        let value = self.value(name)?;
        let found = read(&value);
        if found.is_none() {
            let what = format!("{} must be {wanted}, not {}", quoted(name), value.described());
            let bare = value.text();
            let bare = bare.as_deref().unwrap_or_default().trim();
            let fix = match value.sort() {
                Sort::Text if wanted.contains("number") && bare.parse::<f64>().is_ok() => {
                    format!("write {} without quotation marks", shown(bare))
                }
                Sort::Text if wanted.contains("true") && matches!(bare, "true" | "false") => {
                    format!("write {bare} without quotation marks")
                }
                Sort::Number if wanted == "text" => {
                    format!("put it in quotation marks: \"{}\"", shown(value.raw))
                }
                _ => format!("give {wanted}, or leave {} out if it is optional", quoted(name)),
            };
            faults.fault(value.at, self.feature.as_deref(), || (what, fix));
        }
        found
    }

    /// A text, as [`one_line`] reads it; where that changes it, there is a warning.
    pub(super) fn text(&self, name: &str, faults: &mut Diagnostics) -> Option<String> {
        let given = self.of_sort(name, "text", Value::text, faults)?;
        Some(self.as_line(name, &given, faults))
    }

    /// What a member's text is read as; where that is something else, there is a warning.
    pub(super) fn as_line(&self, name: &str, given: &str, faults: &mut Diagnostics) -> String {
        let line = one_line(given);
        if *line != *given {
            self.warning(name, faults, || {
                let what = format!("{} is read as {}", quoted(name), quoted(&line));
                let most = "a text is one line of at most";
                (what, format!("{most} {LONGEST_NAME} characters, each of which shows"))
            });
        }
        line.into_owned()
    }

    pub(super) fn number(&self, name: &str, faults: &mut Diagnostics) -> Option<f64> {
        self.of_sort(name, "a finite number", Value::number, faults)
    }

    pub(super) fn boolean(&self, name: &str, faults: &mut Diagnostics) -> Option<bool> {
        self.of_sort(name, "true or false", Value::boolean, faults)
    }

    /// A member that is a whole number within its bounds.
    pub(super) fn whole(&self, name: &str, faults: &mut Diagnostics) -> Option<f64> {
        let (least, most) = self.bounds(name);
        let number = self.number(name, faults)?;
        if number.fract() == 0.0 && (least..=most).contains(&number) {
            return Some(number);
        }
        let what =
            format!("{} must be a whole number from {least} to {most}, not {number}", quoted(name));
        self.fault(name, faults, || (what, "give a whole number"));
        None
    }

    /// A member that counts something: a whole number within its bounds, none of them below zero.
    pub(super) fn count(&self, name: &str, faults: &mut Diagnostics) -> Option<u32> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number within its bounds, which are small"
        )]
        self.whole(name, faults).map(|count| count as u32)
    }

    /// A member that is a number within its bounds, for quantities that have a sane range.
    pub(super) fn within(&self, name: &str, faults: &mut Diagnostics) -> Option<f64> {
        let (least, most) = self.bounds(name);
        let number = self.number(name, faults)?;
        if (least..=most).contains(&number) {
            return Some(number);
        }
        let what = format!("{} is {number}, outside {least} to {most}", quoted(name));
        let fix = "check the sign and the unit at the end of the name";
        self.fault(name, faults, || (what, fix));
        None
    }

    pub(super) fn height_m(
        &self,
        name: &str,
        metres_per_unit: f64,
        faults: &mut Diagnostics,
    ) -> Option<f64> {
        let metres = self.number(name, faults)? * metres_per_unit;
        if metres.abs() <= MAX_HEIGHT_M {
            return Some(metres);
        }
        let shown = Unit::of(metres_per_unit).show(metres);
        let what = format!("{} is {shown}, beyond any building", quoted(name));
        self.fault(name, faults, || (what, "check the number and the plan's \"units\""));
        None
    }

    pub(super) fn word(
        &self,
        name: &str,
        words: &[&'static str],
        faults: &mut Diagnostics,
    ) -> Option<&'static str> {
        let given = self.text(name, faults)?;
        self.must_be_known(name, (name, &given), words.iter().copied(), None, faults);
        words.iter().find(|word| **word == given).copied()
    }

    /// Notes a fault where the name of a thing, which a member gives, is not among the known ones.
    /// How to fix it is said where no known name comes near; nothing lists them.
    pub(super) fn must_be_known<'n>(
        &self,
        member: &str,
        (thing, given): (&str, &str),
        known: impl IntoIterator<Item = &'n str> + Clone,
        otherwise: Option<&str>,
        faults: &mut Diagnostics,
    ) -> bool {
        let is_known = known.clone().into_iter().any(|name| name == given);
        if !is_known {
            self.fault(member, faults, || {
                let listed = || format!("it can be {}", one_of(known.clone()));
                let otherwise = otherwise.map_or_else(listed, str::to_owned);
                let what = format!("{} {} is not known", shown(thing), quoted(given));
                (what, fix_name(given, known.clone(), &otherwise))
            });
        }
        is_known
    }
}
