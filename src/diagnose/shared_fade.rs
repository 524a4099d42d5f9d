//! Readings that share a fade: how much several readings of one channel weigh.

use std::cmp::Ordering;

use super::reading::{Reading, Seen, lines_of};
use super::receiver::{METER_SIGMA, Receiver};

/// Readings of a channel within so many minutes of the first share a fade: nobody moved a door
/// meanwhile (our choice, no source).
pub const VISIT_MIN: f64 = 5.0;

/// What was seen on one channel with the weight of each, equal ones together, in an order that does
/// not depend on that of the readings.
///
/// The mean of n levels that share a fade scatters about the static level by fading, once, and by
/// the meter's error over √n. So they weigh together as much as
/// (σ²fading + σ²meter) / (σ²fading + σ²meter/n) independent readings, each an equal part of it:
/// for normal spreads the same posterior as with one fade common to all; ten such levels say hardly
/// more than three. Levels and bars without a time count as sharing one. Check-ins come an hour
/// apart, unless their times say otherwise; those within `VISIT_MIN` weigh as one. A level and
/// the check-in by which it was read (one line) count once.
#[must_use]
pub fn weighted(receiver: &Receiver, readings: &[&Reading]) -> Vec<(Seen, f64)> {
    let with_level = lines_of(readings.iter().copied(), Reading::has_level);
    let counts = |one: &&Reading| !(one.is_heard() && with_level.contains(&one.line));
    let mut sorted: Vec<&Reading> = readings.iter().copied().filter(counts).collect();
    sorted.sort_by(|a, b| {
        let time = |reading: &Reading| reading.time_min.unwrap_or(f64::NEG_INFINITY);
        time(a).total_cmp(&time(b)).then_with(|| in_order(&a.seen, &b.seen))
    });
    let (levels, rest): (Vec<&Reading>, Vec<&Reading>) =
        sorted.into_iter().partition(|one| one.has_level());
    let (check_ins, others): (Vec<&Reading>, Vec<&Reading>) =
        rest.into_iter().partition(|one| matches!(one.seen, Seen::CheckIn { .. }));
    let mut all: Vec<(Seen, f64)> = others.iter().map(|one| (one.seen, 1.0)).collect();
    for together in sharing_a_fade(&levels, true) {
        let count = together.len() as f64;
        let each = independent(receiver, count) / count;
        all.extend(together.iter().map(|one| (one.seen, each)));
    }
    for together in sharing_a_fade(&check_ins, false) {
        let each = 1.0 / together.len() as f64;
        all.extend(together.iter().map(|one| (one.seen, each)));
    }
    all.sort_by(|a, b| in_order(&a.0, &b.0).then(a.1.total_cmp(&b.1)));
    all.dedup_by(|later, first| {
        let same = later.0 == first.0;
        if same {
            first.1 += later.1;
        }
        same
    });
    all
}

/// How many independent readings so many levels that share a fade are worth.
fn independent(receiver: &Receiver, count: f64) -> f64 {
    let all = receiver.reading_sigma.0 * receiver.reading_sigma.0;
    let meter = (METER_SIGMA.0 * METER_SIGMA.0).min(all);
    if all > 0.0 { all / (all - meter + meter / count) } else { 1.0 }
}

/// Readings, sorted by time, in groups that share a fade; those without a time `untimed` or not.
fn sharing_a_fade<'a, 'r>(mut sorted: &'a [&'r Reading], untimed: bool) -> Vec<&'a [&'r Reading]> {
    let mut groups = Vec::new();
    while let Some((first, rest)) = sorted.split_first() {
        let shares = |one: &&&Reading| match (first.time_min, one.time_min) {
            (Some(first), Some(now)) => now - first <= VISIT_MIN,
            (None, None) => untimed,
            _ => false,
        };
        let more = rest.iter().take_while(shares).count();
        let (group, rest) = sorted.split_at(1 + more);
        groups.push(group);
        sorted = rest;
    }
    groups
}

/// Sorts what was seen: by kind, then by level.
fn in_order(a: &Seen, b: &Seen) -> Ordering {
    let key = |seen: &Seen| match *seen {
        Seen::Level(level) => [0.0, level.0, 0.0],
        Seen::Between { low, high } => {
            let ends = (low.map(|end| end.0), high.map(|end| end.0));
            [1.0, ends.0.unwrap_or(f64::NEG_INFINITY), ends.1.unwrap_or(f64::INFINITY)]
        }
        Seen::CheckIn { heard } => [2.0, f64::from(u8::from(heard)), 0.0],
        Seen::Lost => [3.0, 0.0, 0.0],
        Seen::NoiseFloor(level) => [4.0, level.0, 0.0],
        Seen::Nothing => [5.0, 0.0, 0.0],
    };
    let pairs = key(a).into_iter().zip(key(b));
    pairs.fold(Ordering::Equal, |order, (a, b)| order.then(a.total_cmp(&b)))
}
