//! The way through: panel places in the order of what they promise, first by count, then by weight.

use super::answer::{CoverAnswer, CoverError, Proof, Way};
use super::bound::Prices;
use super::check::chance;
use super::cost::{Choice, Descent, End};
use super::count::{Cuts, Found};
use super::local::{Local, Onward, Routing};
use super::oracle::{Oracle, Verdict};
use super::problem::CoverProblem;
use super::programme;
use std::cell::Cell;

/// Rounds of question and answer between the programme of the count and the oracle.
const ROUNDS: usize = 40;

/// Steps of the bound at a first look at a panel place, and before its search.
const GLANCE: usize = 12;
const LONG_GLANCE: usize = 60;

/// A panel place, what is proven of it, and what it promises.
struct Seat {
    panel: usize,
    /// No choice here has fewer new repeaters.
    at_least: usize,
    /// No choice here of the fewest new repeaters weighs less.
    weight: f64,
}

/// The best choice so far.
struct Best {
    panel: usize,
    count: usize,
    choice: Choice,
}

/// Chooses the panel place and the repeaters: the fewest new repeaters, and among those the lowest
/// chance of any fault in a year. How, and what the proof rests on: see the [module](super).
///
/// `stop` is asked often, from this thread only, and once it has said true the search ends within a
/// fraction of a second with the best choice so far, its [`Proof`] a `Gap`. A caller with a time
/// limit compares a clock in it. While `stop` says false the answer depends on the problem alone.
///
/// # Errors
///
/// [`CoverError`]: which sensors cannot be served and why, or that `stop` came before any choice.
pub fn cover(problem: &CoverProblem, stop: &dyn Fn() -> bool) -> Result<CoverAnswer, CoverError> {
    if problem.panels == 0 {
        return Err(CoverError::NoPanel);
    }
    let stopped = Cell::new(false);
    let latch = || {
        if !stopped.get() && stop() {
            stopped.set(true);
        }
        stopped.get()
    };
    let mut seats = list(problem, &latch);
    let Some(best) = count(problem, &mut seats, &latch) else {
        return Err(if latch() { CoverError::OutOfTime } else { closest(problem, &latch) });
    };
    let at_least = seats.iter().map(|seat| seat.at_least);
    let at_least = at_least.min().unwrap_or(0).min(best.count);
    let (best, weight) = lighten(problem, &mut seats, best, &latch);
    let proven = at_least == best.count && weight.is_none();
    let answer = report(problem, &best, |found| {
        if proven {
            return Proof::Best;
        }
        Proof::Gap {
            found: best.count,
            at_least,
            chance_found: found,
            chance_at_least: weight.map_or(found, chance).min(found),
        }
    });
    answer.check(problem).map_err(CoverError::NotVerified)?;
    Ok(answer)
}

fn start(local: &Local, stop: &dyn Fn() -> bool) -> Cuts {
    let mut cuts = Cuts::default();
    cuts.extend(Oracle { local, stop }.first_cuts());
    cuts
}

/// The panel places from which every sensor has a way, the most promising first.
fn list(problem: &CoverProblem, stop: &dyn Fn() -> bool) -> Vec<Seat> {
    let mut seats = Vec::new();
    for panel in 0..problem.panels {
        let mut seat = Seat { panel, at_least: 0, weight: 0.0 };
        // When time is up at the first place there is still a choice to be made.
        if panel == 0 || !stop() {
            let local = Local::new(problem, panel);
            if !local.cut_off(None).is_empty() {
                continue;
            }
            seat.at_least = start(&local, stop).at_least(&local);
        }
        seats.push(seat);
    }
    seats.sort_by_key(|seat| (seat.at_least, seat.panel));
    seats
}

/// The fewest new repeaters over all places, and a choice with so many. What is proven of each
/// place is noted at it.
fn count(problem: &CoverProblem, seats: &mut [Seat], stop: &dyn Fn() -> bool) -> Option<Best> {
    let mut best: Option<Best> = None;
    for seat in seats {
        if best.as_ref().is_some_and(|best| seat.at_least >= best.count) {
            break;
        }
        let local = Local::new(problem, seat.panel);
        let oracle = Oracle { local: &local, stop };
        let mut cuts = start(&local, stop);
        if best.is_none() {
            let Some(found) = first(&oracle, &mut cuts) else {
                if stop() {
                    return None;
                }
                // Not even all sites together do.
                seat.at_least = usize::MAX;
                continue;
            };
            best = Some(found);
            seat.at_least = seat.at_least.max(cuts.at_least(&local));
        }
        while let Some(now) = best.as_ref() {
            if seat.at_least >= now.count {
                break;
            }
            match cuts.find(&oracle, now.count - 1) {
                Found::Yes(open, routing) => best = Some(choice(&local, open, routing)),
                Found::No => seat.at_least = now.count,
                Found::Stopped => return best,
            }
        }
    }
    best
}

fn choice(local: &Local, open: Vec<bool>, routing: Routing) -> Best {
    Best {
        panel: local.panel,
        count: local.new_count(&open),
        choice: Choice { weight: local.weight_of(&routing), open, routing },
    }
}

/// A first choice at a panel place: greedy, then by the programme of the count, which is asked again
/// with the cuts that its sets did not fulfil.
fn first(oracle: &Oracle<'_>, cuts: &mut Cuts) -> Option<Best> {
    let local = oracle.local;
    let all = vec![true; local.sites()];
    let Verdict::Fits(routing) = oracle.holds(&all) else {
        return None;
    };
    let mut best = choice(local, all, routing);
    if let Found::Yes(open, routing) = cuts.greedy(oracle) {
        best = choice(local, open, routing);
    }
    let at_least = cuts.at_least(local);
    for _ in 0..ROUNDS {
        if best.count <= at_least || (oracle.stop)() {
            break;
        }
        let Some(open) = programme::fewest(local, cuts, oracle.stop) else {
            break;
        };
        if local.new_count(&open) >= best.count {
            break;
        }
        match oracle.holds(&open) {
            Verdict::Fits(routing) => best = choice(local, open, routing),
            Verdict::Fails(more) => {
                let before = cuts.all.len();
                cuts.extend(more);
                if cuts.all.len() == before {
                    break;
                }
            }
            Verdict::Stopped => break,
        }
    }
    Some(best)
}

/// The lowest weight over all places, with the count of `best`; and, when the caller said stop, what
/// is proven of the weight.
fn lighten(
    problem: &CoverProblem,
    seats: &mut Vec<Seat>,
    mut best: Best,
    stop: &dyn Fn() -> bool,
) -> (Best, Option<f64>) {
    let count = best.count;
    seats.retain(|seat| seat.at_least <= count);
    // The choice so far made lighter, so that there is something to prune by.
    let local = Local::new(problem, best.panel);
    let mut cuts = start(&local, stop);
    let oracle = Oracle { local: &local, stop };
    let mut descent = Descent::new(oracle, &mut cuts, count, f64::INFINITY);
    descent.offer(&best.choice.open, &best.choice.routing);
    if let Some(choice) = descent.best {
        best.choice = choice;
    }
    if seats.len() > 1 {
        for seat in seats.iter_mut() {
            if stop() {
                break;
            }
            let local = Local::new(problem, seat.panel);
            let mut cuts = start(&local, stop);
            let oracle = Oracle { local: &local, stop };
            let mut descent = Descent::new(oracle, &mut cuts, count, best.choice.weight);
            seat.weight = descent.glance(GLANCE).max(0.0);
        }
        seats.sort_by(|a, b| a.weight.total_cmp(&b.weight).then(a.panel.cmp(&b.panel)));
    }
    let mut prices: Option<Prices> = None;
    for place in 0..seats.len() {
        let seat = &seats[place];
        if seat.weight >= best.choice.weight - super::ROUNDING {
            break;
        }
        let rest = seats[place + 1..].iter().map(|seat| seat.weight);
        let rest = rest.fold(best.choice.weight, f64::min);
        if stop() {
            return (best, Some(rest.min(seat.weight)));
        }
        let local = Local::new(problem, seat.panel);
        let mut cuts = start(&local, stop);
        let known = (seat.panel == best.panel).then(|| best.choice.clone());
        let oracle = || Oracle { local: &local, stop };
        let mut descent = Descent::new(oracle(), &mut cuts, count, best.choice.weight);
        if let Some(prices) = &prices {
            descent.prices.fit(&local, prices.sensors());
            if descent.glance(LONG_GLANCE) >= best.choice.weight - super::ROUNDING {
                continue;
            }
        }
        match known {
            Some(choice) => descent.offer(&choice.open, &choice.routing),
            None => match descent.cuts.find(&oracle(), count) {
                Found::Yes(open, routing) => descent.offer(&open, &routing),
                Found::No => continue,
                Found::Stopped => return (best, Some(rest.min(seat.weight))),
            },
        }
        let end = descent.run(prices.is_none());
        prices = Some(descent.prices.clone());
        if let Some(choice) = descent.best {
            best = Best { panel: seat.panel, count: local.new_count(&choice.open), choice };
        }
        if let End::Stopped(bound) = end {
            return (best, Some(rest.min(bound)));
        }
    }
    (best, None)
}

fn report(problem: &CoverProblem, best: &Best, proof: impl Fn(f64) -> Proof) -> CoverAnswer {
    let local = Local::new(problem, best.panel);
    let Choice { weight, open, routing } = &best.choice;
    let given = |site: usize| problem.sites[site].given;
    let opened = |site: usize| local.name.binary_search(&site).is_ok_and(|at| open[at]);
    let all: Vec<usize> =
        (0..problem.sites.len()).filter(|&site| given(site) || opened(site)).collect();
    let ways = routing.first.iter().map(|first| match first {
        None => Way::Direct,
        Some(site) => Way::Over(match routing.onward[*site] {
            Onward::Site(next) => vec![local.name[*site], local.name[next]],
            _ => vec![local.name[*site]],
        }),
    });
    let found = chance(*weight);
    CoverAnswer {
        panel: best.panel,
        new: all.iter().copied().filter(|&site| !given(site)).collect(),
        ways: ways.collect(),
        open: all,
        chance_of_any_fault: found,
        proof: proof(found),
    }
}

/// Why no panel place will do, at the place that comes nearest.
fn closest(problem: &CoverProblem, stop: &dyn Fn() -> bool) -> CoverError {
    let mut best: Option<((usize, usize), CoverError)> = None;
    for panel in 0..problem.panels {
        let Some(fault) = fault(problem, panel, stop) else {
            return CoverError::OutOfTime;
        };
        let rank = match &fault {
            CoverError::Unreachable { sensors, .. } => (3, sensors.len()),
            CoverError::CapacityTooSmall { .. } => (2, 0),
            CoverError::NotTwice { sensors, .. } => (1, sensors.len()),
            _ => (0, 0),
        };
        if best.as_ref().is_none_or(|(least, _)| rank < *least) {
            best = Some((rank, fault));
        }
    }
    best.map_or(CoverError::NoPanel, |(_, fault)| fault)
}

/// Why a panel place will not do; `None` when stopped.
fn fault(problem: &CoverProblem, panel: usize, stop: &dyn Fn() -> bool) -> Option<CoverError> {
    let local = Local::new(problem, panel);
    let sensors = local.cut_off(None);
    if !sensors.is_empty() {
        return Some(CoverError::Unreachable { panel, sensors });
    }
    let oracle = Oracle { local: &local, stop };
    let all = vec![true; local.sites()];
    match oracle.fits(&all, None) {
        Verdict::Fails(_) => return Some(CoverError::CapacityTooSmall { panel }),
        Verdict::Stopped => return None,
        Verdict::Fits(_) => {}
    }
    let mut alone = vec![false; local.sensors];
    for lost in 0..local.sites() {
        if stop() {
            return None;
        }
        for sensor in local.cut_off(Some(lost)) {
            alone[sensor] = true;
        }
    }
    let sensors: Vec<usize> = (0..local.sensors).filter(|&sensor| alone[sensor]).collect();
    if !sensors.is_empty() {
        return Some(CoverError::NotTwice { panel, sensors });
    }
    for lost in 0..local.sites() {
        match oracle.fits(&all, Some(lost)) {
            Verdict::Fails(_) => {
                let lost = local.name[lost];
                return Some(CoverError::CapacityTooSmallAfterLoss { panel, lost });
            }
            Verdict::Stopped => return None,
            Verdict::Fits(_) => {}
        }
    }
    // All sites do: only reached when the searches were stopped.
    None
}
