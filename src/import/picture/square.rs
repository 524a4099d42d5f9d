//! A picture that was taken askew, squared up by four corners of something rectangular.

use image::{Rgb, RgbImage};
use nalgebra::{Matrix3, SMatrix, SVector, Vector3};

use super::raster::{MAX_PIXELS, Picture, Trouble};

/// How far beyond the rectangle the picture is kept, in sides of it.
const BEYOND: f64 = 3.0;
/// Most pixels of what is squared up for each of the picture.
const MOST_LARGER: f64 = 2.0;
/// Least area of the four corners, square pixels.
const LEAST_AREA: f64 = 400.0;

/// Four corners of something that is rectangular in the house.
#[derive(Debug, Clone, PartialEq)]
pub struct Square {
    /// Its corners in the picture, column and row, one after the other round it from the one that
    /// is to be upper left, clockwise as the picture is looked at.
    pub corners: [[f64; 2]; 4],
    /// How wide and high it is, metres, where that is known.
    pub size_m: Option<[f64; 2]>,
}

/// A mapping of one plane onto another that keeps lines straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography(Matrix3<f64>);

impl Homography {
    /// The one that puts four places on four others; nothing where three lie in a line.
    #[must_use]
    pub fn of(from: [[f64; 2]; 4], to: [[f64; 2]; 4]) -> Option<Self> {
        let mut rows = SMatrix::<f64, 8, 8>::zeros();
        let mut right = SVector::<f64, 8>::zeros();
        for (at, ([x, y], [u, v])) in from.into_iter().zip(to).enumerate() {
            let row = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y];
            let then = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y];
            for column in 0..8 {
                rows[(2 * at, column)] = row[column];
                rows[(2 * at + 1, column)] = then[column];
            }
            right[2 * at] = u;
            right[2 * at + 1] = v;
        }
        let h = rows.full_piv_lu().solve(&right)?;
        let matrix = Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1.0);
        let is_whole = matrix.iter().all(|number| number.is_finite());
        (is_whole && matrix.determinant().abs() > 1e-12).then_some(Self(matrix))
    }

    /// Where a place goes; nothing for one at the horizon or behind it.
    #[must_use]
    pub fn put(&self, [x, y]: [f64; 2]) -> Option<[f64; 2]> {
        let at = self.0 * Vector3::new(x, y, 1.0);
        (at.z > 1e-9).then(|| [at.x / at.z, at.y / at.z])
    }

    /// The way back.
    #[must_use]
    pub fn back(&self) -> Option<Self> {
        let back = self.0.try_inverse()?;
        Some(Self(back / back[(2, 2)]))
    }
}

/// A picture squared up.
#[derive(Debug, Clone, PartialEq)]
pub struct Squared {
    /// As it would be seen from straight above.
    pub picture: Picture,
    /// Metres to a pixel, where the size of the rectangle is known.
    pub metres_per_pixel: Option<f64>,
    /// Two opposite corners of the rectangle in it, upper left and lower right: column and row.
    pub rectangle: [[f64; 2]; 2],
}

impl Square {
    /// The picture as it would be seen from straight above, with all of it that is near the
    /// rectangle.
    ///
    /// # Errors
    /// The corners lie outside the picture, are not in order, or too near a line.
    pub fn squared(&self, picture: &Picture) -> Result<Squared, Trouble> {
        let fix = "give the four corners one after the other, from the upper left one clockwise";
        let wrong = |what: &str| (what.to_owned(), fix);
        let (columns, rows) = picture.size();
        let (wide, high) = (f64::from(columns), f64::from(rows));
        let inside =
            |[x, y]: &[f64; 2]| (-1.0..=wide + 1.0).contains(x) && (-1.0..=high + 1.0).contains(y);
        if !self.corners.iter().all(inside) {
            return Err(wrong("a corner lies outside the picture"));
        }
        if !is_convex(&self.corners) {
            return Err(wrong("the four corners make no shape that can be squared up"));
        }
        let [a, b, c, d] = self.corners;
        let far = |[x, y]: [f64; 2], [u, v]: [f64; 2]| (u - x).hypot(v - y);
        // As fine as the picture shows its finest side.
        let (across, down) = (far(a, b).max(far(d, c)), far(a, d).max(far(b, c)));
        let (mut across, mut down, mut metres) = (across, down, None);
        if let Some([wide_m, high_m]) = self.size_m {
            let to_a_metre = (across / wide_m).max(down / high_m);
            (across, down, metres) =
                (wide_m * to_a_metre, high_m * to_a_metre, Some(1.0 / to_a_metre));
        }
        let target = [[0.0, 0.0], [across, 0.0], [across, down], [0.0, down]];
        let none = || wrong("the four corners make no shape that can be squared up");
        let seen = Homography::of(target, self.corners).ok_or_else(none)?;
        let flat = seen.back().ok_or_else(none)?;
        let (low, high) = bounds(&flat, [wide, high], [across, down]);
        let size = [high[0] - low[0], high[1] - low[1]];
        let most = (MOST_LARGER * wide * f64::from(rows)).min(MAX_PIXELS as f64);
        let shrunk = (most / (size[0] * size[1])).sqrt().min(1.0);
        let whole = |length: f64| (length * shrunk).round().clamp(1.0, 30_000.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 30000")]
        let (columns, rows) = (whole(size[0]) as u32, whole(size[1]) as u32);
        let out = RgbImage::from_fn(columns, rows, |column, row| {
            let at = |pixel: u32, low: f64| (f64::from(pixel) + 0.5) / shrunk + low;
            let place = seen.put([at(column, low[0]), at(row, low[1])]);
            place.map_or(Rgb([255; 3]), |at| picture.between(at))
        });
        let there = |[x, y]: [f64; 2]| [(x - low[0]) * shrunk, (y - low[1]) * shrunk];
        Ok(Squared {
            picture: picture.with(out),
            metres_per_pixel: metres.map(|metres| metres / shrunk),
            rectangle: [there([0.0, 0.0]), there([across, down])],
        })
    }
}

/// What of the picture lies near a rectangle, in the plane of that.
fn bounds(
    flat: &Homography,
    [wide, high]: [f64; 2],
    [across, down]: [f64; 2],
) -> ([f64; 2], [f64; 2]) {
    let least = [-BEYOND * across, -BEYOND * down];
    let most = [(1.0 + BEYOND) * across, (1.0 + BEYOND) * down];
    let corners = [[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]];
    let seen: Option<Vec<[f64; 2]>> = corners.into_iter().map(|at| flat.put(at)).collect();
    // A corner at the horizon is as far as it gets.
    let Some(seen) = seen else { return (least, most) };
    let edge = |axis: usize, pick: fn(f64, f64) -> f64, first: f64| {
        let all = seen.iter().map(|at| at[axis]).fold(first, pick);
        all.clamp(least[axis], most[axis])
    };
    let (far, near) = (f64::NEG_INFINITY, f64::INFINITY);
    let low = [edge(0, f64::min, near), edge(1, f64::min, near)];
    (low, [edge(0, f64::max, far), edge(1, f64::max, far)])
}

/// Whether four corners turn the same way all round, clockwise as a picture is looked at.
fn is_convex(corners: &[[f64; 2]; 4]) -> bool {
    let turn = |at: usize| {
        let [a, b, c] = [0, 1, 2].map(|step| corners[(at + step) % 4]);
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    };
    (0..4).all(|at| turn(at) > LEAST_AREA)
}
