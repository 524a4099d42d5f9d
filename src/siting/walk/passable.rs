//! Which openings a person can walk through.

use forecast::class_of;
use plan::{Opening, Plan};
use radio::ConstructionClass;

/// Highest threshold that is stepped over, metres above a floor (common practice, no source).
pub const MAX_STEP_M: f64 = 0.15;

/// Lowest head of a doorway, metres above the floor (common practice, no source: old and low doors
/// are about this high).
pub const MIN_HEAD_M: f64 = 1.8;

/// Rounding left over by feet turned into metres.
const SLACK_M: f64 = 1e-6;

/// Whether an opening is a way through, as far as the plan tells.
///
/// It is if, over the floor of some level, its foot is at most [`MAX_STEP_M`] and its head at least
/// [`MIN_HEAD_M`] high, and it either stands open or its leaf is no pane of glass (class
/// [`ConstructionClass::Glass`] or [`ConstructionClass::CoatedGlass`]). So doors of timber, steel
/// or with glazing are ways through even if closed, and so is a curtain or a leaf of the user's own
/// making; a pane that reaches the floor is a window unless it stands open. Whether the opening
/// leads out of the building does not matter here: [`super::WalkMap`] finds that out.
#[must_use]
pub fn passable_by_default(plan: &Plan, opening: &Opening) -> bool {
    let high_enough = plan.levels.iter().any(|level| spans_a_person(opening, level.floor_m));
    let pane = matches!(
        class_of(plan, &opening.construction),
        ConstructionClass::Glass | ConstructionClass::CoatedGlass
    );
    high_enough && (opening.open || !pane)
}

/// Whether an opening's foot and head leave room for a person on a floor of this height.
pub(super) fn spans_a_person(opening: &Opening, floor_m: f64) -> bool {
    opening.base_m <= floor_m + MAX_STEP_M + SLACK_M
        && opening.top_m >= floor_m + MIN_HEAD_M - SLACK_M
}
