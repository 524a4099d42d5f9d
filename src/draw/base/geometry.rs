//! Points and lines on the picture.

/// A place on the picture, pixels from the upper left corner.
pub(crate) type Point = [f64; 2];

/// Distance between two points.
pub(crate) fn distance(one: Point, other: Point) -> f64 {
    (other[0] - one[0]).hypot(other[1] - one[1])
}

/// The point at a share of the way from one point to another.
pub(crate) fn between(from: Point, to: Point, share: f64) -> Point {
    [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]
}

/// Length of a line through points.
pub(crate) fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
}

/// A direction on the plan as a unit vector on the picture; none if it is zero.
pub(crate) fn heading([x, y]: [f64; 2]) -> Option<[f64; 2]> {
    let length = x.hypot(y);
    (length > 1e-9).then(|| [x / length, -y / length])
}

/// The edges of a polygon.
pub(crate) fn edges(ring: &[Point]) -> impl Iterator<Item = (&Point, &Point)> {
    ring.iter().zip(ring.iter().cycle().skip(1))
}

/// The head of an arrow of a length and half a width, its tip first, that points in a direction.
pub(crate) fn arrow(tip: Point, [x, y]: [f64; 2], long: f64, half: f64) -> [Point; 3] {
    let foot = [tip[0] - x * long, tip[1] - y * long];
    [tip, [foot[0] - y * half, foot[1] + x * half], [foot[0] + y * half, foot[1] - x * half]]
}

/// Places along a line about `spacing` apart, each with the line's direction there.
pub(crate) fn along(points: &[Point], spacing: f64) -> Vec<(Point, [f64; 2])> {
    let whole = length(points);
    let count = (whole / spacing).round().clamp(1.0, 500.0);
    let step = whole / count;
    let mut found = Vec::new();
    let (mut walked, mut next) = (0.0, 0.5 * step);
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let length = distance(a, b);
        while length > 0.0 && next <= walked + length && found.len() < count as usize {
            let direction = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
            found.push((between(a, b, (next - walked) / length), direction));
            next += step;
        }
        walked += length;
    }
    found
}

/// A level line of half a length to both sides of a place.
pub(crate) fn level_line([x, y]: Point, half: f64) -> [Point; 2] {
    [[x - half, y], [x + half, y]]
}

/// The middle of a line, by length.
pub(crate) fn middle(points: &[Point]) -> Option<Point> {
    along(points, f64::INFINITY).first().map(|(place, _)| *place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_along_a_line_are_evenly_spaced() {
        let line = [[0.0, 0.0], [30.0, 0.0], [30.0, 0.0], [30.0, 50.0]];
        let found = along(&line, 20.0);
        assert_eq!(found.len(), 4);
        assert_eq!(found[0], ([10.0, 0.0], [1.0, 0.0]));
        assert_eq!(found[3], ([30.0, 40.0], [0.0, 1.0]));
        assert_eq!(middle(&line), Some([30.0, 10.0]));
        assert_eq!(middle(&[[5.0, 5.0], [5.0, 5.0]]), None);
    }
}
