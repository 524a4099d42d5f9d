//! How much several readings of one channel weigh: those of one visit share a fade.

use super::reading::{Reading, Seen, lines_of};
use super::receiver::{METER_SIGMA, Receiver};

/// Readings of a channel within so many minutes of the first share a fade: nobody moved a door
/// meanwhile (our choice, no source).
pub const VISIT_MIN: f64 = 5.0;

/// What was seen on one channel with the weight of each, equal ones together, in an order that does
/// not depend on that of the readings.
///
/// The mean of n levels of one visit scatters about the static level by fading, once, and by the
/// meter's error over √n. So they weigh together as much as
/// (σ²fading + σ²meter) / (σ²fading + σ²meter/n) readings by themselves, each an equal part of it: for
/// normal spreads the same posterior as with a fade that is common to all. Levels and bars without a
/// time count as of one visit. Check-ins come an hour apart, unless their times say otherwise; those
/// of one visit weigh as one.
#[must_use]
pub fn weighted(receiver: &Receiver, readings: &[&Reading]) -> Vec<(Seen, f64)> {
    let with_level = lines_of(readings.iter().copied(), Reading::tells_level);
    // A check-in whose level was read says no more of the static level than that does.
    let mut sorted: Vec<&Reading> = readings
        .iter()
        .copied()
        .filter(|one| !(one.is_heard() && with_level.contains(&one.line)))
        .collect();
    sorted.sort_by(|a, b| {
        let time = |reading: &Reading| reading.time_min.unwrap_or(f64::NEG_INFINITY);
        time(a).total_cmp(&time(b)).then_with(|| order(&a.seen).cmp(&order(&b.seen)))
    });
    let mut all: Vec<(Seen, f64)> = Vec::new();
    for sort in [Sort::Level, Sort::CheckIn, Sort::Other] {
        let own: Vec<&Reading> =
            sorted.iter().copied().filter(|reading| Sort::of(&reading.seen) == sort).collect();
        for visit in visits(&own, sort) {
            let count = visit.len() as f64;
            let together = match sort {
                Sort::Level => together(receiver, count),
                Sort::CheckIn => 1.0,
                Sort::Other => count,
            };
            all.extend(visit.iter().map(|one| (one.seen, together / count)));
        }
    }
    all.sort_by(|a, b| order(&a.0).cmp(&order(&b.0)).then(a.1.total_cmp(&b.1)));
    all.dedup_by(|later, first| {
        let same = later.0 == first.0;
        if same {
            first.1 += later.1;
        }
        same
    });
    all
}

/// How many readings by themselves so many levels of one visit are worth.
fn together(receiver: &Receiver, count: f64) -> f64 {
    let all = receiver.reading_sigma.0 * receiver.reading_sigma.0;
    let meter = (METER_SIGMA.0 * METER_SIGMA.0).min(all);
    if all > 0.0 { all / (all - meter + meter / count) } else { 1.0 }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    Level,
    CheckIn,
    Other,
}

impl Sort {
    const fn of(seen: &Seen) -> Self {
        match seen {
            Seen::Level(_) | Seen::Between { .. } => Self::Level,
            Seen::CheckIn { .. } => Self::CheckIn,
            Seen::Lost | Seen::NoiseFloor(_) | Seen::Nothing => Self::Other,
        }
    }
}

/// Cuts readings, sorted by time, into visits.
fn visits<'a, 'r>(sorted: &'a [&'r Reading], sort: Sort) -> Vec<&'a [&'r Reading]> {
    let mut cut = Vec::new();
    let mut from = 0;
    for (number, reading) in sorted.iter().enumerate() {
        let Some(first) = sorted.get(from) else {
            break;
        };
        let same = match (first.time_min, reading.time_min) {
            (Some(first), Some(now)) => now - first <= VISIT_MIN,
            (None, None) => sort == Sort::Level || number == from,
            _ => false,
        };
        if !same {
            cut.push(&sorted[from..number]);
            from = number;
        }
    }
    if from < sorted.len() {
        cut.push(&sorted[from..]);
    }
    cut
}

/// A key that sorts what was seen.
fn order(seen: &Seen) -> (u8, i64, i64) {
    let bits = |x: f64| {
        let bits = x.to_bits() as i64;
        bits ^ (((bits >> 63) as u64) >> 1) as i64
    };
    let end = |x: Option<units::Dbm>, open: f64| bits(x.map_or(open, |x| x.0));
    match *seen {
        Seen::Level(level) => (0, bits(level.0), 0),
        Seen::Between { low, high } => (1, end(low, f64::NEG_INFINITY), end(high, f64::INFINITY)),
        Seen::CheckIn { heard } => (2, i64::from(heard), 0),
        Seen::Lost => (3, 0, 0),
        Seen::NoiseFloor(level) => (4, bits(level.0), 0),
        Seen::Nothing => (5, 0, 0),
    }
}
