//! The invented house again: with spots for its panel, and with links to repeaters.

use super::{device, finding, house, margin_db};
use crate::base::distance;
use crate::{
    DeviceKind, DeviceMark, ForbiddenMark, LineKind, LineMark, Link, LinkEnd, Picture, SpotMark,
};

/// A house in which the panel is to be hung: spots every 0.25 m along both faces of every wall.
pub(crate) fn spots() -> Picture {
    let mut picture = house();
    let reasons = ["over an opening", "metal near", "within reach of a way in", "outside wall"];
    let mut allowed: Vec<(f64, SpotMark)> = Vec::new();
    for (wall, number) in picture.walls.iter().zip(0..) {
        let length = distance(wall.a, wall.b);
        let along = [0, 1].map(|axis: usize| (wall.b[axis] - wall.a[axis]) / length);
        for side in [1.0, -1.0] {
            let facing = [-along[1] * side, along[0] * side];
            for step in 0..(length / 0.25) as usize {
                let at = |run: f64| {
                    let run = run + (step as f64 + 0.5) * 0.25;
                    let off = wall.thickness_m / 2.0;
                    [0, 1].map(|axis| wall.a[axis] + along[axis] * run + facing[axis] * off)
                };
                // Pieces of 2 m in turn, wherever they are.
                if let Some(reason) = reasons.get((number + step / 8) % 7) {
                    let line = vec![at(-0.125), at(0.125)];
                    let reason = (*reason).to_owned();
                    picture.forbidden.push(ForbiddenMark { line, facing, reason });
                } else {
                    let spot = SpotMark { position: at(0.0), facing, ..SpotMark::default() };
                    allowed.push((margin_db(&picture, [6.2, 4.9], spot.position), spot));
                }
            }
        }
    }
    allowed.sort_by(|one, other| other.0.total_cmp(&one.0));
    let mut ranked: Vec<[f64; 2]> = Vec::new();
    for (margin, spot) in &mut allowed {
        let far = |other: &[f64; 2]| distance(*other, spot.position) > 1.2;
        if ranked.len() < 5 && ranked.iter().all(far) {
            ranked.push(spot.position);
            let rank = ranked.len() as u32;
            spot.rank = Some(rank);
            let walk = 4 + 2 * rank;
            spot.label = format!("worst {margin:.0} dB · {walk} s · {rank}.3 m wire");
        }
    }
    let best = ranked[0];
    picture.subtitle = "Link: 868 MHz. Spots every 0.25 m along inside wall faces.".to_owned();
    picture.headline =
        "Spot 1 keeps 17 of 20 sensors; no spot keeps all of them. Consider a repeater.".to_owned();
    picture.field_title =
        "Worst margin over all devices if the panel hung there, dB over the floor".to_owned();
    picture.field_words = ["all sound", "worst is thin", "worst is failing"].map(str::to_owned);
    picture.spots = allowed.into_iter().map(|(_, spot)| spot).collect();
    picture.outlets = vec![[0.74, 2.0], [7.33, 2.6], [4.9, 8.0], [10.25, 7.4], [5.3, 6.09]];
    let line = |kind: LineKind, points: Vec<[f64; 2]>, label: &str| LineMark {
        points,
        kind,
        label: label.to_owned(),
    };
    picture.lines = vec![
        line(LineKind::Walk, vec![[0.6, 4.85], [5.0, 5.2], best], "6 s"),
        line(LineKind::Walk, vec![[9.0, 0.6], [9.0, 6.0], [7.0, 6.2], best], "11 s"),
        line(LineKind::Wire, vec![[7.33, 2.6], [7.33, 3.66], best], "4.0 m"),
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
