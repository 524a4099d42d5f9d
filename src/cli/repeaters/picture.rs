//! The coverage picture with the way of every device drawn.

use crate::picture::{pair, repeater, results_on};
use draw::{Link, LinkEnd, Picture};
use forecast::{Assessment, DeviceResult, Finding, Site};
use plan::{Device, DeviceKind, Level};

/// Draws the ways into the picture of a level's coverage; repeaters whose ids are in `new` are
/// marked as new.
pub(crate) fn with_ways(
    mut picture: Picture,
    (site, assessment): (&Site<'_>, &Assessment),
    level: &Level,
    new: &[&str],
) -> Picture {
    // The panel's own mark comes first, if it is on this level.
    let panel = usize::from(site.panel.device.level == level.number);
    for (mark, result) in picture.devices.iter_mut().skip(panel).zip(results_on(assessment, level))
    {
        mark.via = None;
        mark.link = link(site, result);
        mark.new = new.contains(&result.device.id.as_str());
    }
    picture
}

fn link(site: &Site<'_>, result: &DeviceResult) -> Link {
    if result.finding == Finding::Failing {
        return Link::NotHeard;
    }
    let over = repeater(site, result);
    let end = end(site, &result.device, &over.unwrap_or(&site.panel).device);
    match result.device.kind {
        DeviceKind::Repeater => Link::RepeaterToPanel(end),
        _ if over.is_some() => Link::OverRepeater(end),
        _ => Link::Direct(end),
    }
}

fn end(site: &Site<'_>, device: &Device, listener: &Device) -> LinkEnd {
    if device.level == listener.level {
        return LinkEnd::Here(pair(listener.position));
    }
    let level = site.plan.level(listener.level);
    LinkEnd::Elsewhere {
        towards: pair(listener.position - device.position),
        text: level.map_or_else(String::new, |level| match listener.kind {
            // There may be several, and not every one of them on that level.
            DeviceKind::Repeater => format!("to {}, {}", name(listener), level.name),
            _ => format!("to {}", level.name),
        }),
    }
}

fn name(device: &Device) -> &str {
    if device.name.is_empty() { &device.id } else { &device.name }
}
