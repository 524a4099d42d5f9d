//! Columns of a table that is too wide, of letters or of points.

/// How wide a column may be at most, so that all of them fit on the page: columns that need less
/// keep what they need, the others are cut to one and the same width. Infinite where all fit as
/// they are.
pub(super) fn widest(needs: &[f32], page: f32) -> f32 {
    let mut sorted = needs.to_vec();
    sorted.sort_by(f32::total_cmp);
    let mut rest = page;
    for (at, need) in sorted.iter().enumerate() {
        let equal = rest / (sorted.len() - at) as f32;
        if *need > equal {
            return equal;
        }
        rest -= need;
    }
    f32::INFINITY
}

#[cfg(test)]
mod tests {
    use super::widest;

    #[test]
    fn the_wide_are_cut_and_the_narrow_left_alone() {
        assert_eq!(widest(&[10.0, 300.0, 90.0], 150.0), 70.0);
        assert_eq!(widest(&[10.0, 300.0, 40.0], 150.0), 100.0);
        assert_eq!(widest(&[30.0, 30.0], 20.0), 10.0);
    }

    #[test]
    fn what_fits_is_not_cut() {
        assert_eq!(widest(&[10.0, 90.0], 100.0), f32::INFINITY);
        assert_eq!(widest(&[], 100.0), f32::INFINITY);
    }
}
