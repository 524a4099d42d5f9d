//! What the chart lays off, and the classes of wires.

use crate::pages::tradeoff::TradeoffSpot;
use crate::parts::axis::in_unit;
use crate::picture::LengthUnit;

/// What is laid off to the right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Across {
    /// Time of the walk.
    Walk,
    /// Length of the wire, for want of walks.
    Wire,
    /// Place in the order of chances, for want of both.
    Order,
}

/// How long a wire is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Reach {
    Near,
    Middle,
    Far,
    /// No length is known, or shapes do not show it.
    Untold,
}

/// The two lengths between the classes, in the chart's unit: those given, or such that a third of
/// the spots is in each, rounded to whole units.
pub(crate) fn classes(
    spots: &[TradeoffSpot],
    given_m: Option<[f64; 2]>,
    unit: LengthUnit,
) -> [f64; 2] {
    if let Some(given) = given_m {
        return given.map(|length| in_unit(length, unit));
    }
    let mut lengths: Vec<f64> = spots.iter().filter_map(|spot| spot.wire_m).collect();
    lengths.sort_by(f64::total_cmp);
    let third = |count: usize| {
        let length = lengths.get(count * lengths.len() / 3).copied();
        in_unit(length.unwrap_or_default(), unit).round().max(1.0)
    };
    let low = third(1);
    [low, third(2).max(low + 1.0)]
}

/// The class of a wire.
pub(crate) fn reach(length: Option<f64>, [near, middle]: [f64; 2]) -> Reach {
    match length {
        None => Reach::Untold,
        Some(length) if length <= near => Reach::Near,
        Some(length) if length <= middle => Reach::Middle,
        Some(_) => Reach::Far,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_third_of_the_wires_is_in_each_class() {
        let spots: Vec<TradeoffSpot> = (0..30)
            .map(|wire| TradeoffSpot { wire_m: Some(f64::from(wire)), ..TradeoffSpot::default() })
            .collect();
        assert_eq!(classes(&spots, None, LengthUnit::Metres), [10.0, 20.0]);
        let same = classes(&spots[..1], None, LengthUnit::Metres);
        assert!(same[0] < same[1]);
        assert_eq!(reach(Some(10.0), [10.0, 20.0]), Reach::Near);
        assert_eq!(reach(Some(20.1), [10.0, 20.0]), Reach::Far);
        let feet = classes(&spots, Some([3.048, 6.096]), LengthUnit::Feet);
        assert!((feet[0] - 10.0).abs() < 1e-9 && (feet[1] - 20.0).abs() < 1e-9);
    }
}
