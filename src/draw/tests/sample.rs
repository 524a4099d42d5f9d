//! Invented plans to draw in tests. The margins come from a toy rule (distance and a fixed loss for
//! each wall), good enough for a picture and for nothing else.

mod explain;
mod siting;

pub(super) use explain::{comparison, pair, paths, profile};
pub(super) use siting::{linked, spots};

use crate::base::{distance, edges};
use crate::parts::bands::Bands;
use crate::parts::search::cross;
use crate::{
    AreaMark, DeviceKind, DeviceMark, Field, Finding, OpeningMark, Picture, Thresholds, WallClass,
    WallMark,
};
use units::Lengths;

const THRESHOLDS: Thresholds = Thresholds { failing_below_db: 4.0, sound_from_db: 13.0 };

fn wall(a: [f64; 2], b: [f64; 2], thickness_m: f64, class: WallClass, label: &str) -> WallMark {
    WallMark { a, b, thickness_m, class, label: label.to_owned() }
}

fn opening(a: [f64; 2], b: [f64; 2], thickness_m: f64, class: WallClass) -> OpeningMark {
    OpeningMark { a, b, thickness_m, class, ..OpeningMark::default() }
}

fn device(kind: DeviceKind, position: [f64; 2], name: &str) -> DeviceMark {
    DeviceMark { kind, position, name: name.to_owned(), ..DeviceMark::default() }
}

const fn toy_loss_db(class: WallClass) -> f64 {
    match class {
        WallClass::Light | WallClass::Door | WallClass::Glass => 3.0,
        WallClass::Timber => 4.0,
        WallClass::Masonry => 9.0,
        WallClass::Concrete => 13.0,
        WallClass::CoatedGlass => 22.0,
        WallClass::Metal => 28.0,
    }
}

/// Toy margin at a place.
fn margin_db(picture: &Picture, panel: [f64; 2], at: [f64; 2]) -> f64 {
    let apart = distance(at, panel).max(0.5);
    let walls: f64 = picture
        .walls
        .iter()
        .filter(|wall| cross([panel, at], [wall.a, wall.b]))
        .map(|wall| toy_loss_db(wall.class))
        .sum();
    let ripple = 1.5 * (at[0] * 2.1).sin() * (at[1] * 1.7).cos();
    58.0 - 20.0 * apart.log10() - 1.2 * apart - walls + ripple
}

fn finding(margin_db: f64) -> Finding {
    Bands::findings(THRESHOLDS).finding(margin_db)
}

fn fill(picture: &mut Picture, panel: [f64; 2], field: (f64, [f64; 2], [f64; 2])) {
    let (cell_m, low, high) = field;
    let count = |axis: usize| ((high[axis] - low[axis]) / cell_m).round() as usize;
    let (columns, rows) = (count(0), count(1));
    let origin = [low[0] + cell_m / 2.0, low[1] + cell_m / 2.0];
    let mut values = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        for column in 0..columns {
            let at = [origin[0] + column as f64 * cell_m, origin[1] + row as f64 * cell_m];
            values.push(margin_db(picture, panel, at));
        }
    }
    picture.field = Some(Field { origin, cell_m, columns, rows, margin_db: values });
    let bare = Picture { walls: picture.walls.clone(), ..Picture::default() };
    for device in picture.devices.iter_mut().filter(|device| device.kind != DeviceKind::Panel) {
        let margin = margin_db(&bare, panel, device.position);
        (device.margin_db, device.finding) = (Some(margin), Some(finding(margin)));
    }
}

/// A house of 15 × 10 m with a foil-lined garage, 20 sensors and a panel; 150 × 100 cells.
pub(super) fn house() -> Picture {
    let brick = "brick cavity, 250 mm";
    let stud = "plasterboard on studs";
    let foil = "foil-faced board on studs";
    let (m, l) = (WallClass::Masonry, WallClass::Light);
    let mut picture = Picture {
        title: "14 Quarry Rise, alterations".to_owned(),
        level_name: "Ground floor".to_owned(),
        subtitle: "Link: 868 MHz, 10 mW EIRP, check-in every 20 min · panel in the hall".to_owned(),
        caution: "A prediction, not a measurement: walk-test every sensor. ".repeat(4),
        walls: vec![
            wall([0.6, 0.6], [10.4, 0.6], 0.25, m, brick),
            wall([10.4, 0.6], [14.4, 0.6], 0.2, WallClass::Concrete, "dense block, rendered"),
            wall([14.4, 0.6], [14.4, 6.2], 0.2, WallClass::Concrete, "dense block, rendered"),
            wall([14.4, 6.2], [10.4, 6.2], 0.2, WallClass::Concrete, "dense block, rendered"),
            wall([10.4, 6.2], [10.4, 9.4], 0.25, m, brick),
            wall([10.4, 9.4], [0.6, 9.4], 0.25, m, brick),
            wall([0.6, 9.4], [0.6, 0.6], 0.25, m, brick),
            wall([10.4, 0.6], [10.4, 6.2], 0.12, WallClass::CoatedGlass, foil),
            wall([5.0, 0.6], [5.0, 3.6], 0.1, l, stud),
            wall([0.6, 3.6], [7.4, 3.6], 0.1, l, stud),
            wall([7.4, 0.6], [7.4, 6.0], 0.1, l, stud),
            wall([0.6, 6.0], [10.4, 6.0], 0.14, WallClass::Timber, "timber frame, insulated"),
            wall([4.2, 6.0], [4.2, 9.4], 0.1, l, stud),
            wall([7.6, 6.0], [7.6, 9.4], 0.1, l, stud),
            wall([12.2, 4.4], [14.4, 4.4], 0.06, WallClass::Metal, "metal-faced panel"),
            wall([12.2, 4.4], [12.2, 6.2], 0.06, WallClass::Metal, "metal-faced panel"),
            wall([2.6, 3.6], [2.6, 4.9], 0.08, WallClass::Glass, "glass screen"),
        ],
        openings: vec![
            OpeningMark { entry: true, ..opening([0.6, 4.4], [0.6, 5.3], 0.25, WallClass::Door) },
            OpeningMark { open: true, ..opening([5.4, 3.6], [6.2, 3.6], 0.1, WallClass::Door) },
            opening([2.9, 3.6], [3.7, 3.6], 0.1, WallClass::Door),
            opening([2.4, 6.0], [3.2, 6.0], 0.14, WallClass::Door),
            OpeningMark { open: true, ..opening([6.2, 6.0], [7.0, 6.0], 0.14, WallClass::Door) },
            opening([8.6, 6.0], [9.4, 6.0], 0.14, WallClass::Door),
            opening([1.6, 0.6], [3.6, 0.6], 0.25, WallClass::Glass),
            opening([5.7, 0.6], [6.7, 0.6], 0.25, WallClass::Glass),
            OpeningMark { entry: true, ..opening([8.2, 0.6], [9.8, 0.6], 0.25, WallClass::Glass) },
            opening([1.6, 9.4], [3.2, 9.4], 0.25, WallClass::Glass),
            opening([5.2, 9.4], [6.6, 9.4], 0.25, WallClass::CoatedGlass),
            opening([8.4, 9.4], [9.6, 9.4], 0.25, WallClass::CoatedGlass),
            OpeningMark { entry: true, ..opening([11.2, 0.6], [13.6, 0.6], 0.2, WallClass::Metal) },
        ],
        obstacles: vec![
            AreaMark {
                outline: vec![[9.4, 3.0], [10.2, 3.0], [10.2, 3.9], [9.4, 3.9]],
                label: "fridge".to_owned(),
                size: String::new(),
            },
            AreaMark {
                outline: vec![[0.75, 7.2], [1.3, 7.2], [1.3, 8.6], [0.75, 8.6]],
                label: "chimney breast".to_owned(),
                size: String::new(),
            },
        ],
        roams: vec![AreaMark {
            outline: vec![[0.9, 0.9], [4.8, 0.9], [4.8, 3.4], [0.9, 3.4]],
            label: "pendant: works in 97 % of the area".to_owned(),
            size: String::new(),
        }],
        thresholds: THRESHOLDS,
        length_unit: Lengths::Metric,
        ..Picture::default()
    };
    let spots: [([f64; 2], &str); 20] = [
        ([0.75, 4.85], "Front door contact"),
        ([1.2, 3.9], "Hall motion"),
        ([2.6, 0.75], "Living room window"),
        ([0.9, 0.9], "Living room motion"),
        ([3.3, 3.7], "Living room door"),
        ([6.2, 0.75], "Study window"),
        ([5.2, 3.4], "Study motion"),
        ([9.0, 0.75], "Kitchen patio door"),
        ([10.2, 5.6], "Kitchen heat"),
        ([8.0, 3.4], "Kitchen motion über dem Küchenschrank <script>alert(1)</script>"),
        ([2.4, 9.25], "Bedroom 1 window"),
        ([4.0, 6.2], "Bedroom 1 motion"),
        ([5.9, 9.25], "Bedroom 2 window"),
        ([7.4, 6.3], "Bedroom 2 smoke & CO"),
        ([9.0, 9.25], "Bathroom window"),
        ([12.4, 0.75], "Garage roller door"),
        ([14.2, 3.9], "Garage motion"),
        ([13.6, 6.0], "Cold store contact"),
        ([9.2, 6.2], "Landing smoke"),
        ([12.9, 0.75], "Garage tilt"),
    ];
    picture.devices = spots
        .into_iter()
        .zip(1..)
        .map(|((position, name), number)| DeviceMark {
            number: Some(number),
            ..device(DeviceKind::Sensor, position, name)
        })
        .collect();
    let panel = [6.2, 4.9];
    let keypad = device(DeviceKind::Keypad, [0.8, 5.7], "Keypad");
    picture.devices.extend([
        device(DeviceKind::Panel, panel, "Panel"),
        DeviceMark { number: Some(40), ..keypad },
        device(DeviceKind::Repeater, [10.9, 5.9], "Repeater"),
    ]);
    fill(&mut picture, panel, (0.1, [0.0, 0.0], [15.0, 10.0]));
    if let Some(device) = picture.devices.get_mut(15) {
        device.via = Some([10.9, 5.9]);
    }
    picture
}

/// An office of 40 × 25 m with a hundred sensors.
pub(super) fn office() -> Picture {
    let mut picture = Picture {
        title: "Office, one floor".to_owned(),
        subtitle: "Link: 433.92 MHz".to_owned(),
        caution: "Walk-test every sensor.".to_owned(),
        thresholds: THRESHOLDS,
        length_unit: Lengths::Feet,
        ..Picture::default()
    };
    let outer = [[0.0, 0.0], [40.0, 0.0], [40.0, 25.0], [0.0, 25.0]];
    for (&a, &b) in edges(&outer) {
        picture.walls.push(wall(a, b, 0.3, WallClass::Concrete, "concrete"));
    }
    for column in 0..10 {
        let x = 4.0 * f64::from(column);
        for (low, high) in [(0.0, 10.0), (14.0, 25.0)] {
            picture.walls.push(wall([x, low], [x, high], 0.1, WallClass::Light, "stud"));
        }
        for y in [10.0, 14.0] {
            picture.walls.push(wall([x, y], [x + 4.0, y], 0.1, WallClass::Light, "stud"));
            picture.openings.push(opening([x + 1.5, y], [x + 2.4, y], 0.1, WallClass::Door));
        }
        for (row, y) in
            [0.3, 5.0, 9.7, 9.9, 11.0, 13.0, 14.3, 19.0, 24.7, 24.7].into_iter().enumerate()
        {
            picture.devices.push(DeviceMark {
                position: [x + 0.6 + 0.3 * row as f64, y],
                number: Some(column * 10 + row as u32 + 1),
                name: format!("Room {} {}", column + 1, ["window", "motion", "door"][row % 3]),
                ..DeviceMark::default()
            });
        }
    }
    let panel = [8.0, 12.0];
    picture.devices.push(device(DeviceKind::Panel, panel, "Panel"));
    fill(&mut picture, panel, (0.1, [-1.0, -1.0], [41.0, 26.0]));
    picture
}

/// Two rooms and two sensors: small enough to read as SVG.
pub(super) fn tiny() -> Picture {
    let mut picture = Picture {
        title: "Two rooms".to_owned(),
        subtitle: "Link: 868 MHz".to_owned(),
        caution: "Walk-test every sensor.".to_owned(),
        walls: vec![
            wall([0.0, 0.0], [4.0, 0.0], 0.2, WallClass::Masonry, "brick"),
            wall([2.0, 0.0], [2.0, 3.0], 0.1, WallClass::Light, ""),
        ],
        openings: vec![opening([0.5, 0.0], [1.4, 0.0], 0.2, WallClass::Door)],
        thresholds: THRESHOLDS,
        ..Picture::default()
    };
    for (position, number) in [([0.5, 2.0], 1), ([3.5, 2.0], 2)] {
        let sensor = device(DeviceKind::Sensor, position, "A & B <i>");
        picture.devices.push(DeviceMark { number: Some(number), ..sensor });
    }
    let panel = [0.5, 0.6];
    fill(&mut picture, panel, (0.5, [0.0, 0.0], [4.0, 3.0]));
    picture.devices.push(device(DeviceKind::Panel, panel, ""));
    picture
}
