//! Colours: one ramp for the margin, and the few inks of everything else.

/// A colour with its opacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ink {
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
pub(crate) const PAPER: Ink = Ink::solid(255, 255, 255);
/// Main text and heavy lines.
pub(crate) const INK: Ink = Ink::solid(22, 22, 26);
/// Quiet text.
pub(crate) const QUIET: Ink = Ink::solid(74, 76, 84);
/// Frames and ticks.
pub(crate) const FRAME: Ink = Ink::solid(150, 152, 160);
/// What is proposed and not there: spots and the way to them; and numbers of notes. Its shape shows
/// it, too.
pub(crate) const ACCENT: Ink = Ink::solid(158, 38, 16);
/// The direct path from a transmitter. Nearly everybody sees blue and orange apart, and the lines
/// differ in their dashes, too.
pub(crate) const DIRECT: Ink = Ink::solid(0, 86, 160);
/// Paths by way of a reflection.
pub(crate) const REFLECTED: Ink = Ink::solid(186, 84, 0);
/// Body of masonry walls.
pub(crate) const MASONRY: Ink = Ink::solid(62, 58, 60);
/// Body of concrete walls.
pub(crate) const CONCRETE: Ink = Ink::solid(150, 150, 154);
/// Body of timber walls.
pub(crate) const TIMBER: Ink = Ink::solid(222, 208, 182);
/// Body of light partitions.
pub(crate) const PARTITION: Ink = Ink::solid(206, 206, 202);

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
pub(crate) fn ramp(place: f64) -> Ink {
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

/// Relative luminance of a colour (WCAG 2, "relative luminance", from memory of the definition).
#[cfg(test)]
pub(crate) fn luminance(ink: Ink) -> f64 {
    let [red, green, blue] = ink.rgb.map(|value| {
        let value = f64::from(value) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio of two colours, 1 to 21 (WCAG 2, "contrast ratio", from memory).
#[cfg(test)]
pub(crate) fn contrast(one: Ink, other: Ink) -> f64 {
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
}
