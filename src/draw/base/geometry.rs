//! Points, lines, boxes and hatching on the picture, and the way there from metres.

/// A place on the picture, pixels from the upper left corner.
pub(crate) type Point = [f64; 2];

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

/// A rectangle on the picture, pixels, y downwards.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Rect {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Rect {
    /// A rectangle by its middle and size.
    pub fn around([x, y]: Point, width: f64, height: f64) -> Self {
        let (half_width, half_height) = (width / 2.0, height / 2.0);
        Self { x0: x - half_width, y0: y - half_height, x1: x + half_width, y1: y + half_height }
    }

    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    pub fn middle(&self) -> Point {
        [(self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0]
    }

    /// Whether the two share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Whether the other lies wholly within this one.
    pub fn contains(&self, other: &Self) -> bool {
        self.x0 <= other.x0 && self.y0 <= other.y0 && self.x1 >= other.x1 && self.y1 >= other.y1
    }

    /// The rectangle grown by a distance on every side.
    pub fn grown(&self, by: f64) -> Self {
        Self { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    /// The least rectangle that holds both.
    pub fn union(&self, other: &Self) -> Self {
        self.with([other.x0, other.y0]).with([other.x1, other.y1])
    }

    /// The least rectangle that holds this one and a point.
    pub fn with(&self, [x, y]: Point) -> Self {
        Self { x0: self.x0.min(x), y0: self.y0.min(y), x1: self.x1.max(x), y1: self.y1.max(y) }
    }

    /// The box round points; at the origin if there is none.
    pub fn round(points: impl IntoIterator<Item = Point>) -> Self {
        let mut points = points.into_iter();
        let [x, y] = points.next().unwrap_or_default();
        points.fold(Self { x0: x, y0: y, x1: x, y1: y }, |rect, point| rect.with(point))
    }

    /// The corners in order round it.
    pub fn corners(&self) -> [Point; 4] {
        [[self.x0, self.y0], [self.x1, self.y0], [self.x1, self.y1], [self.x0, self.y1]]
    }

    /// The point of the rectangle that is nearest to another point.
    pub fn nearest(&self, [x, y]: Point) -> Point {
        [x.clamp(self.x0, self.x1), y.clamp(self.y0, self.y1)]
    }

    /// Whether a straight line from `from` to `to` passes through.
    pub fn meets(&self, from: Point, to: Point) -> bool {
        let (mut least, mut most) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in
            [(from[0], to[0], self.x0, self.x1), (from[1], to[1], self.y0, self.y1)]
        {
            let run = end - start;
            if run == 0.0 {
                if start < low || start > high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / run, (high - start) / run);
            least = least.max(one.min(other));
            most = most.min(one.max(other));
        }
        least <= most
    }
}

/// From metres on the plan to pixels on the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    /// Pixels for a metre.
    pub scale: f64,
    /// Where the plan's origin lies.
    pub zero: Point,
    /// Size of text and marks against those of a picture 1600 pixels wide.
    pub size: f64,
    /// The middle of the plan, metres.
    pub middle: [f64; 2],
}

impl View {
    /// The view that puts a place of the plan in the middle of a frame.
    pub fn new(frame: &Rect, middle: [f64; 2], scale: f64, size: f64) -> Self {
        Self {
            scale,
            zero: [frame.middle()[0] - middle[0] * scale, frame.middle()[1] + middle[1] * scale],
            size,
            middle,
        }
    }

    pub fn place(&self, [x, y]: [f64; 2]) -> Point {
        [self.zero[0] + x * self.scale, self.zero[1] - y * self.scale]
    }

    pub fn places(&self, points: &[[f64; 2]]) -> Vec<Point> {
        points.iter().map(|&point| self.place(point)).collect()
    }
}

/// Slanted lines that fill the inside of rings (even-odd rule), `spacing` pixels apart across the
/// line; falling to the right if `falling`, else rising.
pub(crate) fn hatch(rings: &[Vec<Point>], spacing: f64, falling: bool) -> Vec<[Point; 2]> {
    let slope = if falling { 1.0 } else { -1.0 };
    // All lines are y = slope · x + number · rise.
    let rise = spacing * std::f64::consts::SQRT_2;
    let number = |point: &Point| (point[1] - slope * point[0]) / rise;
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for ring in rings {
        for (a, b) in edges(ring) {
            let (mut from, mut to) = ((number(a), a[0]), (number(b), b[0]));
            if from.0 > to.0 {
                std::mem::swap(&mut from, &mut to);
            }
            // Half open, so that a line through a shared corner meets one of the two edges.
            let first = from.0.ceil() as i64;
            let mut line = first;
            while (line as f64) < to.0 {
                let share = (line as f64 - from.0) / (to.0 - from.0);
                crossings.push((line, from.1 + (to.1 - from.1) * share));
                line += 1;
            }
        }
    }
    crossings.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let mut lines = Vec::new();
    for group in crossings.chunk_by(|one, other| one.0 == other.0) {
        for pair in group.chunks_exact(2) {
            let (number, from) = pair[0];
            let to = pair[1].1;
            if to - from > 1.0 {
                let place = |x: f64| [x, slope * x + number as f64 * rise];
                lines.push([place(from), place(to)]);
            }
        }
    }
    lines
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

    #[test]
    fn hatching_stays_inside_and_out_of_the_hole() {
        let square = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
        let hole = vec![[20.0, 20.0], [80.0, 20.0], [80.0, 80.0], [20.0, 80.0]];
        let lines = hatch(&[square, hole], 5.0, true);
        assert!(lines.len() > 20);
        for [from, to] in lines {
            let [x, y] = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
            assert!((0.0..=100.0).contains(&x) && (0.0..=100.0).contains(&y));
            let within = |value: f64| value > 20.0 && value < 80.0;
            assert!(!(within(x) && within(y)), "a line in the hole at {x}, {y}");
        }
    }
}
