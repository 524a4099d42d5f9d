//! How margins are written.

use crate::picture::Thresholds;

/// A margin as it is written on the picture: signed, with a true minus, in whole decibels; in
/// tenths within 1 dB of a threshold, so that rounding does not carry it across.
pub(crate) fn margin(margin_db: f64, thresholds: Thresholds) -> String {
    let near = |threshold: f64| (margin_db - threshold).abs() < 1.0;
    if margin_db.is_nan() {
        "no margin".to_owned()
    } else if near(thresholds.failing_below_db) || near(thresholds.sound_from_db) {
        level(margin_db)
    } else {
        signed(margin_db.round())
    }
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
            (-9.4, "−9 dB"),
            (-0.3, "0 dB"),
            (f64::INFINITY, "+∞ dB"),
            (3.62, "+3.6 dB"),
            (8.62, "+9 dB"),
            (f64::NAN, "no margin"),
        ] {
            assert_eq!(margin(margin_db, thresholds), text);
        }
    }
}
