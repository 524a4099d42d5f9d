//! What a ray model must offer to be held against the full-wave solution, and a plain one.

use super::house::{House, Wall};
use super::slab::te_response;

/// One path from transmitter to receiver.
#[derive(Clone, Copy)]
pub struct Path {
    /// Unfolded length, m.
    pub length_m: f64,
    /// Power ratio of all that happens on the way (walls, mirrors), spreading left out.
    pub gain: f64,
}

/// A ray model of a house: the paths between two points at one frequency, E upright.
pub trait RayModel: Sync {
    /// All paths, the direct one first.
    fn paths(&self, frequency_hz: f64, tx: [f64; 2], rx: [f64; 2]) -> Vec<Path>;

    /// Loss beyond free space, dB: powers summed, with the 1/d spreading of two dimensions.
    fn excess_db(&self, frequency_hz: f64, tx: [f64; 2], rx: [f64; 2]) -> f64 {
        let direct = distance(tx, rx);
        let sum: f64 =
            self.paths(frequency_hz, tx, rx).iter().map(|p| p.gain * direct / p.length_m).sum();
        -10.0 * sum.log10()
    }
}

/// No house at all.
pub struct FreeSpace;

impl RayModel for FreeSpace {
    fn paths(&self, _: f64, tx: [f64; 2], rx: [f64; 2]) -> Vec<Path> {
        vec![Path { length_m: distance(tx, rx), gain: 1.0 }]
    }
}

/// The plain image method: sharp edges, slabs on the way, mirrors of order 0 or 1. Written for
/// this test alone, to show what the textbook model does on the same points.
pub struct PlainRays<'a> {
    /// The house.
    pub house: &'a House,
    /// Whether first-order reflections are added to the direct path.
    pub reflections: bool,
}

impl RayModel for PlainRays<'_> {
    fn paths(&self, frequency_hz: f64, tx: [f64; 2], rx: [f64; 2]) -> Vec<Path> {
        let mut paths = vec![Path {
            length_m: distance(tx, rx),
            gain: self.through_walls(frequency_hz, tx, rx, None),
        }];
        if self.reflections {
            paths.extend(
                self.house
                    .walls
                    .iter()
                    .filter_map(|wall| self.reflection(frequency_hz, wall, tx, rx)),
            );
        }
        paths
    }
}

impl PlainRays<'_> {
    fn reflection(
        &self,
        frequency_hz: f64,
        mirror: &Wall,
        tx: [f64; 2],
        rx: [f64; 2],
    ) -> Option<Path> {
        let image = mirror.mirror(tx);
        // The image lies on the other side exactly when transmitter and receiver share a side.
        let (along, cosine) = mirror.hit(image, rx)?;
        let layers = mirror.build_at(along)?.layers(frequency_hz);
        let (_, reflected) = te_response(&layers, frequency_hz, sine(cosine));
        let point = mirror.point(along);
        let gain = reflected.norm_sqr()
            * self.through_walls(frequency_hz, tx, point, Some(mirror))
            * self.through_walls(frequency_hz, point, rx, Some(mirror));
        Some(Path { length_m: distance(image, rx), gain })
    }

    fn through_walls(
        &self,
        frequency_hz: f64,
        p: [f64; 2],
        q: [f64; 2],
        mirror: Option<&Wall>,
    ) -> f64 {
        let others =
            self.house.walls.iter().filter(|&wall| mirror.is_none_or(|m| !std::ptr::eq(m, wall)));
        others
            .filter_map(|wall| {
                let (along, cosine) = wall.hit(p, q)?;
                let layers = wall.build_at(along)?.layers(frequency_hz);
                Some(te_response(&layers, frequency_hz, sine(cosine)).0.norm_sqr())
            })
            .product()
    }
}

fn sine(cosine: f64) -> f64 {
    (1.0 - cosine * cosine).sqrt()
}

fn distance(p: [f64; 2], q: [f64; 2]) -> f64 {
    (q[0] - p[0]).hypot(q[1] - p[1])
}
