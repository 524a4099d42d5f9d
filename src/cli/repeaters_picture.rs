//! The coverage picture with the way of every device drawn.

use super::picture::{level_picture, pair};
use draw::{Link, LinkEnd, Picture};
use forecast::{Assessment, DeviceResult, Finding, LevelField, Site};
use plan::{Device, DeviceKind, Level};

/// The picture of one level; repeaters whose ids are in `new` are marked as new.
pub(super) fn linked_picture(
    site: &Site<'_>,
    assessment: &Assessment,
    level: &Level,
    field: LevelField,
    new: &[&str],
    headline: &str,
) -> Picture {
    let mut picture = level_picture(site, assessment, level, field);
    picture.headline = headline.to_owned();
    let results = assessment.sensors.iter().chain(&assessment.two_way);
    let here: Vec<&DeviceResult> =
        results.filter(|result| result.device.level == level.number).collect();
    // The panel's own mark comes first, if it is on this level.
    let others = picture.devices.len().saturating_sub(here.len());
    for (mark, result) in picture.devices.iter_mut().skip(others).zip(here) {
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
    let over = result.via.as_ref().and_then(|via| {
        let mut repeaters = site.repeaters.iter();
        repeaters.find(|repeater| repeater.device.id == *via)
    });
    let listener = &over.unwrap_or(&site.panel).device;
    let end = end(site, &result.device, listener);
    if result.device.kind == DeviceKind::Repeater {
        Link::RepeaterToPanel(end)
    } else if over.is_some() {
        Link::OverRepeater(end)
    } else {
        Link::Direct(end)
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
