//! How many metres a point of the page stands for.

use std::collections::BTreeSet;

use super::guard::Trouble;
use crate::Settings;
use crate::guess::Guesses;

/// Metres in a point of a page, 1/72 of an inch (ISO 32000-1, 8.3.2.3, from memory).
pub(super) const POINT_M: f64 = 0.0254 / 72.0;

/// Scales at which floor plans are drawn (common practice, no source); a ramp of 1:12 is none.
const OF_PLANS: [f64; 17] = [
    10.0, 20.0, 24.0, 25.0, 32.0, 33.0, 40.0, 48.0, 50.0, 64.0, 75.0, 96.0, 100.0, 125.0, 150.0,
    200.0, 250.0,
];

/// How a page is measured, as the user says it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// So many metres in the house are one on paper.
    Ratio(f64),
    /// So many metres in a point of the page, by one known length.
    MetresPerPoint(f64),
}

impl Scale {
    /// Metres in a point of the page.
    fn metres(self) -> f64 {
        match self {
            Self::Ratio(ratio) => ratio * POINT_M,
            Self::MetresPerPoint(metres) => metres,
        }
    }
}

/// The scales that a text names: `1:50`, `M 1 : 100`, `1/4" = 1'-0"`.
#[must_use]
pub fn scales(text: &str) -> Vec<f64> {
    let plain = |letter: char| match letter {
        '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
        '\u{2018}' | '\u{2019}' | '\u{2032}' => '\'',
        other => other,
    };
    let text: Vec<char> = text.chars().filter(|c| !c.is_whitespace()).map(plain).collect();
    let is_digit = |at: usize| text.get(at).is_some_and(char::is_ascii_digit);
    let goes_on = |at: usize| text.get(at).is_some_and(|c| matches!(c, ':' | ',' | '.'));
    let mut found = Vec::new();
    for at in 0..text.len() {
        let before = at.checked_sub(1).map(|before| text[before]);
        let is_one = text[at] == '1'
            && text.get(at + 1) == Some(&':')
            && before.is_none_or(|c| !c.is_ascii_digit() && !matches!(c, ':' | ',' | '.'));
        if is_one {
            let digits: String = text[at + 2..].iter().take_while(|c| c.is_ascii_digit()).collect();
            let end = at + 2 + digits.len();
            // Not a time of day, nor a part of a longer number.
            if digits.len() <= 4 && !(goes_on(end) && is_digit(end + 1)) {
                found.extend(digits.parse::<f64>().ok().filter(|ratio| *ratio >= 1.0));
            }
        }
        if text[at..].starts_with(&['"', '=', '1', '\'']) {
            let is_part = |c: &&char| c.is_ascii_digit() || **c == '/';
            let inches: String = text[..at].iter().rev().take_while(is_part).collect();
            let inches: String = inches.chars().rev().collect();
            let (over, under) = inches.split_once('/').unwrap_or((&inches, "1"));
            let parts = over.parse::<f64>().ok().zip(under.parse::<f64>().ok());
            let inches = parts.map(|(over, under)| over / under).filter(|inches| *inches > 0.0);
            found.extend(inches.map(|inches| 12.0 / inches));
        }
    }
    found
}

/// Scales that the widths of doors can tell from one another.
const BY_SWINGS: [f64; 7] = [20.0, 33.0, 50.0, 75.0, 100.0, 150.0, 200.0];
/// Width of most doors, metres (common practice, no source).
const LEAF_M: f64 = 0.85;

/// The scale at which most swings are as wide as doors, if they are about alike; `radii`: those of
/// arcs that may be swings, points.
fn by_swings(mut radii: Vec<f64>) -> Option<f64> {
    radii.sort_by(f64::total_cmp);
    let median = *radii.get(radii.len() / 2)?;
    let alike = radii.iter().filter(|radius| (*radius / median - 1.0).abs() < 0.15).count();
    let ratio = LEAF_M / (median * POINT_M);
    let far = |known: &f64| (known / ratio).ln().abs();
    let nearest = BY_SWINGS.into_iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
    (alike >= 2 && 2 * alike >= radii.len() && far(&nearest) < 0.2).then_some(nearest)
}

/// Metres in a point of the page: the user's word, else what the page says. `radii`: see
/// [`by_swings`].
pub(super) fn metres_per_point(
    settings: &Settings,
    texts: &[String],
    radii: Vec<f64>,
    guesses: &mut Guesses,
) -> Result<f64, Trouble> {
    if let Some(scale) = settings.scale {
        return Ok(scale.metres());
    }
    let fix = "give --scale 1:50, or one length that you know: --length \"3.6 m = 412 pt\"";
    let is_of_plans = |ratio: &f64| OF_PLANS.iter().any(|known| (known - ratio).abs() < 0.01);
    let on_page: BTreeSet<i64> = texts
        .iter()
        .flat_map(|text| scales(text))
        .filter(is_of_plans)
        .map(|ratio| {
            #[expect(clippy::cast_possible_truncation, reason = "one of those above")]
            let whole = ratio.round() as i64;
            whole
        })
        .collect();
    match Vec::from_iter(on_page).as_slice() {
        [] => {
            let likely = by_swings(radii).map_or_else(String::new, |ratio| {
                format!("; by the swings of its doors it is about 1:{ratio}")
            });
            Err((format!("a PDF has no unit, and the page names no scale{likely}"), fix))
        }
        [only] => {
            let taken = format!("taken as 1:{only}, as the page says");
            let fix = "if the page was shrunk or enlarged, give --scale, or --length with a length \
                       that you know";
            guesses.add("scale", taken, fix, 1);
            Ok(Scale::Ratio(*only as f64).metres())
        }
        several => {
            let all: Vec<String> = several.iter().map(|ratio| format!("1:{ratio}")).collect();
            Err((format!("the page names several scales: {}", all.join(", ")), fix))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swings_as_wide_as_doors_say_a_scale() {
        let points = |metres: f64, ratio: f64| metres / ratio / POINT_M;
        let doors = |ratio: f64| [0.8, 0.9, 0.85].map(|metres| points(metres, ratio)).to_vec();
        assert_eq!(by_swings(doors(50.0)), Some(50.0));
        assert_eq!(by_swings(doors(96.0)), Some(100.0));
        assert_eq!(by_swings(vec![points(0.9, 50.0)]), None, "one is none");
        assert_eq!(by_swings(vec![1.0, 10.0, 100.0, 900.0]), None, "of any size");
        assert_eq!(by_swings(doors(1_000.0)), None, "no plan is so small");
        assert_eq!(by_swings(Vec::new()), None);
    }

    #[test]
    fn scales_are_told_from_times_ramps_and_fractions() {
        for (text, wanted) in [
            ("Ground floor  1:50", vec![50.0]),
            ("M 1 : 100 / 1:20", vec![100.0, 20.0]),
            ("SCALE 1/4\" = 1'-0\"", vec![48.0]),
            ("3/16\u{201d} = 1\u{2019}-0\u{201d}", vec![64.0]),
            ("1:50:30", vec![]),
            ("11:50, 2.1:50", vec![]),
            ("1:12500", vec![]),
            ("at 1:", vec![]),
        ] {
            assert_eq!(scales(text), wanted, "{text}");
        }
    }
}
