//! What rings in rooms: the power that goes to and fro between their faces.
//!
//! In a room the waves that have met its faces often come from everywhere, and their power is the
//! same all over it. Of what strikes the faces a part is reflected into the same room, a part goes
//! through into others, and the rest is absorbed or leaves the house. So with the powers P that
//! strike the faces of the rooms, T the shares that go through (row: from, column: to), R those
//! that stay, and s what a transmitter in one of them radiates,
//!
//! P = s + (T + R)·P,
//!
//! and a receiver in a room whose faces measure S has from P as much as from a transmitter in free
//! space at the distance d with 16π·P·d²/S = 1: the direct and the diffuse field of room acoustics,
//! whose radius of equal power is √(A/16π) with the absorption area A (H. Kuttruff, Room Acoustics,
//! chapter 5; from memory). Rooms that hang together by apertures are those of coupled rooms there
//! (chapter 5, coupled rooms; from memory), and of electromagnetic cavities (D. Hill,
//! Electromagnetic Fields in Enclosures, chapter 7; from memory).
//!
//! The same holds for waves of one direction and its mirror images, with 2·S·|cos θ| in place of
//! the area S of each face, θ the angle of incidence.
//!
//! Paths with few reflections are followed one by one. What is left to the diffuse field are those
//! of more than N reflections, through whatever walls:
//!
//! P = [(1 − T)⁻¹·R]^(N+1) · (1 − T − R)⁻¹ · s.

use std::f64::consts::PI;

/// A sum has converged when a further term is less than this part of it everywhere.
const CONVERGED: f64 = 1e-11;

/// Most terms of a sum: where a twentieth is lost at each face, an eighth of them suffices.
const MOST_TERMS: usize = 4000;

/// One room.
#[derive(Debug, Clone, PartialEq)]
pub struct ReverberantRoom {
    /// Area of its faces, square metres.
    pub area_m2: f64,
    /// Share of what strikes them that is reflected, 0 to 1.
    pub reflected: f64,
    /// Shares that go through to other rooms, by their numbers; with what is reflected less than 1,
    /// since something is always lost. What goes one way between
    /// two rooms goes the other way, too: share times area is the same for both.
    pub passed: Vec<(usize, f64)>,
}

/// Power that reaches the rooms by more than `reflections` reflections from a transmitter in one of
/// them, over that of free space at one metre.
///
/// # Panics
/// If `source` or a room in `passed` is none of the rooms.
#[must_use]
pub fn reverberant_gain(rooms: &[ReverberantRoom], source: usize, reflections: u8) -> Vec<f64> {
    let mut struck = vec![0.0; rooms.len()];
    struck[source] = 1.0;
    for _ in 0..=reflections {
        struck = summed(rooms, struck, false);
        for (power, room) in struck.iter_mut().zip(rooms) {
            *power *= room.reflected;
        }
    }
    let mut gain = summed(rooms, struck, true);
    for (power, room) in gain.iter_mut().zip(rooms) {
        *power *= 16.0 * PI / room.area_m2.max(f64::MIN_POSITIVE);
    }
    gain
}

/// The sum of all that follows from a power: what strikes goes through, again and again, and is
/// reflected if `rings`.
fn summed(rooms: &[ReverberantRoom], first: Vec<f64>, rings: bool) -> Vec<f64> {
    let mut sum = first.clone();
    let mut term = first;
    for _ in 0..MOST_TERMS {
        let mut next = vec![0.0; rooms.len()];
        for ((number, room), power) in rooms.iter().enumerate().zip(&term) {
            if *power <= 0.0 {
                continue;
            }
            if rings {
                next[number] += power * room.reflected;
            }
            for (other, share) in &room.passed {
                next[*other] += power * share;
            }
        }
        for (sum, next) in sum.iter_mut().zip(&next) {
            *sum += next;
        }
        if next.iter().zip(&sum).all(|(next, sum)| *next <= sum * CONVERGED) {
            break;
        }
        term = next;
    }
    sum
}
