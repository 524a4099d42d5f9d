//! What rings in rooms, against the formulas of room acoustics.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use proptest::prelude::*;
use radio::{ReverberantRoom, reverberant_gain};

fn alone(area_m2: f64, reflected: f64) -> ReverberantRoom {
    ReverberantRoom { area_m2, reflected, passed: Vec::new() }
}

/// Two rooms with a common wall.
fn pair(area_m2: [f64; 2], reflected: [f64; 2], through_m2: f64) -> [ReverberantRoom; 2] {
    [0, 1].map(|own| ReverberantRoom {
        area_m2: area_m2[own],
        reflected: reflected[own],
        passed: vec![(1 - own, through_m2 / area_m2[own])],
    })
}

/// A published example (a manual of sound system design, chapter 6, a medium-size room; seen as a
/// web page): 630 m² of faces that absorb 0.15 of what strikes them have a room constant
/// R = Sα/(1 − α) of about 110 m², and the reverberant field beside the direct one, 1/(4πd²), is
/// 4/R.
#[test]
fn a_published_room_has_its_room_constant() {
    let gain = reverberant_gain(&[alone(630.0, 0.85)], 0, 0)[0];
    let room_constant_m2 = 4.0 * 4.0 * PI / gain;
    assert!((105.0..115.0).contains(&room_constant_m2), "{room_constant_m2}");
    assert_relative_eq!(room_constant_m2, 630.0 * 0.15 / 0.85, max_relative = 1e-9);
}

/// Where direct and diffuse field are equal: √(A/16π), A the absorption area (T. E. Vigran,
/// Building Acoustics, section 4.5.1; seen in an excerpt), here for hard faces, which hardly take
/// from the first reflection.
#[test]
fn the_room_radius_is_that_of_the_absorption_area() {
    for (area_m2, absorbed) in [(60.0, 0.002), (925.0, 0.004)] {
        let gain = reverberant_gain(&[alone(area_m2, 1.0 - absorbed)], 0, 0)[0];
        let radius_m = (area_m2 * absorbed / (16.0 * PI)).sqrt();
        assert_relative_eq!(gain * radius_m * radius_m, 1.0, max_relative = 0.005);
    }
}

/// Coupled rooms (H. Kuttruff, Room Acoustics, chapter 5; from memory): in the room without the
/// source the energy density is S₁₂/A₂₂ of that in the other, A₂₂ its absorption area with the
/// aperture in it.
#[test]
fn the_second_of_two_coupled_rooms_has_the_share_of_its_aperture() {
    let (area, reflected, through) = ([80.0, 50.0], [0.7, 0.6], 4.0);
    let all = reverberant_gain(&pair(area, reflected, through), 0, 0);
    // The same by two balances of both rooms: of all paths, and of those without a reflection.
    let m = nalgebra::Matrix2::new(
        area[0] * (1.0 - reflected[0]),
        -through,
        -through,
        area[1] * (1.0 - reflected[1]),
    );
    let t = nalgebra::Matrix2::new(area[0], -through, -through, area[1]);
    let source = nalgebra::Vector2::new(1.0, 0.0);
    let (whole, straight) = (m.try_inverse().unwrap() * source, t.try_inverse().unwrap() * source);
    for room in 0..2 {
        let wanted = 16.0 * PI * (whole[room] - straight[room]);
        assert_relative_eq!(all[room], wanted, max_relative = 1e-9);
    }
    let absorption_m2 = area[1] * (1.0 - reflected[1]);
    assert_relative_eq!(whole[1] / whole[0], through / absorption_m2, max_relative = 1e-9);
}

/// Shares that the walls (lengthwise and across), and floor and ceiling of a box reflect.
type Box3 = [f64; 3];

const SIDES_M: Box3 = [5.0, 4.0, 2.5];

/// Power of more than one reflection in a box: the sum over all images of a transmitter (J. Allen,
/// D. Berkley, Image method for efficiently simulating small-room acoustics, 1979; from memory),
/// the mean over places of both ends.
fn of_images(reflected: Box3) -> f64 {
    const FARTHEST: i32 = 60;
    let place = |number: u32, axis: usize| {
        // Roots of whole numbers spread places evenly.
        let root = [2f64, 3.0, 5.0, 7.0, 11.0, 13.0][axis].sqrt();
        (f64::from(number + 1) * root).fract()
    };
    let pairs = 12;
    let of_pair = |pair: u32| -> f64 {
        let along = |axis: usize, number: i32| {
            let (side, from, to) = (SIDES_M[axis], place(pair, axis), place(pair, axis + 3));
            let from = if number % 2 == 0 { from } else { 1.0 - from };
            (side * (f64::from(number) + from - to)).powi(2)
        };
        let kept = |axis: usize, number: i32| reflected[axis].powi(number.abs());
        let numbers = || -FARTHEST..=FARTHEST;
        let mut sum = 0.0;
        for (x, y) in numbers().flat_map(|x| numbers().map(move |y| (x, y))) {
            let (level_m2, kept_level) = (along(0, x) + along(1, y), kept(0, x) * kept(1, y));
            for z in numbers().filter(|z| x.abs() + y.abs() + z.abs() > 1) {
                sum += kept_level * kept(2, z) / (level_m2 + along(2, z));
            }
        }
        sum
    };
    (0..pairs).map(of_pair).sum::<f64>() / f64::from(pairs)
}

/// The same by a balance for each of some directions, alike over an eighth of the sphere.
fn by_directions(reflected: Box3) -> f64 {
    let [x, y, z] = SIDES_M;
    let (rises, azimuths) = (5, 4);
    let step = |number: u32, of: u32| (f64::from(number) + 0.5) / f64::from(of);
    let directions = (0..rises).flat_map(|rise| (0..azimuths).map(move |azimuth| (rise, azimuth)));
    let gains = directions.map(|(rise, azimuth)| {
        let rise = step(rise, rises);
        let (sin, cos) = (step(azimuth, azimuths) * PI / 2.0).sin_cos();
        let level = (1.0 - rise * rise).sqrt();
        let seen = [4.0 * y * z * level * cos, 4.0 * x * z * level * sin, 4.0 * x * y * rise];
        let area_m2: f64 = seen.iter().sum();
        let kept: f64 = seen.iter().zip(reflected).map(|(seen, reflected)| seen * reflected).sum();
        reverberant_gain(&[alone(area_m2, kept / area_m2)], 0, 1)[0]
    });
    gains.sum::<f64>() / f64::from(rises * azimuths)
}

/// Between metal walls under a light ceiling level waves stay and others leave: a balance for each
/// direction is within 1.3 dB of all images, one for all directions misses 2.5 dB and more.
#[test]
fn directions_that_stay_ring_longer() {
    let [x, y, z] = SIDES_M;
    for reflected in [[0.95, 0.95, 0.1], [0.95, 0.95, 0.3]] {
        let images = of_images(reflected);
        let off = |gain: f64| 10.0 * (gain / images).log10();
        let areas = [2.0 * y * z, 2.0 * x * z, 2.0 * x * y];
        let area_m2: f64 = areas.iter().sum();
        let kept: f64 = areas.iter().zip(reflected).map(|(area, kept)| area * kept).sum();
        let all_alike = off(reverberant_gain(&[alone(area_m2, kept / area_m2)], 0, 1)[0]);
        let each = off(by_directions(reflected));
        assert!(each.abs() < 1.3 && all_alike < -2.5, "{reflected:?}: {each} {all_alike}");
    }
}

/// Some rooms in a row and in a ring, whose faces lose something.
fn rooms() -> impl Strategy<Value = Vec<ReverberantRoom>> {
    proptest::collection::vec((5.0f64..200.0, 0.0f64..0.6, 0.0f64..0.15), 2..8).prop_map(|drawn| {
        let count = drawn.len();
        let mut rooms: Vec<ReverberantRoom> =
            drawn.iter().map(|(area_m2, reflected, _)| alone(*area_m2, *reflected)).collect();
        for (own, (_, _, share)) in drawn.iter().enumerate() {
            let next = (own + 1) % count;
            let through_m2 = share * rooms[own].area_m2.min(rooms[next].area_m2);
            for (from, to) in [(own, next), (next, own)] {
                let share = through_m2 / rooms[from].area_m2;
                rooms[from].passed.push((to, share));
            }
        }
        rooms
    })
}

proptest! {
    #[test]
    fn what_rings_is_the_same_there_and_back(rooms in rooms(), order in 0u8..=3) {
        let gains: Vec<Vec<f64>> =
            (0..rooms.len()).map(|from| reverberant_gain(&rooms, from, order)).collect();
        for (from, row) in gains.iter().enumerate() {
            for (to, gain) in row.iter().enumerate() {
                let off = (gain - gains[to][from]).abs();
                prop_assert!(off <= 1e-8 * gain, "{from} to {to}: {gain} and {}", gains[to][from]);
            }
        }
    }

    #[test]
    fn what_absorbs_more_rings_less_and_so_does_a_higher_order(rooms in rooms(), order in 0u8..3) {
        let gain = |rooms: &[ReverberantRoom], order| reverberant_gain(rooms, 0, order);
        let mut duller = rooms.clone();
        duller[1].reflected *= 0.9;
        let (before, after, later) =
            (gain(&rooms, order), gain(&duller, order), gain(&rooms, order + 1));
        for room in 0..rooms.len() {
            prop_assert!(after[room] <= before[room] && later[room] <= before[room]);
        }
    }
}
