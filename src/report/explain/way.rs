//! The way of most of a hop's power in words.

use crate::json::rounded;
use crate::table::tenths;
use explain::{HopBudget, Reflection, Reflector};
use forecast::Carrier;
use units::Db;
use words::Words;

/// What is crossed costs so much more than the way that carries most power that the text says so.
const WORTH_SAYING: Db = Db(3.0);

/// What costs less is not named, dB.
const WORTH_NAMING: f64 = 0.05;

/// By which way most power comes, and what costs most on it.
pub(super) fn cost_words(words: &Words, budget: &HopBudget) -> String {
    let Some(way) = &budget.way else { return words.way_none() };
    let decibels = |value: f64| words.plain(tenths(value));
    let share = format!("{:.0}", rounded(way.share) * 100.0);
    let loss = decibels(way.loss.0);
    let heaviest = way.heaviest();
    let named = heaviest
        .map(|(wall, _)| format!("{} ({})", wall.feature, words.construction(&wall.construction)));
    let costs_most = || match (&named, heaviest) {
        (Some(named), Some((_, cost))) if cost.0 >= WORTH_NAMING => {
            words.way_costs_most(named, &decibels(cost.0))
        }
        _ => words.way_costs_little(),
    };
    let crossed: f64 = budget.hop.crossings.iter().map(|x| (x.slab + x.excess).0).sum();
    let beside = (crossed - way.loss.0 > WORTH_SAYING.0)
        .then(|| words.way_walls_would_cost(&decibels(crossed)));
    let round = named.clone().unwrap_or_else(|| words.way_in_the_way());
    let (first, more) = match way.carrier {
        Carrier::Straight => return [words.way_straight(&share), costs_most()].join(" "),
        Carrier::Reflected => {
            let said = match mirrors(words, budget) {
                Some(mirrors) => words.way_reflected_off(&share, &mirrors, &loss),
                None => words.way_reflected(&share, &loss),
            };
            (said, Some(costs_most()))
        }
        Carrier::RoundEdges => (words.way_round_edges(&share, &round, &loss), None),
        Carrier::Scattered if named.is_none() => return words.way_many_times(&share),
        Carrier::Scattered => (words.way_scattered(&share, &round, &loss), None),
    };
    [Some(first), more, beside].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// What the strongest reflected path is reflected at; `None` where none is listed.
fn mirrors(words: &Words, budget: &HopBudget) -> Option<String> {
    let paths = budget.paths.iter().filter(|path| path.order > 0);
    let best = paths.reduce(|a, b| if b.share > a.share { b } else { a })?;
    let said = |mirror: &Reflection| match mirror.at {
        Reflector::Upright => mirror.feature.clone(),
        Reflector::Floor => words.way_floor(&mirror.feature),
        Reflector::Ceiling => words.way_ceiling(&mirror.feature),
    };
    Some(best.reflections.iter().map(said).collect::<Vec<_>>().join(", "))
}
