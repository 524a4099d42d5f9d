//! Colours: one ramp for the margin, and the few inks of everything else.

use super::picture::{Field, Finding, Thresholds};

/// A colour with its opacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ink {
    /// Red, green, blue (sRGB).
    pub rgb: [u8; 3],
    /// Opacity, 0 to 1.
    pub alpha: f64,
}

impl Ink {
    const fn solid(red: u8, green: u8, blue: u8) -> Self {
        Self { rgb: [red, green, blue], alpha: 1.0 }
    }

    /// The same colour at another opacity.
    pub const fn at(self, alpha: f64) -> Self {
        Self { alpha, ..self }
    }
}

/// The page.
pub(super) const PAPER: Ink = Ink::solid(255, 255, 255);
/// Main text and heavy lines.
pub(super) const INK: Ink = Ink::solid(22, 22, 26);
/// Quiet text.
pub(super) const QUIET: Ink = Ink::solid(74, 76, 84);
/// Frames and ticks.
pub(super) const FRAME: Ink = Ink::solid(150, 152, 160);
/// What is proposed and not there: spots and the way to them. Its place is told by shape, too.
pub(super) const ACCENT: Ink = Ink::solid(158, 38, 16);
/// The direct path from a transmitter. Blue and orange are told apart by nearly everybody, and the lines
/// differ in their dashes, too.
pub(super) const DIRECT: Ink = Ink::solid(0, 86, 160);
/// Paths by way of a reflection.
pub(super) const REFLECTED: Ink = Ink::solid(186, 84, 0);
/// Body of masonry walls.
pub(super) const MASONRY: Ink = Ink::solid(62, 58, 60);
/// Body of concrete walls.
pub(super) const CONCRETE: Ink = Ink::solid(150, 150, 154);
/// Body of timber walls.
pub(super) const TIMBER: Ink = Ink::solid(222, 208, 182);
/// Body of light partitions.
pub(super) const PARTITION: Ink = Ink::solid(206, 206, 202);

/// Colours of the ramp from the strongest margin to the weakest, evenly spaced. Chosen by eye for
/// this program so that lightness only falls (tested) and the hue runs from yellowish to blue, the
/// axis that the common colour deficiencies keep.
const ANCHORS: [[u8; 3]; 6] = [
    [253, 248, 232],
    [226, 234, 224],
    [179, 209, 214],
    [127, 172, 201],
    [92, 122, 176],
    [72, 66, 128],
];

/// The ramp's colour at a place from 0 (strongest margin, palest) to 1 (weakest, darkest).
pub(super) fn ramp(place: f64) -> Ink {
    let steps = (ANCHORS.len() - 1) as f64;
    let at = place.clamp(0.0, 1.0) * steps;
    let below = (at.floor() as usize).min(ANCHORS.len() - 2);
    let share = at - below as f64;
    let mut rgb = [0; 3];
    for ((out, low), high) in rgb.iter_mut().zip(ANCHORS[below]).zip(ANCHORS[below + 1]) {
        *out = (f64::from(low) + (f64::from(high) - f64::from(low)) * share).round() as u8;
    }
    Ink { rgb, alpha: 1.0 }
}

/// The bands of margin that the picture tells apart.
#[derive(Debug, Clone)]
pub(super) struct Bands {
    /// Lower edges of all bands but the lowest, dB, ascending.
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
        self.edges_db.first().copied().unwrap_or(self.thresholds.failing_below_db)
    }

    /// Upper end of the colour bar, dB.
    pub fn most_db(&self) -> f64 {
        self.edges_db.last().copied().unwrap_or(self.thresholds.sound_from_db)
    }

    /// Colour of band `index`, 0 being the one below the lowest edge.
    pub fn ink(&self, index: usize) -> Ink {
        let lower = index.checked_sub(1).and_then(|below| self.edges_db.get(below));
        let upper = self.edges_db.get(index);
        match (lower, upper) {
            (None, None) => ramp(0.0),
            (None, Some(_)) => ramp(1.0),
            (Some(_), None) => ramp(0.0),
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

/// Relative luminance of a colour (WCAG 2, "relative luminance", from memory of the definition).
#[cfg(test)]
pub(super) fn luminance(ink: Ink) -> f64 {
    let [red, green, blue] = ink.rgb.map(|value| {
        let value = f64::from(value) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio of two colours, 1 to 21 (WCAG 2, "contrast ratio", from memory).
#[cfg(test)]
pub(super) fn contrast(one: Ink, other: Ink) -> f64 {
    let (one, other) = (luminance(one) + 0.05, luminance(other) + 0.05);
    one.max(other) / one.min(other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_only_falls_along_the_ramp() {
        let tones: Vec<f64> =
            (0..=500).map(|step| luminance(ramp(f64::from(step) / 500.0))).collect();
        assert!(tones.windows(2).all(|pair| pair[1] <= pair[0]), "the ramp turns");
        assert!(tones[0] > 0.9 && tones[500] < 0.1, "the ramp is too flat");
    }

    #[test]
    fn findings_are_told_apart_in_grey() {
        let bands = Bands::new(None, Thresholds { failing_below_db: 3.0, sound_from_db: 12.0 });
        let grey = |margin| luminance(ramp(bands.place(margin))).powf(1.0 / 2.4);
        assert!(grey(12.0) - grey(11.9) > 0.05, "sound and thin");
        assert!(grey(3.0) - grey(2.9) > 0.05, "thin and failing");
    }

    #[test]
    fn text_can_be_read_on_its_ground() {
        for (text, ground) in [
            (INK, PAPER),
            (QUIET, PAPER),
            (PAPER, INK),
            (INK, PARTITION),
            (PAPER, ACCENT),
            (DIRECT, PAPER),
            (REFLECTED, PAPER),
        ] {
            assert!(contrast(text, ground) >= 4.5);
        }
        // Labels lie on plates that let a tenth of the darkest band through.
        let dark = ramp(1.0).rgb.map(|value| 0.9 * 255.0 + 0.1 * f64::from(value));
        let plate = Ink { rgb: dark.map(|value| value as u8), alpha: 1.0 };
        assert!(contrast(QUIET, plate) >= 4.5);
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
