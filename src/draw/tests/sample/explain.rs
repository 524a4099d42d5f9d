//! The invented house again: with paths to a sensor, and with toy readings of its sensors.

use super::{finding, house, office, toy_loss_db};
use crate::base::between;
use crate::{
    ComparedSensor, Comparison, CrossingMark, DeviceKind, Likely, Pair, PathMark, Picture, Profile,
    ProfileSensor, ProfileWall, ReadLevel, WallMark,
};
use units::Lengths;

/// Where a line from `a` to `b` goes through a wall: the share of the way.
fn meets(a: [f64; 2], b: [f64; 2], wall: &WallMark) -> Option<f64> {
    let (run, other) = ([b[0] - a[0], b[1] - a[1]], [wall.b[0] - wall.a[0], wall.b[1] - wall.a[1]]);
    let turn = run[0] * other[1] - run[1] * other[0];
    let to = [wall.a[0] - a[0], wall.a[1] - a[1]];
    let share = (to[0] * other[1] - to[1] * other[0]) / turn;
    let along = (to[0] * run[1] - to[1] * run[0]) / turn;
    ((0.001..0.999).contains(&share) && (0.0..1.0).contains(&along)).then_some(share)
}

/// Paths from the panel to a sensor: the direct one, and others off walls, each half as strong.
pub(crate) fn paths(sensor: usize, most: usize) -> Picture {
    let mut picture = house();
    let from = [6.2, 4.9];
    let to = picture.devices[sensor].position;
    let crossings = picture.walls.iter().filter_map(|wall| {
        let position = between(from, to, meets(from, to, wall)?);
        Some(CrossingMark { position, loss_db: toy_loss_db(wall.class) + 0.3 })
    });
    let direct = PathMark {
        points: vec![from, to],
        direct: true,
        crossings: crossings.collect(),
        ..PathMark::default()
    };
    let reflected = picture.walls.iter().rev().map(|wall| PathMark {
        points: vec![from, between(wall.a, wall.b, 0.4), to],
        label: format!("off {}", wall.label),
        ..PathMark::default()
    });
    let all = std::iter::once(direct).chain(reflected).take(most);
    let all = all.zip(1..).map(|(path, place)| PathMark { share: 0.5_f64.powi(place), ..path });
    picture.paths = all.collect();
    picture.field = None;
    picture.roams.clear();
    for (index, device) in picture.devices.iter_mut().enumerate() {
        device.via = None;
        if index != sensor && device.kind != DeviceKind::Panel {
            (device.finding, device.margin_db) = (None, None);
            device.name.clear();
        }
    }
    let one = &picture.devices[sensor];
    picture.headline = format!(
        "{} {}: level −97.4 dBm, margin +2.1 dB: failing. Chance of a fault in a year: 34 %.",
        one.number.unwrap_or_default(),
        one.name
    );
    picture.subtitle = "Link: 868 MHz, panel to sensor. Paths as seen from above.".to_owned();
    picture
}

/// A profile through `count` walls.
pub(crate) fn profile(count: usize, far_m: f64, length_unit: Lengths) -> Profile {
    let names = [
        "plasterboard on studs",
        "brick cavity, 250 mm",
        "foil-faced board on studs",
        "dense block, rendered",
    ];
    let walls: Vec<ProfileWall> = (0..count)
        .map(|wall| ProfileWall {
            distance_m: far_m * ((wall as f64 + 0.6) / count as f64).powf(0.7),
            thickness_m: 0.1 + 0.08 * (wall % 3) as f64,
            loss_db: [3.2, 9.4, 22.0, 11.5][wall % 4],
            label: names[wall % 4].to_owned(),
        })
        .collect();
    let curve = |ripple: f64| -> Vec<[f64; 2]> {
        let places = (3..=400).map(|step| far_m * f64::from(step) / 400.0);
        let level = |metres: f64| {
            let passed = walls.iter().filter(|wall| wall.distance_m < metres);
            let lost: f64 = passed.map(|wall| wall.loss_db).sum();
            let beat = 1.0 - ripple * (metres * 9.0).sin().powi(2) * (metres / far_m);
            -31.0 - 20.0 * metres.log10() - lost + 10.0 * beat.max(0.0).log10() + 4.0 * ripple
        };
        places.map(|metres| [metres, level(metres)]).collect()
    };
    let together = curve(0.99);
    let end = together.last().map_or(-80.0, |[_, dbm]| *dbm - 4.0);
    Profile {
        title: "17 Garage motion".to_owned(),
        subtitle: "Link: 868 MHz, from the panel in the hall to the sensor.".to_owned(),
        headline: format!("Level {end:.1} dBm, nine in ten within 8 dB of it.").replace('-', "−"),
        caution: "A prediction, not a measurement: walk-test every sensor.".to_owned(),
        together,
        direct: curve(0.0),
        walls,
        needed_dbm: Some(-99.5),
        sensor: Some(ProfileSensor {
            distance_m: far_m,
            level: Likely { level_dbm: end, low_dbm: end - 9.0, high_dbm: end + 7.0 },
            label: "17 Garage motion".to_owned(),
        }),
        length_unit,
    }
}

/// Forecasts and readings of `count` sensors; without chance.
pub(crate) fn comparison(count: u32) -> Comparison {
    let sensors = (0..count).map(|index| {
        let turn = |by: f64| (f64::from(index + 1) * by).fract();
        let [one, other] = [turn(0.618_034), turn(0.754_878)];
        let level = -104.0 + 60.0 * one;
        let likely = |middle: f64, half: f64| Likely {
            level_dbm: middle,
            low_dbm: middle - half,
            high_dbm: middle + 0.9 * half,
        };
        let shift = 14.0 * (other - 0.6);
        let step = ((level + shift) / 6.0).floor() * 6.0;
        let at = |off: f64| ReadLevel::At { level_dbm: level + shift + off, spread_db: 2.5 };
        let readings = match index % 8 {
            0 => vec![at(0.0)],
            1 => (0..50).map(|n| at(f64::from(n * 7 % 11) - 5.0)).collect(),
            2 => vec![ReadLevel::Between { low_dbm: Some(step), high_dbm: Some(step + 6.0) }; 4],
            3 => vec![ReadLevel::Missed; 6],
            4 => Vec::new(),
            5 => vec![at(1.0), at(-2.0), at(17.0), ReadLevel::Missed],
            6 => vec![ReadLevel::Between { low_dbm: Some(step), high_dbm: None }],
            _ => vec![at(-1.0), at(2.0)],
        };
        ComparedSensor {
            number: Some(index + 1),
            name: [
                "Front door",
                "Kitchen motion über dem Küchenschrank <script>",
                "Landing smoke & CO",
                "Garage tilt",
            ][index as usize % 4]
                .to_owned(),
            before: (index % 13 != 12).then(|| likely(level, 11.0)),
            after: (index % 13 != 12).then(|| likely(level + shift, 4.0)),
            needed_dbm: Some(-99.5),
            readings,
            flag: match index % 8 {
                3 => "too weak as built",
                5 => "weak transmitter or battery?",
                _ => "",
            }
            .to_owned(),
        }
    });
    Comparison {
        title: "14 Quarry Rise: forecast and readings".to_owned(),
        subtitle: "Link: 868 MHz. Readings of 30 sensors.".to_owned(),
        headline: "The forecast is 6.2 dB too high; sensors 4 and 12 are worse.".to_owned(),
        caution: "A prediction, not a measurement: walk-test every sensor.".to_owned(),
        sensors: sensors.collect(),
    }
}

/// A plan before and after readings by which all margins fall.
pub(crate) fn pair(crowded: bool) -> Pair {
    let mut before = if crowded { office() } else { house() };
    if crowded {
        // Forty of the hundred.
        before.devices.retain(|device| device.number.is_none_or(|number| number % 5 < 2));
    }
    let mut after = before.clone();
    if let Some(field) = &mut after.field {
        for margin in &mut field.margin_db {
            *margin -= 9.0;
        }
    }
    for device in &mut after.devices {
        if let Some(margin) = &mut device.margin_db {
            *margin -= 9.0;
            device.finding = Some(finding(*margin));
        }
    }
    Pair {
        title: before.title.clone(),
        subtitle: before.subtitle.clone(),
        headline: "With the readings taken in, 3 more sensors are failing.".to_owned(),
        caution: before.caution.clone(),
        titles: ["before the readings", "after the readings"].map(str::to_owned),
        pictures: [before, after],
    }
}
