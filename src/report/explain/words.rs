//! Remedies in words.

use geo::Coord;

use crate::json::rounded;
use crate::table::{fixed, margin_words};
use explain::{Action, NoHelp, NoHelpReason, Side};

/// The word for a side, as one sees it who faces the wall.
pub(super) const fn side_word(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// A direction on the plan to an eighth of a turn, x to the right and y up.
pub(super) fn way_word(way: Coord<f64>) -> &'static str {
    const WORDS: [&str; 8] = [
        "right",
        "up and right",
        "up",
        "up and left",
        "left",
        "down and left",
        "down",
        "down and right",
    ];
    let eighths = libm::atan2(way.y, way.x) / std::f64::consts::FRAC_PI_4;
    let number = (eighths.round() as i32).rem_euclid(8);
    WORDS.get(number as usize).copied().unwrap_or_default()
}

/// What a remedy asks for.
pub(super) fn remedy_words(action: &Action) -> String {
    let metres = |value: f64| fixed(value, 2);
    match action {
        Action::MoveDevice { by, side, way, .. } => {
            let (by, on_plan) = (metres(by.0), way_word(*way));
            match side.map(side_word) {
                Some(side) => {
                    format!("move it {by} m to the {side} along its wall ({on_plan} on the plan)")
                }
                None => format!("move it {by} m, {on_plan} on the plan"),
            }
        }
        Action::Raise { by, above_floor, .. } => {
            let verb = if rounded(by.0) < 0.0 { "lower" } else { "raise" };
            let (by, height) = (metres(by.0.abs()), metres(above_floor.0));
            format!("{verb} it by {by} m, to {height} m above the floor")
        }
        Action::MovePanel { to, by, side, not_sound_now, not_sound_then } => format!(
            "move the panel {} m to the {} along its wall, to x {} m, y {} m; devices not sound: \
             {not_sound_now} now, {not_sound_then} then",
            metres(by.0),
            side_word(*side),
            metres(to.x),
            metres(to.y)
        ),
        Action::Open { feature, construction } => {
            format!("open {feature} ({construction}); lasts while it stands open")
        }
        Action::Replace { feature, construction, by } => {
            format!("{feature} of {by} in place of {construction}")
        }
        Action::TakeAway { feature, construction, is_obstacle: true } => {
            format!("move {feature} ({construction}) out of the way")
        }
        Action::TakeAway { feature, construction, .. } => {
            format!("upper bound: no {feature} ({construction}) where the path crosses it")
        }
        Action::Repeater { outlet, onward_margin, .. } => {
            format!("a repeater at {outlet}, itself {}", margin_words(onward_margin.0))
        }
        Action::Remount { from, to } => {
            let how = if from == "metal" { "clear of the metal" } else { "on the face" };
            format!("mount it {how} (\"{to}\" in place of \"{from}\")")
        }
    }
}

/// What does not help, or could not be tried.
pub(super) fn vain_words(vain: &NoHelp) -> String {
    let what = match vain.action {
        "move" => "moving it",
        "raise" => "raising or lowering it",
        "move-panel" => "moving the panel along its wall",
        "open" => "opening, replacing or taking away what is in the way",
        "repeater" => "a repeater at an outlet",
        "mount" => "another mount",
        other => other,
    };
    match (&vain.why, vain.action) {
        (NoHelpReason::NotTried(why), _) => format!("{what} (not tried: {why})"),
        (NoHelpReason::NoGain { tried: 1 }, "open" | "mount") => format!("{what} (1 change tried)"),
        (NoHelpReason::NoGain { tried }, "open") => format!("{what} ({tried} changes tried)"),
        (NoHelpReason::NoGain { tried: 1 }, _) => format!("{what} (1 place tried)"),
        (NoHelpReason::NoGain { tried }, _) => format!("{what} ({tried} places tried)"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_ways_on_the_plan() {
        let word = |x, y| way_word(Coord { x, y });
        assert_eq!(word(1.0, 0.1), "right");
        assert_eq!(word(-1.0, -0.1), "left");
        assert_eq!(word(0.0, -2.0), "down");
        assert_eq!(word(-1.0, 1.0), "up and left");
        assert_eq!(word(0.7, -0.7), "down and right");
    }
}
