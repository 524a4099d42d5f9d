//! The panel hung elsewhere than the plan has it.

use super::error::CommandError;
use super::frame::House;
use super::options::{PanelOption, PanelSpot};
use forecast::{Site, SiteError};
use plan::edit::Change;
use plan::{DEFAULT_DEVICE_HEIGHT_M, Device, DeviceKind, Plan};
use siting::spots::Spot;

/// The plan's panel, or for a plan without one a new one; where that hangs is still to be filled
/// in.
pub(crate) fn any_panel(plan: &Plan) -> Device {
    let level = plan.levels.first().map_or(0, |level| level.number);
    plan.panel().cloned().unwrap_or_else(|| Device {
        id: "panel".to_owned(),
        name: "Panel".to_owned(),
        ..Device::bare(DeviceKind::Panel, level)
    })
}

/// The site, with the panel where the user tries it.
pub(crate) fn site_with<'h>(
    house: &'h House<'_>,
    tried: &PanelOption,
) -> Result<Site<'h>, CommandError> {
    let panel = tried.panel.map(|spot| moved_panel(&house.plan, spot)).transpose()?;
    house.site(panel).map_err(|why| match why {
        SiteError::NoPanel => CommandError::Usage(format!("{why}, --panel x,y tries one")),
        why => why.into(),
    })
}

/// The plan's panel (or a new one) where the user says.
pub(crate) fn moved_panel(plan: &Plan, spot: PanelSpot) -> Result<Device, CommandError> {
    let old = any_panel(plan);
    let number = spot.level.unwrap_or(old.level);
    let level = plan.level(number).ok_or_else(|| {
        let known: Vec<String> = plan.levels.iter().map(|l| l.number.to_string()).collect();
        CommandError::Usage(format!(
            "--panel names level {number}, which the plan does not have; it has {}",
            known.join(", ")
        ))
    })?;
    let unit = plan.metres_per_unit;
    let above_floor = match (spot.height, plan.panel()) {
        (Some(height), _) => height * unit,
        (None, Some(device)) => above_floor(plan, device.level, device.height_m),
        (None, None) => DEFAULT_DEVICE_HEIGHT_M,
    };
    Ok(Device {
        level: number,
        position: geo::Coord { x: spot.x * unit, y: spot.y * unit },
        height_m: level.floor_m + above_floor,
        ..old
    })
}

/// The plan's panel, or a new one, at a spot.
pub(crate) fn panel_at(plan: &Plan, spot: &Spot) -> Device {
    Device {
        level: spot.level,
        position: spot.position,
        height_m: spot.height_m,
        ..any_panel(plan)
    }
}

/// What hangs the plan's panel where this one hangs.
pub(crate) fn moved_to(plan: &Plan, panel: &Device) -> Change {
    Change::MovePanel {
        level: panel.level,
        position: panel.position,
        height_above_floor_m: above_floor(plan, panel.level, panel.height_m),
    }
}

/// A height over a level's floor, metres, of one in the site's frame.
pub(crate) fn above_floor(plan: &Plan, level: i32, height_m: f64) -> f64 {
    height_m - plan.level(level).map_or(0.0, |level| level.floor_m)
}
