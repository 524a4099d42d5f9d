//! A forecast put into the terms of a picture.

use draw::{
    AreaMark, DeviceKind as MarkKind, DeviceMark, Field, Finding as MarkFinding, LengthUnit,
    OpeningMark, Picture, Thresholds, WallClass, WallMark,
};
use forecast::{Assessment, DeviceResult, Finding, LevelField, Site, class_of, thickness};
use geo::{Coord, Polygon};
use plan::{Device, DeviceKind, Level, Opening, Plan};
use radio::ConstructionClass;
use report::PICTURE_CAUTION;
use trace::Grid;

/// The picture of one level.
pub(super) fn level_picture(
    site: &Site<'_>,
    assessment: &Assessment,
    level: &Level,
    field: LevelField,
) -> Picture {
    let plan = site.plan;
    let panel = &site.panel.device;
    let link = site.link(None).ok();
    let (name, frequency) =
        link.map_or_else(Default::default, |link| (link.name, link.frequency.to_string()));
    let (unit, per_unit) = match length_unit(plan) {
        LengthUnit::Metres => ("m", 1.0),
        LengthUnit::Feet => ("ft", plan.metres_per_unit),
    };
    let above_floor = panel.height_m - plan.level(panel.level).map_or(0.0, |l| l.floor_m);
    let here = |device: &&Device| device.level == level.number;
    Picture {
        subtitle: format!(
            "Link {name} at {frequency}. Panel at x {:.1}, y {:.1}, {:.1} {unit} above the floor of \
             level {}. Colour: margin of a sensor {:.1} {unit} above this floor.",
            panel.position.x / per_unit,
            panel.position.y / per_unit,
            above_floor / per_unit,
            panel.level,
            (field.grid.height - level.floor_m) / per_unit,
        ),
        roams: assessment
            .roams
            .iter()
            .filter(|result| result.roam.level == level.number)
            .map(|result| AreaMark {
                outline: corners(&result.roam.outline),
                label: format!("{}: works in {:.0} %", result.roam.name, result.share * 100.0),
            })
            .collect(),
        devices: std::iter::once(panel)
            .filter(here)
            .map(panel_mark)
            .chain(
                assessment
                    .sensors
                    .iter()
                    .chain(&assessment.two_way)
                    .filter(|result| here(&&result.device))
                    .map(|result| device_mark(site, result)),
            )
            .collect(),
        thresholds: Thresholds {
            failing_below_db: field.failing_below.0,
            sound_from_db: field.sound_from.0,
        },
        field: Some(drawn_field(field.grid, field.margin_db)),
        ..drawn_level(plan, level)
    }
}

/// The level as it is drawn: walls, openings, obstacles, names and unit.
pub(super) fn drawn_level(plan: &Plan, level: &Level) -> Picture {
    let walls = plan.walls.iter().filter(|wall| wall.level == level.number);
    Picture {
        title: plan.name.clone(),
        level_name: level.name.clone(),
        caution: PICTURE_CAUTION.to_owned(),
        walls: walls
            .flat_map(|wall| {
                let thickness_m = thickness(plan, &wall.construction).0;
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
            })
            .collect(),
        length_unit: length_unit(plan),
        ..Picture::default()
    }
}

pub(super) fn drawn_field(grid: Grid, margin_db: Vec<f64>) -> Field {
    Field {
        origin: pair(grid.origin),
        cell_m: grid.cell,
        columns: grid.columns,
        rows: grid.rows,
        margin_db,
    }
}

/// A plan drawn in feet is shown in feet.
pub(super) fn length_unit(plan: &Plan) -> LengthUnit {
    if (plan.metres_per_unit - 1.0).abs() < 1e-9 { LengthUnit::Metres } else { LengthUnit::Feet }
}

pub(super) const fn pair(p: Coord<f64>) -> [f64; 2] {
    [p.x, p.y]
}

pub(super) fn corners(polygon: &Polygon<f64>) -> Vec<[f64; 2]> {
    let ring = &polygon.exterior().0;
    ring.iter().take(ring.len().saturating_sub(1)).map(|p| pair(*p)).collect()
}

fn opening_mark(plan: &Plan, opening: &Opening, level: &Level) -> Option<OpeningMark> {
    let wall = plan.walls.get(opening.wall).filter(|wall| wall.level == level.number)?;
    let line = wall.line.lines().nth(opening.segment)?;
    let length = (line.dx().powi(2) + line.dy().powi(2)).sqrt();
    let at = |metres: f64| {
        let part = metres / length;
        [line.start.x + line.dx() * part, line.start.y + line.dy() * part]
    };
    Some(OpeningMark {
        a: at(opening.from_m),
        b: at(opening.to_m),
        thickness_m: thickness(plan, &wall.construction).0,
        class: mark_class(class_of(plan, &opening.construction)),
        open: opening.open,
        entry: opening.entry,
    })
}

pub(super) fn panel_mark(panel: &Device) -> DeviceMark {
    DeviceMark {
        position: pair(panel.position),
        kind: MarkKind::Panel,
        name: panel.name.clone(),
        ..DeviceMark::default()
    }
}

fn device_mark(site: &Site<'_>, result: &DeviceResult) -> DeviceMark {
    let device = &result.device;
    let repeater = result
        .via
        .as_ref()
        .and_then(|via| site.repeaters.iter().find(|repeater| repeater.device.id == *via));
    DeviceMark {
        position: pair(device.position),
        kind: mark_kind(device.kind),
        number: device.number,
        name: device.name.clone(),
        finding: Some(mark_finding(result.finding)),
        margin_db: Some(result.hop.ledger.margin_db.0),
        via: repeater.map(|repeater| pair(repeater.device.position)),
        ..DeviceMark::default()
    }
}

pub(super) const fn mark_kind(kind: DeviceKind) -> MarkKind {
    match kind {
        DeviceKind::Panel => MarkKind::Panel,
        DeviceKind::Sensor => MarkKind::Sensor,
        DeviceKind::Repeater => MarkKind::Repeater,
        DeviceKind::Keypad => MarkKind::Keypad,
        DeviceKind::Siren => MarkKind::Siren,
    }
}

pub(super) const fn mark_finding(finding: Finding) -> MarkFinding {
    match finding {
        Finding::Sound => MarkFinding::Sound,
        Finding::Thin => MarkFinding::Thin,
        Finding::Failing => MarkFinding::Failing,
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
