//! What a page wishes for, as changes of the plan's text.

use geo::Coord;

use crate::message::{Refusal, Wish};
use plan::edit::{Change, edited};
use plan::{DEFAULT_DEVICE_HEIGHT_M, Device, Plan};

/// The text with all wishes fulfilled.
///
/// # Errors
/// One of them cannot be; then nothing is changed.
pub fn changed(text: &str, plan: Option<&Plan>, wishes: &[Wish]) -> Result<String, Refusal> {
    let Some(plan) = plan else {
        return Err(Refusal::new("the plan cannot be read", "take the last edit back"));
    };
    let changes: Vec<Change> =
        wishes.iter().map(|wish| change(plan, wish)).collect::<Result<_, _>>()?;
    edited(text, plan, &changes)
        .map_err(|error| Refusal::new(error.to_string(), "do it in another way, or undo first"))
}

fn change(plan: &Plan, wish: &Wish) -> Result<Change, Refusal> {
    if let Some(panel) = panel_at(plan, wish) {
        let floor_m = plan.level(panel.level).map_or(0.0, |level| level.floor_m);
        return Ok(Change::MovePanel {
            level: panel.level,
            position: panel.position,
            height_above_floor_m: panel.height_m - floor_m,
        });
    }
    Err(Refusal::new("this cannot be changed yet", "change the plan's file"))
}

/// The plan's panel as the only wish moves it, if that is all that is wished for: then nothing
/// else has to be worked out again.
#[must_use]
pub fn moved_panel(plan: &Plan, wishes: &[Wish]) -> Option<Device> {
    match wishes {
        [wish] => panel_at(plan, wish),
        _ => None,
    }
}

fn panel_at(plan: &Plan, wish: &Wish) -> Option<Device> {
    let Wish::Move { id, to: [x, y], level, height } = wish else { return None };
    let panel = plan.panel().filter(|panel| panel.id == *id)?;
    let floor_m = |number| plan.level(number).map(|level| level.floor_m);
    let number = level.unwrap_or(panel.level);
    let usual = floor_m(panel.level).map_or(DEFAULT_DEVICE_HEIGHT_M, |f| panel.height_m - f);
    let height_m = floor_m(number)? + height.unwrap_or(usual);
    let is_finite = [*x, *y, height_m].iter().all(|number| number.is_finite());
    let position = Coord { x: *x, y: *y };
    is_finite.then(|| Device { level: number, position, height_m, ..panel.clone() })
}
