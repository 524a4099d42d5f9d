//! The bands of margin that a picture tells apart, and their colours.

use crate::base::{Ink, ramp};
use crate::picture::{Field, Finding, Thresholds};

/// The bands of margin that the picture tells apart.
#[derive(Debug, Clone)]
pub(crate) struct Bands {
    /// Lower edges of all bands but the lowest, dB, ascending; at least one.
    pub edges_db: Vec<f64>,
    /// Where the finding changes.
    pub thresholds: Thresholds,
}

impl Bands {
    /// Bands every 5 dB (wider if that gives too many) and at both thresholds, over the range of
    /// the fields as far as it matters: 30 dB below the lower threshold and 40 dB above the upper.
    pub fn new<'a>(fields: impl IntoIterator<Item = &'a Field>, thresholds: Thresholds) -> Self {
        let (failing, sound) = (thresholds.failing_below_db, thresholds.sound_from_db);
        let (mut least, mut most) = (failing - 10.0, sound + 20.0);
        for &value in fields.into_iter().flat_map(|field| &field.margin_db) {
            if value.is_finite() {
                least = least.min(value);
                most = most.max(value);
            }
        }
        least = least.max(failing - 30.0);
        most = most.min(sound + 40.0);
        let mut step = 5.0;
        while (most - least) / step > 24.0 {
            step *= 2.0;
        }
        // A band of less than this would only be a coloured line beside the threshold's own.
        let sliver = 0.3 * step;
        let (first, last) = ((least / step).floor() as i64, (most / step).ceil() as i64);
        let mut edges_db: Vec<f64> = (first..=last)
            .map(|multiple| multiple as f64 * step)
            .filter(|edge| (edge - failing).abs() > sliver && (edge - sound).abs() > sliver)
            .collect();
        edges_db.push(failing);
        edges_db.push(sound);
        edges_db.sort_by(f64::total_cmp);
        edges_db.dedup();
        Self { edges_db, thresholds }
    }

    /// One band for each finding.
    pub fn findings(thresholds: Thresholds) -> Self {
        let mut edges_db = vec![thresholds.failing_below_db, thresholds.sound_from_db];
        edges_db.dedup();
        Self { edges_db, thresholds }
    }

    /// Lower end of the colour bar, dB.
    pub fn least_db(&self) -> f64 {
        self.edges_db[0]
    }

    /// Upper end of the colour bar, dB.
    pub fn most_db(&self) -> f64 {
        self.edges_db[self.edges_db.len() - 1]
    }

    /// Colour of band `index`, 0 being the one below the lowest edge.
    pub fn ink(&self, index: usize) -> Ink {
        let lower = index.checked_sub(1).and_then(|below| self.edges_db.get(below));
        let upper = self.edges_db.get(index);
        match (lower, upper) {
            (_, None) => ramp(0.0),
            (None, Some(_)) => ramp(1.0),
            (Some(lower), Some(upper)) => ramp(self.place((lower + upper) / 2.0)),
        }
    }

    /// Place on the ramp of a margin. The ramp jumps at both thresholds, so that the three findings
    /// are three groups of tones, also in grey.
    fn place(&self, margin_db: f64) -> f64 {
        let share = |from: f64, to: f64| {
            if to > from { ((margin_db - from) / (to - from)).clamp(0.0, 1.0) } else { 0.5 }
        };
        match self.finding(margin_db) {
            Finding::Sound => 0.44 * (1.0 - share(self.thresholds.sound_from_db, self.most_db())),
            Finding::Thin => {
                let Thresholds { failing_below_db, sound_from_db } = self.thresholds;
                0.66 - 0.12 * share(failing_below_db, sound_from_db)
            }
            Finding::Failing => {
                1.0 - 0.22 * share(self.least_db(), self.thresholds.failing_below_db)
            }
        }
    }

    /// The finding of a sensor with a margin.
    pub fn finding(&self, margin_db: f64) -> Finding {
        if margin_db < self.thresholds.failing_below_db {
            Finding::Failing
        } else if margin_db < self.thresholds.sound_from_db {
            Finding::Thin
        } else {
            Finding::Sound
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::ink::luminance;

    #[test]
    fn findings_are_told_apart_in_grey() {
        let bands = Bands::new(None, Thresholds { failing_below_db: 3.0, sound_from_db: 12.0 });
        let grey = |margin| luminance(ramp(bands.place(margin))).powf(1.0 / 2.4);
        assert!(grey(12.0) - grey(11.9) > 0.05, "sound and thin");
        assert!(grey(3.0) - grey(2.9) > 0.05, "thin and failing");
    }

    #[test]
    fn bands_hold_both_thresholds_and_stay_few() {
        let thresholds = Thresholds { failing_below_db: -70.0, sound_from_db: 130.0 };
        let bands = Bands::new(None, thresholds);
        assert!(bands.edges_db.contains(&-70.0) && bands.edges_db.contains(&130.0));
        assert!(bands.edges_db.len() < 32);
        let equal = Bands::new(None, Thresholds { failing_below_db: 5.0, sound_from_db: 5.0 });
        assert!(equal.edges_db.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
