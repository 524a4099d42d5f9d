//! Remedies in words.

use super::explain::{RemedyDetail, RemedyRow, VainRow};
use super::table::margin_words;

/// What a remedy asks for.
pub(super) fn remedy_words(row: &RemedyRow) -> String {
    match &row.detail {
        RemedyDetail::Move { by_m, along_wall, on_plan, .. } => match along_wall {
            Some(side) => {
                format!("move it {by_m:.2} m to the {side} along its wall ({on_plan} on the plan)")
            }
            None => format!("move it {by_m:.2} m, {on_plan} on the plan"),
        },
        RemedyDetail::Raise { by_m, height_m } => {
            let verb = if *by_m < 0.0 { "lower" } else { "raise" };
            format!("{verb} it by {:.2} m, to {height_m:.2} m above the floor", by_m.abs())
        }
        RemedyDetail::MovePanel {
            to_m: [x, y],
            by_m,
            along_wall,
            not_sound_now,
            not_sound_then,
        } => format!(
            "move the panel {by_m:.2} m to the {along_wall} along its wall, to x {x:.2} m, y {y:.2} m; \
             devices not sound: {not_sound_now} now, {not_sound_then} then"
        ),
        RemedyDetail::Open { feature, construction } => {
            format!("open {feature} ({construction}); lasts while it stands open")
        }
        RemedyDetail::Replace { feature, construction, by } => {
            format!("{feature} of {by} in place of {construction}")
        }
        RemedyDetail::TakeAway { feature, construction, upper_bound: false } => {
            format!("move {feature} ({construction}) out of the way")
        }
        RemedyDetail::TakeAway { feature, construction, .. } => {
            format!("upper bound: no {feature} ({construction}) where the path crosses it")
        }
        RemedyDetail::Repeater { outlet, onward_margin_db, .. } => {
            format!("a repeater at {outlet}, itself {}", margin_words(*onward_margin_db))
        }
        RemedyDetail::Mount { from, to } => {
            let how = if from == "metal" { "clear of the metal" } else { "on the face" };
            format!("mount it {how} (\"{to}\" in place of \"{from}\")")
        }
    }
}

/// What does not help, or could not be tried.
pub(super) fn vain_words(row: &VainRow) -> String {
    let what = match row.action {
        "move" => "moving it",
        "raise" => "raising or lowering it",
        "move-panel" => "moving the panel along its wall",
        "open" => "opening, replacing or taking away what is in the way",
        "repeater" => "a repeater at an outlet",
        "mount" => "another mount",
        other => other,
    };
    match (row.why, row.action, row.tried) {
        (Some(why), ..) => format!("{what} (not tried: {why})"),
        (None, "open" | "mount", 1) => format!("{what} (1 change tried)"),
        (None, "open", tried) => format!("{what} ({tried} changes tried)"),
        (None, _, 1) => format!("{what} (1 place tried)"),
        (None, _, tried) => format!("{what} ({tried} places tried)"),
    }
}
