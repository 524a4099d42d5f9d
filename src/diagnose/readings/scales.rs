//! Declared scales: from which level a panel shows how many bars, or how many per cent.

use std::str::FromStr;

use super::column::Words;
use crate::Seen;
use input::number::quantity;
use units::Dbm;

/// Most bars of a scale (our own choice, no source).
const MAX_BARS: usize = 20;

/// Weakest and strongest level that anybody reads, dBm (our own choice, no source: thermal noise in
/// the narrowest receiver is stronger than the one, a transmitter side by side weaker than the
/// other).
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

/// Why a scale cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct ScaleError(String);

fn error<T>(why: &str) -> Result<T, ScaleError> {
    Err(ScaleError(why.to_owned()))
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
    /// The scale with these edges: the levels from which 1, 2, … bars show, rising, 1 to 20 of
    /// them.
    ///
    /// # Errors
    /// [`ScaleError`] if they do not rise, are too many, or are no levels.
    pub fn new(edges: &[Dbm]) -> Result<Self, ScaleError> {
        let edges_dbm: Vec<f64> = edges.iter().map(|edge| edge.0).collect();
        if edges_dbm.is_empty() || edges_dbm.len() > MAX_BARS {
            return error(&format!("a scale has 1 to {MAX_BARS} bars, not {}", edges_dbm.len()));
        }
        edges_dbm.iter().try_for_each(|edge| is_level(*edge))?;
        if !edges_dbm.is_sorted_by(|a, b| a < b) {
            return error("the levels do not rise from bar to bar");
        }
        Ok(Self { edges_dbm })
    }

    /// Most bars that it shows.
    #[must_use]
    pub fn most(&self) -> usize {
        self.edges_dbm.len()
    }

    /// How many bars show at a level.
    #[must_use]
    pub fn bars(&self, level: Dbm) -> usize {
        self.edges_dbm.iter().take_while(|edge| **edge <= level.0).count()
    }

    /// The levels from which 1, 2, … bars show, dBm.
    #[must_use]
    pub fn edges_dbm(&self) -> &[f64] {
        &self.edges_dbm
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
    /// The scale that shows 0 at one level and 100 at another, stronger one, in steps of so many
    /// per cent (0.001 to 50).
    ///
    /// # Errors
    /// [`ScaleError`] if the second is not stronger, one is no level, or the step is out of range.
    pub fn new(at_0: Dbm, at_100: Dbm, step: f64) -> Result<Self, ScaleError> {
        is_level(at_0.0)?;
        is_level(at_100.0)?;
        if at_0.0 >= at_100.0 {
            return error("the level at 100 % must be stronger than that at 0 %");
        }
        if !(1e-3..=50.0).contains(&step) {
            return error("the step must be between 0.001 and 50 %");
        }
        Ok(Self { at_0_dbm: at_0.0, at_100_dbm: at_100.0, step })
    }

    /// What shows at a level, 0 to 100, in the scale's steps.
    #[must_use]
    pub fn percent(&self, level: Dbm) -> f64 {
        let share = (level.0 - self.at_0_dbm) / (self.at_100_dbm - self.at_0_dbm);
        let steps = (share * 100.0 / self.step).round();
        (steps * self.step).clamp(0.0, 100.0)
    }

    /// The levels at 0 and 100 per cent, dBm, and the step.
    #[must_use]
    pub const fn ends_dbm(&self) -> ([f64; 2], f64) {
        ([self.at_0_dbm, self.at_100_dbm], self.step)
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

fn is_level(dbm: f64) -> Result<(), ScaleError> {
    let (least, most) = LEVELS_DBM;
    if (least..=most).contains(&dbm) {
        return Ok(());
    }
    error(&format!("a level must be a number from {least} to {most} dBm"))
}

/// A level in dBm; what is none is no number, and refused later.
fn level(text: &str) -> Dbm {
    Dbm(quantity(text, &["dbm", "db"]).unwrap_or(f64::NAN))
}

impl FromStr for BarScale {
    type Err = ScaleError;

    /// Levels between commas, or between semicolons with decimal commas: `-105, -95, -85, -75`.
    fn from_str(text: &str) -> Result<Self, ScaleError> {
        let between = if text.contains(';') { ';' } else { ',' };
        let edges = text.split(between).take(MAX_BARS + 1).map(level);
        Self::new(&edges.collect::<Vec<_>>())
    }
}

impl FromStr for PercentScale {
    type Err = ScaleError;

    /// Two levels, and if need be a step: `-110 to -50`, `-110 to -50 in steps of 10`.
    fn from_str(text: &str) -> Result<Self, ScaleError> {
        let lower = text.to_lowercase();
        let (levels, step) = match lower.split_once("in steps of") {
            Some((levels, step)) => {
                let step = quantity(step, &["percent", "per cent", "%"]);
                (levels, step.map_or_else(|| error("the step is not a number"), Ok)?)
            }
            None => (lower.as_str(), 1.0),
        };
        let ends = ["to", "..", ";", ","].iter().find_map(|sign| levels.split_once(sign));
        let Some((low, high)) = ends else { return error("two levels are needed") };
        Self::new(level(low), level(high), step)
    }
}

pub(super) const BARS_FIX: &str = "above the header, write the level from which each bar shows: # \
                                   bars: -105, -95, -85, -75 (or give --bars)";

pub(super) const PERCENT_FIX: &str = "above the header, write the levels at 0 and 100 %: # \
                                      percent: -110 to -50 (or give --percent)";

/// Takes a scale from a line `bars: …` or `percent: …`; `None` if the line is neither.
pub(super) fn directive(line: &str, scales: &mut Scales) -> Option<Result<(), Words>> {
    let (name, value) = line.split_once(':')?;
    let (read, fix) = match name.trim().to_lowercase().as_str() {
        "bars" => (value.parse().map(|scale| scales.bars = Some(scale)), BARS_FIX),
        "percent" | "per cent" | "%" => {
            (value.parse().map(|scale| scales.percent = Some(scale)), PERCENT_FIX)
        }
        _ => return None,
    };
    Some(
        read.map_err(|why: ScaleError| {
            (format!("the scale cannot be used: {why}"), fix.to_owned())
        }),
    )
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
    }
}
