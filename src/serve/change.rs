//! What a page wishes for, as changes of the plan's text.

use geo::Coord;

use crate::message::{GroundWish, Refusal, Wish};
use plan::edit::{Change, EditError, edited_leniently};
use plan::{Backdrop, DEFAULT_DEVICE_HEIGHT_M, Device, Plan};
use serde_json::Value;

/// The text with all wishes fulfilled. It may have faults afterwards, which the page shows.
///
/// # Errors
/// One of them cannot be; then nothing is changed.
pub fn changed(text: &str, wishes: &[Wish]) -> Result<String, Refusal> {
    let changes: Vec<Change> = wishes.iter().map(change).collect();
    edited_leniently(text, &changes).map_err(|error| {
        let fix = match error {
            EditError::NoFeature(_) => "reload the page: it may have been removed",
            _ => "do it in another way, or undo first",
        };
        Refusal::new(error.to_string(), fix)
    })
}

fn change(wish: &Wish) -> Change {
    let point = |[x, y]: [f64; 2]| Coord { x, y };
    match wish.clone() {
        Wish::Move { id, to, level, height } => {
            Change::Move { id, position: point(to), level, height_above_floor_m: height }
        }
        Wish::Shape { id, coordinates } => {
            Change::Shape { id, corners: coordinates.into_iter().map(point).collect() }
        }
        Wish::Set { id, properties } => {
            let value = |value: Value| (!value.is_null()).then(|| value.to_string());
            let properties = properties.into_iter().map(|(name, new)| (name, value(new)));
            Change::Set { id, properties: properties.collect() }
        }
        Wish::Add { feature } => Change::Add { feature: in_order(&feature) },
        Wish::Remove { id } => Change::Remove { id },
        Wish::Ground { picture } => Change::Backdrop(picture.map(|picture| {
            let GroundWish { file, transform, opacity, level } = picture;
            Backdrop { file, transform, opacity, level }
        })),
    }
}

/// Members that stand before all others of a feature, its geometry and its properties, as the
/// shipped plans have them.
const FIRST: [&str; 8] =
    ["type", "id", "kind", "name", "geometry", "properties", "construction", "coordinates"];

/// A value as text, its members in the order in which people write them.
fn in_order(value: &Value) -> String {
    let Value::Object(members) = value else { return value.to_string() };
    let place = |name: &str| FIRST.iter().position(|first| *first == name).unwrap_or(FIRST.len());
    let mut members: Vec<_> = members.iter().collect();
    members.sort_by_key(|(name, _)| place(name));
    let member = |(name, value): (&String, &Value)| {
        format!("{}: {}", Value::from(name.as_str()), in_order(value))
    };
    let members: Vec<String> = members.into_iter().map(member).collect();
    format!("{{{}}}", members.join(", "))
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
