//! What can be done, in words.

use geo::Coord;

use super::ExplainReport;
use crate::json::rounded;
use crate::table::margin_words;
use explain::{Action, Effort, Remedy, Side};
use forecast::Finding;
use plan::Aerial;
use units::Db;
use words::Words;

/// Most repeaters in the table; all are in the JSON.
const MOST_REPEATERS: usize = 3;

/// A change that gains less, and betters no finding, is not worth the work: it is in the JSON only
/// (our choice).
pub(super) const WORTH_DOING: Db = Db(1.0);

/// The remedies that are shown, the least work first, with the number of repeaters left out.
pub(super) fn shown<'r>(report: &'r ExplainReport<'_>) -> (Vec<&'r Remedy>, usize) {
    let result = &report.told.result;
    let is_worth = |remedy: &&Remedy| match result.finding {
        Finding::Sound => !remedy.uncertain && remedy.effort < Effort::Wiring,
        finding => remedy.gain_db.0 >= WORTH_DOING.0 || remedy.finding < finding,
    };
    let can_be_done = |remedy: &&Remedy| remedy.effort != Effort::Limit;
    let all = report.told.remedies.list.iter().filter(can_be_done).filter(is_worth);
    let mut repeaters = 0;
    let mut shown: Vec<&Remedy> = all
        .filter(|remedy| {
            repeaters += usize::from(remedy.effort == Effort::Repeater);
            remedy.effort != Effort::Repeater || repeaters <= MOST_REPEATERS
        })
        .collect();
    // Stable: of equal work the lower chance of a fault goes first.
    shown.sort_by_key(|remedy| remedy.effort);
    (shown, repeaters.saturating_sub(MOST_REPEATERS))
}

/// Which of what is shown is the least work that makes the device sound, or else thin.
pub(super) fn advice(report: &ExplainReport<'_>, words: &Words, shown: &[&Remedy]) -> String {
    let first = |finding: Finding| {
        let good = || shown.iter().filter(move |remedy| remedy.finding == finding);
        good().find(|remedy| !remedy.uncertain).or_else(|| good().next())
    };
    // Where it hangs stands in the table.
    let said = |remedy: &&Remedy| {
        if let Action::Repeater { outlet, .. } = &remedy.action {
            return words.advice_plug(&report.places.outlet(words, outlet));
        }
        let whole = remedy_words(report, words, &remedy.action);
        let is_placed = matches!(remedy.action, Action::MovePanel { .. } | Action::WireReed { .. });
        let head = whole.split(" (").next().filter(|_| is_placed);
        head.map(str::to_owned).unwrap_or(whole)
    };
    let is_thin = report.told.result.finding == Finding::Thin;
    match (first(Finding::Sound), first(Finding::Thin).filter(|_| !is_thin)) {
        (Some(sound), _) => words.advice_sound(&said(sound)),
        (None, Some(thin)) => words.advice_thin(&said(thin)),
        (None, None) => words.advice_none(),
    }
}

/// A remedy as one says it to who does it.
pub(super) fn remedy_words(report: &ExplainReport<'_>, words: &Words, action: &Action) -> String {
    let lengths = report.lengths();
    let tape = |metres: f64| words.plain(lengths.tape(metres));
    let device = &report.told.result.device;
    let place = |level: i32, [x, y]: [f64; 2], height_m: f64| {
        report.places.all(words, &[(level, Coord { x, y }, height_m)]).concat()
    };
    let named = |feature: &str| report.places.opening(words, feature);
    let built = |construction: &str| words.construction(construction);
    let hand = |side: &Side| words.term("hand", side.word()).unwrap_or_default();
    let toward = |way: &str| words.term("toward", &way.replace(' ', "-")).unwrap_or_default();
    match action {
        Action::MoveDevice { by_m, along_wall: Some(side), on_plan, .. } => {
            words.remedy_move_along(&tape(by_m.0), &hand(side), &toward(on_plan))
        }
        Action::MoveDevice { by_m, on_plan, .. } => {
            words.remedy_move(&tape(by_m.0), &toward(on_plan))
        }
        Action::Raise { by_m, height_m } => {
            let (by, height) = (tape(by_m.0.abs()), tape(height_m.0));
            if rounded(by_m.0) < 0.0 {
                words.remedy_lower(&by, &height)
            } else {
                words.remedy_raise(&by, &height)
            }
        }
        Action::MovePanel { to_m, by_m, along_wall, not_sound_now, not_sound_then } => {
            let panel = &report.site.panel.device;
            words.remedy_move_panel(
                &tape(by_m.0),
                &hand(along_wall),
                &place(panel.level, *to_m, panel.height_m),
                &not_sound_now.to_string(),
                &not_sound_then.to_string(),
            )
        }
        Action::Open { feature, construction } => {
            words.remedy_open(&named(feature), &built(construction))
        }
        Action::Replace { feature, construction, by } => {
            words.remedy_replace(&named(feature), &built(by), &built(construction))
        }
        Action::TakeAway { feature, construction, upper_bound: false } => {
            words.remedy_take_away(feature, &built(construction))
        }
        Action::TakeAway { feature, construction, .. } => {
            words.remedy_limit(feature, &built(construction))
        }
        Action::Repeater { level, position_m: [x, y, height_m], onward_margin_db, .. } => words
            .remedy_repeater(
                &place(*level, [*x, *y], *height_m),
                &margin_words(words, onward_margin_db.0),
            ),
        Action::WireReed { feature, to_m, height_m, cable_m, .. } => words.remedy_wired_reed(
            &words.plain(lengths.run(cable_m.0)),
            &named(feature),
            &place(device.level, *to_m, *height_m),
        ),
        Action::Remount { from, .. } if from == "metal" => words.remedy_off_metal(),
        Action::Remount { .. } => words.remedy_on_surface(),
        Action::Turn { to: Aerial::Upright } => words.remedy_turn_upright(),
        Action::Turn { to: Aerial::Level } => words.remedy_turn_level(),
    }
}
