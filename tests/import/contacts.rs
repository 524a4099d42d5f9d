//! Contacts at doors and windows that lead outside.

use forecast::vocabulary;
use geo::{Coord, Geometry, LineString, Point};
use import::{Draft, Piece, Surroundings, What, propose_contacts};
use plan::{DeviceKind, Plan, read};

fn line(id: &str, points: &[(f64, f64)], what: What) -> Piece {
    Piece {
        id: id.to_owned(),
        name: None,
        level: 0,
        shape: LineString::from(points.to_vec()).into(),
        what,
    }
}

fn opening(entry: bool, base_m: Option<f64>) -> What {
    What::Opening {
        construction: "door-solid".to_owned(),
        entry,
        open: false,
        base_m,
        top_m: Some(2.0),
    }
}

/// 6 × 4 m, Hall on the left, Kitchen on the right of x = 2.
fn house() -> Draft {
    Draft {
        pieces: vec![
            line(
                "outside",
                &[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0), (0.0, 0.0)],
                What::wall("brick-cavity"),
            ),
            line("inner", &[(2.0, 0.0), (2.0, 4.0)], What::wall("brick-half")),
            line("w1", &[(3.0, 4.0), (4.0, 4.0)], opening(false, Some(0.9))),
            line("w2", &[(6.0, 1.0), (6.0, 2.0)], opening(false, Some(0.9))),
            line("inside", &[(2.0, 1.0), (2.0, 2.0)], opening(false, None)),
            line("front", &[(0.5, 0.0), (1.4, 0.0)], opening(true, None)),
        ],
        ..Draft::default()
    }
}

fn propose(draft: &mut Draft) -> Plan {
    let around = Surroundings {
        indoors: &|_, at: Coord<f64>| (0.0..6.0).contains(&at.x) && (0.0..4.0).contains(&at.y),
        room: &|_, at| Some(if at.x < 2.0 { "Hall" } else { "Kitchen" }.to_owned()),
        is_metal: &|construction| construction == "door-steel",
    };
    propose_contacts(draft, &around);
    read("house", draft.text().as_bytes(), &vocabulary()).unwrap().plan
}

#[test]
fn every_way_outside_gets_a_contact_and_the_way_in_comes_first() {
    let plan = propose(&mut house());
    let said: Vec<(&str, Option<u32>, Option<&str>)> = plan
        .devices
        .iter()
        .map(|device| (device.name.as_str(), device.number, device.role.as_deref()))
        .collect();
    assert_eq!(
        said,
        [
            ("Hall door", Some(1), Some("entry-exit")),
            ("Kitchen window", Some(2), Some("perimeter")),
            ("Kitchen window 2", Some(3), Some("perimeter")),
        ]
    );
    // On the inner face, by the end of the leaf: the front door's end is (1.4, 0), inside is up.
    let door = &plan.devices[0];
    assert!((door.position.x - 1.4).abs() < 1e-9 && (door.position.y - 0.1).abs() < 1e-9);
    assert!((door.height_m - 1.9).abs() < 1e-9);
    assert_eq!(door.room.as_deref(), Some("Hall"));
    assert_eq!(door.mount.as_deref(), Some("frame"));
}

#[test]
fn an_opening_that_has_a_device_gets_no_other_and_numbers_are_kept() {
    let mut draft = house();
    draft.pieces.push(Piece {
        id: "mine".to_owned(),
        name: Some("Front".to_owned()),
        level: 0,
        shape: Geometry::Point(Point::new(1.5, 0.1)),
        what: What::Device {
            kind: DeviceKind::Sensor,
            height_m: None,
            device: None,
            role: None,
            number: Some(1),
            room: None,
            mount: None,
            supervised: None,
        },
    });
    let plan = propose(&mut draft);
    let numbers: Vec<Option<u32>> = plan.devices.iter().map(|device| device.number).collect();
    assert_eq!(numbers, [Some(1), Some(2), Some(3)]);
}

#[test]
fn upper_storeys_and_a_house_without_an_inside_get_none() {
    let mut draft = house();
    for piece in &mut draft.pieces {
        piece.level = 1;
    }
    draft.pieces.push(Piece {
        level: 0,
        ..line("below", &[(0.0, 0.0), (6.0, 0.0)], What::wall("brick-half"))
    });
    let around = Surroundings { indoors: &|_, _| true, room: &|_, _| None, is_metal: &|_| false };
    assert_eq!(propose_contacts(&mut draft, &around), 0);
    assert_eq!(propose_contacts(&mut house(), &around), 0);
}
