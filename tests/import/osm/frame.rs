//! Degrees as metres, against another program.

use geo::{Coord, Geometry};
use import::{Kind, LocalFrame, What};

use super::small::{collection, rectangle};
use crate::known::{imported, plain};

/// `pyproj` 3.7.2 (PROJ 9.5.1), azimuthal equidistant on the ellipsoid of WGS 84 around the first
/// place: where the second lies, metres.
#[test]
fn places_lie_where_another_program_puts_them() {
    let known = [
        ((-30.0, 47.0), (-29.999, 47.0), (76.0560, 0.0005)),
        ((-30.0, 47.0), (-29.998, 47.0015), (152.1077, 166.7582)),
        ((10.0, 60.0), (10.001, 60.0), (55.8000, 0.0004)),
        ((10.0, 60.0), (10.0, 60.001), (0.0, 111.4123)),
        ((10.0, 60.0), (10.002, 60.0015), (111.5950, 167.1201)),
        ((140.0, -35.0), (140.001, -35.0), (91.2882, -0.0005)),
        ((140.0, -35.0), (140.002, -34.9985), (182.5797, 166.4090)),
        ((179.9995, -17.0), (-179.9985, -16.9985), (212.9734, 166.0028)),
        ((20.0, 80.0), (20.002, 80.0015), (38.7812, 167.4906)),
    ];
    for (origin, place, (x, y)) in known {
        let at = LocalFrame::at(origin.0, origin.1).local(place.0, place.1);
        assert!((at.x - x).abs() < 1e-4 && (at.y - y).abs() < 1e-4, "{place:?}: {at:?}");
    }
}

/// The corners of a building across the 180th meridian, west of it and east of it.
#[test]
fn a_building_across_the_date_line_is_no_wider_than_it_is() {
    let ring = [(179.9995, -17.0), (-179.9985, -17.0), (-179.9985, -16.9985), (179.9995, -16.9985)];
    let text = collection(&[rectangle(r#""indoor": "room", "level": "0""#, ring)]);
    let (draft, _) = imported(Kind::IndoorGeojson, "map", text.as_bytes(), &plain());
    let mut high = Coord { x: 0.0_f64, y: 0.0_f64 };
    for piece in &draft.pieces {
        if let (What::Wall { .. }, Geometry::LineString(line)) = (&piece.what, &piece.shape) {
            for at in line.coords() {
                assert!(at.x > -0.01 && at.y > -0.01);
                high = Coord { x: high.x.max(at.x), y: high.y.max(at.y) };
            }
        }
    }
    // pyproj 3.7.2: the far corner lies at (212.9734, 166.0028).
    assert!((high.x - 212.97).abs() < 0.02 && (high.y - 166.00).abs() < 0.02, "{high:?}");
}

/// What lies far apart is two sites.
#[test]
fn rooms_on_two_continents_are_refused() {
    let near = [(0.0, 0.0), (0.0001, 0.0), (0.0001, 0.0001), (0.0, 0.0001)];
    let far = near.map(|(x, y)| (x + 90.0, y));
    let room = r#""indoor": "room""#;
    let text = collection(&[rectangle(room, near), rectangle(room, far)]);
    let faults = crate::known::refused(Kind::IndoorGeojson, "map", text.as_bytes());
    assert!(faults[0].what.contains("2000 m across"), "{}", faults[0]);
}
