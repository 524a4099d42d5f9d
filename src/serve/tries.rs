//! What was found to help, as changes that a page can send as they are.

use serde_json::{Value, json};

use explain::Action;
use plan::{DEFAULT_DEVICE_HEIGHT_M, Device, DeviceKind, Plan, thousandths};
use siting::spots::Spot;

/// What does an action; nothing for what no single change of the plan stands for.
pub fn action(plan: &Plan, device: &Device, action: &Action) -> Option<Value> {
    let here = [device.position.x, device.position.y];
    Some(match action {
        Action::MoveDevice { to_m, .. } => json!([moved(&device.id, *to_m)]),
        Action::Raise { height_m, .. } => {
            json!([{ "do": "move", "id": device.id, "to": here, "height": height_m.0 }])
        }
        Action::MovePanel { to_m, .. } => json!([moved(&plan.panel()?.id, *to_m)]),
        Action::Open { feature, .. } => {
            json!([{ "do": "set", "id": feature, "properties": { "state": "open" } }])
        }
        Action::Replace { feature, by, .. } => {
            json!([{ "do": "set", "id": feature, "properties": { "construction": by } }])
        }
        Action::TakeAway { feature, upper_bound: false, .. } => {
            json!([{ "do": "remove", "id": feature }])
        }
        Action::Repeater { outlet, level, position_m: [x, y, height_m], .. } => {
            json!([repeater(plan, &format!("repeater-{outlet}"), *level, [*x, *y], *height_m)])
        }
        Action::Remount { to, .. } => {
            json!([{ "do": "set", "id": device.id, "properties": { "mount": to } }])
        }
        Action::Turn { to } => {
            json!([{ "do": "set", "id": device.id, "properties": { "aerial": to.word() } }])
        }
        Action::TakeAway { .. } | Action::WireReed { .. } => return None,
    })
}

fn moved(id: &str, to: [f64; 2]) -> Value {
    json!({ "do": "move", "id": id, "to": to })
}

/// A panel at the usual height for what does not depend on where it hangs, of a plan that has none.
pub fn stand_in(plan: &Plan) -> Device {
    let (number, floor_m) = plan.levels.first().map_or((0, 0.0), |it| (it.number, it.floor_m));
    let (id, name) = ("panel".to_owned(), "Panel".to_owned());
    let height_m = floor_m + DEFAULT_DEVICE_HEIGHT_M;
    Device { id, name, height_m, ..Device::bare(DeviceKind::Panel, number) }
}

/// What hangs the plan's panel at a spot; a plan without one gets one.
pub fn panel(plan: &Plan, spot: &Spot) -> Value {
    let height = spot.height_m - plan.level(spot.level).map_or(0.0, |level| level.floor_m);
    let to = [spot.position.x, spot.position.y];
    match plan.panel() {
        Some(panel) => json!([{
            "do": "move", "id": panel.id, "to": to, "level": spot.level, "height": height,
        }]),
        None => json!([added(plan, ("panel", "panel", "Panel"), spot.level, to, height)]),
    }
}

/// What adds a repeater; its height is above the plan's zero, metres.
pub fn repeater(plan: &Plan, id: &str, level: i32, at: [f64; 2], height_m: f64) -> Value {
    let height = height_m - plan.level(level).map_or(0.0, |level| level.floor_m);
    added(plan, ("repeater", id, "Repeater"), level, at, height)
}

/// What adds a device at a height above its level's floor, metres.
fn added(
    plan: &Plan,
    (kind, id, name): (&str, &str, &str),
    level: i32,
    at: [f64; 2],
    height: f64,
) -> Value {
    // A property stands in the plan's own unit.
    let height = thousandths(height / plan.metres_per_unit);
    json!({
        "do": "add",
        "feature": {
            "type": "Feature",
            "id": id,
            "properties": { "kind": kind, "name": name, "level": level, "height": height },
            "geometry": { "type": "Point", "coordinates": at },
        },
    })
}
