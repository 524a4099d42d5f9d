//! The two mixed-integer programmes, written with `good_lp` and solved by `microlp`.
//!
//! What comes back is a proposal, to be checked by the caller. `microlp` is stopped by a number of
//! branch-and-bound nodes, so that the proposal does not depend on the speed of the machine; it
//! gets a few of them at a time, and the caller is asked whether to go on in between.

use super::count::Cuts;
use super::domain::Domain;
use super::local::{Local, Onward};
use ::microlp::{ResumeOptions, SolveOptions};
use good_lp::{Expression, ProblemVariables, SolverModel, Variable, microlp, variable};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Duration;

/// Nodes of one portion, and the number of portions.
const PORTION: u64 = 25;
const PORTIONS: usize = 16;

/// A programme with more variables takes `microlp` longer than our own search needs (measured: with
/// two hops among 40 sites and 60 sensors it takes seconds, the search tenths of a second).
const MOST_VARIABLES: usize = 900;

/// The same of the programme of the count, by its entries that are not 0.
const MOST_ENTRIES: usize = 10_000;

/// A guard against a solver that runs in circles, far above what a portion takes.
const PORTION_TIME: Duration = Duration::from_secs(2);

/// Solves; the values of the variables in the order in which they were added.
fn solve(
    model: &good_lp::solvers::microlp::MicroLpProblem,
    stop: &dyn Fn() -> bool,
) -> Option<Vec<f64>> {
    let work = || {
        let mut options = SolveOptions::default();
        options.node_limit = Some(PORTION);
        options.time_limit = Some(PORTION_TIME);
        let mut outcome = model.as_inner().solve_with(options).ok()?;
        for _ in 1..PORTIONS {
            let limits =
                [::microlp::TerminationReason::NodeLimit, ::microlp::TerminationReason::TimeLimit];
            if stop() || outcome.termination_reason() != limits[0] {
                break;
            }
            let mut more = ResumeOptions::default();
            more.node_limit = Some(PORTION);
            more.time_limit = Some(PORTION_TIME);
            outcome = outcome.resume_with(more).ok()?;
        }
        let solution = outcome.into_solution().ok()?;
        Some(solution.iter().map(|(_, value)| value).collect())
    };
    // A fault inside the solver must not take the program down: our own search goes on without.
    catch_unwind(AssertUnwindSafe(work)).ok().flatten()
}

/// Adds the cuts over the variables of the sites.
fn cut_rows(model: &mut impl SolverModel, cuts: &Cuts, open: &[Option<Variable>]) {
    for cut in &cuts.all {
        let mut row = Expression::from(0.0);
        let scale = f64::from(cut.need.max(1));
        for (value, open) in cut.coefficient.iter().zip(open) {
            if let (true, Some(open)) = (*value > 0, open) {
                row.add_mul(f64::from(*value) / scale, *open);
            }
        }
        model.add_constraint(row.geq(f64::from(cut.need) / scale));
    }
}

/// The programme of the count: the fewest new sites that fulfil the cuts. `None` when it is too large
/// for `microlp` to be quick.
pub(super) fn fewest(local: &Local, cuts: &Cuts, stop: &dyn Fn() -> bool) -> Option<Vec<bool>> {
    let entries = cuts.all.iter().flat_map(|cut| &cut.coefficient);
    if entries.filter(|value| **value > 0).count() > MOST_ENTRIES {
        return None;
    }
    let mut variables = ProblemVariables::new();
    let mut goal = Expression::from(0.0);
    let open: Vec<Option<Variable>> = (0..local.sites())
        .map(|site| {
            let least = if local.given[site] { 1 } else { 0 };
            let open = variables.add(variable().integer().min(least).max(1));
            if !local.given[site] {
                goal.add_mul(1.0, open);
            }
            Some(open)
        })
        .collect();
    let mut model = variables.minimise(goal).using(microlp);
    cut_rows(&mut model, cuts, &open);
    let values = solve(&model, stop)?;
    let chosen = (0..local.sites()).map(|site| values.get(site).is_some_and(|v| *v > 0.5));
    Some(chosen.collect())
}

/// The programme of the weight within a domain: the open sites and the onward hop of each.
///
/// Variables: a site is open; it sends over an option (0 or 1); a sensor is heard by a site (0 to
/// 1: for given onward hops the rest is a flow, which is whole by itself); sensors sent over an
/// option to another site.
pub(super) fn lightest(
    local: &Local,
    cuts: &Cuts,
    domain: &Domain,
    limit: f64,
    stop: &dyn Fn() -> bool,
) -> Option<(Vec<bool>, Vec<Onward>)> {
    let sites = local.sites();
    let usable: Vec<usize> = (0..sites).filter(|&site| domain.may_use(site)).collect();
    let links: usize = usable.iter().map(|&site| local.heard[site].len()).sum();
    let onward: usize = usable.iter().map(|&site| local.options[site].len()).sum();
    if links + 2 * onward > MOST_VARIABLES || limit <= 0.0 {
        return None;
    }
    // Weights may be tiny; the solver's tolerances are made for numbers about 1.
    let scale = 100.0 / limit;
    let mut variables = ProblemVariables::new();
    let mut goal = Expression::from(0.0);
    let mut added = 0_usize;
    let mut add = |definition| {
        added += 1;
        (variables.add(definition), added - 1)
    };
    let mut open: Vec<Option<Variable>> = vec![None; sites];
    let mut open_at = vec![usize::MAX; sites];
    for site in 0..sites {
        if domain.may_open(site) {
            let least = if domain.close[site] { 0 } else { 1 };
            let (it, at) = add(variable().integer().min(least).max(1));
            open[site] = Some(it);
            open_at[site] = at;
        }
    }
    let mut sends: Vec<Vec<Option<(Variable, usize)>>> = vec![Vec::new(); sites];
    for (site, sends) in sends.iter_mut().enumerate() {
        for (number, (_, weight)) in local.options[site].iter().enumerate() {
            let allowed = domain.option[site][number];
            let it = allowed.then(|| add(variable().integer().min(0).max(1)));
            if let Some((it, _)) = it {
                goal.add_mul(weight * scale, it);
            }
            sends.push(it);
        }
    }
    let mut ways: Vec<Expression> = vec![Expression::from(0.0); local.sensors];
    for (sensor, way) in ways.iter_mut().enumerate() {
        if local.direct[sensor].is_finite() {
            let (it, _) = add(variable().min(0.0).max(1.0));
            goal.add_mul(local.direct[sensor] * scale, it);
            way.add_mul(1.0, it);
        }
    }
    let mut rows: Vec<(Expression, f64)> = Vec::new();
    let mut loads: Vec<Expression> = vec![Expression::from(0.0); sites];
    let mut passed: Vec<Expression> = vec![Expression::from(0.0); sites];
    let mut sent: Vec<Expression> = vec![Expression::from(0.0); sites];
    for &site in &usable {
        for &(sensor, weight) in &local.heard[site] {
            if weight >= local.direct[sensor] {
                continue;
            }
            let (it, _) = add(variable().min(0.0).max(1.0));
            goal.add_mul(weight * scale, it);
            ways[sensor].add_mul(1.0, it);
            loads[site].add_mul(1.0, it);
            let mut link = Expression::from(it);
            for (send, _) in sends[site].iter().flatten() {
                link.add_mul(-1.0, *send);
            }
            rows.push((link, 0.0));
        }
        for (number, (onward, _)) in local.options[site].iter().enumerate() {
            if let (Onward::Site(next), Some((send, _))) = (*onward, sends[site][number]) {
                let most = local.room[site].min(local.room[next]);
                let (flow, _) = add(variable().min(0.0).max(most as f64));
                sent[site].add_mul(1.0, flow);
                passed[next].add_mul(1.0, flow);
                rows.push((Expression::from(flow) - most as f64 * send, 0.0));
                if let Some(Some((home, _))) = sends[next].first() {
                    rows.push((Expression::from(send) - *home, 0.0));
                }
            }
        }
    }
    for &site in &usable {
        let mut uses = Expression::from(0.0);
        for (send, _) in sends[site].iter().flatten() {
            uses.add_mul(1.0, *send);
        }
        let mut within = uses.clone();
        if let Some(open) = open[site] {
            within.add_mul(-1.0, open);
            rows.push((within, 0.0));
        }
        let room = local.room[site] as f64;
        rows.push((loads[site].clone() + passed[site].clone() - room * uses, 0.0));
        if domain.option[site].first() != Some(&true) || local.home[site].is_infinite() {
            rows.push((loads[site].clone() - sent[site].clone(), 0.0));
        } else if local.options[site].len() > 1
            && let Some(Some((home, _))) = sends[site].first()
        {
            rows.push((loads[site].clone() - sent[site].clone() - room * *home, 0.0));
        }
    }
    let mut count = Expression::from(0.0);
    for site in 0..sites {
        if let (true, false, Some(open)) = (domain.close[site], local.given[site], open[site]) {
            count.add_mul(1.0, open);
        }
    }
    rows.push((count, domain.left as f64));
    let mut model = variables.minimise(goal).using(microlp);
    for (row, most) in rows {
        model.add_constraint(row.leq(most));
    }
    for way in ways {
        model.add_constraint(way.geq(1.0));
    }
    cut_rows(&mut model, cuts, &open);
    let values = solve(&model, stop)?;
    let is_on = |at: usize| values.get(at).is_some_and(|value| *value > 0.5);
    let chosen: Vec<bool> = (0..sites)
        .map(|site| !domain.close[site] || (open_at[site] != usize::MAX && is_on(open_at[site])))
        .collect();
    let onward = (0..sites).map(|site| {
        let mut options = local.options[site].iter().zip(&sends[site]);
        let sent = options.find(|(_, send)| send.is_some_and(|(_, at)| is_on(at)));
        sent.map_or(Onward::Unused, |((onward, _), _)| *onward)
    });
    let onward = onward.collect();
    Some((chosen, onward))
}
