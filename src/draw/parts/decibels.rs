//! How margins are written.

use crate::picture::Thresholds;

/// A margin as it is written on the picture: signed, with a true minus, in whole decibels; in
/// tenths within 1 dB of a threshold, so that rounding does not carry it across.
pub(crate) fn margin(margin_db: f64, thresholds: Thresholds) -> String {
    let near = |threshold: f64| (margin_db - threshold).abs() < 1.0;
    if near(thresholds.failing_below_db) || near(thresholds.sound_from_db) {
        return signed((margin_db * 10.0).round() / 10.0);
    }
    decibels(margin_db)
}

/// A level of the colour bar or of a contour line: signed, in tenths if it is not whole.
pub(crate) fn level(margin_db: f64) -> String {
    signed((margin_db * 10.0).round() / 10.0)
}

/// Signed whole decibels, with a true minus.
fn decibels(margin_db: f64) -> String {
    if margin_db.is_nan() {
        return "no margin".to_owned();
    }
    if margin_db.is_infinite() {
        return if margin_db > 0.0 { "+∞ dB" } else { "−∞ dB" }.to_owned();
    }
    signed(margin_db.round())
}

fn signed(margin_db: f64) -> String {
    if margin_db < 0.0 {
        format!("−{} dB", -margin_db)
    } else if margin_db > 0.0 {
        format!("+{margin_db} dB")
    } else {
        "0 dB".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_are_rounded_but_not_across_a_threshold() {
        assert_eq!(decibels(-9.4), "−9 dB");
        assert_eq!(decibels(-0.3), "0 dB");
        assert_eq!(decibels(f64::INFINITY), "+∞ dB");
        let thresholds = Thresholds { failing_below_db: 4.0, sound_from_db: 13.0 };
        assert_eq!(margin(3.62, thresholds), "+3.6 dB");
        assert_eq!(margin(8.62, thresholds), "+9 dB");
        assert_eq!(margin(f64::NAN, thresholds), "no margin");
    }
}
