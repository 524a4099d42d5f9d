//! Chances, and the one way in which they are shown.

use std::fmt;

use super::padded;

/// A chance, 0 to 1.
///
/// It is shown in per cent, with one digit after the point or as many as the format string says:
/// `12.3 %`. What is less than one unit of the last digit is shown as a bound, `below 0.1 %`, and
/// so is what is nearer than that to certainty, `above 99.9 %`: more is not known of either.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Chance(pub f64);

/// What is known of a chance at some number of digits, per cent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// It is less than this.
    Below(f64),
    /// It is this.
    About(f64),
    /// It is more than this.
    Above(f64),
}

impl Chance {
    /// How it is shown with so many digits after the point.
    #[must_use]
    pub fn shown(self, places: usize) -> Shown {
        let unit = 0.1_f64.powi(i32::try_from(places).unwrap_or(i32::MAX));
        let percent = self.0 * 100.0;
        if percent < unit {
            Shown::Below(unit)
        } else if percent > 100.0 - unit {
            Shown::Above(100.0 - unit)
        } else {
            Shown::About(percent)
        }
    }
}

impl Chance {
    /// It as a share of a hundred in whole numbers, never 0 or 100 where it is neither: `97 %`.
    #[must_use]
    pub fn percent(self) -> String {
        match self.shown(0) {
            Shown::Below(percent) if self.0 > 0.0 => format!("below {percent:.0} %"),
            Shown::Above(percent) if self.0 < 1.0 => format!("above {percent:.0} %"),
            _ => format!("{:.0} %", self.0 * 100.0),
        }
    }
}

impl fmt::Display for Chance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = f.precision().unwrap_or(1);
        let text = match self.shown(places) {
            Shown::Below(percent) => format!("below {percent:.places$} %"),
            Shown::About(percent) => format!("{percent:.places$} %"),
            Shown::Above(percent) => format!("above {percent:.places$} %"),
        };
        padded(f, &text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_shown_in_one_way() {
        let shown =
            [0.0, 0.000_9, 0.001, 0.123_4, 0.999, 0.999_1, 1.0].map(|x| Chance(x).to_string());
        let wanted = [
            "below 0.1 %",
            "below 0.1 %",
            "0.1 %",
            "12.3 %",
            "99.9 %",
            "above 99.9 %",
            "above 99.9 %",
        ];
        assert_eq!(shown, wanted.map(str::to_owned));
        assert_eq!(format!("{:.0}", Chance(0.007)), "below 1 %");
        assert_eq!(format!("{:>8.0}|{:<6.0}|", Chance(0.42), Chance(0.42)), "    42 %|42 %  |");
    }
}
