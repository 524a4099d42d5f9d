//! How margins are written.

use crate::picture::Thresholds;

/// A margin as it is written on the picture, as a reserve or as what is short, in whole decibels;
/// in tenths within 1 dB of a threshold, so that rounding does not carry it across.
pub(crate) fn reserve(margin_db: f64, thresholds: Thresholds) -> String {
    if margin_db.is_nan() {
        return "no reserve".to_owned();
    }
    let near = |threshold: f64| (margin_db - threshold).abs() < 1.0;
    let is_near = near(thresholds.failing_below_db) || near(thresholds.sound_from_db);
    let shown = if is_near { (margin_db * 10.0).round() / 10.0 } else { margin_db.round() };
    let word = if shown < 0.0 { " short" } else { "" };
    format!("{} dB{word}", shown.abs()).replace("inf", "∞")
}

/// A level of the colour bar or of a contour line: signed, in tenths if it is not whole.
pub(crate) fn level(margin_db: f64) -> String {
    signed((margin_db * 10.0).round() / 10.0)
}

fn signed(margin_db: f64) -> String {
    let sign = match margin_db {
        0.0 => "",
        less if less < 0.0 => "−",
        _ => "+",
    };
    format!("{sign}{} dB", margin_db.abs()).replace("inf", "∞")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_are_rounded_but_not_across_a_threshold() {
        let thresholds = Thresholds { failing_below_db: 4.0, sound_from_db: 13.0 };
        for (margin_db, text) in [
            (-9.4, "9 dB short"),
            (-0.3, "0 dB"),
            (f64::INFINITY, "∞ dB"),
            (3.62, "3.6 dB"),
            (8.62, "9 dB"),
            (f64::NAN, "no reserve"),
        ] {
            assert_eq!(reserve(margin_db, thresholds), text);
        }
    }
}
