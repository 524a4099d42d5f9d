//! Remedies in words.

use crate::json::rounded;
use crate::table::{counted, fixed, margin_words};
use explain::{Action, NoHelp};

/// What a remedy asks for.
pub(super) fn remedy_words(action: &Action) -> String {
    let metres = |value: f64| fixed(value, 2);
    match action {
        Action::MoveDevice { by_m, along_wall: Some(side), on_plan, .. } => {
            let (by, side) = (metres(by_m.0), side.word());
            format!("move it {by} m to the {side} along its wall ({on_plan} on the plan)")
        }
        Action::MoveDevice { by_m, on_plan, .. } => {
            format!("move it {} m, {on_plan} on the plan", metres(by_m.0))
        }
        Action::Raise { by_m, height_m } => {
            let verb = if rounded(by_m.0) < 0.0 { "lower" } else { "raise" };
            let (by, height) = (metres(by_m.0.abs()), metres(height_m.0));
            format!("{verb} it by {by} m, to {height} m above the floor")
        }
        Action::MovePanel { to_m: [x, y], by_m, along_wall, not_sound_now, not_sound_then } => {
            format!(
                "move the panel {} m to the {} along its wall, to x {} m, y {} m; devices not \
                 sound: {not_sound_now} now, {not_sound_then} then",
                metres(by_m.0),
                along_wall.word(),
                metres(*x),
                metres(*y)
            )
        }
        Action::Open { feature, construction } => {
            format!("open {feature} ({construction}); lasts while it stands open")
        }
        Action::Replace { feature, construction, by } => {
            format!("{feature} of {by} in place of {construction}")
        }
        Action::TakeAway { feature, construction, upper_bound: false } => {
            format!("move {feature} ({construction}) out of the way")
        }
        Action::TakeAway { feature, construction, .. } => {
            format!("upper bound: no {feature} ({construction}) where the path crosses it")
        }
        Action::Repeater { outlet, onward_margin_db, .. } => {
            format!("a repeater at {outlet}, itself {}", margin_words(onward_margin_db.0))
        }
        Action::Remount { from, to } => {
            let how = if from == "metal" { "clear of the metal" } else { "on the face" };
            format!("mount it {how} (\"{to}\" in place of \"{from}\")")
        }
    }
}

/// What does not help, or could not be tried.
pub(super) fn vain_words(vain: &NoHelp) -> String {
    let (what, thing) = match vain.action {
        "move" => ("moving it", "place"),
        "raise" => ("raising or lowering it", "place"),
        "move-panel" => ("moving the panel along its wall", "place"),
        "open" => ("opening, replacing or taking away what is in the way", "change"),
        "repeater" => ("a repeater at an outlet", "place"),
        "mount" => ("another mount", "change"),
        other => (other, "place"),
    };
    match vain.why {
        Some(why) => format!("{what} (not tried: {why})"),
        None => format!("{what} ({} tried)", counted(vain.tried, thing)),
    }
}
