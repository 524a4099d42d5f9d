//! The top-level member `calibration` added to the text of a plan, or replaced.

use geo::Coord;

use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::splice::{spliced, written};
use super::super::{Calibration, Plan};
use super::error::EditError;
use input::json::{Sort, Value};

/// How finely decibels and factors are written: far finer than readings can say.
const STEPS: f64 = 10_000.0;

/// How deep the new member is spread over lines: a line for each construction and each device.
const SPREAD: usize = 2;

/// Where the panel hung: level, position, height above the floor in metres.
pub(super) fn place(calibration: &Calibration, plan: &Plan) -> (i32, Coord<f64>, f64) {
    let floor_m = plan.level(calibration.level).map_or(0.0, |level| level.floor_m);
    (calibration.level, calibration.position, calibration.height_m - floor_m)
}

/// The text with the calibration in it; as it was if it holds just that already.
pub(super) fn put_into(
    text: &str,
    plan: &Plan,
    calibration: &Calibration,
) -> Result<String, EditError> {
    if plan.level(calibration.level).is_none() {
        return Err(EditError::NoLevel(calibration.level));
    }
    let node = node(calibration, plan)?;
    let whole = Fields::quietly(Value::whole(text));
    let layout = Layout::of(text, &whole).ok_or(EditError::NotThisPlan)?;
    let new = layout.write_member(&node, SPREAD);
    let old = whole.members().iter().find(|member| member.key == "calibration");
    if old.is_some_and(|old| is_same(old.value, &new)) {
        return Ok(text.to_owned());
    }
    let splice = Layout::set(text, &whole, "calibration", &new);
    Ok(spliced(text, splice.into_iter().collect()))
}

/// Whether a value says the same as a new one, however it is laid out.
fn is_same(old: Value<'_>, new: &str) -> bool {
    let parsed = |text: &str| serde_json::from_str::<serde_json::Value>(text).ok();
    old.sort() == Sort::Object && parsed(old.raw) == parsed(new)
}

fn node(calibration: &Calibration, plan: &Plan) -> Result<Node, EditError> {
    let number = |number: f64, steps: f64| {
        // Adding zero turns a negative zero into a positive one.
        let rounded = (number * steps).round() / steps + 0.0;
        if rounded.is_finite() { Ok(written(rounded)) } else { Err(EditError::Calibration) }
    };
    let leaf = |value: f64| number(value, STEPS).map(Node::Leaf);
    let length = |metres: f64| number(metres / plan.metres_per_unit, 1_000.0).map(Node::Leaf);
    let (level, position, height_m) = place(calibration, plan);
    let mut members = vec![
        ("panel", Node::text(&calibration.panel)),
        ("panel_at", Node::List(vec![length(position.x)?, length(position.y)?])),
        ("level", Node::Leaf(level.to_string())),
        ("height", length(height_m)?),
        ("site_offset_db", leaf(calibration.site_offset.0)?),
        ("site_sigma_db", leaf(calibration.site_sigma.0)?),
    ];
    let constructions = calibration.constructions.iter().map(|(name, one)| {
        let members = [("scale", leaf(one.scale)?), ("sigma", leaf(one.sigma)?)];
        Ok((name.as_str(), Node::object(members)))
    });
    let devices = calibration.devices.iter().map(|(id, device)| {
        let (loss, own, sigma) = (leaf(device.loss.0)?, leaf(device.own.0)?, leaf(device.sigma.0)?);
        let members = [("loss_db", loss), ("own_db", own), ("sigma_db", sigma)];
        Ok((id.as_str(), Node::object(members)))
    });
    let constructions: Vec<(&str, Node)> = constructions.collect::<Result<_, _>>()?;
    let devices: Vec<(&str, Node)> = devices.collect::<Result<_, _>>()?;
    for (name, entries) in [("constructions", constructions), ("devices", devices)] {
        // An empty object would be spread over lines with nothing between them.
        if !entries.is_empty() {
            members.push((name, Node::object(entries)));
        }
    }
    Ok(Node::object(members))
}

/// Whether a plan that was read again holds the calibration, as finely as it is written.
pub(super) fn is_made(calibration: &Calibration, now: &Plan) -> bool {
    let written = |calibration| node(calibration, now).ok();
    now.calibration.as_ref().and_then(written) == written(calibration)
}
