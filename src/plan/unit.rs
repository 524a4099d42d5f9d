//! Units of length that a plan may be drawn in.

#[derive(Debug, Clone, Copy)]
pub(super) struct Unit {
    /// How many metres it has.
    pub(super) metres: f64,
    pub(super) symbol: &'static str,
}

pub(super) const METRE: Unit = Unit { metres: 1.0, symbol: "m" };

/// Exact: the international foot of 1959 (from memory).
pub(super) const FOOT: Unit = Unit { metres: 0.3048, symbol: "ft" };

impl Unit {
    /// The unit of a plan that has so many metres in one.
    pub(super) fn of(metres_per_unit: f64) -> Self {
        if metres_per_unit == FOOT.metres { FOOT } else { METRE }
    }

    /// A long length for a message, in whole units.
    pub(super) fn whole(self, length_m: f64) -> String {
        format!("{:.0} {}", length_m / self.metres, self.symbol)
    }

    /// A length for a message, in this unit, to a thousandth.
    pub(super) fn show(self, length_m: f64) -> String {
        format!("{} {}", thousandths(length_m / self.metres), self.symbol)
    }
}

/// A number rounded to thousandths, without a negative zero.
pub fn thousandths(number: f64) -> f64 {
    (number * 1_000.0).round() / 1_000.0 + 0.0
}
