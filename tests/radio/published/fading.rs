//! Rician fading.

use crate::published::{number, rows};
use approx::assert_relative_eq;
use radio::rician_miss;
use units::Db;

#[test]
fn margins_at_given_outages() {
    // The margins are rounded to two decimals: the outage must lie between ours at the margin's
    // ends. A ten-thousandth of a decibel is added for a figure that was rounded from just above a
    // half.
    const HALF_UNIT_DB: f64 = 5.1e-3;
    for row in rows(include_str!("data/fading_margin.csv")) {
        let (k, outage, margin) = (number(&row, 0), number(&row, 1), number(&row, 2));
        let most = rician_miss(Db(margin - HALF_UNIT_DB), Db(k));
        let least = rician_miss(Db(margin + HALF_UNIT_DB), Db(k));
        assert!((least..=most).contains(&outage), "K {k} dB, margin {margin} dB: {least}..{most}");
    }
}

#[test]
fn chances_down_to_the_tiniest() {
    // Reference digits are 17; ours is a sum of positive terms in double precision.
    const RELATIVE_ERROR: f64 = 1e-12;
    for row in rows(include_str!("data/rician.csv")) {
        let (margin, k, miss) = (number(&row, 0), number(&row, 1), number(&row, 2));
        assert_relative_eq!(rician_miss(Db(margin), Db(k)), miss, max_relative = RELATIVE_ERROR);
    }
}
