//! Lengths as people read them: metres, or feet and inches.

use std::fmt;

/// Metres in a foot, exactly (the international foot of 1959, from memory).
pub const FOOT_M: f64 = 0.3048;

/// Inches in a foot.
const INCHES: f64 = 12.0;

/// Places behind the point of a length that is shown as exactly as anybody marks one.
const FINE: usize = 3;

/// The unit that lengths are shown in: the one that a plan is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lengths {
    /// Metres, square metres.
    #[default]
    Metric,
    /// Feet and inches, square feet.
    Feet,
}

/// A length to be shown: see [`Lengths`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    lengths: Lengths,
    metres: f64,
    places: usize,
}

impl Lengths {
    /// The unit of a plan that has so many metres in one of its own.
    #[must_use]
    pub fn of(metres_per_unit: f64) -> Self {
        if metres_per_unit == FOOT_M { Self::Feet } else { Self::Metric }
    }

    /// Metres in one unit.
    #[must_use]
    pub const fn metres(self) -> f64 {
        match self {
            Self::Metric => 1.0,
            Self::Feet => FOOT_M,
        }
    }

    /// The unit's sign in heads of columns and on axes.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Metric => "m",
            Self::Feet => "ft",
        }
    }

    /// The unit's name in the plural.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Metric => "metres",
            Self::Feet => "feet",
        }
    }

    /// A length that is measured with a tape: `2.30 m`, or `7' 6"` to the nearest inch.
    #[must_use]
    pub const fn tape(self, metres: f64) -> Length {
        Length { lengths: self, metres, places: 2 }
    }

    /// A length as one types it into a list: `2.5`, or `8' 2"`.
    #[must_use]
    pub fn typed(self, metres: f64) -> String {
        match self {
            Self::Metric => format!("{metres}"),
            Self::Feet => self.tape(metres).to_string(),
        }
    }

    /// A length as exact as anybody marks one: `3.605 m`, or `7' 6 1/2"` to an eighth of an inch.
    #[must_use]
    pub const fn fine(self, metres: f64) -> Length {
        Length { lengths: self, metres, places: FINE }
    }

    /// A way or a run of cable: `7.1 m`, or `23' 4"`.
    #[must_use]
    pub const fn run(self, metres: f64) -> Length {
        Length { lengths: self, metres, places: 1 }
    }

    /// A length as the number alone, in the unit, for a column of them.
    #[must_use]
    pub fn number(self, metres: f64, places: usize) -> String {
        format!("{:.places$}", metres / self.metres() + 0.0)
    }

    /// An area: `29 m²`, below ten `2.7 m²`; `312 sq ft`.
    #[must_use]
    pub fn area(self, square_metres: f64) -> String {
        let number = square_metres / self.metres().powi(2);
        match self {
            Self::Metric if number < 10.0 => format!("{number:.1} m²"),
            Self::Metric => format!("{number:.0} m²"),
            Self::Feet => format!("{number:.0} sq ft"),
        }
    }
}

impl Length {
    /// The length in feet and inches, `None` in metres; the sign goes with the feet.
    fn inches(self) -> Option<(bool, f64, f64)> {
        let parts = if self.places == FINE { 8.0 } else { 1.0 };
        let all = (self.metres.abs() / FOOT_M * INCHES * parts).round() / parts;
        let feet = (all / INCHES).floor();
        let parts = (self.metres < 0.0 && all > 0.0, feet, all - feet * INCHES);
        (self.lengths == Lengths::Feet).then_some(parts)
    }

    /// The length in words of which the decimal sign is given: `2,30 m` in Spanish.
    #[must_use]
    pub fn with_decimal(self, decimal: &str, space: &str) -> String {
        match self.inches() {
            None => {
                let mut number = format!("{:.*}", self.places, self.metres + 0.0);
                if self.places == FINE {
                    number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
                }
                format!("{}{space}m", number.replace('.', decimal))
            }
            Some((below, feet, inches)) => {
                let sign = if below { "-" } else { "" };
                match (feet, inches) {
                    (0.0, inches) => format!("{sign}{}\"", eighths(inches)),
                    (feet, 0.0) => format!("{sign}{feet:.0}'"),
                    (feet, inches) => format!("{sign}{feet:.0}'{space}{}\"", eighths(inches)),
                }
            }
        }
    }
}

/// Inches in whole eighths as a tape shows them: `6`, `6 1/2`, `3/8`.
fn eighths(inches: f64) -> String {
    let part = match (inches.fract() * 8.0).round() {
        2.0 => "1/4".to_owned(),
        4.0 => "1/2".to_owned(),
        6.0 => "3/4".to_owned(),
        odd => format!("{odd:.0}/8"),
    };
    match (inches.floor(), inches.fract()) {
        (whole, 0.0) => format!("{whole:.0}"),
        (0.0, _) => part,
        (whole, _) => format!("{whole:.0} {part}"),
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        super::padded(f, &self.with_decimal(".", " "))
    }
}

#[cfg(test)]
mod tests {
    use super::Lengths;

    #[test]
    fn feet_come_with_whole_inches_that_carry() {
        let tape = |metres: f64| Lengths::Feet.tape(metres).to_string();
        assert_eq!(tape(2.286), "7' 6\"");
        assert_eq!(tape(2.43), "8'");
        assert_eq!(tape(0.1524), "6\"");
        assert_eq!(tape(0.0), "0\"");
        assert_eq!(tape(-0.31), "-1'");
    }

    #[test]
    fn a_fine_length_goes_to_the_millimetre_or_an_eighth_of_an_inch() {
        let fine = |lengths: Lengths, metres: f64| lengths.fine(metres).to_string();
        assert_eq!(fine(Lengths::Metric, 3.6), "3.6 m");
        assert_eq!(fine(Lengths::Metric, 3.6054), "3.605 m");
        assert_eq!(fine(Lengths::Metric, 2000.0), "2000 m");
        assert_eq!(fine(Lengths::Feet, 2.2987), "7' 6 1/2\"");
        assert_eq!(fine(Lengths::Feet, 0.0095), "3/8\"");
        assert_eq!(fine(Lengths::Feet, 2.4383), "8'");
    }

    #[test]
    fn metres_have_as_many_places_as_their_use() {
        assert_eq!(Lengths::Metric.tape(2.3).to_string(), "2.30 m");
        assert_eq!(Lengths::Metric.run(7.06).to_string(), "7.1 m");
        assert_eq!(Lengths::Metric.tape(2.3).with_decimal(",", "\u{a0}"), "2,30\u{a0}m");
        assert_eq!(Lengths::Feet.area(29.0), "312 sq ft");
    }
}
