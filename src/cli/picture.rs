//! A forecast put into the terms of a picture.

use draw::{
    AreaMark, DeviceKind as MarkKind, DeviceMark, Field, Link, LinkEnd, OpeningMark, Picture,
    Thresholds, WallClass, WallMark,
};
use forecast::{
    Assessment, DeviceResult, Finding, Listener, Site, SiteError, class_of, level_field, thickness,
};
use geo::{Coord, Polygon};
use plan::{Device, DeviceKind, Level, Opening, Plan, Room, Rooms, Wall};
use radio::ConstructionClass;
use report::{PICTURE_CAUTION, place_words};
use trace::Grid;
use words::Words;

/// The picture of a level's coverage; `None` for a level without walls. `tell` is told how far it
/// is, in thousandths.
pub(crate) fn coverage(
    site: &Site<'_>,
    assessment: &Assessment,
    level: &Level,
    tell: &(dyn Fn(u64) + Sync),
) -> Result<Option<Picture>, SiteError> {
    let Some(field) = level_field(site, level, &assessment.repeater_findings(), tell)? else {
        return Ok(None);
    };
    let panel = &site.panel.device;
    let panel_mark = (panel.level == level.number).then(|| device_mark(panel));
    let marks = results_on(assessment, level).map(|result| result_mark(site, result));
    Ok(Some(Picture {
        subtitle: format!(
            "{} Panel: {}. Colour: what a sensor {} above this floor has in reserve.",
            link_words(site),
            place_words(&Words::default(), site.plan, panel),
            site.plan.lengths().tape(field.grid.height - level.floor_m),
        ),
        roams: assessment
            .roams
            .iter()
            .filter(|result| result.roam.level == level.number)
            .map(|result| AreaMark {
                outline: corners(&result.roam.outline),
                label: format!("{}: works in {:.0} %", result.roam.name, result.percent()),
                ..AreaMark::default()
            })
            .collect(),
        devices: panel_mark.into_iter().chain(marks).collect(),
        thresholds: Thresholds {
            failing_below_db: field.failing_below.0,
            sound_from_db: field.sound_from.0,
        },
        field: Some(drawn_field(field.grid, field.margin_db)),
        ..drawn_level(site.plan, level)
    }))
}

/// What is forecast for the devices of a level, in the order in which they are drawn.
fn results_on<'a>(
    assessment: &'a Assessment,
    level: &Level,
) -> impl Iterator<Item = &'a DeviceResult> {
    let all = assessment.sensors.iter().chain(&assessment.two_way);
    let number = level.number;
    all.filter(move |result| result.device.level == number)
}

/// The plan's link, as a sentence.
pub(crate) fn link_words(site: &Site<'_>) -> String {
    site.link(None)
        .map_or_else(|_| String::new(), |link| format!("Link {} at {}.", link.name, link.frequency))
}

/// The level as it is drawn: walls, openings, obstacles, names and unit.
pub(crate) fn drawn_level(plan: &Plan, level: &Level) -> Picture {
    let walls = plan.walls.iter().filter(|wall| wall.level == level.number);
    Picture {
        title: plan.name.clone(),
        level_name: level.name.clone(),
        caution: PICTURE_CAUTION.to_owned(),
        walls: walls
            .flat_map(|wall| {
                let thickness_m = thickness_of(plan, wall);
                let class = mark_class(class_of(plan, &wall.construction));
                wall.line.lines().map(move |line| WallMark {
                    a: pair(line.start),
                    b: pair(line.end),
                    thickness_m,
                    class,
                    label: wall.construction.clone(),
                })
            })
            .collect(),
        openings: plan.openings.iter().filter_map(|o| opening_mark(plan, o, level)).collect(),
        obstacles: plan
            .obstacles
            .iter()
            .filter(|obstacle| obstacle.level == level.number)
            .map(|obstacle| AreaMark {
                outline: corners(&obstacle.outline),
                label: obstacle.id.clone(),
                ..AreaMark::default()
            })
            .collect(),
        rooms: named_rooms(plan, level),
        length_unit: plan.lengths(),
        ..Picture::default()
    }
}

pub(crate) fn drawn_field(grid: Grid, margin_db: Vec<f64>) -> Field {
    Field {
        origin: pair(grid.origin),
        cell_m: grid.cell,
        columns: grid.columns,
        rows: grid.rows,
        margin_db,
    }
}

pub(crate) const fn pair(p: Coord<f64>) -> [f64; 2] {
    [p.x, p.y]
}

pub(crate) fn corners(polygon: &Polygon<f64>) -> Vec<[f64; 2]> {
    let ring = &polygon.exterior().0;
    ring.iter().take(ring.len().saturating_sub(1)).map(|p| pair(*p)).collect()
}

/// The rooms of a level that have a name.
fn named_rooms(plan: &Plan, level: &Level) -> Vec<AreaMark> {
    let rooms = Rooms::new(plan, &|name| Some(thickness(plan, name).0));
    let here = rooms.all().iter().filter(|room| room.level == level.number);
    let named = here.filter_map(|room| {
        let label = called(plan, &rooms, room)?;
        Some(AreaMark { outline: with_holes(&room.outline), label, ..AreaMark::default() })
    });
    named.collect()
}

/// The corners of an area round its holes, too: along a slit to each of them and back, so that
/// what stands free in a room does not count to it.
pub(crate) fn with_holes(area: &Polygon<f64>) -> Vec<[f64; 2]> {
    let mut ring = corners(area);
    let Some(&gate) = ring.first() else { return ring };
    for hole in area.interiors() {
        ring.push(gate);
        ring.extend(hole.coords().map(|corner| pair(*corner)));
    }
    ring
}

/// What people call a room: with no wall between a kitchen and a living room, both names.
fn called(plan: &Plan, rooms: &Rooms, room: &Room) -> Option<String> {
    let own = room.name.as_deref()?;
    let here = |device: &&Device| rooms.of(device).is_some_and(|one| one.id == room.id);
    let said = plan.devices.iter().filter(here).filter_map(|device| device.room.as_deref());
    let elsewhere = |name: &str| {
        let mut others = rooms.all().iter().filter(|one| one.id != room.id);
        others.any(|one| one.name.as_deref() == Some(name))
    };
    let mut names = vec![own];
    for name in said.filter(|name| !elsewhere(name)) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    Some(names.join(" · "))
}

/// How thick a wall was drawn or measured, else how thick its construction is, metres.
fn thickness_of(plan: &Plan, wall: &Wall) -> f64 {
    wall.thickness_mm.map_or_else(|| thickness(plan, &wall.construction).0, |mm| mm / 1e3)
}

fn opening_mark(plan: &Plan, opening: &Opening, level: &Level) -> Option<OpeningMark> {
    let wall = plan.walls.get(opening.wall).filter(|wall| wall.level == level.number)?;
    let line = plan.opening_line(opening)?;
    Some(OpeningMark {
        a: pair(line.start),
        b: pair(line.end),
        thickness_m: thickness_of(plan, wall),
        class: mark_class(class_of(plan, &opening.construction)),
        open: opening.open,
        empty: false,
        entry: opening.entry,
    })
}

/// The mark of a device, with nothing of a forecast; a panel's has no number.
pub(crate) fn device_mark(device: &Device) -> DeviceMark {
    DeviceMark {
        position: pair(device.position),
        kind: match device.kind {
            DeviceKind::Panel => MarkKind::Panel,
            DeviceKind::Sensor => MarkKind::Sensor,
            DeviceKind::Repeater => MarkKind::Repeater,
            DeviceKind::Keypad => MarkKind::Keypad,
            DeviceKind::Siren => MarkKind::Siren,
        },
        number: device.number.filter(|_| device.kind != DeviceKind::Panel),
        name: device.name.clone(),
        ..DeviceMark::default()
    }
}

fn result_mark(site: &Site<'_>, result: &DeviceResult) -> DeviceMark {
    let repeater = repeater(site, result).map(|repeater| pair(repeater.device.position));
    DeviceMark { via: repeater, ..heard_mark(result) }
}

/// The repeater by which a device is heard.
fn repeater<'s>(site: &'s Site<'_>, result: &DeviceResult) -> Option<&'s Listener> {
    let via = result.via.as_ref()?;
    site.repeaters.iter().find(|repeater| repeater.device.id == *via)
}

/// The mark of a device with its finding and margin.
pub(crate) fn heard_mark(result: &DeviceResult) -> DeviceMark {
    DeviceMark {
        finding: Some(result.finding),
        margin_db: Some(result.hop.ledger.margin_db.0),
        fault_per_year: Some(result.fault_per_year),
        ..device_mark(&result.device)
    }
}

const fn mark_class(class: ConstructionClass) -> WallClass {
    match class {
        ConstructionClass::Light => WallClass::Light,
        ConstructionClass::Timber => WallClass::Timber,
        ConstructionClass::Masonry => WallClass::Masonry,
        ConstructionClass::Concrete => WallClass::Concrete,
        ConstructionClass::Glass => WallClass::Glass,
        ConstructionClass::CoatedGlass => WallClass::CoatedGlass,
        ConstructionClass::Metal => WallClass::Metal,
        ConstructionClass::Door => WallClass::Door,
    }
}

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
