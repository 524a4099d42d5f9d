//! What looks doubtful and is not for a program to fix.

use std::collections::BTreeSet;

use super::super::feature::Named;
use super::super::measure::{apart, gap};
use super::doubles::shared;
use super::drawing::{Drawing, Drawn, Hung};
use super::log::Log;
use super::net::{CROWD, Net, Segment, segments};
use crate::inside::{Inside, distance_to_walls_m};
use crate::strips::Gap;
use crate::unit::Unit;
use crate::{DeviceKind, Plan, quoted};

/// How many times the tolerance a gap is reported.
const WIDE: f64 = 4.0;

/// Most devices that one is compared with.
const NEXT_DEVICES: usize = 50;

pub(super) fn look(drawing: &Drawing<'_>, log: &mut Log) {
    let net = &Net::of(drawing);
    ends(drawing, net, log);
    pairs(drawing, net, log);
    devices(drawing, log);
}

/// Ends of walls that stop short of other walls, or stand free.
fn ends(drawing: &Drawing<'_>, net: &Net, log: &mut Log) {
    let wide = WIDE * drawing.snap;
    for node in net.nodes.iter().filter(|node| node.degree == 1) {
        let (number, index) = node.ends[0];
        let wall = &drawing.walls[number];
        let at = (node.place, node.place);
        let Some(near) = net.segments_near(node.level, at, wide, CROWD) else {
            continue; // Reported already.
        };
        let nearest = near
            .iter()
            .filter(|segment| segment.wall != number || segment.index.abs_diff(index) > 2)
            .map(|segment| (gap(segment.a, segment.b, node.place), segment.wall))
            .filter(|(off, _)| *off <= wide)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let place = Drawing::position(node.place);
        let named = nearest.map(|(off, other)| (drawing.length(off), drawing.wall_name(other)));
        let tolerance = format!("the tolerance of {}", drawing.length(drawing.snap));
        let reach = drawing.length(wide);
        let (what, why) = match (nearest, named) {
            (Some((off, _)), _) if off <= drawing.on => continue,
            (Some((off, _)), Some((by, name))) if off > drawing.snap => (
                format!("the end at {place} stops {by} short of wall {name}"),
                format!("farther than {tolerance}; draw it on, or leave it if there is a real gap"),
            ),
            (_, Some((by, name))) => (
                format!("the end at {place} is {by} off wall {name}"),
                "moving it there would spoil other walls; correct it by hand".to_owned(),
            ),
            (_, None) => (
                format!("the end at {place} meets no wall"),
                format!("no wall is within {reach}; leave it if the wall ends there"),
            ),
        };
        log.doubt(wall.at(index), drawing.id(wall), what, why);
    }
}

/// Walls on top of one another, and walls side by side that are hardly apart.
fn pairs(drawing: &Drawing<'_>, net: &Net, log: &mut Log) {
    if net.is_tangled(drawing.snap) {
        return; // Reported already.
    }
    let mut noted = BTreeSet::new();
    for one in segments(drawing) {
        let ends = (one.a, one.b);
        let near = net.segments_near(one.level, ends, drawing.snap, usize::MAX);
        for other in near.unwrap_or_default() {
            if (other.wall, other.index) <= (one.wall, one.index) || other.wall == one.wall {
                continue;
            }
            let (first, second) = (&drawing.walls[one.wall], &drawing.walls[other.wall]);
            if !first.class.beside(&second.class) || noted.contains(&(one.wall, other.wall)) {
                continue;
            }
            let there = (other.a, other.b);
            let name = drawing.wall_name(one.wall);
            let on_it = shared(ends, there, drawing.on, drawing.snap);
            let by_it = shared(ends, there, drawing.snap, WIDE * drawing.snap);
            let Some((from, to)) = on_it.or(by_it) else { continue };
            let length = drawing.length(to.0 - from.0);
            let (what, why) = if on_it.is_some() {
                let (what, why) = differing(first, second);
                (format!("{length} of it is on wall {name}{what}"), why)
            } else {
                let off =
                    |of: &Segment, to: &Segment| gap(of.a, of.b, to.a).min(gap(of.a, of.b, to.b));
                let apart = drawing.length(off(&one, &other).min(off(&other, &one)));
                (
                    format!("for {length} it runs beside wall {name}, {apart} away"),
                    "one wall drawn twice, or two leaves? One wall's construction includes all its \
                     leaves",
                )
            };
            noted.insert((one.wall, other.wall));
            log.doubt(second.at(other.index), drawing.id(second), what, why);
        }
    }
}

fn differing(one: &Drawn<'_>, other: &Drawn<'_>) -> (String, &'static str) {
    let what = if one.class.construction != other.class.construction {
        format!(", of another construction ({})", quoted(&one.class.construction))
    } else if one.class.span != other.class.span {
        ", with another base or top".to_owned()
    } else if one.class.thickness != other.class.thickness {
        ", of another thickness".to_owned()
    } else if one.class.rest != other.class.rest {
        ", with other properties".to_owned()
    } else {
        return (String::new(), "several pieces would be left; draw each as its own wall");
    };
    (what, "two walls cannot stand in one place; remove the one that is not there")
}

fn devices<'d>(drawing: &'d Drawing<'_>, log: &mut Log) {
    let of = |device: &'d Hung| (device, &drawing.features[device.feature]);
    let mut order: Vec<(&Hung, &Named<'_>)> = drawing.devices.iter().map(of).collect();
    order.sort_by(|(one, its), (other, others)| {
        let by_kind = (one.level, &its.kind).cmp(&(other.level, &others.kind));
        by_kind.then(one.place.x.total_cmp(&other.place.x))
    });
    for (number, (one, first)) in order.iter().enumerate() {
        let next = order.iter().skip(number + 1).take(NEXT_DEVICES).take_while(|(other, its)| {
            let alike = one.level == other.level && first.kind == its.kind;
            alike && other.place.x - one.place.x <= drawing.snap
        });
        for (other, second) in next {
            let off = apart(one.place, other.place).max((one.height - other.height).abs());
            if off > drawing.snap {
                continue;
            }
            let (first, second) =
                if one.feature < other.feature { (first, second) } else { (second, first) };
            let what = format!("the {} is in the same place as {}", second.kind, quoted(&first.id));
            let why = "remove one if it is drawn twice";
            log.doubt(second.fields.at, &second.id, what, why);
        }
    }
}

/// Levels that are open, and devices outside every wall of their level, already where they hang on
/// the outer side: the plan is what is drawn, fixed. Sirens hang there.
pub(super) fn enclosure(drawing: &Drawing<'_>, plan: &Plan, inside: &[Inside], log: &mut Log) {
    let drawn = |id: &str| drawing.features.iter().find(|feature| feature.id == id);
    for (level, inside) in plan.levels.iter().zip(inside) {
        for gap in inside.gaps() {
            let (wall, other) = (&plan.walls[gap.wall], &plan.walls[gap.other]);
            if let Some(feature) = drawn(&wall.id) {
                let what = gap.described(level, &other.id, Unit::of(plan.metres_per_unit));
                log.doubt(feature.fields.at, &feature.id, what, Gap::FIX);
            }
        }
        let here = plan.devices.iter().filter(|device| device.level == level.number);
        for device in here.filter(|device| device.kind != DeviceKind::Siren) {
            let off_m = distance_to_walls_m(plan, device.level, device.position);
            let off = off_m / plan.metres_per_unit;
            if off > drawing.snap && inside.is_outside_every_wall(device.position) {
                let Some(feature) = drawn(&device.id) else { continue };
                let (kind, off) = (&feature.kind, drawing.length(off));
                let what = format!("the {kind} is {off} outside the walls of its level");
                let why = "it may be on the wrong side of its wall; leave it if that is right";
                log.doubt(feature.fields.at, &feature.id, what, why);
            }
        }
    }
}
