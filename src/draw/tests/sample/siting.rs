//! The invented house again: with spots for its panel, and with links to repeaters.

use super::{device, finding, house, margin_db};
use crate::base::distance;
use crate::{
    DeviceKind, DeviceMark, ForbiddenMark, LineKind, LineMark, Link, LinkEnd, Picture, SpotMark,
};

/// Spots every 0.25 m along both faces of every wall, with the reason if one may not be used.
fn faces(picture: &Picture) -> Vec<(SpotMark, &'static str)> {
    let reasons = ["over an opening", "metal near", "within reach of a way in", "outside wall"];
    let mut found = Vec::new();
    for (wall, number) in picture.walls.iter().zip(0..) {
        let (dx, dy) = (wall.b[0] - wall.a[0], wall.b[1] - wall.a[1]);
        let length = dx.hypot(dy);
        for side in [1.0, -1.0] {
            let facing = [-dy / length * side, dx / length * side];
            let off = wall.thickness_m / 2.0;
            for step in 0..(length / 0.25) as usize {
                let share = (step as f64 + 0.5) * 0.25 / length;
                let position = [
                    wall.a[0] + dx * share + facing[0] * off,
                    wall.a[1] + dy * share + facing[1] * off,
                ];
                // Pieces of 2 m in turn, wherever they are.
                let reason = reasons.get((number + step / 8) % 7).copied().unwrap_or_default();
                found.push((SpotMark { position, facing, ..SpotMark::default() }, reason));
            }
        }
    }
    found
}

/// A house in which the panel is to be hung.
pub(crate) fn spots() -> Picture {
    let mut picture = house();
    let sensors: Vec<[f64; 2]> = picture
        .devices
        .iter()
        .filter(|device| device.kind == DeviceKind::Sensor && device.number != Some(18))
        .map(|device| device.position)
        .collect();
    let worst = |at: [f64; 2]| {
        let margins = sensors.iter().map(|&sensor| margin_db(&picture, sensor, at));
        margins.fold(f64::INFINITY, f64::min)
    };
    let mut field = picture.field.clone().expect("a field");
    for (cell, value) in field.margin_db.iter_mut().enumerate() {
        let (column, row) = (cell % field.columns, cell / field.columns);
        *value = worst([
            field.origin[0] + column as f64 * field.cell_m,
            field.origin[1] + row as f64 * field.cell_m,
        ]);
    }
    let faces = faces(&picture);
    let mut forbidden: Vec<ForbiddenMark> = Vec::new();
    let mut allowed: Vec<(f64, SpotMark)> = Vec::new();
    for (spot, reason) in faces {
        if reason.is_empty() {
            allowed.push((worst(spot.position), spot));
            continue;
        }
        let along = [spot.facing[1] * 0.125, -spot.facing[0] * 0.125];
        let end = |sign: f64| [0, 1].map(|axis: usize| spot.position[axis] + sign * along[axis]);
        forbidden.push(ForbiddenMark {
            line: vec![end(-1.0), end(1.0)],
            facing: spot.facing,
            reason: reason.to_owned(),
        });
    }
    allowed.sort_by(|one, other| other.0.total_cmp(&one.0));
    let mut ranked: Vec<[f64; 2]> = Vec::new();
    for (margin, spot) in &mut allowed {
        let far = |other: &[f64; 2]| distance(*other, spot.position) > 1.2;
        if ranked.len() < 5 && ranked.iter().all(far) {
            ranked.push(spot.position);
            spot.rank = Some(ranked.len() as u32);
            spot.label = format!(
                "worst {margin:.0} dB · {} s · {:.1} m wire",
                4 + 2 * ranked.len(),
                2.3 + 1.7 * ranked.len() as f64
            )
            .replace('-', "−");
        }
    }
    let best = ranked.first().copied().expect("a spot");
    picture.subtitle =
        "Link: 868 MHz. Spots every 0.25 m along inside wall faces, 1.5 m above the \
                        floor."
            .to_owned();
    picture.headline =
        "Spot 1 keeps 17 of 20 sensors; no spot keeps all of them. Consider a repeater.".to_owned();
    picture.field_title =
        "Worst margin over all devices if the panel hung there, dB over the floor".to_owned();
    picture.field_words = ["all sound", "worst is thin", "worst is failing"].map(str::to_owned);
    picture.field = Some(field);
    picture.forbidden = forbidden;
    picture.spots = allowed.into_iter().map(|(_, spot)| spot).collect();
    picture.outlets = vec![[0.74, 2.0], [7.33, 2.6], [4.9, 8.0], [10.25, 7.4], [5.3, 6.09]];
    picture.lines = vec![
        LineMark {
            points: vec![[0.6, 4.85], [5.0, 5.2], best],
            kind: LineKind::Walk,
            label: "6 s".to_owned(),
        },
        LineMark {
            points: vec![[9.0, 0.6], [9.0, 6.0], [8.0, 6.3], [7.0, 6.2], [6.6, 5.4], best],
            kind: LineKind::Walk,
            label: "11 s".to_owned(),
        },
        LineMark {
            points: vec![[7.33, 2.6], [7.33, 3.66], best],
            kind: LineKind::Wire,
            label: "4.0 m".to_owned(),
        },
    ];
    picture.devices.retain(|device| device.kind != DeviceKind::Repeater);
    for device in &mut picture.devices {
        device.name = match device.kind {
            DeviceKind::Panel => "panel now".to_owned(),
            _ => String::new(),
        };
        (device.finding, device.margin_db, device.via) = (None, None, None);
    }
    picture
}

/// The house with a repeater, and all that it hears.
pub(crate) fn linked() -> Picture {
    let mut picture = house();
    picture.title = "14 Quarry Rise, alterations: with 1 repeater".to_owned();
    let (panel, repeater) = ([6.2, 4.9], [10.9, 5.9]);
    let plan = picture.clone();
    for (index, device) in picture.devices.iter_mut().enumerate() {
        device.via = None;
        let direct = margin_db(&plan, panel, device.position);
        let over = margin_db(&plan, repeater, device.position);
        device.link = match (device.kind, index) {
            (DeviceKind::Panel, _) => Link::NotShown,
            (DeviceKind::Repeater, _) => Link::RepeaterToPanel(LinkEnd::Here(panel)),
            (_, 10 | 12) => Link::Direct(LinkEnd::Elsewhere {
                towards: [0.3, -1.0],
                text: "to Upstairs".to_owned(),
            }),
            _ if direct < 4.0 && over < 4.0 => Link::NotHeard,
            _ if direct < 13.0 && over > direct => Link::OverRepeater(LinkEnd::Here(repeater)),
            _ => Link::Direct(LinkEnd::Here(panel)),
        };
        if matches!(device.link, Link::OverRepeater(_)) {
            device.margin_db = Some(over);
            device.finding = Some(finding(over));
        }
        device.new = device.kind == DeviceKind::Repeater;
    }
    picture.devices.push(DeviceMark {
        new: true,
        link: Link::RepeaterToPanel(LinkEnd::Elsewhere {
            towards: [1.0, 0.2],
            text: "to Upstairs".to_owned(),
        }),
        ..device(DeviceKind::Repeater, [3.0, 8.9], "Repeater 2")
    });
    picture
}
