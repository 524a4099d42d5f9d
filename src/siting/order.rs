//! The order of a round: from a start past all places, each once, the quickest way.
//!
//! Exact for a dozen places (dynamic programming over the sets of places that are behind); for more
//! the nearest place next, then turned and moved runs of places as long as that is quicker (2-opt
//! and Or-opt). Equal times go to the lower number, so the same times give the same order.

/// Up to so many places the order is the quickest there is (our own choice: 4,096 sets).
pub const EXACT_PLACES: usize = 12;

/// Longest run of places that is moved as a whole (common practice, no source).
const LONGEST_RUN: usize = 3;

/// Most times that all turns and moves are tried (our own choice; a few are usual).
const MOST_SWEEPS: usize = 200;

/// What a change must save to be made, seconds: more than rounding.
const LEAST_GAIN_S: f64 = 1e-9;

/// The order in which all places are visited. `times_s` has a row and a column for the start (0)
/// and each place (from 1), seconds, the same both ways; an infinite time is no way.
#[must_use]
pub fn quickest_order(times_s: &[Vec<f64>]) -> Vec<usize> {
    match times_s.len().saturating_sub(1) {
        0 => Vec::new(),
        places if places <= EXACT_PLACES => exact(times_s, places),
        _ => {
            let mut order = nearest_next(times_s);
            for _ in 0..MOST_SWEEPS {
                let turned = turn_runs(times_s, &mut order);
                if !move_runs(times_s, &mut order) && !turned {
                    break;
                }
            }
            order
        }
    }
}

/// Seconds that an order takes, from the start to its last place.
#[must_use]
pub fn time_of(times_s: &[Vec<f64>], order: &[usize]) -> f64 {
    let steps = [0].iter().chain(order).zip(order);
    steps.map(|(from, to)| between(times_s, *from, *to)).sum()
}

fn between(times_s: &[Vec<f64>], from: usize, to: usize) -> f64 {
    let time = times_s.get(from).and_then(|row| row.get(to));
    time.copied().unwrap_or(f64::INFINITY)
}

/// The quickest order: for each set of places and its last one, the quickest way through the set.
fn exact(times_s: &[Vec<f64>], places: usize) -> Vec<usize> {
    let sets = 1_usize << places;
    let mut best = vec![f64::INFINITY; sets * places];
    let mut before = vec![usize::MAX; sets * places];
    for place in 0..places {
        best[(1 << place) * places + place] = between(times_s, 0, place + 1);
    }
    for set in 1..sets {
        for last in (0..places).filter(|last| set >> last & 1 == 1) {
            let so_far = best[set * places + last];
            for next in (0..places).filter(|next| set >> next & 1 == 0) {
                let then = (set | 1 << next) * places + next;
                let time = so_far + between(times_s, last + 1, next + 1);
                if time < best[then] {
                    (best[then], before[then]) = (time, last);
                }
            }
        }
    }
    let mut set = sets - 1;
    let ends = 0..places;
    let end = ends.min_by(|a, b| best[set * places + a].total_cmp(&best[set * places + b]));
    let mut last = end.unwrap_or(0);
    let mut order = Vec::new();
    // Where there is no way to the rest, it follows in its own order.
    while set >> last & 1 == 1 {
        order.push(last + 1);
        let earlier = before[set * places + last];
        set &= !(1 << last);
        if set == 0 {
            break;
        }
        let lowest = set.trailing_zeros() as usize;
        last = if earlier == usize::MAX { lowest } else { earlier };
    }
    order.reverse();
    order
}

fn nearest_next(times_s: &[Vec<f64>]) -> Vec<usize> {
    let mut left: Vec<usize> = (1..times_s.len()).collect();
    let mut order = Vec::new();
    while !left.is_empty() {
        let here = order.last().copied().unwrap_or(0);
        let time = |place: usize| between(times_s, here, left[place]);
        let next = (0..left.len()).min_by(|a, b| time(*a).total_cmp(&time(*b)));
        order.push(left.remove(next.unwrap_or(0)));
    }
    order
}

/// The place that comes before one of the order: the start before the first.
fn behind(order: &[usize], at: usize) -> usize {
    at.checked_sub(1).map_or(0, |at| order[at])
}

/// Turns each run of places round if that is quicker; whether any was.
fn turn_runs(times_s: &[Vec<f64>], order: &mut [usize]) -> bool {
    let mut any = false;
    for first in 0..order.len() {
        for last in first + 1..order.len() {
            let (from, to) = (behind(order, first), order.get(last + 1).copied());
            let into = between(times_s, from, order[last]) - between(times_s, from, order[first]);
            let out = to.map_or(0.0, |to| {
                between(times_s, order[first], to) - between(times_s, order[last], to)
            });
            if into + out < -LEAST_GAIN_S {
                order[first..=last].reverse();
                any = true;
            }
        }
    }
    any
}

/// Moves each short run of places to where it costs least; whether any was moved.
fn move_runs(times_s: &[Vec<f64>], order: &mut Vec<usize>) -> bool {
    let mut any = false;
    for length in 1..=LONGEST_RUN.min(order.len().saturating_sub(1)) {
        for first in 0..=order.len() - length {
            let mut rest = order.clone();
            let run: Vec<usize> = rest.drain(first..first + length).collect();
            let mut turned = run.clone();
            turned.reverse();
            let left = time_of(times_s, &rest);
            let mut best = (time_of(times_s, order) - LEAST_GAIN_S, None);
            for at in 0..=rest.len() {
                let (from, to) = (behind(&rest, at), rest.get(at).copied());
                for run in [&run, &turned] {
                    let to_next = |here: usize| to.map_or(0.0, |to| between(times_s, here, to));
                    let inner: f64 =
                        run.windows(2).map(|two| between(times_s, two[0], two[1])).sum();
                    let joins = between(times_s, from, run[0]) + to_next(run[length - 1]);
                    let time = left + joins + inner - to_next(from);
                    if time < best.0 {
                        best = (time, Some((at, run.clone())));
                    }
                }
            }
            if let (_, Some((at, run))) = best {
                rest.splice(at..at, run);
                *order = rest;
                any = true;
            }
        }
    }
    any
}
