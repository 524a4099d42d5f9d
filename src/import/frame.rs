//! Longitude and latitude as metres in a local frame.

use geo::{Bearing, Coord, Distance, Geodesic, Point};

/// A local frame: x east and y north of an origin on the ellipsoid, metres.
///
/// A point goes to where its geodesic from the origin leads on a flat sheet (the azimuthal
/// equidistant projection): distances and bearings from the origin are exact, and others are out by
/// less than a millimetre over a kilometre. Geodesics on the ellipsoid of WGS 84: C. F. F. Karney,
/// Algorithms for geodesics, J. Geodesy 87 (2013), as the library `geo` has them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalFrame {
    origin: Point<f64>,
}

impl LocalFrame {
    /// The frame with its origin at a longitude and latitude, degrees.
    #[must_use]
    pub fn at(longitude_deg: f64, latitude_deg: f64) -> Self {
        Self { origin: Point::new(longitude_deg, latitude_deg) }
    }

    /// Where a longitude and latitude, degrees, lie in the frame, metres.
    #[must_use]
    pub fn local(&self, longitude_deg: f64, latitude_deg: f64) -> Coord<f64> {
        let point = Point::new(longitude_deg, latitude_deg);
        let distance_m = Geodesic.distance(self.origin, point);
        let bearing = Geodesic.bearing(self.origin, point).to_radians();
        Coord { x: distance_m * bearing.sin(), y: distance_m * bearing.cos() }
    }
}
