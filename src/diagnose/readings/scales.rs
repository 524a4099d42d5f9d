//! Declared scales: from which level a panel shows how many bars, or how many per cent.

use std::str::FromStr;

use super::faults::Words;
use super::number::quantity;
use crate::Seen;
use units::Dbm;

/// Most bars of a scale (our own choice, no source).
const MAX_BARS: usize = 20;

/// Weakest and strongest level that anybody reads, dBm (our own choice, no source: thermal noise in
/// the narrowest receiver is stronger than the one, a transmitter side by side weaker than the other).
pub(super) const LEVELS_DBM: (f64, f64) = (-180.0, 20.0);

/// Weakest and strongest noise floor that anybody reads, dBm (our own choice, no source: with more
/// noise than that nothing whatever is heard).
pub(super) const NOISE_DBM: (f64, f64) = (-180.0, -30.0);

/// What a panel's bars and per cent mean.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scales {
    /// Of bars; `None` if not declared.
    pub bars: Option<BarScale>,
    /// Of per cent; `None` if not declared.
    pub percent: Option<PercentScale>,
}

/// Levels from which 1, 2, 3 … bars show.
#[derive(Debug, Clone, PartialEq)]
pub struct BarScale {
    edges_dbm: Vec<f64>,
}

/// Levels at which 0 and 100 per cent show, even between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PercentScale {
    at_0_dbm: f64,
    at_100_dbm: f64,
    step: f64,
}

impl Scales {
    /// These, completed by others where they declare nothing.
    #[must_use]
    pub fn or(&self, others: &Self) -> Self {
        Self {
            bars: self.bars.clone().or_else(|| others.bars.clone()),
            percent: self.percent.or(others.percent),
        }
    }
}

impl BarScale {
    /// The scale with these edges: the levels from which 1, 2, … bars show, rising, 1 to 20 of them.
    ///
    /// # Errors
    /// A sentence if they do not rise, are too many, or are no levels.
    pub fn new(edges: &[Dbm]) -> Result<Self, String> {
        let edges_dbm: Vec<f64> = edges.iter().map(|edge| edge.0).collect();
        if edges_dbm.is_empty() || edges_dbm.len() > MAX_BARS {
            return Err(format!("a scale has 1 to {MAX_BARS} bars, not {}", edges_dbm.len()));
        }
        if !edges_dbm.iter().all(|edge| is_level(*edge)) {
            return Err(no_level());
        }
        if !edges_dbm.is_sorted_by(|a, b| a < b) {
            return Err("the levels do not rise from bar to bar".to_owned());
        }
        Ok(Self { edges_dbm })
    }

    /// Most bars that it shows.
    #[must_use]
    pub fn most(&self) -> usize {
        self.edges_dbm.len()
    }

    /// What so many bars tell: between their edge and the next, open at both ends of the scale;
    /// `None` for more bars than there are.
    #[must_use]
    pub fn seen(&self, bars: usize) -> Option<Seen> {
        (bars <= self.most()).then(|| {
            let edge = |number: usize| self.edges_dbm.get(number).copied().map(Dbm);
            Seen::Between { low: bars.checked_sub(1).and_then(edge), high: edge(bars) }
        })
    }
}

impl PercentScale {
    /// The scale that shows 0 at one level and 100 at another, stronger one, in steps of so many per
    /// cent (0.001 to 50).
    ///
    /// # Errors
    /// A sentence if the second is not stronger, one is no level, or the step is out of range.
    pub fn new(at_0: Dbm, at_100: Dbm, step: f64) -> Result<Self, String> {
        if !is_level(at_0.0) || !is_level(at_100.0) {
            return Err(no_level());
        }
        if at_0.0 >= at_100.0 {
            return Err("the level at 100 % must be stronger than that at 0 %".to_owned());
        }
        if !(1e-3..=50.0).contains(&step) {
            return Err("the step must lie between 0.001 and 50 %".to_owned());
        }
        Ok(Self { at_0_dbm: at_0.0, at_100_dbm: at_100.0, step })
    }

    /// What so many per cent tell: half a step to either side, open at 0 and 100; `None` outside.
    #[must_use]
    pub fn seen(&self, percent: f64) -> Option<Seen> {
        (0.0..=100.0).contains(&percent).then(|| {
            let level = |percent: f64| {
                Dbm(self.at_0_dbm + (self.at_100_dbm - self.at_0_dbm) * percent / 100.0)
            };
            let (low, high) = (percent - self.step / 2.0, percent + self.step / 2.0);
            Seen::Between {
                low: (low > 0.0).then(|| level(low)),
                high: (high < 100.0).then(|| level(high)),
            }
        })
    }
}

fn is_level(dbm: f64) -> bool {
    (LEVELS_DBM.0..=LEVELS_DBM.1).contains(&dbm)
}

fn no_level() -> String {
    format!("a level must be a number from {} to {} dBm", LEVELS_DBM.0, LEVELS_DBM.1)
}

fn level(text: &str) -> Result<f64, String> {
    quantity(text, &["dbm", "db"]).ok_or_else(no_level)
}

impl FromStr for BarScale {
    type Err = String;

    /// Levels between commas, or between semicolons with decimal commas: `-105, -95, -85, -75`.
    fn from_str(text: &str) -> Result<Self, String> {
        let between = if text.contains(';') { ';' } else { ',' };
        let edges: Result<Vec<Dbm>, String> =
            text.split(between).take(MAX_BARS + 1).map(|part| level(part).map(Dbm)).collect();
        Self::new(&edges?)
    }
}

impl FromStr for PercentScale {
    type Err = String;

    /// Two levels, and if need be a step: `-110 to -50`, `-110 to -50 in steps of 10`.
    fn from_str(text: &str) -> Result<Self, String> {
        let lower = text.to_lowercase();
        let (levels, step) = match lower.split_once("in steps of") {
            Some((levels, step)) => {
                let step = quantity(step, &["percent", "per cent", "%"]);
                (levels, step.ok_or("the step is not a number")?)
            }
            None => (lower.as_str(), 1.0),
        };
        let (low, high) = levels
            .split_once("to")
            .or_else(|| levels.split_once(".."))
            .or_else(|| levels.split_once(';'))
            .or_else(|| levels.split_once(','))
            .ok_or("two levels are needed")?;
        Self::new(Dbm(level(low)?), Dbm(level(high)?), step)
    }
}

/// How to declare a scale.
pub(super) const BARS_MEND: &str = "before the header write from which level each bar shows: \
     # bars: -105, -95, -85, -75 (or give --bars)";

/// How to declare a scale.
pub(super) const PERCENT_MEND: &str = "before the header write the levels at 0 and 100 %: \
     # percent: -110 to -50 (or give --percent)";

/// Takes a scale from a line `bars: …` or `percent: …`; `None` if the line is neither.
pub(super) fn directive(line: &str, scales: &mut Scales) -> Option<Result<(), Words>> {
    let (name, value) = line.split_once(':')?;
    let told = match name.trim().to_lowercase().as_str() {
        "bars" => value.parse().map(|scale| scales.bars = Some(scale)),
        "percent" | "per cent" | "%" => value.parse().map(|scale| scales.percent = Some(scale)),
        _ => return None,
    };
    let mend = if name.trim().eq_ignore_ascii_case("bars") { BARS_MEND } else { PERCENT_MEND };
    Some(told.map_err(|why: String| (format!("the scale cannot be used: {why}"), mend.to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(low: Option<f64>, high: Option<f64>) -> Option<Seen> {
        Some(Seen::Between { low: low.map(Dbm), high: high.map(Dbm) })
    }

    #[test]
    fn bars_lie_between_their_edges() {
        let scale: BarScale = "-105, -95 dBm, −85, -75".parse().expect("a scale");
        assert_eq!(scale, "-105;-95,0;-85;-75".parse().expect("a scale"));
        assert_eq!(scale.seen(0), between(None, Some(-105.0)));
        assert_eq!(scale.seen(2), between(Some(-95.0), Some(-85.0)));
        assert_eq!(scale.seen(4), between(Some(-75.0), None));
        assert_eq!(scale.seen(5), None);
        for bad in ["", "-75, -85", "-85, -85", "-300", "a", "-1,-1,", "50"] {
            assert!(bad.parse::<BarScale>().is_err(), "{bad}");
        }
    }

    #[test]
    fn per_cent_lie_half_a_step_to_either_side() {
        let scale: PercentScale = "-110 to -50".parse().expect("a scale");
        assert_eq!(scale, "-110 dBm .. -50 dBm".parse().expect("a scale"));
        assert_eq!(scale.seen(0.0), between(None, Some(-109.7)));
        assert_eq!(scale.seen(50.0), between(Some(-80.3), Some(-79.7)));
        assert_eq!(scale.seen(100.0), between(Some(-50.3), None));
        assert_eq!((scale.seen(-1.0), scale.seen(101.0)), (None, None));
        let coarse: PercentScale = "-110 to -50 in steps of 20 %".parse().expect("a scale");
        assert_eq!(coarse.seen(60.0), between(Some(-80.0), Some(-68.0)));
        for bad in ["", "-50 to -110", "-50", "-50 to", "-110 to -50 in steps of 0", "x to y"] {
            assert!(bad.parse::<PercentScale>().is_err(), "{bad}");
        }
    }
}
