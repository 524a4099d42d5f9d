//! Spots put into the terms of a picture and of a chart.

use geo::Coord;

use crate::picture::{device_mark, drawn_field, drawn_level, link_words, pair};
use draw::tradeoff::{Tradeoff, TradeoffSpot};
use draw::{DeviceMark, ForbiddenMark, LineKind, LineMark, Picture, SpotMark, Thresholds};
use forecast::thickness;
use plan::{Level, Plan, Rooms, Surroundings};
use report::{PICTURE_CAUTION, rounded};
use siting::map::WorstField;
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};
use siting::spots::Spot;
use units::{Db, Lengths};
use words::Words;

/// The map of one level: the worst margin for a panel anywhere, the spots, and what forbids others.
pub(crate) fn map(
    reach: &Reach<'_, '_>,
    (siting, without): (&Siting, &[usize]),
    settings: &SitingSettings,
    level: &Level,
    field: WorstField,
    (failing_below, sound_from): (Db, Db),
) -> Picture {
    let plan = reach.site.plan;
    let lengths = plan.lengths();
    let here = |spot: &&Spot| spot.level == level.number;
    let half = settings.spots.spacing_m / 2.0;
    let off = settings.spots.stand_off_m;
    let allowed = siting.spots.allowed.iter().enumerate();
    let devices = reach.transmitters.iter().map(|transmitter| transmitter.device);
    let now = plan.panel().filter(|panel| panel.level == level.number);
    let now = now.map(|panel| DeviceMark { name: "panel now".to_owned(), ..device_mark(panel) });
    let marks = devices
        .filter(|device| device.level == level.number)
        .map(|device| DeviceMark { name: String::new(), ..device_mark(device) });
    Picture {
        subtitle: format!(
            "{} Spots along inside wall faces, {} above the floor.{}",
            link_words(reach.site),
            plan.lengths().tape(settings.spots.height_m),
            left_out(reach, without),
        ),
        headline: headline(reach, siting),
        field_title: "Reserve of the weakest device if the panel hung there, dB".to_owned(),
        field_words: ["all sound", "worst is thin", "worst is failing"].map(str::to_owned),
        field: Some(drawn_field(field.grid, field.margin_db)),
        thresholds: Thresholds { failing_below_db: failing_below.0, sound_from_db: sound_from.0 },
        devices: now.into_iter().chain(marks).collect(),
        spots: allowed
            .filter(|(_, spot)| here(spot))
            .map(|(number, spot)| spot_mark(siting, number, spot, lengths))
            .collect(),
        forbidden: siting
            .spots
            .left_out
            .iter()
            .filter(|(spot, _)| here(&spot))
            .map(|(spot, reason)| forbidden(spot, half, off, reason.word()))
            .collect(),
        outlets: plan
            .outlets
            .iter()
            .filter(|outlet| outlet.level == level.number)
            .map(|outlet| pair(outlet.position))
            .collect(),
        lines: lines(siting, level, lengths)
            .into_iter()
            .chain(dimensions(plan, siting, level))
            .collect(),
        ..drawn_level(plan, level)
    }
}

/// The devices without which the map is drawn.
fn left_out(reach: &Reach<'_, '_>, without: &[usize]) -> String {
    if without.is_empty() {
        return String::new();
    }
    let names = without.iter().map(|number| reach.transmitters[*number].device.name.as_str());
    let names = Words::default().names(&names.collect::<Vec<_>>());
    format!(" Colour leaves out what no spot reaches: {names}.")
}

fn headline(reach: &Reach<'_, '_>, siting: &Siting) -> String {
    let Some(first) = siting.best.first() else { return String::new() };
    let (devices, spots) = (reach.transmitters.len(), siting.objectives.len());
    let keep_all = siting.objectives.iter().filter(|worth| worth.keeps_all()).count();
    if keep_all > 0 {
        return format!("{keep_all} of {spots} spots keep all {devices} devices sound.");
    }
    let missing = siting.radio[*first].not_sound;
    format!(
        "No spot keeps all {devices} devices sound: at spot 1, {missing} would not be. A repeater \
         may be needed."
    )
}

fn spot_mark(siting: &Siting, number: usize, spot: &Spot, lengths: Lengths) -> SpotMark {
    let rank = rank(siting, number);
    let label = rank.map_or_else(String::new, |_| {
        let radio = &siting.radio[number];
        let worst = match radio.not_sound {
            0 => Some("all sound".to_owned()),
            some => Some(format!("{some} not sound")),
        };
        let walk = siting.walks[number].as_ref();
        let walk = walk.map(|walk| format!("{:.0} s walk", walk.longest.time_s));
        let wire = siting.power[number].as_ref().ok();
        let wire = wire.map(|run| format!("{} wire", lengths.run(run.wire.length_m)));
        let parts: Vec<String> = [worst, walk, wire].into_iter().flatten().collect();
        parts.join(" · ")
    });
    SpotMark {
        position: pair(spot.position),
        facing: spot.facing.map_or([0.0, 0.0], pair),
        rank,
        label,
    }
}

/// The place of a spot among those that are offered, from 1.
fn rank(siting: &Siting, spot: usize) -> Option<u32> {
    let place = siting.best.iter().position(|best| *best == spot)?;
    u32::try_from(place + 1).ok()
}

/// The piece of wall face that a left-out spot stands for.
fn forbidden(spot: &Spot, half: f64, off: f64, reason: &str) -> ForbiddenMark {
    let facing = spot.facing.unwrap_or(Coord { x: 0.0, y: 0.0 });
    let along = Coord { x: -facing.y, y: facing.x };
    let face = spot.position - facing * off;
    ForbiddenMark {
        line: vec![pair(face - along * half), pair(face + along * half)],
        facing: pair(facing),
        reason: reason.to_owned(),
    }
}

/// The walk and the wire to the first spot, as far as they run on a level.
fn lines(siting: &Siting, level: &Level, lengths: Lengths) -> Vec<LineMark> {
    let Some(first) = siting.best.first() else { return Vec::new() };
    let mut lines = Vec::new();
    if let Some(walk) = &siting.walks[*first] {
        let points = walk.longest.line.iter().map(|(at, p)| (*at, *p));
        let label = format!("{:.0} s to spot 1", walk.longest.time_s);
        lines.extend(on_level(points, level.number, LineKind::Walk, &label));
    }
    if let Ok(run) = &siting.power[*first] {
        let points = run.wire.route.iter().map(|(at, p, _)| (*at, *p));
        let label = format!("{} to spot 1", lengths.run(run.wire.length_m));
        lines.extend(on_level(points, level.number, LineKind::Wire, &label));
    }
    lines
}

/// How far each spot that is offered is from the nearest fixed thing on its wall, along the wall.
fn dimensions(plan: &Plan, siting: &Siting, level: &Level) -> Vec<LineMark> {
    let thick = |name: &str| Some(thickness(plan, name).0);
    let rooms = Rooms::new(plan, &thick);
    let surroundings = Surroundings::new(plan, &rooms, &thick);
    let spots = siting.best.iter().map(|number| &siting.spots.allowed[*number]);
    let here = spots.filter(|spot| spot.level == level.number);
    here.filter_map(|spot| {
        let place = surroundings.of(spot.level, spot.position, spot.height_m);
        let beside = place.wall?.beside.filter(|beside| beside.distance_m > 0.0)?;
        let facing = spot.facing.unwrap_or(Coord { x: 0.0, y: 0.0 });
        let along = Coord { x: -facing.y, y: facing.x };
        let to_edge = beside.edge - spot.position;
        let run = to_edge.x * along.x + to_edge.y * along.y;
        Some(LineMark {
            points: vec![pair(spot.position), pair(spot.position + along * run)],
            kind: LineKind::Dimension,
            label: plan.lengths().tape(beside.distance_m).to_string(),
        })
    })
    .collect()
}

/// The pieces of a line that lie on one level; the first of them carries the label.
fn on_level(
    points: impl Iterator<Item = (i32, Coord<f64>)>,
    level: i32,
    kind: LineKind,
    label: &str,
) -> Vec<LineMark> {
    let mut pieces: Vec<Vec<[f64; 2]>> = vec![Vec::new()];
    for (at, place) in points {
        match pieces.last_mut() {
            Some(piece) if at == level => piece.push(pair(place)),
            Some(piece) if !piece.is_empty() => pieces.push(Vec::new()),
            _ => {}
        }
    }
    let is_line = |piece: &Vec<[f64; 2]>| piece.windows(2).any(|pair| pair[0] != pair[1]);
    pieces
        .into_iter()
        .filter(is_line)
        .enumerate()
        .map(|(number, points)| LineMark {
            points,
            kind,
            label: if number == 0 { label.to_owned() } else { String::new() },
        })
        .collect()
}

pub(crate) fn tradeoff(reach: &Reach<'_, '_>, siting: &Siting) -> Tradeoff {
    let spots = (0..siting.objectives.len()).map(|number| {
        let worth = &siting.objectives[number];
        TradeoffSpot {
            walk_s: worth.walk_s.map(rounded),
            fault_chance: worth.any_fault_per_year,
            wire_m: worth.wire_m.map(rounded),
            rank: rank(siting, number),
            unbeaten: siting.unbeaten[number],
        }
    });
    Tradeoff {
        title: reach.site.plan.name.clone(),
        subtitle: format!(
            "{} Every spot: how long the walk, how likely a fault, how long the wire.",
            link_words(reach.site)
        ),
        headline: headline(reach, siting),
        caution: PICTURE_CAUTION.to_owned(),
        spots: spots.collect(),
        keeps_below: None,
        wire_classes_m: None,
        length_unit: reach.site.plan.lengths(),
    }
}
