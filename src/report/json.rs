//! JSON with rounded numbers: the one place where figures lose digits that nobody knows.

use std::io;

use serde::Serialize;
use serde_json::Value;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};

use plan::Device;

/// A number with four digits after the point: finer than anything here is known, coarse enough to
/// hide the order in which sums were taken.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    let scaled = (value * 1e4).round() / 1e4;
    // No negative zero in a report.
    if scaled == 0.0 { 0.0 } else { scaled }
}

/// A chance with six significant digits: small ones keep their size.
fn rounded_chance(value: f64) -> f64 {
    if value == 0.0 {
        return value;
    }
    let digits = 5 - value.abs().log10().floor() as i32;
    let scale = 10f64.powi(digits.clamp(0, 300));
    (value * scale).round() / scale
}

/// Writes JSON with line breaks and rounds its numbers by the names of their members: chances to
/// six significant digits, all others to four digits after the point. What reproduces a run stays
/// as it is.
#[derive(Default)]
struct Rounding<'e> {
    pretty: PrettyFormatter<'static>,
    /// Members, divided by blanks, whose values, and all within them, stay as they are.
    exact: &'e str,
    /// How many objects and arrays are open.
    depth: usize,
    /// The last member's name.
    name: String,
    in_name: bool,
    /// The depth of the exact member that is being written.
    exact_at: Option<usize>,
}

/// Hands calls over to the pretty formatter, and counts what is open.
macro_rules! as_pretty {
    ($($method:ident($($value:ident: $of:ty)?) $(depth $step:tt)?;)*) => {
        $(fn $method<W: ?Sized + io::Write>(
            &mut self,
            to: &mut W,
            $($value: $of)?
        ) -> io::Result<()> {
            $(self.depth $step 1;)?
            self.pretty.$method(to $(, $value)?)
        })*
    };
}

impl Formatter for Rounding<'_> {
    as_pretty! {
        begin_array() depth +=;
        end_array() depth -=;
        begin_array_value(first: bool);
        end_array_value();
        begin_object() depth +=;
        end_object() depth -=;
        begin_object_value();
        end_object_value();
    }

    fn begin_object_key<W: ?Sized + io::Write>(
        &mut self,
        to: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.name.clear();
        self.in_name = true;
        self.pretty.begin_object_key(to, first)
    }

    fn end_object_key<W: ?Sized + io::Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.in_name = false;
        if self.exact_at.is_none_or(|depth| self.depth <= depth) {
            self.exact_at =
                self.exact.split(' ').any(|name| name == self.name).then_some(self.depth);
        }
        self.pretty.end_object_key(to)
    }

    fn write_string_fragment<W: ?Sized + io::Write>(
        &mut self,
        to: &mut W,
        text: &str,
    ) -> io::Result<()> {
        if self.in_name {
            self.name.push_str(text);
        }
        self.pretty.write_string_fragment(to, text)
    }

    fn write_f64<W: ?Sized + io::Write>(&mut self, to: &mut W, value: f64) -> io::Result<()> {
        let name = self.name.as_str();
        let is_chance = name.ends_with("fault_per_year")
            || matches!(name, "chance" | "chance_of_any_fault" | "chance_at_least");
        let value = match self.exact_at {
            Some(_) => value,
            None if is_chance => rounded_chance(value),
            None => rounded(value),
        };
        self.pretty.write_f64(to, value)
    }
}

/// A report as JSON, with a line feed at its end. `exact` names members, divided by blanks and
/// at any depth, whose values are not rounded.
pub(crate) fn pretty(of: &impl Serialize, exact: &str) -> String {
    let mut bytes = Vec::new();
    let formatter = Rounding { exact, ..Rounding::default() };
    let written = of.serialize(&mut Serializer::with_formatter(&mut bytes, formatter));
    written.expect("a report is plain data, and memory takes it");
    bytes.push(b'\n');
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A row with its numbers as they stand in the JSON.
pub(crate) fn value(of: &impl Serialize) -> Value {
    serde_json::from_str(&pretty(of, "")).expect("it was written as JSON")
}

/// Declares the JSON objects of things that are not the report's own, or of several such together.
/// A member after `if … =>` is left out where that does not hold.
macro_rules! objects {
    ($(
        $(#[$doc:meta])* $name:ident($($row:ident: $of:ty),+) {
            $($(if $when:expr =>)? $key:literal: $value:expr),* $(,)?
        }
    )*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub(crate) struct $name<'a>($(pub(crate) &'a $of),+);

        impl serde::Serialize for $name<'_> {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                use serde::ser::SerializeMap as _;
                let Self($($row),+) = *self;
                let mut map = to.serialize_map(None)?;
                $(if true $(&& $when)? {
                    map.serialize_entry($key, &$value)?;
                })*
                map.end()
            }
        }
    )*};
}
pub(crate) use objects;

/// The method by which a report is written: the object that its JSON is, and what is exact in it.
macro_rules! as_json {
    ($whole:expr, $exact:expr) => {
        /// The report as JSON, with a line feed at its end.
        #[must_use]
        pub fn json(&self) -> String {
            crate::json::pretty(&$whole(self), $exact)
        }
    };
}
pub(crate) use as_json;

pub(crate) fn rows<'a, T: 'a, R>(
    all: impl IntoIterator<Item = &'a T>,
    row: impl Fn(&'a T) -> R,
) -> Vec<R> {
    all.into_iter().map(row).collect()
}

/// x, y and height above the plan's zero, metres.
pub(crate) const fn position(device: &Device) -> [f64; 3] {
    [device.position.x, device.position.y, device.height_m]
}

#[cfg(test)]
mod tests {
    use super::*;

    objects! {
        Sample(fine: f64) {
            "model": std::collections::BTreeMap::from([("k", [fine])]),
            "loss_db": fine,
            if *fine > 1.0 => "left_out": 0,
            "fault_per_year": 1e-9 * fine,
            "nothing_db": -1e-9,
            "endless_h": f64::INFINITY,
        }
    }

    #[test]
    fn numbers_are_rounded_by_the_names_of_their_members() {
        let text = pretty(&Sample(&(1.0 / 3.0)), "model");
        let text: String = text.split_whitespace().collect();
        assert_eq!(
            text,
            "{\"model\":{\"k\":[0.3333333333333333]},\"loss_db\":0.3333,\
             \"fault_per_year\":3.33333e-10,\"nothing_db\":0.0,\"endless_h\":null}"
        );
    }
}
