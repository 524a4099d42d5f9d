//! The panel options in the order of what they promise, first by count, then by weight.

use super::answer::{CoverAnswer, CoverError, Proof, chance};
use super::bound::{Goal, Prices};
use super::problem::CoverProblem;
use super::routing::{Router, Verdict};
use super::search::{Choice, End, Search};
use super::view::View;
use std::cell::Cell;

/// Steps of the bound at a first look at a panel option, and before its search.
const GLANCE: usize = 12;
const LONG_GLANCE: usize = 60;

/// A panel option, what is proven of it, and what it promises.
struct PanelOption {
    panel: usize,
    /// No choice here has fewer new repeaters.
    at_least: usize,
    /// No choice here of the fewest new repeaters weighs less.
    weight: f64,
}

struct Best {
    panel: usize,
    count: usize,
    choice: Choice,
}

/// Chooses the panel option and the repeaters: the fewest new repeaters, and among those the lowest
/// chance of any fault in a year. How, and what the proof rests on: see the [module](super).
///
/// `stop` is asked often, from this thread only, and once it has said true the search ends within a
/// fraction of a second with the best choice so far, its [`Proof`] a `Gap`. A caller with a time
/// limit compares a clock in it. While `stop` says false the answer depends on the problem alone.
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
    let mut options = list(problem, &latch);
    let Some(best) = count(problem, &mut options, &latch) else {
        return Err(if latch() { CoverError::OutOfTime } else { closest(problem, &latch) });
    };
    let at_least = options.iter().map(|option| option.at_least);
    let at_least = at_least.min().unwrap_or(0).min(best.count);
    let (best, weight) = lighten(problem, &mut options, best, &latch);
    let proven = at_least == best.count && weight.is_none();
    let count = best.count;
    let answer = report(problem, best, |found| {
        if proven {
            return Proof::Best;
        }
        Proof::Gap {
            found: count,
            at_least,
            chance_found: found,
            chance_at_least: weight.map_or(found, chance).min(found),
        }
    });
    answer.check(problem).map_err(CoverError::NotVerified)?;
    Ok(answer)
}

/// The panel options from which every sensor has a way, the most promising first.
fn list(problem: &CoverProblem, stop: &dyn Fn() -> bool) -> Vec<PanelOption> {
    let mut options = Vec::new();
    for panel in 0..problem.panels {
        let mut option = PanelOption { panel, at_least: 0, weight: 0.0 };
        // When time is up at the first there is still a choice to be made.
        if panel == 0 || !stop() {
            let view = View::new(problem, panel);
            if !view.cut_off(None).is_empty() {
                continue;
            }
            option.at_least = Search::new(&view, stop).at_least();
        }
        options.push(option);
    }
    options.sort_by_key(|option| (option.at_least, option.panel));
    options
}

/// The fewest new repeaters over all panel options, and a choice with so many. What is proven of
/// each option is noted at it.
fn count(
    problem: &CoverProblem,
    options: &mut [PanelOption],
    stop: &dyn Fn() -> bool,
) -> Option<Best> {
    let mut best: Option<Best> = None;
    for option in options {
        if best.as_ref().is_some_and(|best| option.at_least >= best.count) {
            break;
        }
        let panel = option.panel;
        let view = View::new(problem, panel);
        let mut search = Search::new(&view, stop);
        let found = |choice: Choice| Best { panel, count: view.new_count(&choice.open), choice };
        if best.is_none() {
            best = search.everything().map(found);
            if best.is_none() && stop() {
                return None;
            }
            if best.is_none() {
                // Not even all sites together do.
                option.at_least = usize::MAX;
                continue;
            }
        }
        while let Some(now) = best.as_ref().filter(|now| option.at_least < now.count) {
            match search.run(Goal::Count, now.count - 1) {
                End::Found(choice) => best = Some(found(choice)),
                End::Nothing => option.at_least = now.count,
                End::Stopped(_) => return best,
            }
        }
    }
    best
}

/// The lowest weight over all panel options, with the count of `best`; and, when the caller said
/// stop, what is proven of the weight.
fn lighten(
    problem: &CoverProblem,
    options: &mut Vec<PanelOption>,
    mut best: Best,
    stop: &dyn Fn() -> bool,
) -> (Best, Option<f64>) {
    let count = best.count;
    options.retain(|option| option.at_least <= count);
    // The choice so far made lighter, so that there is something to prune by.
    let view = View::new(problem, best.panel);
    let mut search = Search::new(&view, stop);
    search.polish(&best.choice.open);
    best.choice = search.best.unwrap_or(best.choice);
    for option in options.iter_mut().take_while(|_| !stop()) {
        let view = View::new(problem, option.panel);
        let mut search = Search::new(&view, stop);
        search.limit = best.choice.weight;
        option.weight = search.lightest(count, GLANCE).max(0.0);
    }
    options.sort_by(|a, b| a.weight.total_cmp(&b.weight).then(a.panel.cmp(&b.panel)));
    let mut prices: Option<Prices> = None;
    for (place, option) in options.iter().enumerate() {
        if option.weight >= best.choice.weight - super::ROUNDING {
            break;
        }
        let rest = options[place + 1..].iter().map(|option| option.weight);
        let rest = rest.fold(best.choice.weight, f64::min);
        let view = View::new(problem, option.panel);
        let mut search = Search::new(&view, stop);
        search.limit = best.choice.weight;
        if let Some(prices) = &prices {
            search.weight.fit(&view, prices);
            if search.lightest(count, LONG_GLANCE) >= search.limit - super::ROUNDING {
                continue;
            }
        }
        let end = search.run(Goal::Weight, count);
        prices = Some(search.weight);
        if let Some(choice) = search.best {
            best = Best { panel: option.panel, count: view.new_count(&choice.open), choice };
        }
        if let End::Stopped(weight) = end {
            return (best, Some(rest.min(weight.max(option.weight))));
        }
    }
    (best, None)
}

fn report(problem: &CoverProblem, best: Best, proof: impl Fn(f64) -> Proof) -> CoverAnswer {
    let Choice { weight, open, routing } = best.choice;
    let open: Vec<usize> = (0..open.len()).filter(|&site| open[site]).collect();
    let ways = routing.first.iter().map(|first| match *first {
        None => Vec::new(),
        Some(site) => std::iter::once(site).chain(routing.onward[site].site()).collect(),
    });
    let chance_of_any_fault = chance(weight);
    CoverAnswer {
        panel: best.panel,
        new: open.iter().copied().filter(|&site| !problem.sites[site].given).collect(),
        ways: ways.collect(),
        open,
        chance_of_any_fault,
        proof: proof(chance_of_any_fault),
    }
}

/// Why no panel option will do, at the one that comes nearest.
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

/// Why a panel option will not do; `None` when stopped.
fn fault(problem: &CoverProblem, panel: usize, stop: &dyn Fn() -> bool) -> Option<CoverError> {
    let view = View::new(problem, panel);
    let sensors = view.cut_off(None);
    if !sensors.is_empty() {
        return Some(CoverError::Unreachable { panel, sensors });
    }
    let router = Router { view: &view, stop };
    let all = vec![true; view.sites()];
    match router.fits(&all, None) {
        Verdict::Fails(_) => return Some(CoverError::CapacityTooSmall { panel }),
        Verdict::Stopped => return None,
        Verdict::Fits(_) => {}
    }
    let mut alone = vec![false; view.sensors];
    for lost in 0..view.sites() {
        if stop() {
            return None;
        }
        for sensor in view.cut_off(Some(lost)) {
            alone[sensor] = true;
        }
    }
    let sensors: Vec<usize> = (0..view.sensors).filter(|&sensor| alone[sensor]).collect();
    if !sensors.is_empty() {
        return Some(CoverError::NotTwice { panel, sensors });
    }
    for lost in 0..view.sites() {
        match router.fits(&all, Some(lost)) {
            Verdict::Fails(_) => {
                return Some(CoverError::CapacityTooSmallAfterLoss { panel, lost });
            }
            Verdict::Stopped => return None,
            Verdict::Fits(_) => {}
        }
    }
    // All sites do: only reached when the searches were stopped.
    None
}
